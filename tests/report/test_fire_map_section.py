"""The chapter of maps and distances, and when people must be away from a source's fire."""

from __future__ import annotations

from dataclasses import replace

from airrisk.report.blocks import Bullets, Drawn, Paragraph, Table
from airrisk.report.clear_sections import side_blocks
from airrisk.report.content import units_for
from airrisk.report.fire_map_section import fire_maps_section
from airrisk.report.source_sections import sources_section
from airrisk.study.fire_map import fire_map
from airrisk.study.fire_map_grid import pool_to_move
from airrisk.study.keep_clear_table import ClearRow
from airrisk.study.overview import keep_away
from airrisk.study.plug_sides import PlugSide, SidesOfVessel
from airrisk.wording.units import quantity_text
from tests.samples.answers import sample_answer, sample_installation
from tests.study.map_plants import DAY, lone_vessel

EIGHT = 8
ROWS = (
    ClearRow(
        "R1", "diesel", {1.0: (0.5, *[0.25] * 7), 4.0: (None,) * EIGHT},
        {1.0: (2.25,) * EIGHT, 4.0: (None,) * EIGHT}, True, "", frozenset({(1.0, 0, False)}),
    ),
    ClearRow("R2", "diesel", {4.0: (3.0,) * EIGHT}, {4.0: (3.0,) * EIGHT}, False),
    ClearRow("R3", "diesel", {}, {}, False, "it is full of water"),
)  # fmt: skip
TOP = PlugSide("top", None, False, 30, 40, ())
EAST = PlugSide("side", 0.0, False, 20, 10, (4, 5, 6))
SIDES = (
    SidesOfVessel("R1", "diesel", 2.0, "FP1", 121, 80, 0.5, 8, (TOP, EAST), (0, 1, 45)),
    SidesOfVessel("R2", "diesel", 2.0),
    SidesOfVessel("R3", "diesel", 2.0, "FP1", 121, 80, 0.5, 0, (replace(EAST, answered=0),)),
)


def test_a_chapter_holds_each_map_with_its_cautions_and_the_distances():
    whole = lone_vessel()
    units = units_for(whole)
    seen = fire_map(whole, pool_to_move("diesel", 1.0), DAY, positions=60, borders=False)
    section = fire_maps_section([seen], ROWS, whole, units, [SIDES])
    assert any(isinstance(one, Drawn) for one in section.blocks)
    told, *_ = (one for one in section.blocks if isinstance(one, Bullets))
    assert any("at most four runs" in text for text in told.items)
    tables = [one for one in section.blocks if isinstance(one, Table)]
    rows = [[cell.replace("\u00a0", " ") for cell in row] for row in tables[-2].rows]
    assert rows == [
        ["Vessel R1", "diesel", "1 m", "with", "0.5", *["0.25"] * 7, "N"],
        ["Vessel R1", "diesel", "1 m", "without", "2.25*", *["2.25"] * 7, "all alike"],
        ["Vessel R1", "diesel", "4 m", "with", *["none"] * 8, "all alike"],
        ["Vessel R1", "diesel", "4 m", "without", *["none"] * 8, "all alike"],
        ["Vessel R2", "diesel", "4 m", "no plug", *["3"] * 8, "all alike"],
        ["Vessel R3", "diesel", "not assessed", *[""] * 10],
    ]
    assert len(tables[-1].rows) == 3


def test_the_sides_of_a_plug_are_told_with_their_counts_and_what_they_miss():
    units = units_for(lone_vessel())
    heading, bullets, table, cautions = side_blocks(SIDES, units)
    assert heading.text.replace("\u00a0", " ") == (
        "Which side a plug should face: diesel, pool of 2 m"
    )
    told = [one.replace("\u00a0", " ") for one in bullets.items]
    assert told[0] == (
        "Vessel R1: a plug like FP1 answers most on top: 40 (50 %) of the 80 places from "
        "which the fire is dangerous. It leaves 40 unanswered; no other single place leaves "
        "fewer. Two of them, for example one on top and one on the east side, answer 45 (56 %). "
        "8 (10 %) are answered wherever the plug stands, by the heat of the wall."
    )
    assert "no plug of a stated alloy to try" in told[1]
    assert "no place of a plug answers any of the 80 places" in told[2]
    assert table.rows[1][-1] == "south, south-west, west"
    assert any("never proof" in one for one in cautions.items)


def test_a_report_says_by_when_people_must_be_away_from_a_source():
    answer, whole = sample_answer("joinery"), sample_installation("joinery")
    units = units_for(whole)
    (one, *_) = (f for f in answer.fires if f.id == "Day-tank" and f.vessels == ("R1",))
    lost = replace(one, envelope=replace(one.envelope, rupture_s=540.0))
    assert strong(replace(answer, fires=(lost,)), units) == [
        "In its fire something ruptures after 9\u00a0min at the earliest: by then everybody must "
        f"be {quantity_text(keep_away(answer, 'R1').farthest_m, 'distance', units, 2)} away from "
        "what ruptures."
    ]
    bare = replace(answer, fires=(lost,), consequences={})
    assert strong(bare, units) == [
        "In its fire something ruptures after 9\u00a0min at the earliest."
    ]
    assert strong(replace(answer, fires=()), units) == []


def strong(answer, units):
    section = sources_section(answer, units)
    return [b.text for b in section.blocks if isinstance(b, Paragraph) and b.style == "strong"]
