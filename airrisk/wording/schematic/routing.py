"""Ways at right angles on a grid: round every box, and no stretch of one on that of another."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from airrisk.wording.schematic.records import Cell

BEND = 4
CROSSING = 7
BESIDE_BOX = 1
OVER_BOX = 60
OVER_LINE = 40
FAR = 1 << 30
STEPS = ((1, 0), (0, 1), (-1, 0), (0, -1))  # right, down, left, up
Port = tuple[Cell, int]  # where a wire begins, and the direction in which it leaves the part


@dataclass(frozen=True)
class Way:
    """The cells of a way in order, and whether it runs over something."""

    cells: tuple[Cell, ...]
    forced: bool


class Grid:
    """Which cells are taken by boxes, and along which axis by wires."""

    def __init__(self, boxes: Iterable[tuple[int, int, int, int]], margin: int = 6) -> None:
        """Around boxes: first and last column, first and last row."""
        taken = list(boxes)
        self._x0 = min((box[0] for box in taken), default=0) - margin
        self._y0 = min((box[2] for box in taken), default=0) - margin
        x1 = max((box[1] for box in taken), default=0) + margin
        y1 = max((box[3] for box in taken), default=0) + margin
        self._wide, self._high = x1 - self._x0 + 1, y1 - self._y0 + 1
        size = self._wide * self._high
        self._blocked = bytearray(size)
        self._near = bytearray(size)
        self._kept = bytearray(size)  # where the wires of one part begin: no others there
        self._edge = bytearray(size)  # no wire runs there, so that no step leads off the grid
        for x in range(self._wide):
            self._edge[x] = self._edge[size - 1 - x] = 1
        for y in range(self._high):
            self._edge[y * self._wide] = self._edge[(y + 1) * self._wide - 1] = 1
        self._level = bytearray(size)
        self._upright = bytearray(size)
        for left, right, top, bottom in taken:
            for y in range(top - 1, bottom + 2):
                row = (y - self._y0) * self._wide - self._x0
                inside = top <= y <= bottom
                for x in range(left - 1, right + 2):
                    if inside and left <= x <= right:
                        self._blocked[row + x] = 1
                    else:
                        self._near[row + x] = 1

    def clear(self) -> None:
        """Forget all wires."""
        size = self._wide * self._high
        self._level = bytearray(size)
        self._upright = bytearray(size)

    def _index(self, cell: Cell) -> int:
        return (cell[1] - self._y0) * self._wide + cell[0] - self._x0

    def contains(self, cell: Cell) -> bool:
        """Whether a cell lies on the grid."""
        return 0 <= cell[0] - self._x0 < self._wide and 0 <= cell[1] - self._y0 < self._high

    def keep(self, cells: Iterable[Cell], kept: bool = True) -> None:
        """Keep cells from wires, or let them in."""
        for cell in cells:
            if self.contains(cell):
                self._kept[self._index(cell)] = kept

    def is_free(self, cell: Cell) -> bool:
        """Whether a wire may begin or end here."""
        if not self.contains(cell):
            return False
        at = self._index(cell)
        return not (self._blocked[at] or self._level[at] or self._upright[at])

    def take(self, cells: Sequence[Cell]) -> None:
        """Keep these cells of a way from others; its ends and bends along both axes."""
        for number, cell in enumerate(cells):
            at = self._index(cell)
            before = cells[number - 1] if number else None
            after = cells[number + 1] if number + 1 < len(cells) else None
            if before is None or after is None:
                self._level[at] = self._upright[at] = 1
                continue
            if before[1] == cell[1] or after[1] == cell[1]:
                self._level[at] = 1
            if before[0] == cell[0] or after[0] == cell[0]:
                self._upright[at] = 1

    def way(self, starts: Sequence[Port], end: Port) -> Way | None:
        """The cheapest free way from one of the starts to an end."""
        cells = self._search(starts, end, over=False)
        return None if cells is None else Way(cells, False)

    def forced_way(self, starts: Sequence[Port], end: Port) -> Way | None:
        """A way that runs over boxes and wires where there is no free one."""
        cells = self._search(starts, end, over=True)
        return None if cells is None else Way(cells, True)

    def _search(self, starts: Sequence[Port], end: Port, over: bool) -> tuple[Cell, ...] | None:
        """Best first, over states: a cell and the direction in which it was entered."""
        (aim_x, aim_y), way_out = end
        if not self.contains(end[0]):
            return None
        goal = self._index(end[0]) * 4 + (way_out + 2) % 4
        aim_x, aim_y, wide = aim_x - self._x0, aim_y - self._y0, self._wide
        cost: dict[int, int] = {}
        came: dict[int, int] = {}
        heap: list[tuple[int, int, int]] = []
        for number, (cell, way) in enumerate(starts):
            if self.contains(cell):
                at = self._index(cell)
                cost[at * 4 + way] = number
                came[at * 4 + way] = -1
                heap.append((number, 0, at * 4 + way))
        heapq.heapify(heap)
        closed: set[int] = set()
        while heap:
            _, serial, state = heapq.heappop(heap)
            if state in closed:
                continue
            if state == goal:
                return self._back(state, came)
            closed.add(state)
            turned = came[state] >= 0 and came[state] // 4 == state // 4
            for reached, price in self._moves(state, turned, over):
                total = cost[state] + price
                if reached not in closed and total < cost.get(reached, FAR):
                    cost[reached] = total
                    came[reached] = state
                    y, x = divmod(reached // 4, wide)
                    left = abs(x - aim_x) + abs(y - aim_y)
                    heapq.heappush(heap, (total + left, serial - 1, reached))
        return None

    def _moves(self, state: int, turned: bool, over: bool) -> list[tuple[int, int]]:
        """The states that follow one, with what each costs: one step, or a turn in place."""
        at, way = divmod(state, 4)
        taken = self._level[at] or self._upright[at]
        found = []
        if not turned and (over or not taken):
            price = BEND + (OVER_LINE if taken else 0)
            found = [(at * 4 + (way + 1) % 4, price), (at * 4 + (way + 3) % 4, price)]
        to = at + (1, self._wide, -1, -self._wide)[way]
        if self._edge[to]:
            return found
        along, across = (self._upright, self._level) if way % 2 else (self._level, self._upright)
        price = 1 + self._near[to] * BESIDE_BOX + across[to] * CROSSING
        if self._blocked[to] or self._kept[to] or along[to] or along[at]:
            if not over:
                return found
            price += OVER_BOX if self._blocked[to] else OVER_LINE
        found.append((to * 4 + way, price))
        return found

    def _back(self, state: int, came: dict[int, int]) -> tuple[Cell, ...]:
        cells: list[Cell] = []
        while state >= 0:
            at = state // 4
            cell = (at % self._wide + self._x0, at // self._wide + self._y0)
            if not cells or cells[-1] != cell:
                cells.append(cell)
            state = came[state]
        return tuple(reversed(cells))
