"""What came out of the tried values: order of events, verdict, sentence, one chart at a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from airrisk.window.charts.fire_times import fire_time_ruler
from airrisk.window.charts.ruler import OrderRuler
from airrisk.window.charts.view import ChartView
from airrisk.window.offered_notice import OfferedNotice
from airrisk.window.tones import set_tone, verdict_tone
from airrisk.wording import charts as descriptions
from airrisk.wording.chart_kinds import Ghost
from airrisk.wording.cures import bore_sentences
from airrisk.wording.design_pressure import above_design_sentence
from airrisk.wording.energy_charts import energy_sentence, stored_energy_chart
from airrisk.wording.sentences import fire_verdict, screening_sentence, short_fire_sentence
from airrisk.wording.translation import tr
from airrisk.wording.units import Units

if TYPE_CHECKING:
    from airrisk.study.records import FireRecord
    from airrisk.window.tryout.live import TryOutAnswer
    from airrisk.wording.chart_kinds import Chart

ORDER, HEATING, STRENGTH, CREEP, PRESSURE, TEMPERATURES, ENERGY, RUPTURES = range(8)
SIDE = 6  # px between the knobs and the texts
CHART_LINES = 19  # least height of a chart with its title, legend and caption, in lines of text


@dataclass(frozen=True)
class Tried:
    """An answer with what is needed to show it.

    ``before``: the file's own, behind it; ``pinned``: letters and answers of pinned cases.
    """

    answer: TryOutAnswer
    before: TryOutAnswer | None
    part: str
    basis: str  # of strength, as chosen in the file
    pinned: tuple[tuple[str, TryOutAnswer], ...] = ()


class _Contents(QWidget):
    """Asks a scroll area for the least height that its texts and its chart can be read at."""

    def __init__(self, need: Callable[[int], int]) -> None:
        super().__init__()
        self._need = need

    def heightForWidth(self, width: int) -> int:
        return self._need(width)


class AnswerSide(QScrollArea):
    """The right side of the Try-out; it scrolls before its chart gets too low to read."""

    message = Signal(str)
    confirm_asked = Signal(str)  # part with offered values

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tried: Tried | None = None
        self._units = Units()
        self._above = True  # the rulers stand above the texts, else on a page of their own
        self.ruler = OrderRuler()
        self.ruler.setAccessibleName(tr("Order of events against temperature"))
        self.times = OrderRuler()
        self.times.setAccessibleName(tr("Order of events against time"))
        self.verdict = QLabel()
        self.sentence = QLabel()
        self.bores = QLabel()
        self.bores.setAccessibleName(tr("Smallest bore"))
        self.energy = QLabel()
        self.energy.setAccessibleName(tr("Stored energy"))
        self.offered = OfferedNotice()
        self.offered.part_asked.connect(self.confirm_asked)
        for label in (self.verdict, self.bores, self.sentence, self.energy):
            label.setWordWrap(True)
            label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.chart = ChartView()
        self.chart.message.connect(self.message)
        self._order = QWidget()
        order = QVBoxLayout(self._order)
        order.setContentsMargins(0, 0, 0, 0)
        order.setSpacing(2)
        order.addWidget(self.ruler)
        order.addWidget(self.times)
        order.addStretch(1)
        self._contents = _Contents(self._need)
        self._column = QVBoxLayout(self._contents)
        self._column.setContentsMargins(SIDE, 0, 0, 0)
        self._column.setSpacing(2)
        for widget in (
            self._order, self.verdict, self.offered, self.bores, self.sentence, self.energy,
        ):  # fmt: skip
            self._column.addWidget(widget)
        self._column.addLayout(self._tabs())
        self._column.addWidget(self.chart, 1)
        self.setWidget(self._contents)
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def _tabs(self) -> QHBoxLayout:
        self._group = QButtonGroup(self)
        tabs = QHBoxLayout()
        tabs.setSpacing(0)
        names = (
            tr("First"), tr("Heating"), tr("Strength use"), tr("Creep"),
            tr("Pressure"), tr("Temperatures"), tr("Energy"), tr("Rupture"),
        )  # fmt: skip
        for number, name in enumerate(names):
            button = QPushButton(name)
            button.setCheckable(True)
            button.setProperty("view", True)
            self._group.addButton(button, number)
            tabs.addWidget(button)
        tabs.addStretch(1)
        self._group.button(ORDER).setToolTip(tr("What happens first"))
        self._group.button(ENERGY).setToolTip(tr("Stored energy by every measure"))
        self._group.button(RUPTURES).setToolTip(tr("Rupture temperature against pressure"))
        self._group.button(STRENGTH).setChecked(True)
        self._group.idClicked.connect(self._show_chart)
        return tabs

    # -- room --------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _least_chart(self) -> int:
        return CHART_LINES * self.fontMetrics().lineSpacing()

    def _rulers(self) -> int:
        both = (self.ruler, self.times)
        return sum(one.sizeHint().height() + 2 for one in both if not one.isHidden())

    def _texts(self, width: int) -> int:
        told = (self.verdict, self.offered, self.bores, self.sentence, self.energy)
        texts = sum(
            max(one.heightForWidth(width - SIDE), 0) + 2 for one in told if not one.isHidden()
        )
        return texts + self._group.button(STRENGTH).sizeHint().height() + 2

    def _need(self, width: int) -> int:
        """Height that everything shown takes at this width."""
        below = self._rulers() if self._group.checkedId() == ORDER else self._least_chart()
        return self._texts(width) + below + (self._rulers() if self._above else 0)

    def _arrange(self) -> None:
        """The rulers stand above where a chart below them can still be read, else on a page."""
        fire = None if self._tried is None else self._tried.answer.fire
        self.times.setVisible(fire is not None and bool(fire.events))
        need = self._rulers() + self._texts(self.viewport().width()) + self._least_chart()
        above = self.height() >= need
        if above != self._above:
            self._above = above
            self._column.removeWidget(self._order)
            self._column.insertWidget(
                0 if above else self._column.count() - 1, self._order, 0 if above else 1
            )
        self._group.button(ORDER).setVisible(not above)
        if above and self._group.checkedId() == ORDER:
            self._group.button(STRENGTH).setChecked(True)
            self._draw()
        is_order = self._group.checkedId() == ORDER
        self._order.setVisible(above or is_order)
        self.chart.setVisible(not is_order)
        self.chart.setMinimumHeight(self._least_chart())

    # -- what is shown -----------------------------------------------------------

    def show_chart(self, number: int) -> None:
        """Show one of the pages, for example ``STRENGTH``."""
        self._group.button(number).setChecked(True)
        self._show_chart()

    def show_answer(self, tried: Tried | None, units: Units) -> None:
        """Show this answer; None says that there is none yet."""
        self._tried, self._units = tried, units
        if tried is None:
            self.ruler.show_ruler(None, units)
            self._say(tr("– not assessed yet"), "quiet")
            self._clear()
            self._show_chart()
            return
        answer, fire = tried.answer, tried.answer.fire
        told = (above_design_sentence(answer.part, units), energy_sentence(answer.energy, units))
        self.energy.setText(" ".join(one for one in told if one))
        self.ruler.show_ruler(descriptions.order_ruler(answer.part, units), units)
        if fire is not None:
            self.times.show_ruler(fire_time_ruler(fire), units)
            self._say_verdict(tried, fire)
        else:
            self._say(tr("– not assessed: no fire reaches this part"), "quiet")
            self._clear()
        if answer.settled or not self.sentence.text():
            self.sentence.setText(
                screening_sentence(answer.part, units)
                if fire is None
                else short_fire_sentence(fire, units)
            )
        self.sentence.setEnabled(answer.settled)  # as the bore; nobody reads it while it changes
        self._show_chart()

    def _say_bores(self, text: str) -> None:
        self.bores.setText(text)
        self.bores.setVisible(bool(text))

    def _clear(self) -> None:
        self._say_bores("")
        self.sentence.clear()
        if self._tried is None:
            self.energy.clear()
        self.offered.show_fire(None)

    def say_mistake(self, reason: str, units: Units) -> None:
        """There is no answer to these values, and why."""
        self._tried = None
        self._say(tr("– not assessed: {reason}").format(reason=reason), "danger")
        self._clear()
        self.ruler.show_ruler(None, units)
        self.chart.show_picture(None, units)
        self._arrange()

    def _say_verdict(self, tried: Tried, fire: FireRecord) -> None:
        answer, verdict = tried.answer, fire_verdict(fire, tried.basis)
        tone = verdict_tone(verdict.safe, verdict.sure, verdict.outcome)
        if answer.settled:
            self._say(verdict.text, tone)
            self.offered.show_fire(fire)
        else:  # the rest stays, greyed, until the new answer is there
            text = tr("{text}; the other runs of this fire follow").format(text=verdict.heading)
            self._say(text, tone)
        self.offered.setEnabled(answer.settled)
        if answer.complete:
            self._say_bores(" ".join(bore_sentences(fire, self._units)))
        self.bores.setEnabled(answer.complete)

    def _say(self, text: str, tone: str) -> None:
        self.verdict.setText(text)
        set_tone(self.verdict, tone)

    def _chart_of(self, answer: TryOutAnswer, part: str) -> Chart | None:
        units, which = self._units, self._group.checkedId()
        if which == HEATING:
            return descriptions.heating_chart(answer.part, units)
        if which == RUPTURES:
            from airrisk.wording.energy_map_charts import rupture_chart

            found = answer.ruptures
            return None if found is None else rupture_chart(found, found.sweeps[0], tried=True)
        fire = answer.fire
        if fire is None or fire.curves is None:
            return None
        parts = (part,) if part in fire.curves.parts else None
        if which == STRENGTH:
            return descriptions.fire_strength_chart(fire, units, parts)
        if which == CREEP:
            return descriptions.fire_creep_chart(fire, units, parts)
        if which == PRESSURE:
            return descriptions.fire_pressure_chart(fire, units, parts)
        return descriptions.fire_temperature_chart(fire, units, parts)

    def _show_chart(self) -> None:
        self._arrange()
        self._draw()

    def _draw(self) -> None:
        tried = self._tried
        if self._group.checkedId() == ORDER:
            return
        chart: Chart | None = None
        ghosts: list[Ghost] = []
        if tried is not None and self._group.checkedId() == ENERGY:
            self._draw_energy(tried)
            return
        if tried is not None:
            chart = self._chart_of(tried.answer, tried.part)
            ghosts = self._ghosts(tried)
        why = tr("Not assessed yet.")
        if tried is not None and self._group.checkedId() == RUPTURES:
            why = tr("Drawn for vessels, once the knob rests.")
        elif tried is not None and tried.answer.fire is None:
            why = tr("No fire reaches this part.")
        elif tried is not None and self._group.checkedId() == CREEP:
            why = tr("No damage by creep as stated.")
        self.chart.set_empty_text(why)
        self.chart.show_picture(chart, self._units, ghosts)

    def _ghosts(self, tried: Tried) -> list[Ghost]:
        """The same chart of the file as it is and of the pinned cases."""
        found = []
        if tried.before is not None:
            found.append((tried.before, tr("as in the file"), ""))
        for letter, answer in tried.pinned:
            if answer is not tried.before:  # drawn already
                found.append((answer, tr("pinned case {letter}").format(letter=letter), letter))
        charts = [(self._chart_of(answer, tried.part), name, sign) for answer, name, sign in found]
        return [Ghost(chart, name, sign) for chart, name, sign in charts if chart is not None]

    def _draw_energy(self, tried: Tried) -> None:
        before = None if tried.before is None else tried.before.energy
        chart = stored_energy_chart(tried.part, tried.answer.energy, self._units, before)
        self.chart.show_picture(chart, self._units)
