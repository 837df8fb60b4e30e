"""The answers of the Doubt view: one input at a time, a sweep, all inputs at once, the method."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QStackedWidget,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from airrisk.window.charts.view import ChartView
from airrisk.window.divided import Divided
from airrisk.window.tables import TextTable
from airrisk.wording import labels
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text, time_text
from airrisk.wording.what_if_charts import map_chart, sampled_charts, sweep_charts, tornado_chart
from airrisk.wording.what_if_texts import (
    bore_sentence,
    bore_text,
    in_one_look,
    index_rows,
    input_name,
    insulation_cautions,
    method_sentences,
    no_shares_sentence,
    point_sentence,
    range_text,
    sampled_sentences,
    subject_sentence,
    sweep_sentence,
    tornado_sentence,
    varies,
)

if TYPE_CHECKING:
    from airrisk.study.sampling import SobolIndices
    from airrisk.study.what_if_records import Point, Sampled, Tornado, WhatIf
    from airrisk.wording.chart_kinds import Picture


class Page(QWidget):
    """Sentences above, below them one of several charts or the numbers as a table."""

    message = Signal(str)

    def __init__(
        self, name: str, columns: Sequence[str], empty: str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._pictures: tuple[Picture, ...] = ()
        self._units = Units()
        self._empty = empty
        self.headline = QLabel()
        self.headline.setWordWrap(True)
        self.headline.setProperty("tone", "title")
        self.headline.setAccessibleName(tr("In one look"))
        self.headline.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.headline.hide()
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.words.setAccessibleName(name)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(self.words)
        self.which = QComboBox()
        self.which.setAccessibleName(tr("Chart shown"))
        self.which.currentIndexChanged.connect(self._draw)
        self.chart = ChartView()
        self.chart.message.connect(self.message)
        self.table = TextTable(name, columns, 0) if columns else None
        self.stack = QStackedWidget()
        self.stack.addWidget(self.chart)
        if self.table is not None:
            self.stack.addWidget(self.table)
        drawing = QWidget()
        column = QVBoxLayout(drawing)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.which)
        column.addWidget(self.stack, 1)
        self._split = Divided(Qt.Orientation.Vertical, area, drawing)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 4, 0, 0)
        layout.addWidget(self.headline)
        layout.addWidget(self._split, 1)
        self.show_nothing()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._divide()

    def _divide(self) -> None:
        """Give the sentences the height they take, at most 45 % of the page."""
        room = self.height()
        wide = self.width() - 24  # a scroll bar may stand beside them
        need = max(self.words.heightForWidth(wide) + 8, 40)
        self._split.give_first(min(need, round(0.45 * room)), room)

    def show_nothing(self, why: str = "") -> None:
        """Say what would be here."""
        self.say_in_one_look(())
        self.words.setText(why or self._empty)
        self._divide()
        self.show_pictures((), self._units)
        if self.table is not None:
            self.table.show_rows((), ())

    def say_in_one_look(self, sentences: Sequence[str]) -> None:
        """What counts, above everything else."""
        self.headline.setText("<br>".join(escape(one) for one in sentences))
        self.headline.setVisible(bool(sentences))

    def show_words(self, sentences: Sequence[str]) -> None:
        """One line a sentence."""
        self.words.setText("<br>".join(escape(one) for one in sentences))
        self._divide()

    def show_pictures(self, pictures: Sequence[Picture], units: Units) -> None:
        """Offer these charts, and the table where it has rows; draw the one looked at before."""
        kept = self.which.currentIndex()
        self.which.blockSignals(True)
        self._pictures, self._units = tuple(pictures), units
        self.which.clear()
        for one in pictures:
            self.which.addItem(one.title)
        if self.table is not None and self.table.rowCount() and pictures:
            self.which.addItem(tr("The numbers as a table"))
        self.which.setCurrentIndex(kept if 0 <= kept < self.which.count() else 0)
        self.which.blockSignals(False)
        self.which.setVisible(self.which.count() > 1)
        self._draw()

    def _draw(self) -> None:
        index = self.which.currentIndex()
        if self.table is not None and index == len(self._pictures) > 0:
            self.stack.setCurrentWidget(self.table)
            return
        self.stack.setCurrentWidget(self.chart)
        picture = self._pictures[index] if 0 <= index < len(self._pictures) else None
        self.chart.show_picture(picture, self._units)  # type: ignore[arg-type]


class Answers(QTabWidget):
    """The pages of one study."""

    message = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setDocumentMode(True)
        self.tabBar().setAccessibleName(tr("Answers"))
        self.one = Page(
            tr("One input at a time"),
            (
                tr("Input"), tr("From – to"), tr("Outcome"), tr("Strength use"),
                tr("Time margin"), tr("Smallest bore"),
            ),
            tr("Each input goes to its low and its high end while the others stay as stated."),
        )  # fmt: skip
        self.swept = Page(
            tr("Sweep"),
            (),
            tr("Choose an input to sweep on the left: one gives a curve, two a map with the"
                " border between runs that are safe and that are not."),
        )  # fmt: skip
        self.all = Page(
            tr("All inputs at once"),
            (tr("Input"), tr("First-order index (95 %)"), tr("Total index (95 %)")),
            tr("All inputs are drawn at once from their spreads."),
        )
        self.method = QLabel()
        self.method.setWordWrap(True)
        self.method.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.method.setMargin(8)
        self.method.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.method.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        how = QScrollArea()
        how.setWidgetResizable(True)
        how.setFrameShape(QScrollArea.Shape.NoFrame)
        how.setWidget(self.method)
        for page in (self.one, self.swept, self.all):
            page.message.connect(self.message)
        self.addTab(self.all, tr("All at once"))
        self.addTab(self.one, tr("One at a time"))
        self.addTab(self.swept, tr("Sweep"))
        self.addTab(how, tr("Method and limits"))

    def show_answer(self, answer: WhatIf | None, units: Units, unfinished: bool = False) -> None:
        """Show a study; None leaves every page with its explanation.

        ``unfinished``: what is not there was not reached, rather than not asked for.
        """
        if answer is None:
            for page in (self.one, self.swept, self.all):
                page.show_nothing()
            self.method.clear()
            return
        self._show_one(answer, units)
        self._show_swept(answer, units, unfinished)
        self._show_all(answer, units, unfinished)
        lines = [
            subject_sentence(answer.subject, units),
            *method_sentences(answer),
            *caution_sentences(),
        ]
        self.method.setText("".join(f"<p>{escape(line)}</p>" for line in lines))

    def _show_one(self, answer: WhatIf, units: Units) -> None:
        tornado = answer.tornado
        if tornado is None:
            self.one.show_nothing()
            return
        words = [point_sentence(tornado.present), tornado_sentence(tornado)]
        words += insulation_cautions(answer.subject)
        self.one.show_words(words)
        assert self.one.table is not None
        rows = _bar_rows(tornado, units)
        self.one.table.show_rows(rows, [bar.key for bar in tornado.bars])
        chart = tornado_chart(tornado, answer.subject, units)
        self.one.show_pictures(() if chart is None else (chart,), units)

    def _show_swept(self, answer: WhatIf, units: Units, unfinished: bool) -> None:
        pictures: list[Picture] = []
        words: list[str] = []
        for sweep in answer.sweeps:
            words.append(sweep_sentence(sweep, units))
            pictures += sweep_charts(sweep, units)
        for found in answer.maps:
            flags = [safe for row in found.safe for safe in row]
            words.append(
                tr("{safe} of {all} runs on the map are safe; a run that did not converge is not"
                    " one of them.").format(safe=sum(flags), all=len(flags))
            )  # fmt: skip
            pictures.append(map_chart(found, units))
        if not pictures:
            self.swept.show_nothing(tr("Not worked out so far.") if unfinished else "")
            return
        self.swept.show_words([*words, *insulation_cautions(answer.subject)])
        self.swept.show_pictures(pictures, units)

    def _show_all(self, answer: WhatIf, units: Units, unfinished: bool) -> None:
        sampled = answer.sampled
        if sampled is None:
            self.all.show_nothing(
                tr("Not worked out: the samples come last.")
                if unfinished
                else tr("Nothing was drawn: no input has a spread, or no samples.")
            )
            return
        self.all.say_in_one_look([*in_one_look(sampled), *insulation_cautions(answer.subject)])
        words = list(sampled_sentences(sampled))
        words += [bore_sentence(one, units) for one in sampled.bores]
        if sampled.inputs and not varies(sampled):
            words.append(no_shares_sentence())
        self.all.show_words(words)
        assert self.all.table is not None
        rows, keys = _index_rows(sampled)
        self.all.table.show_rows(rows, keys, right=(1, 2))
        self.all.show_pictures(sampled_charts(sampled, answer.subject, units), units)


def caution_sentences() -> list[str]:
    """What to keep in mind with every number of the view."""
    return [
        tr("A run that does not converge counts in every total and never as safe."),
        tr("One run is varied: the one that rules the verdict. Another fire, or another run of"
            " this fire, can rule when inputs change much."),
    ]  # fmt: skip


def _pair(first: str, second: str) -> str:
    return first if first == second else f"{first} – {second}"


def _bar_rows(tornado: Tornado, units: Units) -> list[tuple[str, ...]]:
    def use(point: Point) -> str:
        return "–" if point.peak_strength_use is None else number_text(point.peak_strength_use, 3)

    def margin(point: Point) -> str:
        return tr("none") if point.time_margin_s is None else time_text(point.time_margin_s)

    def bores(point: Point) -> str:
        return ", ".join(
            f"{plug} {bore_text(value, units)}" for plug, value in point.smallest_bore_m.items()
        )

    rows = []
    for bar in tornado.bars:
        ends = (bar.at_low, bar.at_high)
        pairs = (_pair(*(text(point) for point in ends)) for text in (use, margin, bores))
        words = _pair(*(labels.answer(point.outcome, point.safe) for point in ends))
        rows.append((input_name(bar.key), range_text(bar, units), words, *pairs))
    return rows


def _index_rows(sampled: Sampled) -> tuple[list[tuple[str, ...]], list[str]]:
    found: SobolIndices | None = sampled.indices_if_all_work or sampled.indices
    if found is None or not varies(sampled):
        return [], []
    rows = index_rows(found)
    return list(rows.values()), list(rows)
