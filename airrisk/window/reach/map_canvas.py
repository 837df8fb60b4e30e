"""The map of fires on the screen: the picture of the report, a cursor, what is pointed at."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QHideEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from airrisk.report.fire_map_drawing import ON_DARK, ON_WHITE, MapFigure, draw_fire_map
from airrisk.window.paper.figure_image import figure_image
from airrisk.window.theme import colours, scaled
from airrisk.wording.units import Units

if TYPE_CHECKING:
    from airrisk.installation.model import Installation, Point
    from airrisk.study.fire_map_records import FireMap

PIXELS = 1.5  # a point of the figure at the usual size of text
WAIT = 60  # ms after a change of size
KEYS = {
    Qt.Key.Key_Left: (0, -1), Qt.Key.Key_Right: (0, 1), Qt.Key.Key_Up: (1, 0),
    Qt.Key.Key_Down: (-1, 0),
}  # fmt: skip


class MapCanvas(QWidget):
    """Arrow keys move the cursor by a position, Enter or a click asks about it."""

    pointed = Signal(object)  # (row, column), or None
    asked = Signal(object)  # (row, column)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._seen: FireMap | None = None
        self._installation: Installation | None = None
        self._units = Units()
        self._drawn: MapFigure | None = None
        self._image: QImage | None = None
        self._scale = PIXELS
        self.cursor_at: tuple[int, int] | None = None
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(WAIT)
        self._later.timeout.connect(self.redraw)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(QSize(360, 240))

    def show_map(
        self, seen: FireMap | None, installation: Installation | None, units: Units
    ) -> None:
        """Draw this map, or nothing."""
        grown = (
            seen is not None
            and self._seen is not None
            and self._seen.outcome.shape == seen.outcome.shape
        )
        if not grown:
            self.cursor_at = None
        self._seen, self._installation, self._units = seen, installation, units
        self.redraw()

    def redraw(self) -> None:
        """Paint the picture anew at the present size and in the present theme."""
        seen, installation = self._seen, self._installation
        self._drawn = self._image = None
        if seen is not None and installation is not None and self.width() > 100:
            self._scale = PIXELS * scaled(100) / 100.0
            inks = ON_DARK if colours().dark else ON_WHITE
            inks = replace(inks, paper=colours().surface, text=colours().text)
            self._drawn = draw_fire_map(
                seen, installation, self._units, self.width() / self._scale,
                self.height() / self._scale, inks,
            )  # fmt: skip
            sharp = self._scale * self.devicePixelRatioF()
            self._image = figure_image(self._drawn.figure, sharp, inks.paper)
            self._image.setDevicePixelRatio(self.devicePixelRatioF())
        self.update()

    def place_at(self, spot: QPointF) -> tuple[int, int] | None:
        """Row and column of the position under a point of the widget."""
        if self._drawn is None or self._seen is None:
            return None
        x, y = spot.x() / self._scale, self._drawn.figure.height - spot.y() / self._scale
        return self._seen.nearest(*self._drawn.frame.place(x, y))

    def spot_of(self, place: tuple[int, int]) -> QPointF | None:
        """Where on the widget a position lies."""
        if self._drawn is None or self._seen is None:
            return None
        row, column = place
        point: Point = (float(self._seen.x_m[column]), float(self._seen.y_m[row]))
        x, y = self._drawn.frame.at(point)
        return QPointF(x * self._scale, (self._drawn.figure.height - y) * self._scale)

    # -- events ------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = colours()
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.surface))
        if self._image is None:
            return
        painter.drawImage(QPointF(0.0, 0.0), self._image)
        spot = None if self.cursor_at is None else self.spot_of(self.cursor_at)
        if spot is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for colour, width in ((theme.surface, 5.0), (theme.accent, 2.5)):
            painter.setPen(QPen(QColor(colour), width))
            painter.drawEllipse(spot, 8.0, 8.0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.isVisible():
            self._later.start()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._later.start()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._later.stop()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.pointed.emit(self.place_at(event.position()))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        place = self.place_at(event.position())
        if event.button() == Qt.MouseButton.LeftButton and place is not None:
            self._move_to(place)
            self.asked.emit(place)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        seen, step = self._seen, KEYS.get(Qt.Key(event.key()))
        if seen is None:
            super().keyPressEvent(event)
            return
        rows, columns = seen.outcome.shape
        row, column = self.cursor_at or (rows // 2, columns // 2)
        if step is not None:
            wide = 5 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
            row = min(max(row + wide * step[0], 0), rows - 1)
            column = min(max(column + wide * step[1], 0), columns - 1)
            self._move_to((row, column))
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self._move_to((row, column))
            self.asked.emit((row, column))
        else:
            super().keyPressEvent(event)

    def _move_to(self, place: tuple[int, int]) -> None:
        self.cursor_at = place
        self.pointed.emit(place)
        self.update()
