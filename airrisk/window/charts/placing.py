"""Places for labels: beside their point, inside the frame, never on one another."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPointF, QRectF, QSizeF


def _candidates(anchor: QPointF, size: QSizeF, gap: float) -> Iterator[QRectF]:
    """Places around the anchor, the nearest first."""
    right, left = anchor.x() + gap, anchor.x() - gap - size.width()
    middle = anchor.x() - size.width() / 2
    up, down = anchor.y() - gap - size.height(), anchor.y() + gap
    for step in range(10):
        shift = step * (size.height() * 0.6)
        for x in (right, left, middle):
            yield QRectF(QPointF(x, up - shift), size)
            yield QRectF(QPointF(x, down + shift), size)


def place_labels(
    anchors: list[QPointF], sizes: list[QSizeF], frame: QRectF, gap: float = 6.0
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
    """
    taken: list[QRectF] = []
    places: list[QRectF | None] = []
    for anchor, size in zip(anchors, sizes, strict=True):
        found = None
        if frame.adjusted(-4, -4, 4, 4).contains(anchor):
            for place in _candidates(anchor, size, gap):
                if frame.contains(place) and not any(place.intersects(other) for other in taken):
                    found = place
                    break
        if found is not None:
            taken.append(found.adjusted(-2, -1, 2, 1))
        places.append(found)
    return places


def stack_rows(
    centres: list[float], widths: list[float], low: float, high: float
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
