"""Below the plan: the order ruler, one sentence, and the charts of the chosen part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QEvent, Qt, Signal
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

from airrisk.window.charts.fire_times import fire_time_ruler
from airrisk.window.charts.ruler import OrderRuler
from airrisk.window.charts.view import ChartView
from airrisk.window.theme import scaled
from airrisk.wording import charts as descriptions
from airrisk.wording import labels
from airrisk.wording.sentences import (
    chosen_strength_basis,
    fire_sentence,
    fire_verdict,
    screening_sentence,
    why_without_fire,
)

if TYPE_CHECKING:
    from airrisk.study.records import FireRecord, PartRecord
    from airrisk.window.session import Session
    from airrisk.wording.chart_kinds import BarChart, Chart

ORDER, HEATING, TEMPERATURES, PRESSURE, STRENGTH, ENERGY = range(6)
TALL = 560  # px of height from which the rulers stand above the chart
LOW = 250  # px, least height of the panel
CHART = 240  # px, least height of a chart with its title and read-out


def _tr(text: str) -> str:
    return QCoreApplication.translate("Answers", text)


def fire_title(fire: FireRecord) -> str:
    """A fire as it is listed: id, case, start, verdict."""
    name = fire.id
    if fire.default_case is not None:
        name = _tr("{id}: {case}").format(id=fire.id, case=labels.default_case(fire.default_case))
    if fire.start == "highest":
        name += ", " + labels.start_state(fire.start)
    answer = labels.answer(fire.outcome, fire.safe)
    if answer != labels.outcome(fire.outcome):  # the word alone would sound safe
        name += f": {answer}"
    return f"{labels.answer_shape(fire.outcome, fire.safe)} {name}"


class AnswersPanel(QWidget):
    """Ruler, sentence and one chart at a time."""

    message = Signal(str)
    doubt_asked = Signal(object)  # (fire, section)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._fires: list[FireRecord] = []
        self.title = QLabel()
        self.title.setProperty("tone", "title")
        self.ruler = OrderRuler()
        self.ruler.setAccessibleName(_tr("Order of events against temperature"))
        self.times = OrderRuler()
        self.times.setAccessibleName(_tr("Order of events against time"))
        self.sentence = QLabel()
        self.sentence.setWordWrap(True)
        self.sentence.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.sentence.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.verdict = QLabel()
        self.verdict.setWordWrap(True)
        self.verdict.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.fire_box = QComboBox()
        self.fire_box.setAccessibleName(_tr("Fire"))
        self.fire_box.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.fire_box.setToolTip(_tr("The fire whose sentence and charts are shown"))
        self.fire_box.activated.connect(self._refresh_fire)
        self.doubt_button = QToolButton()
        self.doubt_button.setText(_tr("How sure?"))
        self.doubt_button.setToolTip(_tr("Does the verdict hold if the inputs are not as stated?"))
        self.doubt_button.clicked.connect(self._ask_doubt)
        self.chart = ChartView()
        self.chart.message.connect(self.message)
        self._group = QButtonGroup(self)
        tabs = QHBoxLayout()
        tabs.setSpacing(0)
        names = (
            _tr("Order"), _tr("Heating"), _tr("Temperatures"), _tr("Pressure"),
            _tr("Strength use"), _tr("Energy"),
        )  # fmt: skip
        for number, name in enumerate(names):
            button = QPushButton(name)
            button.setCheckable(True)
            button.setProperty("view", True)
            button.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)
            self._group.addButton(button, number)
            tabs.addWidget(button)
        tabs.addStretch(1)
        self._group.button(ORDER).setChecked(True)
        self._group.idClicked.connect(self._refresh_chart)
        self.order = QWidget()
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
        body.addWidget(self.sentence)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addLayout(head)
        layout.addLayout(body)
        layout.addLayout(tabs)
        layout.addWidget(self.order, 1)
        layout.addWidget(self.chart, 100)
        self.setMinimumHeight(LOW)
        session.answer_changed.connect(self.refresh)
        session.chosen_changed.connect(self.refresh)
        session.units_changed.connect(self.refresh)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def event(self, event: QEvent) -> bool:
        done = super().event(event)
        if event.type() == QEvent.Type.LayoutRequest:  # a ruler has got more rows
            self._claim_height()
        return done

    def _arrange(self) -> None:
        """With enough height the rulers stand above the chart, else they are a page of it."""
        tall = self.height() >= scaled(TALL)
        self._group.button(ORDER).setVisible(not tall)
        if tall and self._group.checkedId() == ORDER:
            self._group.button(HEATING).setChecked(True)
            self._refresh_chart()
        is_order = self._group.checkedId() == ORDER
        self.order.setVisible(tall or is_order)
        self.chart.setVisible(not is_order)
        self._claim_height()

    def _claim_height(self) -> None:
        """Room for all rows of the rulers, or for a chart that can be read; the plan gives it."""
        if not self.isVisible():
            return  # without its width the wrapped texts would ask for too much
        layout = self.layout()
        assert layout is not None
        need = layout.totalMinimumHeightForWidth(self.width())
        if not self.chart.isHidden():
            need += max(scaled(CHART) - self.chart.minimumSizeHint().height(), 0)
        holder = self.parentWidget()
        room = scaled(TALL) if holder is None else holder.height()
        need = max(LOW, min(need, scaled(TALL - 40), round(0.78 * room)))
        if need != self.minimumHeight():
            self.setMinimumHeight(need)

    # -- what is shown -----------------------------------------------------------

    def show_chart(self, number: int) -> None:
        """Show one of the charts, for example ``HEATING``."""
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
        self._list_fires(record)
        self._refresh_fire()

    def _list_fires(self, record: PartRecord | None) -> None:
        assessment = self._session.assessment
        shown = self.fire()
        kept = None if shown is None else (shown.id, shown.section, shown.start)
        self._fires = []
        if assessment is not None and record is not None:
            self._fires = [f for f in assessment.fires if record.id in (f.members or f.exposed)]
            self._fires.sort(
                key=lambda f: (f.default_case is not None, f.default_case or "", f.safe)
            )
        self.fire_box.blockSignals(True)
        self.fire_box.clear()
        for number, fire in enumerate(self._fires):
            self.fire_box.addItem(fire_title(fire))
            self.fire_box.setItemData(number, fire_title(fire), Qt.ItemDataRole.ToolTipRole)
            if kept == (fire.id, fire.section, fire.start):
                self.fire_box.setCurrentIndex(number)
        chosen = self._session.chosen
        if kept is None or kept[0] != chosen:
            for number, fire in enumerate(self._fires):
                if fire.id == chosen:
                    self.fire_box.setCurrentIndex(number)
                    break
        self.fire_box.blockSignals(False)
        self.fire_box.setEnabled(bool(self._fires))
        self.doubt_button.setEnabled(bool(self._fires))

    def _ask_doubt(self) -> None:
        fire = self.fire()
        if fire is not None:
            self.doubt_asked.emit((fire.id, fire.section))

    def _refresh_fire(self) -> None:
        record, fire = self.part(), self.fire()
        assessment = self._session.assessment
        old = not self._session.is_current
        sentences = []
        if record is not None:
            sentences.append(screening_sentence(record, self._session.units))
        if fire is not None:
            sentences.append(fire_sentence(fire, self._session.units))
        self.sentence.setText(" ".join(sentences))
        self.times.setVisible(fire is not None and bool(fire.events))
        if fire is not None:
            self.times.show_ruler(fire_time_ruler(fire), self._session.units)
        if fire is None or assessment is None:
            text, tone = _tr("– not assessed"), "quiet"
            if assessment is not None and record is not None and not old:
                why = why_without_fire(assessment, (record.id,))
                text = _tr("– not assessed: {why}").format(why=why)
        else:
            verdict = fire_verdict(fire, chosen_strength_basis(assessment))
            text, tone = verdict.text, "sound" if verdict.safe else "danger"
            if old:
                text, tone = _tr("{text} (older than the last change)").format(text=text), "quiet"
        self.verdict.setText(text)
        if self.verdict.property("tone") != tone:
            self.verdict.setProperty("tone", tone)
            self.verdict.style().unpolish(self.verdict)
            self.verdict.style().polish(self.verdict)
        self._refresh_chart()

    def _refresh_chart(self) -> None:
        self._arrange()
        record, fire, units = self.part(), self.fire(), self._session.units
        which = self._group.checkedId()
        if which == ORDER:
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
        if picture is None:
            self.chart.set_empty_text(self._why_empty(which))
        self.chart.setEnabled(self._session.parts_current)
        self.chart.show_picture(picture, units)

    def _has_curves(self, name: str) -> bool:
        fire = self.fire()
        return fire is not None and fire.curves is not None and name in fire.curves.parts

    def _why_empty(self, which: int) -> str:
        if self._session.document is None or self.part() is None:
            return _tr("Not assessed: no vessel or line.")
        if which in (HEATING, ENERGY):
            return _tr("Not assessed yet.")
        if self._session.assessment is None:
            return _tr("The fires are being computed.")
        return _tr("No fire reaches this part.")
