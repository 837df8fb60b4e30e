"""The main window: views, menus, files; it owns the session."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import (
    QApplication,
    QMainWindow,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing.raw_values import is_readable, kind_in_text, offered_keys
from airrisk.installation.characters import visible_line
from airrisk.installation.problems import Problem
from airrisk.quantities import UNIT_SETS
from airrisk.study.records import Finding
from airrisk.window.context_menus import ContextMenus
from airrisk.window.disk_notice import DiskNotice
from airrisk.window.files import Files
from airrisk.window.menus import Menus
from airrisk.window.part_edits import PartEdits
from airrisk.window.places import settings, stored_state, stored_word
from airrisk.window.session import Session
from airrisk.window.status import StatusLine
from airrisk.window.theme import apply_theme, colours, set_text_size, system_prefers_dark
from airrisk.window.views import VIEWS, BeginsAt, ViewBar, first_in
from airrisk.window.welcome import Welcome
from airrisk.window.work_view import WorkView
from airrisk.wording.translation import tr
from airrisk.wording.units import METRIC

if TYPE_CHECKING:
    from airrisk.study.cure_plan import PlanRecord
    from airrisk.window.all_commands import Command
    from airrisk.window.cure_trial import CureTrial

SHARE = 0.85  # of the screen, first size of the window


class Frame(QMainWindow):
    """The one window of the program."""

    def __init__(self, journal_folder: Path | None = None) -> None:
        super().__init__()
        self.setObjectName("frame")
        self.setAcceptDrops(True)
        self.setMinimumSize(940, 520)  # full HD at 200 % is 960 by 540
        self.session = Session(journal_folder, self)
        self.edits = PartEdits(self.session, self)
        self.files = Files(self.session, self)
        self.welcome = Welcome()
        self.work = WorkView(self.session, self.edits)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.welcome)
        self.stack.addWidget(self.work)
        self.pages: dict[str, QWidget] = {"work": self.work}
        self.view_bar = ViewBar()
        self._went_to: object = None  # the finding that was gone to last
        self.disk = DiskNotice(self.session)
        self.status = StatusLine(self.session)
        centre = QWidget()
        layout = QVBoxLayout(centre)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.view_bar)
        layout.addWidget(self.disk)
        layout.addWidget(self.stack, 1)
        layout.addWidget(self.status)
        self.setCentralWidget(centre)
        self.menus = Menus(self, self.menuBar())
        self.context_menus = ContextMenus(self, self.menus, self)
        self._connect()
        self._restore()
        self._show_welcome()
        self._refresh()

    def _connect(self) -> None:
        self.welcome.new_asked.connect(self.files.new)
        self.welcome.open_asked.connect(self.files.ask_and_open)
        self.welcome.file_chosen.connect(self.files.open_name)
        self.welcome.sample_chosen.connect(self.files.open_sample)
        self.welcome.vessel_made.connect(self.files.start_with)
        self.session.document_replaced.connect(self._document_replaced)
        self.session.document_changed.connect(self._refresh)
        self.edits.refused.connect(self.status.refuse)
        self.edits.done.connect(self.status.say)
        self.work.facts.form.refused.connect(self.status.refuse)
        # behind what is told of the deed that took it away
        queued = Qt.ConnectionType.QueuedConnection
        self.work.facts.form.lost.connect(self.status.refuse, queued)
        self.files.told.connect(self.status.say)
        self.disk.told.connect(self.status.say)
        self.disk.save_asked.connect(self.files.save)
        self.disk.save_as_asked.connect(self.files.save_as)
        self.work.plan.map_asked.connect(self.go_to_map)
        self.work.plan.view.menu_asked.connect(self.context_menus.show)
        self.work.answers.message.connect(self.status.say)
        self.work.answers.doubt_asked.connect(self.go_to_doubt)
        self.work.answers.confirm_asked.connect(self.go_to_offered)
        self.work.strip.finding_chosen.connect(self.go_to_finding)
        self.work.strip.decision_asked.connect(self.decide)
        self.work.facts.decision_asked.connect(self.decide)
        self.work.line.cure_asked.connect(self.find_cures)
        self.work.line.try_asked.connect(self.try_cheapest)
        self.work.facts.source_asked.connect(self.show_source)
        self.status.findings_asked.connect(self.go_to_findings)
        self.view_bar.chosen.connect(self.turn_to)

    # -- views -------------------------------------------------------------------

    def _show_welcome(self) -> None:
        self.view_bar.hide()
        self.status.hide()
        self.welcome.refresh_recent()
        self.stack.setCurrentWidget(self.welcome)
        self.welcome.first_vessel.sort.setFocus()

    def _document_replaced(self) -> None:
        if self.session.document is None:
            self._show_welcome()
            return
        self.view_bar.show()
        self.status.show()
        self.show_view("work" if is_readable(self.session.document.text) else "text")
        self._choose_first()

    def _choose_first(self) -> None:
        """Begin with the facts of the first vessel rather than with an empty side."""
        installation = self.session.drawn
        if installation is not None and installation.vessels:
            self.session.begin_with(installation.vessels[0].id)

    def show_view(self, key: str) -> None:
        """Show one of the full views; it is made when it is first shown."""
        if key not in self.pages:
            page = VIEWS[key].make(self)
            self.pages[key] = page
            self.stack.addWidget(page)
        self.view_bar.mark(key)
        self.stack.setCurrentWidget(self.pages[key])

    def turn_to(self, key: str) -> None:
        """Show a view and put the keyboard where its work begins."""
        self.show_view(key)
        page = self.pages[key]
        place = page.keyboard_begin() if isinstance(page, BeginsAt) else first_in(page)
        if place is not None:
            place.setFocus()

    def commands(self) -> list[Command]:
        """Everything that can be done now: what is on the page first, then menus and views."""
        from airrisk.window import all_commands as found

        page = self.stack.currentWidget() or self.work
        shown = next((key for key, one in self.pages.items() if one is page), "")
        where = tr(VIEWS[shown].name) if shown else tr("First page")
        return [
            *found.on_page(page, where),
            *found.in_menus(self.menuBar()),
            *found.to_add(self.work.plan, self.session.document is not None),
            *found.of_views(self.view_bar),
        ]

    def show_commands(self) -> None:
        """List everything that can be done now, and do what is chosen."""
        from airrisk.window.all_commands import ask_for_command

        ask_for_command(self.commands(), self)

    def find_cures(self) -> None:
        """Show causes and plans, and search them."""
        self.turn_to("cures")
        self.pages["cures"].ask()  # type: ignore[attr-defined]

    def try_cheapest(self) -> None:
        """Try the cheapest proven cure in Explore; where none was sought, search."""
        found = self.session.cures
        if found is None or found.plans is None:
            self.status.say(tr("No cure was sought for the file as it is: searching now."))
            self.find_cures()
        elif not found.plans.plans:
            self.status.refuse(tr("No cure plan was found, so there is none to try."))
        else:
            self.try_cure(found.plans.plans[0], None)

    def try_cure(self, plan: PlanRecord, only: int | None) -> None:
        """Try a plan, or one change of it, on the scratch copy of Explore."""
        from airrisk.window.cure_trial import trial_of

        document, installation = self.session.document, self.session.installation
        found = self.session.cures
        if document is None or installation is None or found is None:
            self.status.refuse(tr("The plan is older than the last change: search again."))
            return
        page = self.stack.currentWidget()
        back = "cures" if page is self.pages.get("cures") else "work"
        trial = trial_of(found, installation, document.text, plan, only, back)
        self.turn_to("tryout")
        self.pages["tryout"].try_cure(trial)  # type: ignore[attr-defined]
        self.pages["tryout"].bar.apply.setFocus()  # type: ignore[attr-defined]

    def apply_cure(self, trial: CureTrial) -> None:
        """Make a tried cure one edit, its values offered, and show the answer to it."""
        from airrisk.window.cure_trial import apply_changes

        if not trial.fits(self.session.document) or not self.session.is_current:
            self.status.refuse(tr("Wait until the answer belongs to the last change."))
            return
        label = tr("apply a cure plan") if trial.is_whole else tr("apply a change of a cure plan")
        told = apply_changes(self.edits, label, trial.changes, trial.answer, self.session.units)
        if told:
            self.pages["tryout"].end_cure()  # type: ignore[attr-defined]
            self.turn_to("work")
            self.status.say(told)

    def decide(self, finding: object = None) -> None:
        """Ask what is decided about a finding; without one the form offers all."""
        from airrisk.window.facts.decisions import ask_for_decision

        about = finding if isinstance(finding, Finding) else None
        told = ask_for_decision(self.session, self, about)
        if told:
            self.status.refuse(told)

    def go_to_doubt(self, run: object) -> None:
        """Show how sure the verdict of a fire on a section is."""
        self.show_view("doubt")
        self.pages["doubt"].ask_about(run)  # type: ignore[attr-defined]

    def go_to_map(self) -> None:
        """Show where a fire may stand; a source that is chosen is the one."""
        self.show_view("reach")
        self.pages["reach"].show_map(self.session.chosen)  # type: ignore[attr-defined]

    def go_to_finding(self, finding: object) -> None:
        """Choose the part that a finding or an error is about; a second time, open its source."""
        document = self.session.document
        if isinstance(finding, Problem) and document is not None and not is_readable(document.text):
            self.show_view("text")
            return
        self.show_view("work")
        if isinstance(finding, Problem):
            self.session.choose(finding.part.rpartition(" ")[2] or None)
            self.work.facts.tabs.setCurrentIndex(0)
            self.work.facts.form.focus_field(finding.field.split(".")[0])
            return
        place = (finding, self.session.chosen, self.work.facts.tabs.currentIndex())
        if isinstance(finding, Finding) and place == (self._went_to, finding.part or None, 2):
            self.work.facts.show_source(finding)
            return
        self._went_to = finding
        self.session.choose(getattr(finding, "part", None) or None)
        self.work.facts.tabs.setCurrentIndex(2)

    def go_to_source(self, finding: object) -> None:
        """Show a finding with the source of its rule."""
        if isinstance(finding, Finding):
            self._went_to = None
            self.go_to_finding(finding)
            self.work.facts.show_source(finding)

    def go_to_part(self, name: object) -> None:
        """Show a part in the working view."""
        if isinstance(name, str) and name:
            self.show_view("work")
            self.session.choose(name)

    def go_to_field(self, where: object) -> None:
        """Show a part's field in the working view and put the keyboard there."""
        if not isinstance(where, tuple):
            return
        name, field = where
        self.show_view("work")
        self.session.choose(name or None)
        self.work.facts.tabs.setCurrentIndex(0)
        self.work.facts.form.focus_field(field)

    def go_to_offered(self, name: str) -> None:
        """Show the first value of a part that the program filled in, to be confirmed."""
        document = self.session.document
        kind = None if document is None else kind_in_text(document.text, name)
        if document is not None and kind is not None:
            offered = offered_keys(document.text, kind, name)
            self.go_to_field((name, offered[0] if offered else "id"))

    def show_source(self, finding: object) -> None:
        """Show where a rule comes from and the numbers it used."""
        if isinstance(finding, Finding):
            self.work.facts.show_source(finding)

    def go_to_findings(self) -> None:
        """Put the keyboard into the list of findings."""
        self.show_view("work")
        cards = self.work.strip.findings.cards
        if cards:
            cards[0].setFocus()

    # -- state -------------------------------------------------------------------

    def _refresh(self) -> None:
        document = self.session.document
        if document is None:
            self.setWindowTitle("airrisk")
            self.setWindowModified(False)
        else:
            name = visible_line(document.path.name) if document.path else tr("new file")
            viewing = ""
            if document.read_only:
                viewing = tr(" (viewing only)")
            elif document.review_only:
                viewing = tr(" (review: remarks, inspections, actions only)")
            self.setWindowTitle(f"{name}{viewing}[*] - airrisk")
            self.setWindowModified(not document.is_clean)
            if document.journal_error:
                self.status.say(
                    tr("No recovery copy: {reason}").format(reason=document.journal_error)
                )
        self.menus.refresh()

    def set_theme(self, choice: str) -> None:
        """Use the light or dark look, or the desktop's own."""
        settings().setValue("theme", choice)
        self._dress(system_prefers_dark() if choice == "system" else choice == "dark")

    def set_text_size(self, percent: int) -> None:
        """Write everything in this size, in per cent of the usual one."""
        settings().setValue("text size", percent)
        set_text_size(percent)
        self._dress(self.is_dark)
        self.work.divide_for_text()

    def _dress(self, dark: bool) -> None:
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        apply_theme(application, dark)
        self.work.plan.retheme()
        self.session.units_changed.emit()
        self.work.strip.sections.update()

    def _restore(self) -> None:
        geometry = stored_state("geometry")
        if geometry is None or not self.restoreGeometry(geometry):
            self.resize(self.screen().availableSize() * SHARE)
        self._stay_on_screen()
        for name, splitter in (("split", self.work.split), ("middle", self.work.middle)):
            state = stored_state(name)
            if state is not None and splitter.restoreState(state):
                self.work.arranged = True
        self.session.set_unit_set(stored_word("units", UNIT_SETS, METRIC))

    def _stay_on_screen(self) -> None:
        """No larger than the screen, and on it: the one of last time may have been larger."""
        if self.isMaximized() or self.isFullScreen():
            return
        room = self.screen().availableGeometry()
        self.resize(self.size().boundedTo(room.size()))
        if not room.contains(self.geometry()):
            place = self.geometry()
            place.moveLeft(max(min(place.left(), room.right() - place.width()), room.left()))
            place.moveTop(max(min(place.top(), room.bottom() - place.height()), room.top()))
            self.move(place.topLeft())

    def _store(self) -> None:
        stored = settings()
        stored.setValue("geometry", self.saveGeometry())
        stored.setValue("split", self.work.split.saveState())
        stored.setValue("middle", self.work.middle.saveState())
        stored.setValue("units", self.session.units.name)
        stored.sync()

    # -- events ------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        urls = event.mimeData().urls()
        if len(urls) == 1 and urls[0].toLocalFile().casefold().endswith(".toml"):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        self.files.open_name(event.mimeData().urls()[0].toLocalFile())
        event.acceptProposedAction()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow():
            QTimer.singleShot(0, self.disk.look)

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.files.may_close():
            event.ignore()
            return
        self._store()
        self.work.plan.scene.blockSignals(True)  # its items go after the view
        self.session.close()
        event.accept()

    @property
    def is_dark(self) -> bool:
        """Whether the dark look is in use."""
        return colours().dark
