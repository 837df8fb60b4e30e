"""Less pressure: machines and relief valves together, and only where it reaches the verdict."""

from __future__ import annotations

import pytest

from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.costs import usual_costs
from airrisk.study.cure_changes import changed_text, unwritten
from airrisk.study.cure_plan import find_plans
from airrisk.study.cure_pressure import less_pressure
from tests.study.cure_plants import ON, PLANTS, RELIEF, bench_of, changes_of

NAME = "much pressure"
DISC = """
[[bursting_disc]]
id = "BD1"
on = "R1"
burst_pressure = "12 bar(g)"
area = "100 mm2"
outlet_place = "outdoors, nobody passes"
"""


def test_machines_relief_valves_and_stated_pressures_come_down_together():
    bench = bench_of(PLANTS[NAME])
    changes = list(less_pressure(bench, usual_costs()))
    assert changes
    for change in changes:
        changed = bench.changed([change])
        assert changed is not None
        (machine,), (valve,), (vessel,) = (
            changed.compressors, changed.relief_valves, changed.vessels,
        )  # fmt: skip
        assert machine.cut_in_pressure < machine.discharge_pressure < valve.set_pressure
        assert vessel.pressure <= machine.discharge_pressure
        assert valve.set_pressure < bench.installation.relief_valves[0].set_pressure
        trial = bench.trial([change])
        assert trial is not None
        assert trial.cured


def test_a_plan_of_less_pressure_is_safe_in_its_file_and_never_counts_before_it_is_done():
    bench = bench_of(PLANTS[NAME])
    plan = find_plans(bench, changes_of(bench)).plans[0]
    assert [one.kind for one in plan.changes] == ["lower"]
    assert not plan.on_the_place
    assert unwritten(plan.changes) == plan.changes
    assert changed_text(bench.text, plan.changes, as_offered=True).text == bench.text.text
    anew = assess(read(changed_text(bench.text, plan.changes).text), ON, bores=False)
    assert all(one.safe for one in anew.verdicts if one.outcome is not None)


@pytest.mark.parametrize(
    "text",
    [
        PLANTS[NAME].replace(RELIEF, ""),  # the design pressure stays the highest that can stand
        PLANTS[NAME] + DISC,  # a disc bursts where it bursts
        PLANTS["too hot beside it"],  # no machine fills it
    ],
)
def test_less_pressure_is_not_asked_where_it_changes_nothing(text):
    bench = bench_of(text)
    assert bench.cells
    assert list(less_pressure(bench, usual_costs())) == []


def test_a_vessel_that_a_valve_parts_from_the_relief_valve_is_not_cured_by_less_pressure():
    """Shut in, what stands there is bounded by its own design pressure alone."""
    valve = '[[valve]]\nid = "V1"\non = "L1"\nend = "to"\n'
    text = PLANTS[NAME].replace(RELIEF, RELIEF.replace('on = "R1"', 'on = "L1"')) + valve
    bench = bench_of(text)
    assert any("R1" in cell.holders for cell in bench.cells)
    for change in less_pressure(bench, usual_costs()):
        trial = bench.trial([change])
        assert trial is not None
        assert not any("R1" in cell.holders for cell in trial.cured)
