"""Walls and moved fires: where they are asked, and that only runs call them a cure."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study.assessment import assess
from airrisk.study.cache import StepCache
from airrisk.study.costs import usual_costs
from airrisk.study.cure_changes import changed_text, unwritten
from airrisk.study.cure_places import changes_of_place
from airrisk.study.cure_plan import find_plans
from airrisk.study.cure_trials import Bench, is_cured
from tests.study.cure_plants import ON, PLANTS, POOL, bench_of, changes_of

NAME = "a pool beside it"


def test_a_wall_stands_between_the_fire_and_the_shell_and_is_taller_than_the_flame():
    bench = bench_of(PLANTS[NAME])
    (wall,) = (one for one in changes_of_place(bench, usual_costs()) if one.kind == "wall")
    fields = dict(wall.added)
    (x1, y1), (x2, y2) = fields["points"]
    assert x1 == x2
    assert 0.3 < x1 < 0.8  # shell of 0.306 m at the origin, edge of the pool at 0.8 m
    assert min(y1, y2) < -0.6
    assert max(y1, y2) > 0.6
    record = bench.before.fire_sources["Oil"]
    assert wall.values["height_m"] >= record.flame_height_m + 1.0
    assert wall.values["resists_s"] >= record.burning_time_s


def test_a_plan_with_a_wall_is_safe_in_its_file_and_is_told_as_a_promise():
    bench = bench_of(PLANTS[NAME])
    assert {cell.fire_class for cell in bench.cells} == {"stated"}
    walls = [one for one in changes_of_place(bench, usual_costs()) if one.kind == "wall"]
    (plan,) = find_plans(bench, walls).plans
    assert plan.on_the_place
    assert unwritten(plan.changes) == plan.changes
    assert changed_text(bench.text, plan.changes, as_offered=True).text == bench.text.text
    anew = assess(read(changed_text(bench.text, plan.changes).text), ON, bores=False)
    assert all(one.safe for one in anew.verdicts if one.outcome is not None)
    assert anew.fire_sources["Oil"].exposures["R1"].incident_w_m2 == 0.0  # it burns as before


def test_a_wall_that_nobody_knows_to_stand_cures_nothing():
    bench = bench_of(PLANTS[NAME])
    wall = next(one for one in changes_of_place(bench, usual_costs()) if one.kind == "wall")
    short = replace(wall, added=tuple(one for one in wall.added if one[0] != "resists"))
    low = replace(wall, added=tuple(("height", "1 m") if one[0] == "height" else one
                                    for one in wall.added))  # fmt: skip
    for change in (short, low):
        trial = bench.trial([change])
        assert trial is not None
        assert trial.cured == frozenset()


def test_a_source_that_is_gone_is_not_one_that_misses():
    bench = bench_of(PLANTS[NAME])
    (cell,) = bench.cells
    assert cell.sources == ("Oil",)
    whole = read(bench.text.text)
    after = assess(replace(whole, fire_sources=()), ON, bores=False)
    assert not is_cured(cell, after)


@pytest.mark.parametrize(
    ("size", "volume", "east"),
    [
        ("1.2 m", "60 L", "1.0"),  # 0.1 m from the shell: no room for it
        ("3 m", "400 L", "2.6"),  # its flame is taller than a usual wall
        ("1.2 m", "2000 L", "1.4"),  # burns longer than walls are rated for
    ],
)
def test_no_wall_is_asked_where_none_can_stand(size, volume, east):
    pool = POOL.replace("1.2 m", size).replace("60 L", volume).replace("1.4, 0.0", f"{east}, 0.0")
    bench = bench_of(PLANTS[NAME].replace(POOL, pool))
    assert "stated" in {cell.fire_class for cell in bench.cells}
    assert not any(one.kind == "wall" for one in changes_of_place(bench, usual_costs()))


def test_a_fire_is_moved_beyond_what_its_leaning_flame_reaches():
    """At the distance that the runs ask, in still air, wind would lean the flame on the shell."""
    text, cache = PLANTS[NAME], StepCache()
    whole = read(text)
    bench = Bench(SystemText(text), whole, ON, assess(whole, ON, cache=cache), cache)
    away = next(one for one in changes_of(bench) if one.kind == "away")
    after = bench.proof([away])
    assert after is not None
    record = after.assessment.fire_sources["Oil"]
    reach = math.sin(math.radians(45.0)) * record.flame_height_m
    assert record.gap_m["R1"] > reach
    rules = {one.rule for one in after.assessment.findings}
    assert "flame-can-touch-vessel" not in rules
    too_near = [n for n, one in enumerate(bench.before.findings)
                if one.rule == "fire-source-too-near"]  # fmt: skip
    assert too_near
    assert set(too_near) <= set(after.gone)
