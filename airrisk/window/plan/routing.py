"""How a line runs between two symbols: right angles, ends side by side where several meet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from PySide6.QtCore import QPointF

from airrisk.installation.model import Line
from airrisk.window.plan.items import Node

SPACING = 22.0  # pixels between line ends on one side of a symbol


def _is_level(first: Node, last: Node) -> bool:
    """Whether a connection leaves sideways rather than up or down."""
    step = last.pos() - first.pos()
    return abs(step.x()) >= abs(step.y())


def port_shifts(lines: Sequence[Line], nodes: Mapping[str, Node]) -> dict[tuple[str, str], float]:
    """How far each line end stands aside the middle of its side of a vessel or machine."""
    sides: dict[tuple[str, str], list[tuple[float, str, str]]] = defaultdict(list)
    for line in lines:
        first, last = nodes.get(line.from_), nodes.get(line.to)
        if first is None or last is None:
            continue
        level = _is_level(first, last)
        for node, other, end in ((first, last, "from"), (last, first, "to")):
            if node.kind == "junction":
                continue
            step = other.pos() - node.pos()
            if level:
                side, order = ("right" if step.x() > 0 else "left"), other.pos().y()
            else:
                side, order = ("below" if step.y() > 0 else "above"), other.pos().x()
            sides[(node.name, side)].append((order, line.id, end))
    shifts: dict[tuple[str, str], float] = {}
    for (name, side), ends in sides.items():
        box = nodes[name].path.boundingRect()
        room = (box.height() if side in ("left", "right") else box.width()) * 0.7
        apart = min(SPACING, room / max(len(ends) - 1, 1))
        for number, (_order, line_id, end) in enumerate(sorted(ends)):
            shifts[(line_id, end)] = (number - (len(ends) - 1) / 2) * apart
    return shifts


def route(first: Node, last: Node, shift_first: float, shift_last: float) -> list[QPointF]:
    """Corners of a connection with right angles between the outlines of two symbols."""
    a, b = first.pos(), last.pos()
    box_a, box_b = first.path.boundingRect(), last.path.boundingRect()
    dx, dy = b.x() - a.x(), b.y() - a.y()
    if _is_level(first, last):
        sign = 1 if dx >= 0 else -1
        start = a + QPointF(sign * box_a.width() / 2, shift_first)
        end = b + QPointF(-sign * box_b.width() / 2, shift_last)
        if abs(start.y() - end.y()) < 3:
            return [start, QPointF(end.x(), start.y())]
        middle = (start.x() + end.x()) / 2
        return [start, QPointF(middle, start.y()), QPointF(middle, end.y()), end]
    sign = 1 if dy >= 0 else -1
    start = a + QPointF(shift_first, sign * box_a.height() / 2)
    if first.kind == last.kind == "junction" and abs(dx) >= 3:
        # upright at the left one, so that rings do not run over themselves
        if dx > 0:
            return [start, QPointF(a.x(), b.y()), QPointF(b.x() - box_b.width() / 2, b.y())]
        aside = QPointF(a.x() - box_a.width() / 2, a.y())
        return [aside, QPointF(b.x(), a.y()), b - QPointF(0, sign * box_b.height() / 2)]
    end = b + QPointF(shift_last, -sign * box_b.height() / 2)
    if abs(start.x() - end.x()) < 3:
        return [start, QPointF(start.x(), end.y())]
    middle = (start.y() + end.y()) / 2
    return [start, QPointF(start.x(), middle), QPointF(end.x(), middle), end]


def free_spot(length: float, taken: list[float], room: float = 30.0) -> float:
    """A distance along a line that is far from what already stands on it.

    Parameters
    ----------
    length
        Of the line, pixels.
    taken
        Distances where valves and devices stand.
    room
        To keep from the ends.
    """
    low, high = min(room, length / 2), max(length - room, length / 2)
    steps = 16
    spots = [low + (high - low) * step / steps for step in range(steps + 1)]
    middle = length / 2

    def worth(spot: float) -> float:
        nearest = min((abs(spot - other) for other in taken), default=length)
        return min(nearest, 60.0) - 0.05 * abs(spot - middle)

    return max(spots, key=worth)
