"""Puts the pieces of a schematic into place: layers, order, and rows where they are too many."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from airrisk.wording.schematic.graph import Flow, components, layers
from airrisk.wording.schematic.ordering import Layered, layered, put_in_order, put_in_place
from airrisk.wording.schematic.pieces import PieceMaker
from airrisk.wording.schematic.ports import side_room
from airrisk.wording.schematic.records import Cell, Piece

BETWEEN = 3  # free steps between what does not hang together
SHAPE = 2.0  # width of a drawing to its height, at which it fills a page or a window best
MOST_ROWS = 4  # that a long chain of layers is folded into
WORTH_A_ROW = 1.2  # times larger must the drawing be shown
SHORT = 0.3  # of a row that what does not hang with the widest may stand out
FEW = 40  # steps, width of a drawing in which nothing is joined
RETURN = 3  # free steps between rows, and one more for each line that goes on in the next


def arranged(flow: Flow, maker: PieceMaker, spare: int, shape: float = SHAPE) -> dict[str, Piece]:
    """All pieces in places, in as many rows as show them largest.

    Parameters
    ----------
    flow : Flow
        What joins what.
    maker : PieceMaker
        Makes the boxes.
    spare : int
        Steps to leave between layers beyond what seems needed.
    shape : float
        Width to height of the place that the drawing is to fill.
    """
    parts = [_placed(each, maker, spare) for each in components(flow)]
    pieces = {name: piece for found in parts for name, piece in found.pieces.items()}
    best: dict[str, Cell] = {}
    largest = 0.0
    for rows in range(1, MOST_ROWS + 1):
        _stack(parts, rows)
        shown = _shown(pieces, shape)
        if not best or shown > largest * WORTH_A_ROW:
            best = {name: (piece.x, piece.y) for name, piece in pieces.items()}
            largest = shown
    for name, (x, y) in best.items():
        pieces[name].x, pieces[name].y = x, y
    return pieces


def _shown(pieces: Mapping[str, Piece], shape: float) -> float:
    """How large a step is shown where the drawing fills its place."""
    boxes = [piece.box() for piece in pieces.values()]
    if not boxes:
        return 1.0
    wide = max(box[1] for box in boxes) - min(box[0] for box in boxes) + 1
    high = max(box[3] for box in boxes) - min(box[2] for box in boxes) + 1
    return min(shape / wide, 1.0 / high)


def _stack(parts: Sequence[Layered], rows: int) -> None:
    """Put what does not hang together one below the other, the widest in so many rows.

    Parts that nothing joins stand beside each other at the end.
    """
    top = 0
    alone = [piece for found in parts if len(found.pieces) == 1 for piece in found.pieces.values()]
    widest = max((found.x[-1] for found in parts), default=0)
    for found in parts:
        if len(found.pieces) == 1:
            continue
        _fold(found, max(math.ceil(rows * found.x[-1] / max(widest, 1) - SHORT), 1))
        boxes = [piece.box() for piece in found.pieces.values()]
        highest, lowest = min(box[2] for box in boxes), max(box[3] for box in boxes)
        for piece in found.pieces.values():
            piece.y += top - highest
        top += lowest - highest + 1 + BETWEEN
    joined = [piece for found in parts if len(found.pieces) > 1 for piece in found.pieces.values()]
    _side_by_side(alone, top, max((piece.box()[1] for piece in joined), default=FEW))


def _side_by_side(pieces: Sequence[Piece], top: int, width: int) -> None:
    """Put pieces in lines of a width, from a row downward."""
    right, lowest = 0, top
    for piece in pieces:
        if right and right + piece.left + piece.right > width:
            right, top = 0, lowest + BETWEEN
        piece.x, piece.y = right + piece.left, top + piece.up
        right = piece.box()[1] + BETWEEN + 1
        lowest = max(lowest, piece.box()[3] + 1)


def _placed(flow: Flow, maker: PieceMaker, spare: int) -> Layered:
    """The pieces of what hangs together, in their columns and rows."""
    layer = layers(flow)
    pieces: dict[str, Piece] = {}
    for name, kind in flow.kinds.items():
        pieces[name] = maker.part(name, kind, _most_on_a_side(name, flow, layer))
    for link in flow.links:
        upright = layer[link.first] == layer[link.last] and link.first != link.last
        backward = layer[link.first] > layer[link.last]
        pieces[link.id] = maker.stretch(link.id, upright, backward)
    found = layered(flow, layer, pieces)
    put_in_order(found)
    row = {name: index for names in found.rows for index, name in enumerate(names)}
    for link in flow.links:
        if link.id in found.across and row[link.first] > row[link.last]:
            pieces[link.id] = maker.stretch(link.id, upright=True, backward=True)
    put_in_place(found, lambda name: side_room(pieces.get(name)), spare)
    return found


def _fold(found: Layered, rows: int) -> None:
    """Place the pieces, later layers in rows below the first ones, each begun at the left."""
    cuts = _cuts(found, rows)
    layer = {name: number for number, names in enumerate(found.rows) for name in names}
    for name, piece in found.pieces.items():
        piece.x, piece.y = found.x[layer[name]], found.y[name]
    lowest = 0
    for start, end in zip([0, *cuts], [*cuts, len(found.rows)], strict=True):
        mine = [piece for name, piece in found.pieces.items() if start <= layer[name] < end]
        if start and mine:
            across = sum(layer[first] < start <= layer[last] for first, last in found.wires)
            left = min(piece.box()[0] for piece in mine)
            top = min(piece.box()[2] for piece in mine)
            for piece in mine:
                piece.x -= left
                piece.y += lowest + RETURN + across + 1 - top
        lowest = max((piece.box()[3] for piece in mine), default=lowest)


def _cuts(found: Layered, rows: int) -> list[int]:
    """The layers at which rows begin: near equal parts of the width, and where few lines cross."""
    layer = {name: number for number, names in enumerate(found.rows) for name in names}
    whole = found.x[-1] - found.x[0]
    crossing = [
        sum(layer[first] < number <= layer[last] for first, last in found.wires)
        for number in range(len(found.rows))
    ]
    cuts: list[int] = []
    for number in range(1, rows):
        ideal = found.x[0] + whole * number / rows
        later = [n for n in range(1, len(found.rows)) if n % 2 and (not cuts or n > cuts[-1] + 1)]
        if not later or whole == 0:
            break
        cuts.append(
            min(later, key=lambda n: crossing[n] + 8.0 * rows * abs(found.x[n] - ideal) / whole)
        )
    return cuts


def _most_on_a_side(name: str, flow: Flow, layer: Mapping[str, int]) -> int:
    sides = {-1: 0, 0: 0, 1: 0}
    for link in flow.links:
        for here, there in ((link.first, link.last), (link.last, link.first)):
            if here == name:
                step = layer[there] - layer[here]
                sides[(step > 0) - (step < 0)] += 1
    most = max(sides[-1], sides[1])
    if flow.kinds[name] == "junction" and most <= 3 and sum(sides.values()) <= 4:
        return 1  # each of its four sides takes one
    return most
