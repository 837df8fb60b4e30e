"""Graphics items of the drawing."""

from __future__ import annotations

import math
from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QPainter,
    QPainterPath,
    QPainterPathStroker,
    QPen,
)
from PySide6.QtWidgets import QGraphicsItem, QGraphicsObject, QStyleOptionGraphicsItem, QWidget

from airrisk.window.plan.symbols import lock_path
from airrisk.window.theme import FONT_FAMILY, colours

# kinds that stand beside the installation and may be far away
STANDING_ABOUT = frozenset({"people", "fire_source", "wall"})


class LabelSize:
    """Size of all labels in scene pixels; grows when the drawing is shown small."""

    pixels = 12


def _font(bold: bool = False) -> QFont:
    font = QFont(FONT_FAMILY)
    font.setPixelSize(LabelSize.pixels)
    font.setBold(bold)
    return font


class Symbol(QGraphicsObject):
    """Something with an id, an outline and a label that can be chosen."""

    def __init__(self, name: str, kind: str, path: QPainterPath, spoken: str) -> None:
        super().__init__()
        self.name = name
        self.kind = kind
        self.path = path
        self.label = name
        self.label_below = True
        self.filled = False
        self.tint: str | None = None  # section highlight
        self.burning = False
        self.badge = ""  # worst finding's shape
        self.badge_colour = ""
        self.moved: Callable[[Symbol], None] | None = None
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIsSelectable)
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIsFocusable)
        self.setToolTip(spoken)
        self.setAcceptHoverEvents(True)

    def _label_rect(self) -> QRectF:
        metrics = QFontMetricsF(_font(True))
        width = metrics.horizontalAdvance(self.label) + 4
        box = self.path.boundingRect()
        if self.label_below:
            return QRectF(-width / 2, box.bottom() + 2, width, metrics.height())
        return QRectF(box.right() + 3, -metrics.height() / 2, width, metrics.height())

    def boundingRect(self) -> QRectF:
        box = self.path.boundingRect().united(self._label_rect())
        return box.adjusted(-LabelSize.pixels - 8, -18, LabelSize.pixels + 8, 6)

    def shape(self) -> QPainterPath:
        stroker = QPainterPathStroker()
        stroker.setWidth(8)
        out = stroker.createStroke(self.path)
        out.addPath(self.path)
        out.addRect(self._label_rect())
        out.setFillRule(Qt.FillRule.WindingFill)
        return out

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        theme = colours()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = self.path.boundingRect()
        if self.burning:
            painter.setPen(QPen(QColor(theme.fire), 2, Qt.PenStyle.DashLine))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box.adjusted(-7, -7, 7, 7), 8, 8)
        if self.isSelected():
            painter.setPen(QPen(QColor(theme.accent), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box.adjusted(-4, -4, 4, 4), 5, 5)
        painter.setPen(QPen(QColor(theme.text), 1.6))
        ground = QColor(theme.text if self.filled else self.tint or theme.surface)
        painter.setBrush(ground)
        painter.drawPath(self.path)
        self._decorate(painter)
        painter.setPen(QColor(theme.text))
        painter.setFont(_font(self.isSelected()))
        label = self._label_rect()
        veil = QColor(theme.surface)
        veil.setAlpha(200)
        painter.fillRect(label, veil)
        painter.drawText(label, Qt.AlignmentFlag.AlignCenter, self.label)
        if self.badge:
            painter.setPen(QColor(self.badge_colour))
            font = _font(True)
            font.setPixelSize(LabelSize.pixels + 2)
            painter.setFont(font)
            side = LabelSize.pixels + 6.0
            if self.label_below:
                spot = QRectF(box.right() + 1, box.bottom() - side + 3, side, side)
            else:
                spot = QRectF(box.left() - side + 4, box.top() - 12, side, side)
            painter.drawText(spot, Qt.AlignmentFlag.AlignCenter, self.badge)

    def _decorate(self, painter: QPainter) -> None:
        """Drawn over the outline by kinds that need more."""


class Node(Symbol):
    """A part with a place of its own that can be moved."""

    def __init__(self, name: str, kind: str, path: QPainterPath, spoken: str) -> None:
        super().__init__(name, kind, path, spoken)
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIsMovable)
        self.setZValue(10)
        self.xChanged.connect(self._told_move)
        self.yChanged.connect(self._told_move)

    def _told_move(self) -> None:
        if self.moved is not None:
            self.moved(self)


