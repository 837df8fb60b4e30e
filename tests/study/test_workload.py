"""The runs ahead are known before the first; progress goes by them; each of them can be ended."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest

from airrisk.fire import batch
from airrisk.fire import run as single
from airrisk.fire.bores import smallest_bore
from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import Fire, Installation
from airrisk.kernel import compiled
from airrisk.study.assessment import Watcher, assess
from airrisk.study.envelope import corners, envelope
from airrisk.study.exposures import exposures
from airrisk.study.fire_runs import FireStudy
from airrisk.study.progressing import Progressing
from airrisk.study.slices import Slicer
from airrisk.study.workload import Workload, runs_of, workload
from airrisk.wording.workload import workload_sentence
from tests.fire.systems import (
    case_of,
    fire,
    installation,
    line,
    plug,
    relief,
    run_brief,
    vessel,
)

DAY = dt.date(2026, 11, 1)


def row(count: int) -> Installation:
    """Vessels in a row, one section, with a plug that is counted on and one that is not."""
    return installation(
        *(vessel(f"R{k}", volume=0.5 + 0.1 * k) for k in range(count)),
        *(line(f"L{k}", f"R{k}", f"R{k + 1}", length=3.0) for k in range(count - 1)),
        plug("FP1", "R0", bore=0.03, fitted=DAY),
        plug("FP2", "R1", condition="corroded", fitted=DAY),
        relief(on="R0"),
    )


def stops_after(asked: int) -> tuple[Callable[[], bool], list[int]]:
    """A wish to stop that comes with the given question, and how often it was asked."""
    heard = [0]

    def should_stop() -> bool:
        heard[0] += 1
        return heard[0] > asked

    return should_stop, heard


def test_the_runs_of_the_envelopes_are_counted_exactly_before_they_are_made() -> None:
    plant = row(2)
    slicer = Slicer(plant, DAY)
    cuts = [slicer.fire(one) for one in exposures(plant)]
    assert {cut.fire_class for cut in cuts} == {"whole", "beside", "spot"}
    for cut in cuts:
        study = FireStudy(cut)
        envelope(study)
        assert study.runs >= len(corners(study))
        # two more with their histories: as stated, and with nothing that opens
        assert runs_of(cut, bores=False) == len(corners(study)) + 2
    counted = workload(plant, DAY, bores=False)
    # a flame and a jet away from the plugs for each vessel
    assert counted.fires == len(cuts) + 4
    assert counted.runs == sum(runs_of(cut, bores=False) for cut in cuts) + 4 * 2
    assert counted.largest == 3
    assert workload(plant, DAY).runs > counted.runs
    assert counted.runs <= assess(plant, DAY, bores=False).runs


def test_more_vessels_are_more_work() -> None:
    few, many = workload(row(2), DAY), workload(row(5), DAY)
    assert many.runs > few.runs
    assert many.seconds > 2.0 * few.seconds
    assert workload(Installation(), DAY) == Workload(0, 0, 0, 0.0)


def test_progress_rises_within_one_fire() -> None:
    told: list[tuple[float, str]] = []
    watcher = Watcher(progress=lambda share, what: told.append((share, what)))
    assess(row(3), DAY, bores=False, watcher=watcher)
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    for name in {what for _, what in told if what.startswith("Beside")}:
        assert len({share for share, what in told if what == name}) > 3


def test_runs_that_were_not_known_of_do_not_carry_progress_past_its_end() -> None:
    made = Progressing([10, 30])
    made.ran(0, 4)
    assert made.share == 0.1
    made.ran(0, 400)
    assert made.share == 0.25
    made.finish(1)
    assert made.share == 1.0
    assert Progressing([]).share == 0.0


@pytest.mark.parametrize("asked", [1, 5, 40])
def test_a_stop_inside_the_runs_of_an_envelope_is_heard(asked: int) -> None:
    plant = row(9)  # each variant of so large a section is cut into pieces
    slicer = Slicer(plant, DAY)
    should_stop, heard = stops_after(asked)
    with pytest.raises(Cancelled):
        envelope(FireStudy(slicer.fire(exposures(plant)[0]), should_stop))
    assert heard[0] == asked + 1


def test_a_stop_inside_the_search_of_a_bore_is_heard() -> None:
    names = [f"R{k}" for k in range(9)]
    case = case_of(
        *(vessel(name) for name in names),
        *(line(f"L{k}", names[k], names[k + 1], length=3.0) for k in range(8)),
        plug("FP1", "R0", bore=0.03),
        fire(names),
    )
    runs: list[int] = []
    should_stop, heard = stops_after(8)
    with pytest.raises(Cancelled):
        smallest_bore(case, "FP1", should_stop=should_stop, ran=runs.append)
    assert heard[0] == 9
    assert 0 < len(runs) < 9  # in the middle of a run of the search


def test_an_assessment_that_is_stopped_during_its_bores_ends_as_stopped() -> None:
    made: list[tuple[float, str]] = []
    plant = row(2)
    burning = Fire(
        id="F1", curve="hydrocarbon", reaches=("R0",), exposed_share=(("R0", 1.0),), convection=50.0
    )
    plant = Installation(
        vessels=plant.vessels, lines=plant.lines, plugs=plant.plugs,
        relief_valves=plant.relief_valves, fires=(burning,),
    )  # fmt: skip
    watcher = Watcher(
        progress=lambda share, what: made.append((share, what)),
        should_stop=lambda: any(what.startswith("F1") for _, what in made[3:]),
    )
    with pytest.raises(Cancelled):
        assess(plant, DAY, watcher=watcher)
    assert made[-1][0] < 0.75


def test_the_kernel_comes_back_after_a_number_of_steps_that_shrinks_with_the_section(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # some 11 us a step and space: 25 ms
    calls: list[tuple[int, int]] = []
    entry = compiled.entry

    def counting(name: str, **other: Any) -> Any:
        drive = entry(name, **other)

        def counted(*args: Any) -> int:
            calls.append((int(args[0]), int(args[-1])))
            return int(drive(*args))

        return counted if name == "drive" else drive

    monkeypatch.setattr(compiled, "entry", counting)
    monkeypatch.setattr(single, "STEPS_PER_CALL", 240)
    names = [f"R{k}" for k in range(12)]
    case = case_of(
        *(vessel(name) for name in names),
        *(line(f"L{k}", names[k], names[k + 1], length=3.0) for k in range(11)),
        plug("FP1", "R0", bore=0.03),
        fire(names),
    )
    spaces = len(case.spaces)
    single.run(case, store=False)
    alone, calls[:] = list(calls), []
    run_brief(case)
    for made in (alone, calls):
        steps = [count for task, count in made if task == 1]
        assert len(steps) > 2
        assert 0 < max(steps) * spaces <= 240
    assert all(task != 2 for task, _ in calls)


def test_a_run_in_pieces_gives_the_numbers_of_one_in_a_row(monkeypatch: pytest.MonkeyPatch) -> None:
    case = case_of(
        vessel("R1"), vessel("R2", volume=0.6), line("L1", "R1", "R2"), plug(), relief(),
        fire(("R1", "R2")),
    )  # fmt: skip
    whole = run_brief(case)
    monkeypatch.setattr(batch, "LARGE_NETWORK", 2)
    monkeypatch.setattr(single, "STEPS_PER_CALL", 6)
    pieces = run_brief(case)
    for name in ("peak_use", "peak_pressure", "first_vent", "limit_time", "evaluations"):
        assert getattr(pieces, name)[0] == getattr(whole, name)[0]
    assert pieces.outcome[0] == whole.outcome[0]


def test_only_a_long_assessment_is_announced() -> None:
    assert workload_sentence(Workload(10, 4000, 6, 20.0)) == ""
    text = workload_sentence(Workload(160, 5234, 222, 3000.0))
    assert text == (
        "At least 5200 fire runs are ahead, of up to 222 vessels and lines together: some 25 min."
    )
    assert "At least 87 fire runs" in workload_sentence(Workload(3, 87, 222, 40.0))
