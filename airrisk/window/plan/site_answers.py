"""Where answers stand on the site plan: in sight, on no name, symbol, line or other answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF

from airrisk.window.plan.blocks import block_size, texts_of
from airrisk.window.plan.items import Drawn, LineItem
from airrisk.window.plan.site_items import covered
from airrisk.window.plan.site_labels import Named, leader, place_names
from airrisk.wording.part_answers import PartAnswer
from airrisk.wording.schematic.records import XY, Rect, around

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CELL = 4.0  # px, of the raster in which free room is looked for
STEP = 6.0  # px, from one place of a line that is kept free to the next


class Raster:
    """What is free of a view, in cells."""

    def __init__(self, view: Rect, taken: Iterable[Rect]) -> None:
        """Mark what is taken."""
        import numpy as np  # the first window does without it

        self._view = view
        wide, high = view.right - view.left, view.bottom - view.top
        self._taken: NDArray[np.bool_] = np.zeros(
            (max(int(high / CELL), 0), max(int(wide / CELL), 0)), dtype=bool
        )
        for rect in taken:
            self.take(rect)

    def take(self, rect: Rect) -> None:
        """Mark a rectangle."""
        left, top = self._cells(rect.left - self._view.left), self._cells(rect.top - self._view.top)
        right = self._cells(rect.right - self._view.left, 1)
        bottom = self._cells(rect.bottom - self._view.top, 1)
        self._taken[top:bottom, left:right] = True

    @staticmethod
    def _cells(length: float, more: int = 0) -> int:
        return max(int(length // CELL) + more, 0)

    def nearest(self, middle: XY, wide: float, high: float) -> Rect | None:
        """The free rectangle of a size whose middle is nearest to a place."""
        import numpy as np

        columns, rows = int(wide // CELL) + 1, int(high // CELL) + 1
        sums = np.zeros((self._taken.shape[0] + 1, self._taken.shape[1] + 1), dtype=np.int64)
        sums[1:, 1:] = self._taken.cumsum(0).cumsum(1)
        if sums.shape[0] <= rows or sums.shape[1] <= columns:
            return None
        within = (
            sums[rows:, columns:] - sums[:-rows, columns:]
            - sums[rows:, :-columns] + sums[:-rows, :-columns]
        )  # fmt: skip
        y, x = np.nonzero(within == 0)
        if not len(x):
            return None
        left, top = self._view.left + x * CELL, self._view.top + y * CELL
        away = np.hypot(left + wide / 2 - middle[0], top + high / 2 - middle[1])
        best = int(np.argmin(away))
        return Rect(
            float(left[best]), float(top[best]), float(left[best]) + wide, float(top[best]) + high
        )


def write_answers(
    items: Mapping[str, Drawn], answers: Mapping[str, PartAnswer], letters: float,
    view: QRectF | None,
) -> None:  # fmt: skip
    """Put answers with the names of their parts in sight, or where the nearest free place is."""
    taken = [_written(item) for item in items.values() if not item.label.isEmpty()]
    taken += [covered(item) for item in items.values()]
    for item in items.values():
        if isinstance(item, LineItem):
            taken += _along(item)
    raster = None if view is None else Raster(_rect(view), taken)
    for name in sorted(answers, key=lambda one: (answers[one].safe is not False, one)):
        if name not in items:
            continue  # what is not safe has had the choice
        size = block_size(texts_of(answers[name], name), letters)
        owner = covered(items[name])
        middle = ((owner.left + owner.right) / 2, (owner.top + owner.bottom) / 2)
        spot = None if raster is None else raster.nearest(middle, *size)
        if spot is None:
            spot = place_names([Named(name, owner, *size)], taken).get(name)
        if spot is not None:
            taken.append(spot)
            if raster is not None:
                raster.take(spot)
        _put(items[name], spot, owner)


def _put(item: Drawn, spot: Rect | None, owner: Rect) -> None:
    """The answer of an item in its place; none where no place is free."""
    item.prepareGeometryChange()
    item.block, item.answer_leader = QRectF(), None
    if spot is None:
        return
    at = (item.pos().x(), item.pos().y())
    item.named_answer = item.name
    item.block = QRectF(spot.left - at[0], spot.top - at[1], spot.right - spot.left,
                        spot.bottom - spot.top)  # fmt: skip
    first, last = leader(owner, spot, at)
    item.answer_leader = (QPointF(*first), QPointF(*last))


def _written(item: Drawn) -> Rect:
    """What the name and the mark of an item cover."""
    return _rect(item.label.united(item.mark).translated(item.pos()))


def _rect(rect: QRectF) -> Rect:
    return Rect(rect.left(), rect.top(), rect.right(), rect.bottom())


def _along(line: LineItem) -> Iterator[Rect]:
    """The course of a line as small rectangles."""
    for number in range(int(line.length() / STEP) + 1):
        point, _ = line.at_distance(number * STEP)
        yield around(point.x(), point.y(), STEP / 2, STEP / 2)