class Attached(Symbol):
    """A device that stands on a part, or a valve on a line or under a device."""

    def __init__(self, name: str, kind: str, path: QPainterPath, spoken: str) -> None:
        super().__init__(name, kind, path, spoken)
        self.locked = False
        self.setZValue(12)

    def _decorate(self, painter: QPainter) -> None:
        if self.locked:
            painter.save()
            painter.translate(0, -14)
            painter.setBrush(QColor(colours().surface))
            painter.drawPath(lock_path())
            painter.restore()


class LineItem(QGraphicsObject):
    """A line between two places, drawn with right angles."""

    def __init__(self, name: str, spoken: str) -> None:
        super().__init__()
        self.name = name
        self.kind = "line"
        self.points: list[QPointF] = []
        self._label_at: float | None = None
        self.tint: str | None = None
        self.burning = False
        self.badge = ""
        self.badge_colour = ""
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIsSelectable)
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIsFocusable)
        self.setToolTip(spoken)
        self.setZValue(2)

    def set_points(self, points: list[QPointF]) -> None:
        """The corners from end to end."""
        self.prepareGeometryChange()
        self.points = points
        self.update()

    def set_label_at(self, distance: float) -> None:
        """Put the label that far along the line."""
        self.prepareGeometryChange()
        self._label_at = distance
        self.update()

    def _path(self) -> QPainterPath:
        path = QPainterPath()
        if self.points:
            path.moveTo(self.points[0])
            for point in self.points[1:]:
                path.lineTo(point)
        return path

    def length(self) -> float:
        """Drawn length in pixels."""
        return sum(
            math.dist(a.toTuple(), b.toTuple())
            for a, b in zip(self.points, self.points[1:], strict=False)
        )

    def at_distance(self, distance: float) -> tuple[QPointF, float]:
        """The point that far along the line and its direction in degrees."""
        left = distance
        for first, second in zip(self.points, self.points[1:], strict=False):
            length = math.dist(first.toTuple(), second.toTuple())
            if length >= left and length > 0:
                share = left / length
                angle = math.degrees(math.atan2(second.y() - first.y(), second.x() - first.x()))
                return first + (second - first) * share, angle
            left -= length
        return (self.points[-1] if self.points else QPointF()), 0.0

    def _label_rect(self) -> QRectF:
        metrics = QFontMetricsF(_font(True))
        at = self.length() / 2 if self._label_at is None else self._label_at
        middle, angle = self.at_distance(at)
        width = metrics.horizontalAdvance(self.name) + 4
        if abs(math.sin(math.radians(angle))) > 0.7:
            return QRectF(
                middle.x() + 5, middle.y() - metrics.height() / 2, width, metrics.height()
            )
        return QRectF(middle.x() - width / 2, middle.y() + 4, width, metrics.height())

    def boundingRect(self) -> QRectF:
        return self._path().boundingRect().united(self._label_rect()).adjusted(-8, -8, 30, 8)

    def shape(self) -> QPainterPath:
        stroker = QPainterPathStroker()
        stroker.setWidth(12)
        out = stroker.createStroke(self._path())
        out.addRect(self._label_rect())
        return out

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        theme = colours()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        path = self._path()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if self.tint:
            painter.setPen(
                QPen(QColor(self.tint), 9, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap)
            )
            painter.drawPath(path)
        if self.burning:
            painter.setPen(QPen(QColor(theme.fire), 6, Qt.PenStyle.DotLine))
            painter.drawPath(path)
        colour = theme.accent if self.isSelected() else theme.text
        painter.setPen(QPen(QColor(colour), 3 if self.isSelected() else 2))
        painter.drawPath(path)
        label = self._label_rect()
        veil = QColor(theme.surface)
        veil.setAlpha(200)
        painter.fillRect(label, veil)
        painter.setPen(QColor(theme.text if self.isSelected() else theme.quiet))
        painter.setFont(_font(self.isSelected()))
        painter.drawText(label, Qt.AlignmentFlag.AlignCenter, self.name)
        if self.badge:
            painter.setPen(QColor(self.badge_colour))
            font = _font(True)
            font.setPixelSize(LabelSize.pixels + 2)
            painter.setFont(font)
            side = LabelSize.pixels + 6.0
            painter.drawText(
                QRectF(label.right(), label.top() - 2, side, side),
                Qt.AlignmentFlag.AlignCenter,
                self.badge,
            )
