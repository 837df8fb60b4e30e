"""Graphics items of the drawing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QPainter,
    QPainterPath,
    QPainterPathStroker,
    QPen,
)
from PySide6.QtWidgets import QGraphicsItem, QGraphicsObject, QStyleOptionGraphicsItem, QWidget

from airrisk.window.plan.blocks import block_frame, paint_answer, texts_of
from airrisk.window.plan.lettering import name_font
from airrisk.window.plan.symbols import outline_paths
from airrisk.window.theme import colours
from airrisk.wording.part_answers import PartAnswer
from airrisk.wording.schematic.records import Symbol as Placed

# kinds that stand beside the installation and may be far away
STANDING_ABOUT = frozenset({"people", "fire_source", "wall"})
HIT = 8.0  # px, width of what takes a click on a line
HALO = 2.0  # px around a name, in the colour of the ground


def _along(path: QPainterPath, *more: QRectF) -> QPainterPath:
    """What takes clicks: a path along its length, and some rectangles; not what it encloses."""
    stroker = QPainterPathStroker()
    stroker.setWidth(HIT)
    out = stroker.createStroke(path)
    for one in more:
        out.addRect(one)
    out.setFillRule(Qt.FillRule.WindingFill)
    return out


class Drawn(QGraphicsObject):
    """Something with an id, a name and a mark that can be chosen."""

    def __init__(self, name: str, kind: str, spoken: str) -> None:
        super().__init__()
        self.name = name
        self.kind = kind
        self.label = QRectF()  # where its name stands, against its own place
        self.mark = QRectF()  # and the mark of its worst finding
        self.leader: tuple[QPointF, QPointF] | None = None  # to a name that stands away
        self.spoken = spoken  # what it is, in words
        self.block = QRectF()  # room for its answer; empty: it carries none
        self.named_answer = ""  # name in it, where it may stand away from what it is of
        self.answer_leader: tuple[QPointF, QPointF] | None = None
        self.answer: PartAnswer | None = None
        self.letters = 12.0  # px
        self.tint: str | None = None  # section highlight
        self.burning = False
        self.badge = ""  # worst finding's shape
        self.badge_colour = ""
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIsSelectable)
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIsFocusable)
        self.setToolTip(spoken)

    def write_at(
        self, label: QRectF, mark: QRectF, letters: float, block: QRectF | None = None
    ) -> None:
        """Say where name, mark and answer stand, and how tall the letters are."""
        self.prepareGeometryChange()
        self.label, self.mark, self.letters = label, mark, letters
        self.block = block or QRectF()
        self.leader = None
        self.update()

    def outline(self) -> QPainterPath:
        """What it is drawn as."""
        raise NotImplementedError

    def boundingRect(self) -> QRectF:
        rect = self.outline().boundingRect().united(self.label).united(self.mark)
        rect = rect.united(self.block)
        if self.answer_leader is not None:
            rect = rect.united(QRectF(*self.answer_leader).normalized())
        if self.leader is not None:
            rect = rect.united(QRectF(*self.leader).normalized())
        return rect.adjusted(-12, -12, 12, 12)

    def _answer_texts(self) -> list[str]:
        return [] if self.answer is None else texts_of(self.answer, self.named_answer)

    def answer_frame(self) -> QRectF:
        """What its answer covers, empty without one; within the room that is kept for it."""
        if self.answer is None or self.block.isEmpty():
            return QRectF()
        return block_frame(self.block, self.owner(), self._answer_texts(), self.letters)

    def owner(self) -> QRectF:
        """What the answer belongs to, without what stands around it."""
        return self.outline().boundingRect()

    def _paint_name(self, painter: QPainter, quiet: bool) -> None:
        theme = colours()
        if self.leader is not None:
            painter.setPen(QPen(QColor(theme.quiet), 1))
            painter.drawLine(*self.leader)
        if self.tint is None:
            painter.fillRect(self.label.adjusted(0, 1, 0, -1), QColor(theme.surface))
        painter.setPen(QColor(theme.quiet if quiet and not self.isSelected() else theme.text))
        painter.setFont(name_font(self.letters, self.isSelected()))
        painter.drawText(self.label, Qt.AlignmentFlag.AlignCenter, self.name)
        if self.badge:
            painter.setPen(QColor(self.badge_colour))
            painter.setFont(name_font(self.letters, True))
            painter.drawText(self.mark, Qt.AlignmentFlag.AlignCenter, self.badge)
        if self.answer is not None and not self.block.isEmpty():
            texts = self._answer_texts()
            if self.answer_leader is not None:
                painter.setPen(QPen(QColor(theme.quiet), 1))
                painter.drawLine(*self.answer_leader)
            paint_answer(painter, self.answer_frame(), self.answer, texts, self.letters)


class Symbol(Drawn):
    """Something that stands at one place."""

    def __init__(
        self, name: str, kind: str, path: QPainterPath, spoken: str,
        solid: QPainterPath | None = None,
    ) -> None:  # fmt: skip
        super().__init__(name, kind, spoken)
        self.path = path
        self.solid = solid or QPainterPath()  # filled with ink
        self.stem = QPainterPath()  # the pipe that it stands on
        self.extent = QPainterPath()  # how far its flames reach
        self.no_credit = False  # nobody may count on it
        self.setAcceptHoverEvents(True)

    def outline(self) -> QPainterPath:
        path = QPainterPath(self.path)
        path.addPath(self.solid)
        path.addPath(self.stem)
        path.addPath(self.extent)
        return path

    def body(self) -> QPainterPath:
        """The symbol alone."""
        path = QPainterPath(self.path)
        path.addPath(self.solid)
        return path

    def owner(self) -> QRectF:
        return self.body().boundingRect()

    def shape(self) -> QPainterPath:
        path = self.body()
        out = _along(path, self.label, self.answer_frame())
        out.addPath(path)
        return out

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        theme = colours()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = self.body().boundingRect()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if not self.extent.isEmpty():
            painter.setPen(QPen(QColor(theme.fire), 1.4, Qt.PenStyle.DashLine))
            painter.drawPath(self.extent)
        if self.burning:
            painter.setPen(QPen(QColor(theme.fire), 2, Qt.PenStyle.DashLine))
            painter.drawRoundedRect(box.adjusted(-6, -6, 6, 6), 7, 7)
        if self.isSelected():
            painter.setPen(QPen(QColor(theme.accent), 2))
            painter.drawRoundedRect(box.adjusted(-4, -4, 4, 4), 5, 5)
        painter.setPen(QPen(QColor(theme.text), 1.6))
        painter.drawPath(self.stem)
        painter.setBrush(QColor(self.tint or theme.surface))
        painter.drawPath(self.path)
        painter.setBrush(QColor(theme.text))
        painter.drawPath(self.solid)
        self._paint_name(painter, quiet=False)


class Node(Symbol):
    """A part with a place of its own that can be moved."""

    def __init__(
        self, name: str, kind: str, path: QPainterPath, spoken: str,
        solid: QPainterPath | None = None,
    ) -> None:  # fmt: skip
        super().__init__(name, kind, path, spoken, solid)
        self.moved: Callable[[Node], None] | None = None
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIsMovable)
        self.setZValue(10)
        self.xChanged.connect(self._told_move)
        self.yChanged.connect(self._told_move)

    def _told_move(self) -> None:
        if self.moved is not None:
            self.moved(self)


class RingItem(Symbol):
    """Where people may be of whom only a distance from a vessel is told: no place is made up."""

    def __init__(self, name: str, radius: float, spoken: str) -> None:
        path = QPainterPath()
        path.addEllipse(QPointF(0, 0), radius, radius)
        super().__init__(name, "people", path, spoken)
        self.radius = radius  # px
        self.setZValue(1)

    def shape(self) -> QPainterPath:
        """The circle alone: what lies inside takes its own clicks."""
        return _along(self.path, self.label)

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        theme = colours()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        chosen = self.isSelected()
        pen = QPen(QColor(theme.accent if chosen else theme.text), 2.4 if chosen else 1.4)
        pen.setDashPattern([6.0, 4.0])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(self.path)
        self._paint_name(painter, quiet=False)


class Attached(Symbol):
    """A device that stands on a part, or a valve on a line or under a device."""

    def __init__(
        self, name: str, kind: str, path: QPainterPath, spoken: str,
        solid: QPainterPath | None = None,
    ) -> None:  # fmt: skip
        super().__init__(name, kind, path, spoken, solid)
        self.setZValue(12)


class LineItem(Drawn):
    """A line between two places."""

    def __init__(self, name: str, spoken: str) -> None:
        super().__init__(name, "line", spoken)
        self.points: list[QPointF] = []
        self.forced = False  # it runs over something else
        self.open_ends = QPainterPath()  # signs of ends that join nothing
        self.setZValue(2)

    def owner(self) -> QRectF:
        return self.label if not self.label.isEmpty() else self.outline().boundingRect()

    def set_points(self, points: Iterable[tuple[float, float]], forced: bool = False) -> None:
        """The corners from end to end."""
        self.prepareGeometryChange()
        self.points = [QPointF(x, y) for x, y in points]
        self.forced = forced
        self.update()

    def set_ends(self, ends: Iterable[Placed]) -> None:
        """Signs of the ends that join nothing."""
        self.prepareGeometryChange()
        self.open_ends = QPainterPath()
        for end in ends:
            body, solid = outline_paths(end)
            self.open_ends.addPath(body.translated(end.x, end.y))
            self.open_ends.addPath(solid.translated(end.x, end.y))

    def outline(self) -> QPainterPath:
        path = self._course()
        path.addPath(self.open_ends)
        return path

    def _course(self) -> QPainterPath:
        path = QPainterPath()
        for number, point in enumerate(self.points):
            if number:
                path.lineTo(point)
            else:
                path.moveTo(point)
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

    def shape(self) -> QPainterPath:
        return _along(self.outline(), self.label, self.answer_frame())

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        theme = colours()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        path = self._course()
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
        style = Qt.PenStyle.DashLine if self.forced else Qt.PenStyle.SolidLine
        pen = QPen(QColor(colour), 3.5 if self.isSelected() else 1.5, style)
        pen.setCosmetic(True)  # as strong in a large drawing that is shown small
        painter.setPen(pen)
        painter.drawPath(path)
        painter.setPen(QPen(QColor(colour), 1.8))
        painter.setBrush(QColor(theme.surface))
        painter.drawPath(self.open_ends)
        self._paint_name(painter, quiet=True)
