"""What one fire can feel: kept to the last number, and nothing else."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from airrisk.firetest.case import build_case
from airrisk.installation.model import Installation
from airrisk.installation.reading import check
from airrisk.study import slices
from airrisk.study.exposures import exposures
from airrisk.study.fire_runs import STATED, FireStudy
from airrisk.study.slices import FireSlice, Slicer, fire_slice, part_slice
from tests.editing.systems import SMALL
from tests.firetest.systems import fire, installation, line, plug, relief, vessel
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
    direct = build_case(
        whole, exposure.fire, exposure.section, inner_radiation=False, uncredited=()
    )
    assert np.array_equal(cut.floats, direct.floats)
    assert np.array_equal(cut.integers, direct.integers)
    assert np.isfinite(cut.floats).all()


def test_the_compartment_of_a_part_is_no_part_of_a_slice_and_the_opening_of_a_valve_is() -> None:
    whole = plant()
    moved = replace(
        whole, vessels=tuple(replace(one, area="quay", at=(1.0, 2.0)) for one in whole.vessels)
    )
    wider = replace(whole, relief_valves=(replace(whole.relief_valves[0], area=2e-4),))
    cut = fire_slice(whole, stated(whole), DAY)
    assert fire_slice(moved, stated(moved), DAY) == cut
    assert fire_slice(wider, stated(wider), DAY) != cut
    assert part_slice(whole, "R1").relief_valves[0].area == whole.relief_valves[0].area
