"""Where a fire may stand: a pool moved over the plan, and the full answer at one place."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QDoubleSpinBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from airrisk.physics import pool_fires
from airrisk.window.dispatcher import Failed, Progress, Result
from airrisk.window.reach.map_canvas import MapCanvas
from airrisk.window.reach.map_jobs import AskPlace, DrawMap
from airrisk.window.reach.plug_sides_panel import PlugSidesPanel
from airrisk.window.tones import set_tone
from airrisk.window.work_progress import WorkProgress
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.fire_map_texts import (
    cautions,
    map_title,
    place_sentences,
    place_text,
    stage_text,
)
from airrisk.wording.margins import surety_text
from airrisk.wording.sentences import short_fire_sentence
from airrisk.wording.translation import tr
from airrisk.wording.units import displayed, from_displayed, unit_of

if TYPE_CHECKING:
    from airrisk.installation.model import FireSource
    from airrisk.study.fire_map_records import FireMap
    from airrisk.window.session import Session

LANE, PLACE_LANE = "fire map", "fire at a place"
FIRST_DIAMETER = 2.0  # m
LEAST_DIAMETER, MOST_DIAMETER = 0.2, 50.0  # m
LINES = 5  # of text below the map


class FireMapPage(QWidget):
    """What burns above, the map, and below it what one place says."""

    message = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._revision = 0
        self._running = False
        self._picked = False  # whether a person has chosen the fire
        self._drawn_for: tuple[object, ...] = ()  # moment of the text that the map belongs to
        self._asked_place: tuple[int, int] | None = None
        self.answer: FireMap | None = None
        self._build()
        session.document_replaced.connect(self._start_again)
        session.document_changed.connect(self._document_changed)
        session.units_changed.connect(self._units_changed)
        session.dispatcher.arrived.connect(self._arrived)
        session.dispatcher.failed.connect(self._failed)
        session.dispatcher.progressed.connect(self._progressed)

    # -- building ----------------------------------------------------------------

    def _build(self) -> None:
        self.source = QComboBox()
        self.source.setAccessibleName(tr("Fire to move about"))
        self.source.activated.connect(self._source_chosen)
        self.fuel = QComboBox()
        self.fuel.setAccessibleName(tr("Fuel of the pool"))
        for key in pool_fires.fuels():
            self.fuel.addItem(choice_word(key), key)
        self.fuel.setCurrentIndex(self.fuel.findData("diesel"))
        self.diameter = QDoubleSpinBox()
        self.diameter.setAccessibleName(tr("Diameter of the pool"))
        self.diameter.lineEdit().setAccessibleName(self.diameter.accessibleName())
        self.diameter.setDecimals(2)
        self.draw_button = QPushButton(tr("&Draw the map"))
        self.draw_button.setToolTip(tr("Move the fire over the plan and run what it can harm"))
        self.draw_button.clicked.connect(self.draw)
        self.stop_button = QPushButton(tr("&Stop"))
        self.stop_button.setToolTip(tr("Stop; what is drawn stays"))
        self.stop_button.clicked.connect(self.stop)
        self.progress = WorkProgress(tr("Progress of the map"))
        self.state = _wrapped()
        head = QHBoxLayout()
        for text, box in (
            (tr("F&ire"), self.source), (tr("F&uel"), self.fuel), (tr("Diame&ter"), self.diameter),
        ):  # fmt: skip
            label = QLabel(text)
            label.setBuddy(box)
            head.addWidget(label)
            head.addWidget(box)
            if isinstance(box, QComboBox):
                box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        for widget in (self.draw_button, self.stop_button, self.progress):
            head.addWidget(widget)
        head.addWidget(self.state, 1)
        self.canvas = MapCanvas()
        self.canvas.setAccessibleName(tr("Map: arrow keys move, Enter makes all runs"))
        self.canvas.pointed.connect(self._pointed)
        self.canvas.asked.connect(self.ask_place)
        self.told = _wrapped()
        self.told.setAccessibleName(tr("What the place says"))
        self.told.setMinimumHeight(LINES * self.fontMetrics().lineSpacing())
        self.caution = _wrapped()
        self.caution.setProperty("tone", "quiet")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 6, 0, 0)
        layout.addLayout(head)
        layout.addWidget(self.canvas, 1)
        layout.addWidget(self.told)
        layout.addWidget(self.caution)
        self.sides = PlugSidesPanel(self._session, self.wanted)
        self.sides.shown.connect(self._make_room)
        layout.addWidget(self.sides)
        self._layout = layout
        self._show_diameter(FIRST_DIAMETER)
        self._list_sources()
        self._show_running(False)

    def _list_sources(self) -> None:
        """The sources of the file, and a pool that is not in it."""
        installation = self._session.installation or self._session.drawn
        chosen = self.source.currentData()
        self.source.clear()
        for one in () if installation is None else installation.fire_sources:
            self.source.addItem(labels.named(one.kind, [one.id]), one.id)
        self.source.addItem(tr("a pool of"), None)
        self.source.setCurrentIndex(max(self.source.findData(chosen), 0) if self._picked else 0)
        self._show_kind()

    def _make_room(self, for_sides: bool) -> None:
        """The answer about the sides of plugs stands where the map is."""
        for widget in (self.canvas, self.told, self.caution):
            widget.setVisible(not for_sides)
        self._layout.setStretchFactor(self.sides, 1 if for_sides else 0)

    def choose_source(self, name: str | None) -> None:
        """Move this source about, if the file has it."""
        number = -1 if name is None else self.source.findData(name)
        if number >= 0:
            self.source.setCurrentIndex(number)
            self._source_chosen()

    def _source_chosen(self) -> None:
        self._picked = True
        self._show_kind()

    def _show_kind(self) -> None:
        free = self.source.currentData() is None
        self.fuel.setEnabled(free)
        self.diameter.setEnabled(free)
        self.sides.refresh()
        self._say_state()

    def _show_diameter(self, metres: float) -> None:
        units = self._session.units
        low, high, now = displayed([LEAST_DIAMETER, MOST_DIAMETER, metres], "distance", units)
        self.diameter.setRange(float(low), float(high))
        self.diameter.setSuffix(f"\u00a0{unit_of('distance', units)}")
        self.diameter.setValue(float(now))
        self._shown_in = units

    def _metres(self) -> float:
        value = from_displayed(self.diameter.value(), "distance", self._shown_in)
        return min(max(value, LEAST_DIAMETER), MOST_DIAMETER)

    # -- following the document --------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._list_sources()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self.answer is not None:
            self._show_map()

    def _start_again(self) -> None:
        self.stop()
        self._session.dispatcher.cancel(PLACE_LANE)
        self.answer, self._drawn_for, self._asked_place = None, (), None
        self._picked = False
        self.told.setText("")
        self.canvas.show_map(None, None, self._session.units)
        self.caution.setText("")
        self._list_sources()

    def _document_changed(self) -> None:
        if self.isVisible():
            self._list_sources()
        self._say_state()

    def _units_changed(self) -> None:
        self._show_diameter(self._metres())
        if self.answer is not None:
            self._show_map()

    # -- asking ------------------------------------------------------------------

    def wanted(self) -> FireSource | None:
        """The fire that is chosen; None: the file cannot be read, or has it no more."""
        installation = self._session.installation
        if installation is None:
            return None
        name = self.source.currentData()
        if name is not None:
            return next((one for one in installation.fire_sources if one.id == name), None)
        from airrisk.study.fire_map_grid import pool_to_move

        return pool_to_move(str(self.fuel.currentData()), self._metres())

    def draw(self) -> None:
        """Start the map of the present text."""
        self.sides.hide_answer()
        installation, source = self._session.installation, self.wanted()
        if installation is None or source is None:
            self._say_state()
            return
        self._revision += 1
        self._drawn_for = self._session.moment
        self._session.dispatcher.cancel(PLACE_LANE)
        self.answer, self._asked_place = None, None
        self.told.setText("")
        self._show_running(True)
        self._session.dispatcher.request(
            LANE, self._revision, DrawMap(installation, source), urgency=7
        )
        self._say_state()

    def stop(self) -> None:
        """End a map that is being drawn; what is there stays."""
        if self._running:
            self._session.dispatcher.cancel(LANE)
            self._show_running(False)
            self._say_state(tr("Stopped: what is drawn stays, it is not the whole map."))

    def ask_place(self, place: tuple[int, int]) -> None:
        """Make every run for the fire at one position."""
        seen, installation = self.answer, self._session.installation
        if seen is None or installation is None or not self.is_current:
            self._pointed(place)
            return
        self._asked_place = place
        row, column = place
        at = (float(seen.x_m[column]), float(seen.y_m[row]))
        where = place_text(seen, row, column, self._session.units)
        source = replace(seen.source, at=at, id=seen.source.id or where)
        self._revision += 1
        self.told.setText(tr("{place}: all runs are being made…").format(place=where))
        self._session.dispatcher.request(
            PLACE_LANE, self._revision, AskPlace(installation, source), urgency=4
        )

    @property
    def is_current(self) -> bool:
        """Whether the map belongs to the present text."""
        return self.answer is not None and self._drawn_for == self._session.moment

    @property
    def is_running(self) -> bool:
        """Whether a map is being drawn."""
        return self._running

    def _show_running(self, running: bool) -> None:
        self._running = running
        self.progress.begin()
        self.progress.setVisible(running)
        self.stop_button.setVisible(running)
        self.draw_button.setVisible(not running)

    # -- answers -----------------------------------------------------------------

    def _arrived(self, result: Result) -> None:
        if result.lane == LANE:
            self.answer = result.value
            if not result.part:
                self._show_running(False)
            self._show_map()
            self._say_state()
        elif result.lane == PLACE_LANE and self.answer is not None:
            self._tell_full(result.value)

    def _failed(self, failure: Failed) -> None:
        if failure.lane == LANE:
            self._show_running(False)
            self._say_state(tr("No map: {reason}").format(reason=tr(failure.message)), "danger")
        elif failure.lane == PLACE_LANE:
            self.told.setText(tr("Not assessed: {reason}").format(reason=tr(failure.message)))

    def _progressed(self, progress: Progress) -> None:
        if progress.lane == LANE and self._running:
            self.progress.tell(progress.share)
            if progress.text:
                self._say_state(f"{stage_text(progress.text)}…")

    def _show_map(self) -> None:
        installation = self._session.installation or self._session.drawn
        self.canvas.show_map(self.answer, installation, self._session.units)
        if self.answer is not None:
            self.caution.setText(" ".join(cautions(self.answer, self._session.units)))
            if self.canvas.cursor_at is not None and self._asked_place is None:
                self._pointed(self.canvas.cursor_at)

    def _pointed(self, place: tuple[int, int] | None) -> None:
        """Tell of a position; a full answer stays until another place is pointed at by key."""
        seen = self.answer
        if seen is None or place is None or self._asked_place is not None:
            if seen is None or place is None or place == self._asked_place:
                return
            self._asked_place = None
        row, column = place
        units = self._session.units
        told = " ".join(place_sentences(seen, row, column, units))
        text = f"{place_text(seen, row, column, units)}: {told}"
        self.told.setText(text)
        self.canvas.setAccessibleDescription(text)

    def _tell_full(self, records: tuple[Any, ...]) -> None:
        seen, place, units = self.answer, self._asked_place, self._session.units
        if seen is None or place is None:
            return
        if not records:
            nothing = tr("Nothing is struck from here.")
            self.told.setText(f"{place_text(seen, *place, units)}: {nothing}")
            return
        worst, *rest = records
        told = [short_fire_sentence(worst, units)]
        if worst.safe:
            told.append(f"{labels.sentence(surety_text(worst))}.")
        safe = sum(1 for one in rest if one.safe)
        if rest:
            told.append(
                tr("Further sections struck: {count}; of these survive: {safe}.").format(
                    count=len(rest), safe=safe
                )
            )
        text = " ".join([tr("All runs are made."), *told])
        self.told.setText(text)
        self.canvas.setAccessibleDescription(text)

    def _say_state(self, text: str = "", tone: str = "quiet") -> None:
        self.draw_button.setEnabled(self.wanted() is not None)
        if not text:
            if self._session.installation is None:
                text = tr("No map while the file has mistakes or no part that holds air.")
            elif self._running:
                text = tr("Drawing…")
            elif self.answer is None:
                text = tr("Not drawn yet: where may this fire stand?")
            elif not self.is_current:
                text = tr("The map is older than the last change: draw it again.")
                tone = "warning"
            else:
                text = map_title(self.answer, self._session.units)
        self.canvas.setEnabled(self.answer is None or self.is_current or self._running)
        self.state.setText(text)
        set_tone(self.state, tone)


def _wrapped() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
    return label
