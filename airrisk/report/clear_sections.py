"""Tables of where a pool may stand and which side a plug should face, as blocks of a chapter."""

from __future__ import annotations

from collections.abc import Sequence

from airrisk.report.blocks import Block, Bullets, Heading, Paragraph, table_of
from airrisk.study.keep_clear_table import DIRECTIONS, ClearRow
from airrisk.study.plug_sides import SidesOfVessel
from airrisk.wording.plug_side_texts import (
    clear_cautions,
    clear_rows,
    distances_sentence,
    pool_name,
    side_rows,
    sides_cautions,
    sides_sentences,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import Units


def distance_blocks(rows: Sequence[ClearRow], units: Units) -> list[Block]:
    """The distances that pools must keep, by direction; nothing where none are known."""
    if not rows:
        return []
    heads, *told = clear_rows(rows, units)
    some = len(DIRECTIONS)
    return [
        Heading(tr("How far a pool must stay from each vessel")),
        Paragraph(distances_sentence(units)),
        table_of(
            heads, told, [2.2, 1.6, 1.2, 1.5, *([1.1] * some), 1.6], tuple(range(4, 4 + some)),
            strong_first=True,
        ),
        Bullets(clear_cautions(rows)),
    ]  # fmt: skip


def side_blocks(found: Sequence[SidesOfVessel], units: Units) -> list[Block]:
    """Which side of each vessel a plug should face, for one pool."""
    if not found:
        return []
    title = tr("Which side a plug should face: {pool}").format(pool=pool_name(found[0], units))
    told = tuple(" ".join(sides_sentences(one, units)) for one in found)
    blocks: list[Block] = [Heading(title), Bullets(told)]
    heads, *rows = side_rows(found)
    if rows:
        blocks.append(table_of(heads, rows, [2, 3, 1, 1, 2, 3], (2, 3, 4), strong_first=True))
    return [*blocks, Bullets(sides_cautions(found, units))]
