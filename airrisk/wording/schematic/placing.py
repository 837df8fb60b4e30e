"""Places that a person has given in the schematic: they stay, and the others make room."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from airrisk.wording.schematic.graph import Flow
from airrisk.wording.schematic.pieces import PieceMaker
from airrisk.wording.schematic.records import Cell, Piece

FARTHEST = 400  # steps to look for a free place


def keep_places(
    stated: Mapping[str, Cell], flow: Flow, pieces: dict[str, Piece], maker: PieceMaker
) -> dict[str, Piece]:
    """The pieces with those of stated places put there, and the rest clear of them."""
    stated = {name: cell for name, cell in stated.items() if name in pieces}
    if not stated:
        return pieces
    found = {name: (pieces[name].x, pieces[name].y) for name in stated}
    settled = []
    for name, (x, y) in stated.items():
        pieces[name].x, pieces[name].y = x, y
        settled.append(pieces[name])
    moved = {name for name, cell in stated.items() if cell != found[name]}
    for name in flow.kinds:
        if name not in stated:
            if _settle(pieces[name], (pieces[name].x, pieces[name].y), settled):
                moved.add(name)
            settled.append(pieces[name])
    free = [link for link in flow.links if link.id not in stated]
    for link in free:
        if not {link.first, link.last} & moved:
            _settle(pieces[link.id], (pieces[link.id].x, pieces[link.id].y), settled)
            settled.append(pieces[link.id])
    for link in free:
        if {link.first, link.last} & moved:
            first, last = pieces[link.first], pieces[link.last]
            pieces[link.id] = _between(link.id, first, last, maker)
            middle = ((first.x + last.x) // 2, (first.y + last.y) // 2)
            _settle(pieces[link.id], middle, settled, stays=False)
            settled.append(pieces[link.id])
    return pieces


def _between(line: str, first: Piece, last: Piece, maker: PieceMaker) -> Piece:
    """The stretch of a line, level or upright as its ends stand to each other."""
    dx, dy = last.x - first.x, last.y - first.y
    apart = abs(dx) - (first.right + last.left if dx > 0 else first.left + last.right)
    upright = abs(dy) > abs(dx) and apart < 4
    return maker.stretch(line, upright, (dy if upright else dx) < 0)


def _settle(piece: Piece, wish: Cell, settled: Sequence[Piece], stays: bool = True) -> bool:
    """Put a piece at the free place nearest to a wish; whether it had to give way.

    What has been laid out ``stays`` where nothing stands on it; what is put anywhere else gets
    more room around it, so that lines find their way.
    """
    boxes = [other.box() for other in settled]
    for number, (x, y) in enumerate(_rounds(wish)):
        piece.x, piece.y = x, y
        left, right, top, bottom = piece.box(1 if stays and number == 0 else 2)
        if not any(
            left <= box[1] and box[0] <= right and top <= box[3] and box[2] <= bottom
            for box in boxes
        ):
            return (x, y) != wish
    piece.x, piece.y = wish
    return False


def _rounds(middle: Cell) -> Iterable[Cell]:
    """Cells in squares of growing size around one; level before upright."""
    x, y = middle
    yield middle
    for reach in range(1, FARTHEST):
        ring = [(x + dx, y + way * reach) for dx in range(-reach, reach + 1) for way in (-1, 1)]
        ring += [(x + way * reach, y + dy) for dy in range(1 - reach, reach) for way in (-1, 1)]
        ring.sort(key=lambda cell: abs(cell[0] - x) + abs(cell[1] - y))
        yield from ring
