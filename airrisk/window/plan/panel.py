"""The plan with its buttons and one line that says what is chosen or what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QMenu,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from airrisk.installation.model import FireSource, Line, People, Wall
from airrisk.window.calculations import audit_day
from airrisk.window.facts.row import with_mnemonics
from airrisk.window.plan.hint_line import HintLine
from airrisk.window.plan.mode_buttons import MissingList, ModeButtons
from airrisk.window.plan.picture_actions import PictureActions
from airrisk.window.plan.scene import Mode, PlanScene
from airrisk.window.plan.typing_line import TypingLine
from airrisk.window.plan.view import PlanView
from airrisk.wording import labels
from airrisk.wording.acceptances import counting
from airrisk.wording.choices import choice_word
from airrisk.wording.part_answers import deciding_parts, out_of_date, part_answers
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.study.records import Assessment, SectionRecord
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.session import Session

ADDABLE = (
    "vessel", "compressor", "line", "junction", "consumer", "valve", "plug", "relief_valve",
    "bursting_disc", "fire", "fire_source", "wall", "reading", "people", "room",
)  # fmt: skip


def uncredited(installation: Installation | None) -> dict[str, str]:
    """The devices that nobody may count on, and why."""
    if installation is None:
        return {}
    from airrisk.installation.plug_state import uncredited_devices

    return uncredited_devices(installation, audit_day(installation))


def add_actions(menu: QMenu) -> list[QAction]:
    """One action for each kind of part, with a letter of its own; their data is the kind."""
    names = [labels.sentence(labels.part_kind(kind)) for kind in ADDABLE]
    found = []
    for kind, name in zip(ADDABLE, with_mnemonics(names), strict=True):
        action = menu.addAction(name)
        action.setData(kind)
        found.append(action)
    return found


class PlanPanel(QWidget):
    """Drawing, buttons and hint line; edits go through ``PartEdits``."""

    map_asked = Signal()  # where a fire may stand

    def __init__(self, session: Session, edits: PartEdits, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._edits = edits
        self.scene = PlanScene()
        self.scene.setParent(self)
        self.view = PlanView(self.scene)
        self._drawn_revision: tuple[int, int] | None = None
        self._worst: dict[str, str] = {}  # severity of the worst finding, by part
        self.add_button = QToolButton()
        self.add_button.setText(tr("Add"))
        self.add_button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.add_menu = QMenu(self.add_button)
        self.add_actions = add_actions(self.add_menu)
        self.add_menu.triggered.connect(self._add)
        self.add_button.setToolTip(tr("Add a part where it belongs to what is chosen (Ctrl+B)"))
        self.add_button.setMenu(self.add_menu)
        self.connect_button = self._button(tr("Connect"), tr("Join two parts by a line (Ctrl+L)"))
        self.connect_button.clicked.connect(self.view.start_connecting)
        self.fit_button = self._button(tr("Fit"), tr("Show the whole drawing (0)"))
        self.fit_button.clicked.connect(self.view.fit)
        self.modes = ModeButtons()
        self.modes.asked.connect(self.show_mode)
        self.order_button = self._button(
            tr("Lay out again"),
            tr("Forget where parts were dragged to in the schematic and lay it out anew"),
        )
        self.order_button.clicked.connect(self.lay_out_again)
        self.map_button = self._button(
            tr("Fires…"), tr("Show where a fire may stand; the chosen source, if one is")
        )
        self.map_button.clicked.connect(self.map_asked)
        self.pictures = PictureActions(session, edits, self.view)
        buttons = (self.modes, self.add_button, self.connect_button, self.fit_button,
                   self.order_button, self.map_button, self.pictures.button)  # fmt: skip
        self._head = HintLine(buttons)
        self.hint = self._head.hint
        self.missing = MissingList()
        self.missing.chosen.connect(session.choose)
        drawing = QHBoxLayout()
        drawing.setSpacing(0)
        drawing.addWidget(self.view, 1)
        drawing.addWidget(self.missing)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addLayout(self._head)
        layout.addLayout(drawing, 1)
        self.typing = TypingLine(session, edits, self)
        layout.addWidget(self.typing)
        self._connect_all()
        self._tell_mode()

    def _connect_all(self) -> None:
        session, edits = self._session, self._edits
        self.view.chosen.connect(session.choose)
        self.view.connect_asked.connect(edits.connect_parts)
        self.view.joining.connect(self._tell_joining)
        self.view.connecting_ended.connect(self._mark_choice)
        self.view.typed.connect(self.typing.begin)
        self.typing.left.connect(self.view.setFocus)
        self.scene.drawn_elsewhere.connect(edits.draw_at)
        self.scene.stands_elsewhere.connect(edits.move)
        self.pictures.told.connect(edits.refused)
        self.pictures.plan_asked.connect(self._show_site_plan)
        self.pictures.hint_changed.connect(self._mark_choice)
        session.document_changed.connect(self.refresh)
        session.answer_changed.connect(self.refresh_marks)
        session.chosen_changed.connect(self._choice_changed)
        session.units_changed.connect(self._units_changed)

    @staticmethod
    def _button(text: str, tip: str) -> QToolButton:
        button = QToolButton()
        button.setText(text)
        button.setToolTip(tip)
        return button

    def retheme(self) -> None:
        """Draw again in the colours of the theme."""
        self._drawn_revision = None
        self.refresh()

    def show_mode(self, mode: Mode) -> None:
        """Show the schematic or the site plan."""
        self.modes.show_mode(mode)
        if mode == self.scene.mode:
            return
        self.view.pointing.end()
        self.scene.set_mode(mode)
        self.view.fit()
        self._tell_mode()
        self.refresh_marks()
        self.view.choose(self._session.chosen)

    def _show_site_plan(self) -> None:
        self.show_mode("site plan")

    def switch_mode(self) -> None:
        """Show the other of the two drawings."""
        self.show_mode("site plan" if self.scene.mode == "schematic" else "schematic")

    def _tell_mode(self) -> None:
        """What belongs to one way of drawing is shown with it alone."""
        schematic = self.scene.mode == "schematic"
        self.order_button.setVisible(schematic and bool(self._dragged()))
        self.map_button.setVisible(not schematic)
        self.pictures.button.setVisible(not schematic)
        self.missing.show_parts(self.scene.missing)
        self._head.arrange(self.width())

    def _dragged(self) -> list[str]:
        """Parts of which the file says where the schematic draws them."""
        installation = self._session.installation or self._session.drawn
        parts = () if installation is None else installation.parts()
        return [part.id for part in parts if part.drawn is not None]

    def lay_out_again(self) -> None:
        """Forget where parts were dragged to in the schematic."""
        self._edits.lay_out_again(self._dragged())

    def _units_changed(self) -> None:
        self.view.units = self._session.units
        self.view.viewport().update()

    def _flames(self) -> dict[str, float]:
        """How far the flames of each source reach, where the present answer tells."""
        assessment = self._session.assessment
        if assessment is None or not self._session.is_current:
            return {}
        return {
            name: record.flame_height_m if record.diameter_m is None else 0.5 * record.diameter_m
            for name, record in assessment.fire_sources.items()
        }

    def refresh(self) -> None:
        """Draw the document as it is now."""
        session = self._session
        document = session.document
        self.pictures.refresh()  # it may have come, or the file may stand elsewhere now
        key = None if document is None else (id(document), document.revision)
        if key is not None and key == self._drawn_revision:
            self._mark_choice()
            return
        fresh = self._drawn_revision is None or key is None or key[0] != self._drawn_revision[0]
        self._drawn_revision = key
        self.view.units = session.units
        shown = session.installation or session.drawn
        self.scene.show_installation(shown, self._flames(), uncredited(shown))
        if fresh:
            self.view.fit()
        else:
            self.view.refit()
        self._tell_mode()
        self.refresh_marks()
        self.view.choose(session.chosen)

    def refresh_marks(self) -> None:
        """Badges of the worst finding and the tint of the sections."""
        assessment = self._session.assessment
        worst: dict[str, str] = {}
        if assessment is not None and self._session.is_current:
            for finding in counting(assessment.findings):
                present = worst.get(finding.part)
                if present is None or labels.severity_rank(finding.severity) < labels.severity_rank(
                    present
                ):
                    worst[finding.part] = finding.severity
        self.scene.show_flames(self._flames())
        self._show_answers(assessment)
        self.scene.mark_findings(worst)
        self._worst = worst
        self._mark_choice()

    def _show_answers(self, assessment: Assessment | None) -> None:
        """What vessels, and what else decides, carry: hatched when it is of another file."""
        if assessment is None:
            moved = self.scene.show_answers({}, ())
        else:
            answers = part_answers(assessment)
            if not self._session.is_current:
                answers = {name: out_of_date(one) for name, one in answers.items()}
            moved = self.scene.show_answers(answers, deciding_parts(assessment))
        if moved:
            self.view.refit()

    def _choice_changed(self) -> None:
        chosen = self._session.record()
        if isinstance(chosen, (People, FireSource, Wall)):
            self.show_mode("site plan")  # it stands nowhere else
        self.view.choose(self._session.chosen)
        self._mark_choice()

    def _mark_choice(self) -> None:
        """Tint the sections that meet at a chosen valve, or that hold the chosen part."""
        session = self._session
        record = session.record()
        groups: list[tuple[str, ...]] = []
        burning: tuple[str, ...] = ()
        text = ""
        if record is not None and hasattr(record, "reaches"):
            burning = record.reaches
            text = tr("Fire {id} reaches {parts}").format(
                id=getattr(record, "id", ""), parts=", ".join(burning)
            )
        elif record is not None:
            groups, text = self._sections_of(record)
        self.view.speak(self.spoken(session.chosen))
        self.scene.mark_fire(burning)
        self.scene.tint_groups(groups)
        if not self.view.connecting:
            about_picture = self.pictures.asking if self.scene.mode == "site plan" else ""
            self._show_hint(about_picture or text or self._drawing_hint())

    def _drawing_hint(self) -> str:
        """What the drawing cannot show, or what it is."""
        if self.scene.mode == "site plan":
            return self.pictures.hint
        if self.scene.forced:
            return tr("No free way for {lines}, drawn broken: move parts apart.").format(
                lines=labels.named("line", self.scene.forced)
            )
        return ""

    def spoken(self, name: str | None) -> str:
        """An item of the drawing for screen readers: what it is, its ends, its worst finding."""
        item = self.scene.items_by_name.get(name) if name else None
        if item is None or name is None:
            return tr("Nothing is chosen; arrow keys choose.")
        told = [item.spoken]
        record = self._session.record(name)
        if isinstance(record, Line):
            told.append(
                tr("from {first} to {last}").format(
                    first=choice_word(record.from_), last=choice_word(record.to)
                )
            )
        if item.answer is not None and not item.block.isEmpty():
            told.append(item.answer.spoken)
        if name in self._worst:
            severity = labels.severity(self._worst[name])
            told.append(tr("worst finding: {severity}").format(severity=severity))
        return ", ".join(told)

    def _sections_of(self, record: object) -> tuple[list[tuple[str, ...]], str]:
        assessment = self._session.assessment
        if assessment is None:
            return [], ""
        name = str(getattr(record, "id", ""))
        if hasattr(record, "state"):
            found = [s for s in assessment.shut_in if name in s.closed_valves]
            if not found:
                return [], tr("Closing valve {valve} isolates no section").format(valve=name)
            parts = " | ".join(
                f"{', '.join(section.members)} ({_ways_out(section)})" for section in found
            )
            text = tr("{valve} shut parts: {parts}").format(valve=name, parts=parts)
            return [section.members for section in found], text
        holder = self._session.chosen_holder or name
        for section in assessment.shut_in:
            if holder in section.members:
                return [section.members], ""
        return [], ""

    def choose_section(self, section_id: str) -> None:
        """Tint one section and choose its first vessel."""
        assessment = self._session.assessment
        if assessment is None:
            return
        for section in assessment.shut_in:
            if section.id == section_id:
                records = self._session.part_records
                vessels = [
                    m for m in section.members if m in records and records[m].kind == "vessel"
                ]
                self._session.choose((vessels or list(section.members))[0])
                self.scene.tint_groups([section.members])

    def _show_hint(self, text: str) -> None:
        self._head.say(text)
        self._head.arrange(self.width())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._head.arrange(self.width())

    def _tell_joining(self, first: str | None, last: str | None) -> None:
        """Say what Connect would join before it does."""
        if first is None:
            self._show_hint(tr("New line: choose where it begins (Esc ends)"))
        elif last is None:
            text = tr("New line from {part}: choose where it ends (Esc ends)")
            self._show_hint(text.format(part=first))
        else:
            self._show_hint(
                tr("Joins {first} and {last}: a click or Return does it (Esc ends). {beside}")
                .format(first=first, last=last, beside=self._joined_already(first, last))
            )  # fmt: skip

    def _joined_already(self, first: str, last: str) -> str:
        installation = self._session.installation or self._session.drawn
        lines = () if installation is None else installation.lines
        found = [one.id for one in lines if {one.from_, one.to} == {first, last}]
        return tr("Already joined by line {lines}.").format(lines=", ".join(found)) if found else ""

    def open_add_menu(self) -> None:
        """The kinds of parts, below their button; their underlined letters choose."""
        self.add_menu.popup(self.add_button.mapToGlobal(self.add_button.rect().bottomLeft()))

    def _add(self, action: object) -> None:
        self._edits.add(str(action.data()))  # type: ignore[attr-defined]


def _ways_out(section: SectionRecord) -> str:
    """What lets the air of a shut-in section out."""
    if section.plugs:
        return tr("{plugs} when hot").format(plugs=", ".join(section.plugs))
    if section.relief_valves:
        valves = ", ".join(section.relief_valves)
        return tr("no plug, {valves} by pressure").format(valves=valves)
    return tr("no way out")
