"""In which order the gas spaces of a network are eliminated from its linear equations.

Walls, plugs and lifts of a space meet nothing but its own air, and the air of a space meets that
of its neighbours only. So each space is reduced to the two numbers of its air, and the spaces go
one after the other, the one with the fewest neighbours left first; what is left of its neighbours
is joined. The order depends on which spaces are joined and on nothing else, so it is worked out
once a case and stands in its integers (see ``layout``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Integers = NDArray[np.int64]


@dataclass(frozen=True)
class Elimination:
    """The order, the blocks between spaces, and which block each step changes.

    Block ``i`` below the number of spaces is that of space ``i`` with itself; the others belong
    to ordered pairs of spaces, those that a link joins first.
    """

    blocks: dict[tuple[int, int], int]
    count: int  # of all blocks
    steps: tuple[tuple[int, tuple[int, ...]], ...]  # space, neighbours that are left

    def integers(self) -> tuple[Integers, Integers]:
        """The steps one after the other, as ``linear_algebra`` reads them.

        Each is the space, the number of neighbours left, for every neighbour itself, the block
        towards it and the block from it, then for every pair of them the block that changes.
        Second, where each step begins.
        """
        numbers: list[int] = []
        begins = []
        for space, left in self.steps:
            begins.append(len(numbers))
            numbers += [space, len(left)]
            for other in left:
                numbers += [other, self.blocks[space, other], self.blocks[other, space]]
            numbers += [
                row if row == column else self.blocks[row, column]
                for row in left
                for column in left
            ]
        return np.array(numbers, dtype=np.int64), np.array(begins, dtype=np.int64)


@lru_cache(maxsize=256)
def elimination(spaces: int, links: tuple[tuple[int, int], ...]) -> Elimination:
    """The order in which ``spaces`` that ``links`` join are eliminated.

    Parameters
    ----------
    spaces
        Their number.
    links
        The two ends of each; -1 is the atmosphere.
    """
    around: list[set[int]] = [set() for _ in range(spaces)]
    blocks: dict[tuple[int, int], int] = {}

    def join(one: int, other: int) -> None:
        for pair in ((one, other), (other, one)):
            if pair not in blocks:
                blocks[pair] = spaces + len(blocks)
        around[one].add(other)
        around[other].add(one)

    for first, second in links:
        if first >= 0 and second >= 0:
            join(first, second)
    waiting = set(range(spaces))
    steps = []
    while waiting:
        space = min(waiting, key=lambda one: (len(around[one]), one))
        waiting.remove(space)
        left = tuple(sorted(around[space]))
        for place, one in enumerate(left):
            around[one].remove(space)
            for other in left[place + 1 :]:
                join(one, other)
        steps.append((space, left))
    return Elimination(blocks, spaces + len(blocks), tuple(steps))


def own_devices(homes: Sequence[int], spaces: int) -> Integers:
    """Which plugs, bosses, patches, relief valves and pools each space has.

    Parameters
    ----------
    homes
        Space of each plug, of the boss of each, then of each further patch of a wall, each relief
        valve and of the numbers of each pool.
    spaces
        Number of spaces.

    Returns
    -------
    array of int
        For every space where its own begin in the list behind, one more for the end, and the
        list.
    """
    own: list[list[int]] = [[] for _ in range(spaces)]
    for device, home in enumerate(homes):
        own[home].append(device)
    starts = np.cumsum([0, *(len(devices) for devices in own)])
    flat = [device for devices in own for device in devices]
    return np.array([*starts.tolist(), *flat], dtype=np.int64)


def pool_neighbours(
    homes: Sequence[int], own: Integers, spaces: int, order: Elimination
) -> tuple[Integers, Integers]:
    """What the pools' equations know of the spaces beside theirs.

    Parameters
    ----------
    homes
        Space of each pool.
    own
        The answer of ``own_devices``.
    spaces
        Number of spaces.
    order
        The answer of ``elimination``.

    Returns
    -------
    pools
        For each: its space, where its neighbours begin, how many they are, their first column.
    neighbours
        Each with the block by which the pool's space follows it.
    """
    pools: list[tuple[int, int, int, int]] = []
    found: list[tuple[int, int]] = []
    for home in homes:
        first = len(found)
        # those joined while eliminating count too, with nothing in them
        found += [(two, block) for (one, two), block in order.blocks.items() if one == home]
        pools.append((home, first, len(found) - first, 4 + int(own[home + 1] - own[home])))
    return np.array(pools, dtype=np.int64), np.array(found, dtype=np.int64)
