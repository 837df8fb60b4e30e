"""How parts and devices look: plain outlines, told apart by shape, never by colour alone."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainterPath, QPainterPathStroker, QPolygonF


def _polygon(*points: tuple[float, float]) -> QPainterPath:
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
    path.closeSubpath()
    return path


def vessel_path(width: float, height: float) -> QPainterPath:
    """A capsule lying or standing, centred on the origin."""
    path = QPainterPath()
    radius = min(width, height) / 2
    path.addRoundedRect(QRectF(-width / 2, -height / 2, width, height), radius, radius * 0.62)
    return path


def compressor_path(size: float) -> QPainterPath:
    """A circle with two lines that narrow in flow direction."""
    r = size / 2
    path = QPainterPath()
    path.addEllipse(QPointF(0, 0), r, r)
    path.moveTo(-r * 0.5, -r * 0.87)
    path.lineTo(r * 0.96, -r * 0.28)
    path.moveTo(-r * 0.5, r * 0.87)
    path.lineTo(r * 0.96, r * 0.28)
    return path


def junction_path(size: float = 10.0) -> QPainterPath:
    """A dot."""
    path = QPainterPath()
    path.addEllipse(QPointF(0, 0), size / 2, size / 2)
    return path


def consumer_path(size: float = 26.0) -> QPainterPath:
    """An open cup with an arrow into it."""
    h = size / 2
    path = QPainterPath()
    path.moveTo(-h, -h)
    path.lineTo(h, -h)
    path.lineTo(h, h)
    path.lineTo(-h, h)
    path.moveTo(-h * 0.8, 0)
    path.lineTo(h * 0.4, 0)
    path.moveTo(h * 0.05, -h * 0.35)
    path.lineTo(h * 0.45, 0)
    path.lineTo(h * 0.05, h * 0.35)
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


def valve_path(kind: str, size: float = 18.0) -> QPainterPath:
    """Two triangles point to point; a non-return valve is one triangle against a bar."""
    w, h = size / 2, size / 3
    if kind == "non-return":
        path = _polygon((-w, -h), (w * 0.8, 0), (-w, h))
        path.moveTo(w * 0.8, -h * 1.2)
        path.lineTo(w * 0.8, h * 1.2)
        return path
    path = _polygon((-w, -h), (w, h), (w, -h), (-w, h))
    return path


def lock_path(size: float = 7.0) -> QPainterPath:
    """A small padlock that stands over a valve locked open."""
    path = QPainterPath()
    path.addRect(QRectF(-size / 2, 0, size, size * 0.75))
    path.moveTo(-size * 0.3, 0)
    path.cubicTo(-size * 0.3, -size * 0.8, size * 0.3, -size * 0.8, size * 0.3, 0)
    return path


def plug_path(size: float = 18.0) -> QPainterPath:
    """A square body with a drop in it."""
    h = size / 2
    path = QPainterPath()
    path.addRect(QRectF(-h * 0.8, -h, h * 1.6, size))
    path.moveTo(0, -h * 0.7)
    path.cubicTo(h * 0.7, h * 0.1, h * 0.5, h * 0.7, 0, h * 0.7)
    path.cubicTo(-h * 0.5, h * 0.7, -h * 0.7, h * 0.1, 0, -h * 0.7)
    return path


def relief_path(size: float = 18.0) -> QPainterPath:
    """A triangle under a zigzag spring."""
    h = size / 2
    path = _polygon((-h * 0.8, h), (h * 0.8, h), (0, 0))
    path.moveTo(0, 0)
    for number, y in enumerate((-0.15, -0.38, -0.61, -0.84)):
        path.lineTo(h * (0.45 if number % 2 else -0.45), h * y)
    path.lineTo(0, -h)
    return path


def disc_path(size: float = 18.0) -> QPainterPath:
    """A frame with a bulged disc in it."""
    h = size / 2
    path = QPainterPath()
    path.addRect(QRectF(-h * 0.9, -h * 0.5, h * 1.8, h))
    path.moveTo(-h * 0.9, h * 0.5)
    path.cubicTo(-h * 0.3, -h * 0.6, h * 0.3, -h * 0.6, h * 0.9, h * 0.5)
    return path


def device_path(kind: str) -> QPainterPath:
    """The symbol of a plug, relief valve or bursting disc."""
    return {"plug": plug_path, "relief_valve": relief_path, "bursting_disc": disc_path}[kind]()
