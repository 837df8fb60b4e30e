"""Parts without a place while something can burn somewhere: nothing of them is sure."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from airrisk.installation.model import Fire
from airrisk.installation.reading import check
from airrisk.installation.splice import SystemText
from airrisk.study.assessment import assess
from airrisk.study.exposures import exposures
from airrisk.tables import sample_path
from airrisk.wording.margins import hangs_on
from airrisk.wording.overview import overview_sentences
from airrisk.wording.units import Units

ON = dt.date(2026, 11, 1)


def test_a_vessel_whose_place_is_taken_away_is_never_surely_safe():
    text = SystemText(sample_path("joinery.toml").read_text(encoding="utf-8"))
    for part in ("R1", "L1"):
        text = text.set(part, "at", None)
        if text.value(part, "route"):
            text = text.set(part, "route", None)
    installation, problems = check(text.text)
    assert installation is not None, problems
    answer = assess(installation, ON, bores=False)
    mine = [one for one in answer.fires if "R1" in one.members]
    assert mine
    for fire in mine:
        assert not (fire.safe and fire.sure), fire.id
        assert "R1" in fire.not_placed
    assert "place of" in hangs_on(mine[0])
    assert any(one.rule == "place-not-stated" for one in answer.findings)
    told = " ".join(overview_sentences(answer, Units("metric", answer.ambient_pressure_pa)))
    assert "not sure" in told or "not safe" in told


def test_a_stated_fire_too_is_not_sure_while_another_could_burn_at_a_part_without_a_place():
    installation, problems = check(sample_path("joinery.toml").read_text(encoding="utf-8"))
    assert installation is not None, problems
    assert installation.fire_sources
    held = next(one for one in installation.vessels if one.id == "R1")
    unplaced = replace(
        installation,
        vessels=tuple(
            replace(one, at=None) if one is held else one for one in installation.vessels
        ),
        lines=tuple(replace(one, at=None, route=()) for one in installation.lines),
        fires=(
            Fire(id="by hand", curve="standard", reaches=("R1",), convection=25.0, duration=600.0),
        ),
    )
    mine = [one for one in exposures(unplaced) if "R1" in one.section.holders]
    assert {one.fire_class for one in mine} == {"stated", "whole", "beside", "spot"}
    assert any(one.fire.id == "by hand" for one in mine)
    for one in mine:
        assert "R1" in one.not_placed, one.fire.id
