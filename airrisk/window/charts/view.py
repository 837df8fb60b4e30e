"""A chart with its title, caption, read-out and buttons; makes the drawer it needs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QStackedLayout,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from airrisk.window.charts.bars import Bars
from airrisk.window.charts.export import csv_of, picture_of, png_of, svg_of
from airrisk.window.charts.legend import Legend
from airrisk.window.exports import NotSaved, ask_where, write_export
from airrisk.wording.chart_kinds import BarChart, Chart, Ghost, MapChart, SpanChart
from airrisk.wording.translation import tr
from airrisk.wording.units import Units


class ChartView(QWidget):
    """Shows a chart or map; copy, save, zoom and reset with mouse or keyboard."""

    message = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.picture: Chart | BarChart | SpanChart | MapChart | None = None
        self._units = Units()
        self._plot: QWidget | None = None
        self._drawn: QWidget | None = None
        self._bars = Bars()
        self._empty = QLabel(tr("Nothing to draw yet."))
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._empty.setProperty("tone", "quiet")
        self._empty.setWordWrap(True)
        self._title = QLabel()
        self._title.setProperty("tone", "title")
        self._title.setWordWrap(True)
        self._title.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._readout = QLabel(" ")
        self._readout.setProperty("tone", "quiet")
        self._readout.setWordWrap(True)
        self._readout.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._legend = Legend()
        self.reset_button = self._button(tr("Reset view"), tr("Show the whole chart again (0)"))
        self.reset_button.clicked.connect(self.reset)
        self.copy_button = self._button(tr("Copy"), tr("Copy the chart as a picture"))
        self.copy_button.clicked.connect(self.copy_picture)
        self.save_button = self._button(tr("Save as…"), tr("Save as PNG, SVG or CSV"))
        self.save_button.clicked.connect(self.ask_and_save)
        self._stack = QStackedLayout()
        self._drawing = QWidget()
        inner = QVBoxLayout(self._drawing)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.setSpacing(2)
        inner.addWidget(self._legend)
        inner.addLayout(self._stack, 1)
        self._stack.addWidget(self._empty)  # after its parent: else it shows up as a window
        self._stack.addWidget(self._bars)
        head = QHBoxLayout()
        head.addWidget(self._title, 1)
        for button in (self.reset_button, self.copy_button, self.save_button):
            head.addWidget(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 4, 6, 4)
        layout.setSpacing(2)
        layout.addLayout(head)
        layout.addWidget(self._drawing, 1)
        layout.addWidget(self._readout)
        self.show_picture(None, Units())

    @staticmethod
    def _button(text: str, tip: str) -> QToolButton:
        button = QToolButton()
        button.setText(text)
        button.setToolTip(tip)
        button.setAutoRaise(True)
        return button

    def set_empty_text(self, text: str) -> None:
        """What to say while there is nothing to draw."""
        self._empty.setText(text)

    def show_picture(
        self,
        picture: Chart | BarChart | SpanChart | MapChart | None,
        units: Units,
        ghosts: Sequence[Ghost] = (),
    ) -> None:
        """Draw this chart, with others pale behind it; None shows the empty text."""
        self.picture, self._units = picture, units
        drawn = picture is not None
        for button in (self.reset_button, self.copy_button, self.save_button):
            button.setEnabled(drawn)
        self.reset_button.setVisible(picture is None or isinstance(picture, Chart))
        self._title.setText("" if picture is None else picture.title)
        self._caption()
        if picture is None:
            self._legend.show_series(())
            self._stack.setCurrentWidget(self._empty)
        elif isinstance(picture, BarChart):
            self._legend.show_series(())
            self._bars.show_chart(picture, units)
            self._bars.setAccessibleName(picture.title)
            self._stack.setCurrentWidget(self._bars)
        elif isinstance(picture, (SpanChart, MapChart)):
            self._legend.show_series(())
            figure = self._figure()
            figure.show_chart(picture, units)  # type: ignore[attr-defined]
            figure.setAccessibleName(picture.title)
            figure.setAccessibleDescription(picture.caption)
            self._stack.setCurrentWidget(figure)
        else:
            self._legend.show_series(picture.series, [one.name for one in ghosts])
            plot = self._line_plot()
            plot.show_chart(picture, units, ghosts)  # type: ignore[attr-defined]
            plot.setAccessibleName(picture.title)
            plot.setAccessibleDescription(picture.caption)
            self._stack.setCurrentWidget(plot)

    def _line_plot(self) -> QWidget:
        """The line drawer, imported when the first line chart is shown."""
        if self._plot is None:
            from airrisk.window.charts.plot import Plot

            plot = Plot()
            plot.read.connect(self._show_readout)
            self._stack.addWidget(plot)
            QWidget.setTabOrder(self.save_button, plot)
            self._plot = plot
        return self._plot

    def _figure(self) -> QWidget:
        """The drawer of spans and maps, made when the first one is shown."""
        if self._drawn is None:
            from airrisk.window.charts.drawn import DrawnChart

            self._drawn = DrawnChart()
            self._stack.addWidget(self._drawn)
        return self._drawn

    def _caption(self) -> None:
        self._readout.setText(" " if self.picture is None else self.picture.caption or " ")

    def _show_readout(self, text: str) -> None:
        if text:
            self._readout.setText(text)
        else:
            self._caption()

    def reset(self) -> None:
        """Show the whole chart again."""
        if self._plot is not None and isinstance(self.picture, Chart):
            self._plot.reset_view()  # type: ignore[attr-defined]

    def copy_picture(self) -> None:
        """Put the chart on the clipboard as a picture."""
        QGuiApplication.clipboard().setImage(picture_of(self._drawing))
        self.message.emit(tr("Chart copied."))

    def ask_and_save(self) -> None:
        """Ask for a file name and save by its ending."""
        if self.picture is None:
            return
        path = ask_where(
            self,
            tr("Save the chart"),
            f"{self.picture.key}.png",
            tr("Picture (*.png);;Drawing (*.svg);;Table (*.csv)"),
        )
        if path is not None:
            self.save(path)

    def save(self, path: Path) -> bool:
        """Save as PNG, SVG or CSV, by the ending; False (and a message) when it failed."""
        if self.picture is None:
            return False
        ending = path.suffix.casefold()
        try:
            if ending == ".svg":
                data = svg_of(self._drawing, self.picture.title)
            elif ending == ".csv":
                data = csv_of(self.picture, self._units).encode("utf-8")
            elif ending == ".png":
                data = png_of(self._drawing)
            else:
                raise NotSaved(tr("the name must end in .png, .svg or .csv"))
            self.message.emit(write_export(path, data))
        except NotSaved as error:
            self.message.emit(tr("Not saved: {reason}").format(reason=error))
            return False
        return True
