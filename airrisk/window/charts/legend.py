"""Which line is which: a short piece of each line beside its name, wrapped to the width."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from airrisk.window.charts.colours import role_pen
from airrisk.window.theme import colours
from airrisk.wording.chart_kinds import Series

SAMPLE = 30.0


class Legend(QWidget):
    """The legend of a line chart."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._series: tuple[tuple[str, str, tuple[float, ...]], ...] = ()
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_series(self, series: Sequence[Series], ghosts: Sequence[str] = ()) -> None:
        """List these lines and the name of those behind; with none the legend takes no room."""
        entries = tuple((one.label, str(one.role), one.dash) for one in series)
        entries += tuple((name, "ghost", ()) for name in ghosts)
        if entries != self._series:
            self._series = entries
            self._claim()
            self.update()
        self.setVisible(bool(entries))

    def _claim(self) -> None:
        """Keep the height of all rows, however low the chart is."""
        need = self.heightForWidth(self.width())
        if need != self.minimumHeight():
            self.setMinimumHeight(need)
        self.updateGeometry()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._claim()

    def names(self) -> tuple[str, ...]:
        """The lines that are listed."""
        return tuple(label for label, _role, _dash in self._series)

    def _places(self, width: float) -> list[QRectF]:
        metrics = QFontMetricsF(self.font())
        x = y = 0.0
        out = []
        for label, _role, _dash in self._series:
            length = SAMPLE + 6 + metrics.horizontalAdvance(label) + 16
            if x > 0 and x + length > width:
                x, y = 0.0, y + metrics.height() + 2
            out.append(QRectF(x, y, length, metrics.height()))
            x += length
        return out

    def heightForWidth(self, width: int) -> int:
        places = self._places(width)
        return round(places[-1].bottom()) + 2 if places else 0

    def sizeHint(self) -> QSize:
        return QSize(200, self.heightForWidth(max(self.width(), 200)))

    def minimumSizeHint(self) -> QSize:
        return QSize(100, self.heightForWidth(max(self.width(), 200)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(colours().surface))
        for (label, role, dash), place in zip(
            self._series, self._places(self.width()), strict=True
        ):
            middle = place.center().y()
            painter.setPen(role_pen(role, dash, 1.6))
            painter.drawLine(
                QPointF(place.left() + 2, middle), QPointF(place.left() + SAMPLE, middle)
            )
            painter.setPen(QColor(colours().text))
            painter.drawText(
                place.adjusted(SAMPLE + 6, 0, 0, 0),
                Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter,
                label,
            )
