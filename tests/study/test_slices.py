"""What one fire can feel: kept to the last number, and nothing else."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from airrisk import tables
from airrisk.fire.case_building import build_case
from airrisk.fire.case_scene import CaseSettings
from airrisk.installation.model import Consumer, Installation, Valve
from airrisk.installation.reading import check, load_bytes
from airrisk.kernel import layout as at
from airrisk.study import slices
from airrisk.study.exposures import exposures
from airrisk.study.fire_runs import STATED, FireStudy
from airrisk.study.slices import FireSlice, Slicer, fire_slice, part_slice
from tests.editing.systems import SMALL
from tests.fire.systems import fire, installation, line, plug, relief, vessel
from tests.independent.random_systems import random_system
from tests.study.networks import disc
from tests.study.one_fire import stated

DAY = dt.date(2026, 11, 1)


def test_two_threads_that_ask_about_one_section_get_the_same_slice(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Property: whoever comes while a section is being cut out gets the whole slice."""
    small, problems = check(SMALL)
    assert small is not None, problems
    exposure = exposures(small)[0]
    slicer = Slicer(small, DAY)
    real = slices.highest_pressures
    meanwhile: list[FireSlice] = []

    def another_thread_comes(*arguments: Any) -> dict[str, float]:
        monkeypatch.setattr(slices, "highest_pressures", real)
        meanwhile.append(slicer.fire(exposure))
        return real(*arguments)

    monkeypatch.setattr(slices, "highest_pressures", another_thread_comes)
    first = slicer.fire(exposure)
    assert meanwhile == [first]
    assert first == Slicer(small, DAY).fire(exposure)


def plant() -> Installation:
    """A receiver with a line, and one of each kind of device."""
    whole = installation(
        vessel(area="hall"),
        line("L1", "R1", "closed", area="yard"),
        plug(alloy="Bi58Sn42", fitted=dt.date(2026, 3, 2)),
        relief(),
        fire(("R1", "L1")),
    )
    return replace(whole, bursting_discs=(disc("BD1", "R1"),))


def test_the_case_of_a_slice_is_that_of_the_installation() -> None:
    """Property: number by number, the openings of relief valves and discs among them."""
    whole = plant()
    exposure = stated(whole)
    cut = FireStudy(fire_slice(whole, exposure, DAY)).case(STATED)
    assumed = CaseSettings(inner_radiation=False, uncredited=())
    direct = build_case(whole, exposure.fire, exposure.section, assumed)
    assert np.array_equal(cut.floats, direct.floats)
    assert np.array_equal(cut.integers, direct.integers)
    assert np.isfinite(cut.floats).all()


def test_the_compartment_of_a_part_is_no_part_of_a_slice_and_the_opening_of_a_valve_is() -> None:
    whole = plant()
    moved = replace(
        whole,
        vessels=tuple(
            replace(one, area="quay", at=(1.0, 2.0), drawn=(3, 4)) for one in whole.vessels
        ),
    )
    wider = replace(whole, relief_valves=(replace(whole.relief_valves[0], area=2e-4),))
    cut = fire_slice(whole, stated(whole), DAY)
    assert fire_slice(moved, stated(moved), DAY) == cut
    assert fire_slice(wider, stated(wider), DAY) != cut
    assert part_slice(whole, "R1").relief_valves[0].area == whole.relief_valves[0].area


@pytest.mark.parametrize("name", sorted(tables.sample_names()))
def test_a_slice_gives_the_case_that_the_whole_installation_gives(name: str) -> None:
    """Property: what was cut away is not felt; of every fire of the samples."""
    whole = load_bytes(tables.sample_path(name))[0]
    day = whole.choices.audit_date
    assert day is not None
    _compare(whole, day)


@pytest.mark.parametrize("seed", range(25))
def test_a_slice_of_a_random_system_gives_the_case_of_the_whole(seed: int) -> None:
    """Property, on systems with valves, devices and compressors of all kinds."""
    whole, problems = check(random_system(seed))
    assert whole is not None, problems
    _compare(whole, DAY)


def _compare(whole: Installation, day: dt.date) -> None:
    slicer = Slicer(whole, day)
    for exposure in exposures(whole):
        study = FireStudy(slicer.fire(exposure))
        cut = study.case(credit="all")
        uncut = build_case(
            whole,
            exposure.fire,
            exposure.section,
            CaseSettings(
                inner_radiation=False,
                credit="all",
                uncredited=study.uncredited,
                conditions=study.conditions,
                dead=study.dead,
                exposures=dict(exposure.patches),
            ),
        )
        assert cut.names == uncut.names
        assert cut.integers.tolist() == uncut.integers.tolist()
        # the enthalpy of a feed may follow from a temperature that is worked out once more
        assert cut.floats == pytest.approx(uncut.floats, rel=1e-12, nan_ok=True)
        assert {n: cut.reach[n] for n in cut.reach} == {n: uncut.reach[n] for n in uncut.reach}


@pytest.mark.parametrize("shut", [("from",), ("to",), ("from", "to")])
def test_a_line_that_is_shut_in_starts_at_the_pressure_that_filled_it(
    shut: tuple[str, ...],
) -> None:
    valves = tuple(Valve(id=f"V{end}", on="L1", end=end, state="open") for end in shut)
    pipe = line("L1", "R1", "K1", pressure=None)
    whole = replace(
        installation(vessel(), pipe, plug(), fire(("L1",))),
        valves=valves,
        consumers=(Consumer(id="K1"),),
    )
    for exposure in exposures(whole):
        if "L1" in exposure.section.lines:
            case = FireStudy(fire_slice(whole, exposure, DAY)).case(STATED)
            place = case.space_at("L1", at.S_PRESSURE)
            assert float(case.floats[place]) == vessel().pressure
