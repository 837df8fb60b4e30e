"""The chapter of maps and distances, and when people must be away from a source's fire."""

from __future__ import annotations

from dataclasses import replace

from airrisk.report.blocks import Bullets, Drawn, Paragraph, Table
from airrisk.report.content import units_for
from airrisk.report.fire_map_section import fire_maps_section
from airrisk.report.source_sections import sources_section
from airrisk.study.fire_map import fire_map
from airrisk.study.fire_map_grid import pool_to_move
from airrisk.study.keep_clear_table import ClearRow
from airrisk.study.overview import keep_away
from airrisk.wording.units import quantity_text
from tests.samples.answers import sample_answer, sample_installation
from tests.study.map_plants import DAY, lone_vessel

ROWS = (
    ClearRow("R1", "diesel", {1.0: 0.5, 4.0: None}, {1.0: 2.25, 4.0: None}, True),
    ClearRow("R2", "diesel", {1.0: 1.0, 4.0: 3.0}, {1.0: 1.0, 4.0: 3.0}, False),
    ClearRow("R3", "diesel", {}, {}, False, "it is full of water"),
)


def test_a_chapter_holds_each_map_with_its_cautions_and_the_distances():
    whole = lone_vessel()
    units = units_for(whole)
    seen = fire_map(whole, pool_to_move("diesel", 1.0), DAY, positions=60, borders=False)
    section = fire_maps_section([seen], ROWS, whole, units)
    assert any(isinstance(one, Drawn) for one in section.blocks)
    (told,) = (one for one in section.blocks if isinstance(one, Bullets))
    assert any("at most four runs" in text for text in told.items)
    table = [one for one in section.blocks if isinstance(one, Table)][-1]
    cells = {row[0]: [cell.replace("\u00a0", " ") for cell in row[2:]] for row in table.rows}
    assert cells["vessel R1"] == ["0.5 m / 2.25 m", "none found / none found"]
    assert cells["vessel R2"] == ["no plug / 1 m", "no plug / 3 m"]
    assert cells["vessel R3"] == ["not assessed"] * 2


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
