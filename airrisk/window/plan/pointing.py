"""Two points that a person clicks on the site plan, one after the other; Esc ends it."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPen

from airrisk.installation.model import Point
from airrisk.window.theme import colours

if TYPE_CHECKING:
    from PySide6.QtWidgets import QGraphicsView

CROSS = 9.0  # px, half of the cross at a point
Taken = Callable[[Point, Point, float], None]  # two places, and px on the screen between them


class Pointing(QObject):
    """Takes the clicks of a drawing for as long as points are asked for."""

    def __init__(self, view: QGraphicsView, pixels_per_metre: Callable[[], float]) -> None:
        super().__init__(view)
        self._view = view
        self._pixels_per_metre = pixels_per_metre
        self._taken: Taken | None = None
        self._told: Callable[[int], None] | None = None
        self.points: list[Point] = []  # m east and north, so that zooming moves none

    @property
    def is_on(self) -> bool:
        """Whether points are asked for."""
        return self._taken is not None

    def begin(self, taken: Taken, told: Callable[[int], None]) -> None:
        """Ask for two points.

        ``taken`` gets them; ``told`` how many there are, and -1 when nobody asks any more.
        """
        self.end()
        self._taken, self._told = taken, told
        self.points = []
        for watched in (self._view.viewport(), self._view):
            watched.installEventFilter(self)
        self._view.viewport().setCursor(Qt.CursorShape.CrossCursor)
        self._view.setFocus()
        told(0)

    def end(self) -> None:
        """Ask for no points any more."""
        if self._taken is None:
            return
        told, self._taken, self._told = self._told, None, None
        self.points = []
        for watched in (self._view.viewport(), self._view):
            watched.removeEventFilter(self)
        self._view.viewport().unsetCursor()
        self._view.viewport().update()
        if told is not None:
            told(-1)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A left click is a point; nothing is chosen or dragged meanwhile."""
        kind = event.type()
        if kind == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if event.key() != Qt.Key.Key_Escape:
                return False
            self.end()
            return True
        if not isinstance(event, QMouseEvent) or watched is not self._view.viewport():
            return False
        left = event.button() == Qt.MouseButton.LeftButton
        if kind == QEvent.Type.MouseButtonRelease and left:
            self._take(event.position())
        return True

    def _take(self, place: QPointF) -> None:
        view = self._view
        inverse, _ = view.viewportTransform().inverted()
        spot = inverse.map(place) / self._pixels_per_metre()  # without rounding to whole pixels
        self.points.append((spot.x(), -spot.y()))
        view.viewport().update()
        if len(self.points) < 2:
            if self._told is not None:
                self._told(len(self.points))
            return
        first, last = self.points
        taken = self._taken
        seen = math.dist(first, last) * self._pixels_per_metre() * view.transform().m11()
        self.end()
        if taken is not None:
            taken(first, last, seen)

    def paint(self, painter: QPainter) -> None:
        """The points that are taken, in the pixels of the drawing."""
        scale = self._pixels_per_metre()
        pen = QPen(QColor(colours().accent), 2)
        pen.setCosmetic(True)
        painter.setPen(pen)
        for x, y in self.points:
            spot = QPointF(x, -y) * scale
            painter.drawLine(spot - QPointF(CROSS, 0), spot + QPointF(CROSS, 0))
            painter.drawLine(spot - QPointF(0, CROSS), spot + QPointF(0, CROSS))
