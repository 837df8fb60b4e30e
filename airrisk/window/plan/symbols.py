"""How parts and devices look: plain outlines, told apart by shape, never by colour alone."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainterPath, QPainterPathStroker, QPolygonF

from airrisk.wording.schematic.outlines import LOCK, SHACKLE, Outline, outlines
from airrisk.wording.schematic.records import Symbol


def outline_paths(symbol: Symbol, no_credit: bool = False) -> tuple[QPainterPath, QPainterPath]:
    """A symbol of the schematic around its middle: its outline, and what is filled with ink."""
    body, solid = QPainterPath(), QPainterPath()
    parts = outlines(symbol, no_credit)
    if symbol.locked:
        parts = (*parts, SHACKLE, LOCK)
    for one in parts:
        _draw(solid if one.filled else body, one)
    return body, solid


def _draw(path: QPainterPath, outline: Outline) -> None:
    polygon = QPolygonF([QPointF(x, y) for x, y in outline.points])
    path.addPolygon(polygon)
    if outline.closed:
        path.closeSubpath()


def stem_path(symbol: Symbol) -> QPainterPath:
    """The pipe between a device and what it stands on, around the device's middle."""
    path = QPainterPath()
    for number, (x, y) in enumerate(symbol.stem):
        at = QPointF(x - symbol.x, y - symbol.y)
        if number:
            path.lineTo(at)
        else:
            path.moveTo(at)
    return path


def people_path(kind: str, size: float = 24.0) -> QPainterPath:
    """A figure; under a roof for a building, at a bench for a work place."""
    path = QPainterPath()
    s = size / 24
    path.addEllipse(QPointF(0, -4 * s), 3.2 * s, 3.2 * s)
    path.moveTo(-5 * s, 9 * s)
    path.lineTo(-4 * s, 1 * s)
    path.lineTo(4 * s, 1 * s)
    path.lineTo(5 * s, 9 * s)
    path.closeSubpath()
    if kind == "building":
        path.moveTo(-12 * s, -4 * s)
        path.lineTo(0, -13 * s)
        path.lineTo(12 * s, -4 * s)
        path.moveTo(-10 * s, -5 * s)
        path.lineTo(-10 * s, 11 * s)
        path.lineTo(10 * s, 11 * s)
        path.lineTo(10 * s, -5 * s)
    elif kind == "work place":
        path.moveTo(-12 * s, 11 * s)
        path.lineTo(12 * s, 11 * s)
    return path


def pool_path(size: float = 24.0) -> QPainterPath:
    """A puddle with a flame over it."""
    path = QPainterPath()
    s = size / 24
    path.addEllipse(QPointF(0, 8 * s), 11 * s, 3.5 * s)
    path.moveTo(-5 * s, 7 * s)
    path.cubicTo(-9 * s, 0, -2 * s, -3 * s, -2 * s, -11 * s)
    path.cubicTo(4 * s, -6 * s, 8 * s, 0, 5 * s, 7 * s)
    return path


def jet_path(size: float = 24.0) -> QPainterPath:
    """A nozzle with a flame that blows from it."""
    path = QPainterPath()
    s = size / 24
    path.addRect(-12 * s, -3 * s, 6 * s, 6 * s)
    path.moveTo(-6 * s, 0)
    path.cubicTo(0, -9 * s, 7 * s, -7 * s, 13 * s, 0)
    path.cubicTo(7 * s, 7 * s, 0, 9 * s, -6 * s, 0)
    return path


def goods_path(size: float = 24.0) -> QPainterPath:
    """A stack with a flame over it."""
    path = QPainterPath()
    s = size / 24
    path.addRect(-10 * s, 4 * s, 20 * s, 8 * s)
    path.moveTo(-5 * s, 4 * s)
    path.cubicTo(-9 * s, -2 * s, -2 * s, -4 * s, -2 * s, -12 * s)
    path.cubicTo(4 * s, -7 * s, 8 * s, -2 * s, 5 * s, 4 * s)
    return path


SOURCE_PATHS = {"pool": pool_path, "jet": jet_path, "goods": goods_path}
WALL_WIDTH = 5.0  # px


def wall_path(points: Sequence[QPointF]) -> QPainterPath:
    """A wall along its course."""
    path = QPainterPath(points[0])
    for point in points[1:]:
        path.lineTo(point)
    stroker = QPainterPathStroker()
    stroker.setWidth(WALL_WIDTH)
    stroker.setCapStyle(Qt.PenCapStyle.FlatCap)
    stroker.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    return stroker.createStroke(path).simplified()
