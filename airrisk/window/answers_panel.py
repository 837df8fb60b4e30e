"""Below the plan: the matrix of verdicts, the chosen fire in words, rulers and charts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from airrisk.installation.model import FIRE_CLASSES
from airrisk.study.verdicts import record_rank
from airrisk.window.charts.fire_times import fire_time_ruler
from airrisk.window.charts.ruler import OrderRuler
from airrisk.window.charts.view import ChartView
from airrisk.window.matrix import ROWS, VerdictMatrix
from airrisk.window.offered_notice import OfferedNotice
from airrisk.window.theme import scaled
from airrisk.window.tones import set_tone, verdict_tone
from airrisk.wording import charts as descriptions
from airrisk.wording import labels
from airrisk.wording.matrix import fire_of
from airrisk.wording.offered_values import offered_devices
from airrisk.wording.sentences import (
    chosen_strength_basis,
    fire_sentence,
    fire_title,
    fire_verdict,
    screening_sentence,
    short_fire_sentence,
    uncredited_plugs,
    why_without_fire,
)
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.records import FireRecord, PartRecord, VerdictRecord
    from airrisk.window.session import Session
    from airrisk.wording.chart_kinds import BarChart, Chart

ORDER, HEATING, TEMPERATURES, PRESSURE, STRENGTH, CREEP, ENERGY, VERDICTS = range(8)
TALL = 560  # px of height from which the rulers stand above the chart
LOW = 250  # px, least height of the panel
READABLE = 430  # px, height below the matrix from which it stands above every page
MATRIX_SHARE = 0.3  # of the height of plan and panel that the matrix may claim
MOST_ROWS = 6  # of the matrix above a page; more of them scroll
UNBOUNDED = 16777215  # px, of Qt: no most
CHART = 240  # px, least height of a chart with its title and read-out


def listed_fire(fire: FireRecord) -> str:
    """A fire as it is listed: the shape of its verdict, its name, the verdict in words."""
    shape = labels.answer_shape(fire.worst_outcome, fire.safe)
    return f"{shape} {fire_title(fire)}: {labels.answer(fire.worst_outcome, fire.safe)}"


def _same_fire(one: FireRecord, other: FireRecord) -> bool:
    return (one.id, one.section, one.closed_valves) == (
        other.id,
        other.section,
        other.closed_valves,
    )


def _running_text() -> QLabel:
    """A text of several lines that takes what width there is."""
    label = QLabel()
    label.setWordWrap(True)
    label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
    return label


class AnswersPanel(QWidget):
    """Matrix, sentence, rulers and one chart at a time."""

    message = Signal(str)
    doubt_asked = Signal(object)  # (fire, section)
    confirm_asked = Signal(str)  # part with offered values

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._fires: list[FireRecord] = []
        self._led_away = False  # from the matrix as a page, for want of rows and not by anybody
        self.title = QLabel()
        self.title.setProperty("tone", "title")
        self.matrix = VerdictMatrix()
        self.matrix.verdict_chosen.connect(self._verdict_chosen)
        self.offered = OfferedNotice()
        self.offered.part_asked.connect(self.confirm_asked)
        self.ruler = OrderRuler()
        self.ruler.setAccessibleName(tr("Order of events against temperature"))
        self.times = OrderRuler()
        self.times.setAccessibleName(tr("Order of events against time"))
        self.sentence = _running_text()
        self.sentence.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.verdict = _running_text()
        self.fire_box = QComboBox()
        self.fire_box.setAccessibleName(tr("Fire"))
        self.fire_box.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.fire_box.setToolTip(tr("The fire whose sentence and charts are shown"))
        self.fire_box.activated.connect(self._refresh_fire)
        self.doubt_button = QToolButton()
        self.doubt_button.setText(tr("Uncertainty"))
        self.doubt_button.setToolTip(tr("Does the verdict hold if the inputs are not as stated?"))
        self.doubt_button.clicked.connect(self._ask_doubt)
        self.chart = ChartView()
        self.chart.message.connect(self.message)
        self.tabs = self._make_tabs()
        self.order = QWidget()
        self._lay_out()
        self.setMinimumHeight(LOW)
        session.answer_changed.connect(self.refresh)
        session.chosen_changed.connect(self.refresh)
        session.units_changed.connect(self.refresh)

    def _lay_out(self) -> None:
        order = QVBoxLayout(self.order)
        order.setContentsMargins(0, 0, 0, 0)
        order.setSpacing(4)
        order.addWidget(self.ruler)
        order.addWidget(self.times)
        order.addStretch(1)
        head = QHBoxLayout()
        head.setContentsMargins(8, 4, 8, 0)
        head.addWidget(self.title)
        head.addWidget(self.fire_box, 1)
        head.addWidget(self.doubt_button)
        body = QVBoxLayout()
        body.setContentsMargins(8, 0, 8, 0)
        body.addWidget(self.verdict)
        body.addWidget(self.offered)
        body.addWidget(self.sentence)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        self._column.addWidget(self.tabs)
        self._column.addWidget(self.matrix, 50)
        self._column.addLayout(head)
        self._column.addLayout(body)
        self._column.addWidget(self.order, 1)
        self._column.addWidget(self.chart, 100)

    def _make_tabs(self) -> QWidget:
        self._group = QButtonGroup(self)
        holder = QWidget()
        tabs = QHBoxLayout(holder)
        tabs.setContentsMargins(0, 0, 0, 0)
        tabs.setSpacing(0)
        names = {
            VERDICTS: tr("Verdicts"), ORDER: tr("First"), HEATING: tr("Heating"),
            TEMPERATURES: tr("Temperature"), PRESSURE: tr("Pressure"),
            STRENGTH: tr("Load"), CREEP: tr("Creep"), ENERGY: tr("Energy"),
        }  # fmt: skip
        for number, name in names.items():
            button = QPushButton(name)
            button.setCheckable(True)
            button.setProperty("view", True)
            button.setProperty("narrow", True)
            button.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)
            self._group.addButton(button, number)
            tabs.addWidget(button)
        self._group.button(ORDER).setToolTip(tr("What happens first"))
        tabs.addStretch(1)
        self._group.button(VERDICTS).setChecked(True)
        self._group.idClicked.connect(self.show_chart)
        return holder

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def event(self, event: QEvent) -> bool:
        done = super().event(event)
        if event.type() == QEvent.Type.LayoutRequest:  # a ruler has got more rows
            self._claim_height()
        return done

    def _arrange(self) -> None:
        """With enough height matrix and rulers stand above the chart, else each is a page."""
        table = self.matrix.height_of(MOST_ROWS)
        above = self.height() >= table + scaled(READABLE)
        tall = self.height() - (table if above else 0) >= scaled(TALL)
        self._group.button(VERDICTS).setVisible(not above)
        self._group.button(ORDER).setVisible(not tall)
        if self._led_away and not above:
            self._led_away = False
            self._group.button(VERDICTS).setChecked(True)
            self._refresh_chart()
        if above and self._group.checkedId() == VERDICTS:
            self._led_away = True
            self._group.button(HEATING if tall else ORDER).setChecked(True)
            self._refresh_chart()
        if tall and self._group.checkedId() == ORDER:
            self._group.button(HEATING).setChecked(True)
            self._refresh_chart()
        self._place_tabs(above)
        page = self._group.checkedId()
        self.matrix.setVisible(above or page == VERDICTS)
        # in a low window it leaves the words below their room, and scrolls
        holder = self.parentWidget()
        most = round(MATRIX_SHARE * (self.height() if holder is None else holder.height()))
        self.matrix.setMinimumHeight(min(self.matrix.height_of(ROWS), most))
        self.matrix.setMaximumHeight(table if above else UNBOUNDED)
        self.order.setVisible(tall or page == ORDER)
        self.chart.setVisible(page not in (ORDER, VERDICTS))
        self._claim_height()

    def _place_tabs(self, above: bool) -> None:
        """Over all that they change: below the matrix only where it stays."""
        wanted = self._column.indexOf(self.order) - 1 if above else 0
        if self._column.indexOf(self.tabs) != wanted:
            self._column.removeWidget(self.tabs)
            place = self._column.indexOf(self.order) if above else 0
            self._column.insertWidget(place, self.tabs)

    def _claim_height(self) -> None:
        """Room for the page that is shown, or for a chart that can be read; the plan gives it."""
        if not self.isVisible():
            return  # without its width the wrapped texts would ask for too much
        layout = self.layout()
        assert layout is not None
        need = layout.totalMinimumHeightForWidth(self.width())
        if not self.chart.isHidden():
            need += max(scaled(CHART) - self.chart.minimumSizeHint().height(), 0)
        holder = self.parentWidget()
        room = scaled(TALL) if holder is None else holder.height()
        need = max(LOW, min(need, scaled(TALL - 40), round(0.86 * room)))
        if need != self.minimumHeight():
            self.setMinimumHeight(need)

    # -- what is shown -----------------------------------------------------------

    def show_chart(self, number: int) -> None:
        """Show one of the charts, for example ``HEATING``."""
        self._led_away = False
        self._group.button(number).setChecked(True)
        self._refresh_chart()

    def part(self) -> PartRecord | None:
        """The vessel or line whose answers are shown; the first vessel when none is chosen."""
        records = self._session.part_records
        holder = self._session.chosen_holder
        if holder in records:
            return records[holder]
        reached = getattr(self._session.record(), "reaches", ())  # a fire is chosen
        wanted = [records[name] for name in reached if name in records]
        vessels = [record for record in records.values() if record.kind == "vessel"]
        return next(iter([*wanted, *vessels, *records.values()]), None)

    def fire(self) -> FireRecord | None:
        """The fire chosen in the list."""
        index = self.fire_box.currentIndex()
        return self._fires[index] if 0 <= index < len(self._fires) else None

    def refresh(self) -> None:
        """Show the newest answers of the chosen part."""
        record = self.part()
        units = self._session.units
        old = not self._session.parts_current
        self.title.setText("" if record is None else record.id)
        self.ruler.setEnabled(not old)
        if record is None:
            self.ruler.show_ruler(None, units)
        else:
            self.ruler.show_ruler(descriptions.order_ruler(record, units), units)
        self.matrix.show_verdicts(self._session.assessment, not self._session.is_current)
        self._list_fires(record)
        self._refresh_fire()

    def _list_fires(self, record: PartRecord | None) -> None:
        assessment = self._session.assessment
        shown = self.fire()
        self._fires = []
        if assessment is not None and record is not None:
            self._fires = [f for f in assessment.fires if record.id in (f.members or f.exposed)]
            self._fires.sort(key=lambda f: FIRE_CLASSES.index(f.fire_class))
        self.fire_box.blockSignals(True)
        self.fire_box.clear()
        for number, fire in enumerate(self._fires):
            self.fire_box.addItem(listed_fire(fire))
            self.fire_box.setItemData(number, listed_fire(fire), Qt.ItemDataRole.ToolTipRole)
        self.fire_box.setCurrentIndex(self._index_of(shown) if self._fires else -1)
        self.fire_box.blockSignals(False)
        self.fire_box.setEnabled(bool(self._fires))
        self.doubt_button.setEnabled(bool(self._fires))

    def _index_of(self, shown: FireRecord | None) -> int:
        """The fire that was shown, or the one just chosen; else the worst."""
        chosen = self._session.chosen
        for number, fire in enumerate(self._fires):
            if shown is not None and shown.id != chosen and _same_fire(fire, shown):
                return number
        for number, fire in enumerate(self._fires):
            if fire.id == chosen:
                return number
        ruling = max(self._fires, key=record_rank)
        return self._fires.index(ruling)

    def show_fire(self, fire: FireRecord) -> None:
        """Show this fire, with a part of its section."""
        if self._session.chosen_holder not in fire.members:
            seen = fire.envelope
            part = "" if seen is None else seen.controlling_part
            self._session.choose(part or next(iter(fire.vessels or fire.members), None))
        for number, listed in enumerate(self._fires):
            if _same_fire(listed, fire):
                self.fire_box.setCurrentIndex(number)
        self._refresh_fire()

    def _verdict_chosen(self, verdict: VerdictRecord) -> None:
        assessment = self._session.assessment
        fire = None if assessment is None else fire_of(assessment, verdict)
        if fire is not None:
            self.show_fire(fire)

    def _ask_doubt(self) -> None:
        fire = self.fire()
        if fire is not None:
            self.doubt_asked.emit((fire.id, fire.section))

    def _refresh_fire(self) -> None:
        record, fire = self.part(), self.fire()
        units, assessment = self._session.units, self._session.assessment
        doubted = () if assessment is None else uncredited_plugs(assessment)
        sentences = []
        if fire is not None:
            told = short_fire_sentence if offered_devices(fire) else fire_sentence
            sentences.append(told(fire, units))
        if record is not None:
            sentences.append(screening_sentence(record, units, doubted))
        self.sentence.setText(" ".join(sentences))
        self.times.setVisible(fire is not None and bool(fire.events))
        if fire is not None:
            self.times.show_ruler(fire_time_ruler(fire), units)
        self.matrix.mark(fire)
        self.offered.show_fire(fire)
        text, tone = self._verdict_text(record, fire)
        self.verdict.setText(text)
        set_tone(self.verdict, tone)
        self._refresh_chart()

    def _verdict_text(self, record: PartRecord | None, fire: FireRecord | None) -> tuple[str, str]:
        """The verdict on the shown fire, and its tone."""
        assessment, old = self._session.assessment, not self._session.is_current
        if fire is None or assessment is None:
            if assessment is not None and record is not None and not old:
                why = why_without_fire(assessment, (record.id,))
                return tr("– not assessed: {why}").format(why=why), "quiet"
            return tr("– not assessed"), "quiet"
        verdict = fire_verdict(fire, chosen_strength_basis(assessment))
        if old:
            text = tr("{text} (older than the last change)").format(text=verdict.text)
            return text, "quiet"
        return verdict.text, verdict_tone(verdict.safe, verdict.sure, verdict.outcome)

    def _refresh_chart(self) -> None:
        self._arrange()
        record, fire, units = self.part(), self.fire(), self._session.units
        which = self._group.checkedId()
        if which in (ORDER, VERDICTS):
            return
        picture: Chart | BarChart | None = None
        if record is not None and which == HEATING:
            picture = descriptions.heating_chart(record, units)
        elif record is not None and which == ENERGY:
            picture = descriptions.energies_chart(record, units)
        elif fire is not None and which == TEMPERATURES:
            parts = (record.id,) if record is not None and self._has_curves(record.id) else None
            picture = descriptions.fire_temperature_chart(fire, units, parts)
        elif fire is not None and which == PRESSURE:
            picture = descriptions.fire_pressure_chart(fire, units)
        elif fire is not None and which == STRENGTH:
            picture = descriptions.fire_strength_chart(fire, units)
        elif fire is not None and which == CREEP:
            picture = descriptions.fire_creep_chart(fire, units)
        if picture is None:
            self.chart.set_empty_text(self._why_empty(which))
        self.chart.setEnabled(self._session.parts_current)
        self.chart.show_picture(picture, units)

    def _has_curves(self, name: str) -> bool:
        fire = self.fire()
        return fire is not None and fire.curves is not None and name in fire.curves.parts

    def _why_empty(self, which: int) -> str:
        if self._session.document is None or self.part() is None:
            return tr("Not assessed: no vessel or line.")
        if which in (HEATING, ENERGY):
            return tr("Not assessed yet.")
        if self._session.assessment is None:
            return tr("The fires are being computed.")
        if which == CREEP and self.fire() is not None:
            return tr("No damage by creep as stated.")
        return tr("No fire reaches this part.")
