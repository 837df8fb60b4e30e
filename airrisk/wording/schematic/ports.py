"""Where lines meet parts: on which side, and how far from its middle."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from airrisk.wording.schematic.ordering import spread
from airrisk.wording.schematic.records import PITCH, XY, Cell, Piece, Rect
from airrisk.wording.schematic.routing import STEPS, Port


def side_room(piece: Piece | None) -> int:
    """How many steps from its middle the outermost line may meet a side of a piece."""
    if piece is None or piece.is_line or piece.kind == "end":
        return 0
    if piece.kind in ("junction", "consumer"):
        return int(piece.half[1] // PITCH)
    # of a vessel: as high as its wall is straight; devices at its side stand above that
    return max(int((piece.half[1] - abs(piece.middle[1])) // PITCH) - 1, 1)


def stretch_port(piece: Piece, number: int) -> Port:
    """Where a wire meets the first (0) or last (1) end of a line's own stretch."""
    low = (number == 0) != piece.backward
    if piece.upright:
        return (
            ((piece.x, piece.y - piece.up - 1), 3)
            if low
            else ((piece.x, piece.y + piece.down + 1), 1)
        )
    return (
        ((piece.x - piece.left - 1, piece.y), 2)
        if low
        else ((piece.x + piece.right + 1, piece.y), 0)
    )


class Ports:
    """Where wires may meet each part."""

    def __init__(self) -> None:
        """Nothing is shared out yet."""
        self._wanted: dict[tuple[str, str, int], list[Port]] = {}

    def assign(self, wires: Sequence[tuple[Piece, Piece, int]]) -> None:
        """Share each side of each part out among the wires that come from there."""
        groups: dict[tuple[str, int], list[tuple[int, Piece, Piece, int]]] = defaultdict(list)
        for part, stretch, number in wires:
            (x, y), _ = stretch_port(stretch, number)
            side = _side_toward(stretch, number)
            order = y if side % 2 == 0 else x
            groups[part.id, side].append((order, part, stretch, number))
        for (_, side), members in groups.items():
            members.sort(key=lambda one: (one[0], one[2].y))
            part = members[0][1]
            shifts = spread(len(members), side_room(part) if side % 2 == 0 else 0)
            for (_, part, stretch, number), shift in zip(members, shifts, strict=True):
                port = part_port(part, side, shift)
                self._wanted[part.id, stretch.id, number] = [] if port is None else [port]

    def wanted(self, part: Piece, stretch: Piece, number: int) -> list[Port]:
        """The port on the side where the stretch is; of a junction, whichever is best."""
        if part.kind == "junction" and side_room(part) == 0:
            return self.free(part, stretch, number)
        return self._wanted[part.id, stretch.id, number]

    def free(self, part: Piece, stretch: Piece, number: int) -> list[Port]:
        """Every port that nothing stands before, the nearest first."""
        room = side_room(part)
        places = [0, *(one for step in range(1, room + 1) for one in (step, -step))]
        found = [part_port(part, side, shift) for side in (0, 2) for shift in places]
        found += [part_port(part, side, 0) for side in (1, 3)]
        aim, _ = stretch_port(stretch, number)
        ports = [port for port in found if port is not None]
        ports.sort(key=lambda port: abs(port[0][0] - aim[0]) + abs(port[0][1] - aim[1]))
        return ports

    def cells(self, part: Piece, stretch: Piece, number: int) -> list[Cell]:
        """Where a wire may begin or end, and no wire of another part should pass."""
        return [
            cell for cell, _ in (*self.wanted(part, stretch, number), stretch_port(stretch, number))
        ]

    def every(self, part: Piece, stretch: Piece, number: int) -> list[Port]:
        """Ports to begin at when all else fails."""
        return self.wanted(part, stretch, number) or self.free(part, stretch, number)

    def length(self, part: Piece, stretch: Piece, number: int) -> tuple[bool, int]:
        """Straight ways first, then short ones."""
        (x, y), _ = stretch_port(stretch, number)
        starts = self._wanted[part.id, stretch.id, number] or [((part.x, part.y), 0)]
        (a, b), _ = starts[0]
        return (x != a and y != b, abs(x - a) + abs(y - b))


def _side_toward(stretch: Piece, number: int) -> int:
    """On which side of its part the first (0) or last (1) end of a stretch goes on along the flow.

    A line that goes on in the next row of the drawing leaves on the right all the same.
    """
    onward = (number == 0) != stretch.backward
    if stretch.upright:
        return 1 if onward else 3
    return 0 if onward else 2


def side_of(part: Piece, x: int, y: int) -> int:
    """On which side of a part a cell lies: right, below, left or above (0 to 3)."""
    left, right, top, bottom = part.box()
    if x > right:
        return 0
    if x < left:
        return 2
    return 1 if y > bottom else 3 if y < top else 0


def part_port(part: Piece, side: int, shift: int) -> Port | None:
    """Where a wire leaves a side of a part; None where a name or a device stands before it."""
    dx, dy = STEPS[side]
    reach = (part.right, part.down, part.left, part.up)[side] + 1
    cell = (
        part.x + dx * reach + (shift if dy else 0),
        part.y + dy * reach + (shift if dx else 0),
    )
    start = part_edge(part, side, shift)
    end = ((cell[0] - part.x) * PITCH, (cell[1] - part.y) * PITCH)
    stub = Rect(
        min(start[0], end[0]), min(start[1], end[1]), max(start[0], end[0]), max(start[1], end[1])
    ).grown(1.0)
    symbols = [one.rect for one in part.symbols if one.id != part.id]
    if any(stub.meets(rect) for rect in [*symbols, *part.written]):
        return None
    return cell, side


def part_edge(part: Piece, side: int, shift: int) -> XY:
    """Where a wire begins on the outline of a part, against the part's middle."""
    half_x, half_y = part.half
    x, y = part.middle
    aside = shift * PITCH
    if part.kind == "compressor" and aside:
        half_x = half_y = max(half_x**2 - aside**2, 0.0) ** 0.5
    if side % 2 == 0:
        return (x + (half_x if side == 0 else -half_x), aside)
    return (aside, y + (half_y if side == 1 else -half_y))
