"""Places for labels: beside their point, inside the frame, never on one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSizeF

Slide = Literal["around", "along x", "along y"]
STEPS: dict[Slide, int] = {"around": 10, "along x": 10, "along y": 30}
ON_CURVE, ON_MARK, ON_LINE = 10.0, 10.0, 1.0  # how much a label on one of these is to be avoided
AWAY = 0.05  # the same for each place farther from the point
NOTHING = np.empty((0, 0))


@dataclass(frozen=True, eq=False)
class Obstacles:
    """What a label had better not stand on, in pixels.

    ``tops``, ``bottoms``: edges of each curve (a row) over every column of pixels from ``left``
    on; not a number where the curve is not.
    """

    left: float
    tops: NDArray[np.float64]
    bottoms: NDArray[np.float64]
    marks: tuple[QRectF, ...] = ()
    upright: tuple[float, ...] = ()  # x of straight lines across the frame
    lying: tuple[float, ...] = ()  # y of them

    def cost(self, place: QRectF) -> float:
        """How bad a label is there; 0 when it stands on nothing."""
        first = max(int(place.left() - self.left), 0)
        last = max(int(np.ceil(place.right() - self.left)), first)
        over = (self.tops[:, first:last] < place.bottom()) & (
            self.bottoms[:, first:last] > place.top()
        )
        covered = np.count_nonzero(over)
        out = ON_CURVE * (1.0 + covered / max(place.width(), 1.0)) if covered else 0.0
        out += ON_MARK * sum(mark.intersects(place) for mark in self.marks)
        out += ON_LINE * sum(place.left() < x < place.right() for x in self.upright)
        out += ON_LINE * sum(place.top() < y < place.bottom() for y in self.lying)
        return out


def columns(
    curves: Sequence[tuple[NDArray[np.float64], NDArray[np.float64]]], left: float, count: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Upper and lower edges of curves over each column of pixels, y pointing down."""
    if not curves:
        return NOTHING, NOTHING
    edges = left + np.arange(count + 1)
    at = np.array([np.interp(edges, x, y, left=np.nan, right=np.nan) for x, y in curves])
    first, last = at[:, :-1], at[:, 1:]
    return np.fmin(first, last) - 1.0, np.fmax(first, last) + 1.0


def _candidates(
    anchor: QPointF, size: QSizeF, gap: float, slide: Slide, frame: QRectF
) -> Iterator[QRectF]:
    """Places at the anchor, the nearest first; those of a straight line go along the line."""
    right, left = anchor.x() + gap, anchor.x() - gap - size.width()
    middle = anchor.x() - size.width() / 2
    up, down = anchor.y() - gap - size.height(), anchor.y() + gap
    for step in range(STEPS[slide]):
        if slide == "along x":
            x = right + step * frame.width() / 10
            close = gap / 2  # a line has no shape to keep clear of
            yield QRectF(QPointF(x, up + close), size)
            yield QRectF(QPointF(x, down - close), size)
            continue
        shift = step * (size.height() * 0.6)
        for x in (right, left) if slide == "along y" else (right, left, middle):
            if slide != "along y":
                yield QRectF(QPointF(x, up - shift), size)
            yield QRectF(QPointF(x, down + shift), size)


def place_labels(
    anchors: list[QPointF],
    sizes: list[QSizeF],
    frame: QRectF,
    gap: float = 6.0,
    obstacles: Obstacles | None = None,
    slides: Sequence[Slide] = (),
) -> list[QRectF | None]:
    """A rectangle for each label; None when there is no free place near its point.

    Parameters
    ----------
    anchors, sizes
        The points that are labelled and the sizes of the labels, in pixels.
    frame
        Where labels may stand.
    gap
        Distance from the point in pixels.
    obstacles
        Curves and lines: the nearest place beside all of them is taken, where there is none the
        one that covers least.
    slides
        Which way each label may go from its point; around it when left out.
    """
    taken: list[QRectF] = []
    places: list[QRectF | None] = []
    ways: Sequence[Slide] = slides or ["around"] * len(anchors)
    for anchor, size, slide in zip(anchors, sizes, ways, strict=True):
        found = None
        if frame.adjusted(-4, -4, 4, 4).contains(anchor):
            free = (
                place
                for place in _candidates(anchor, size, gap, slide, frame)
                if frame.contains(place) and not any(place.intersects(other) for other in taken)
            )
            found = next(free, None) if obstacles is None else _cheapest(free, obstacles)
        if found is not None:
            taken.append(found.adjusted(-2, -1, 2, 1))
        places.append(found)
    return places


def _cheapest(places: Iterator[QRectF], obstacles: Obstacles) -> QRectF | None:
    """The first place that stands on nothing, or on so little that it is not worth going on."""
    best, least = None, float("inf")
    for number, place in enumerate(places):
        far = AWAY * number
        if far >= least:
            break
        cost = obstacles.cost(place) + far
        if cost < least:
            best, least = place, cost
    return best


def stack_rows(
    centres: Sequence[float], widths: Sequence[float], low: float, high: float
) -> list[tuple[float, int]]:
    """Left edge and row of each label over an axis; a label goes a row up when it would overlap.

    Parameters
    ----------
    centres, widths
        Where the labels belong and how wide they are, in pixels, centres rising.
    low, high
        Ends of the space for labels.
    """
    ends: list[float] = []
    out: list[tuple[float, int]] = []
    for centre, width in zip(centres, widths, strict=True):
        left = min(max(centre - width / 2, low), max(high - width, low))
        row = next((i for i, end in enumerate(ends) if left >= end + 8), len(ends))
        if row == len(ends):
            ends.append(0.0)
        ends[row] = left + width
        out.append((left, row))
    return out
