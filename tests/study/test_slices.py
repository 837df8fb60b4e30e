"""What one fire can feel, cut out for several threads at once."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from airrisk import tables
from airrisk.firetest.case import build_case
from airrisk.installation.model import Installation
from airrisk.installation.reading import check, load
from airrisk.study import slices
from airrisk.study.exposures import exposures
from airrisk.study.fire_runs import FireStudy
from airrisk.study.slices import FireSlice, Slicer
from tests.editing.systems import SMALL
from tests.independent.random_systems import random_system

DAY = dt.date(2026, 11, 1)


def test_two_threads_that_ask_about_one_section_get_the_same_slice(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Property: whoever comes while a section is being cut out gets the whole slice."""
    installation, problems = check(SMALL)
    assert installation is not None, problems
    exposure = exposures(installation)[0]
    slicer = Slicer(installation, DAY)
    real = slices.highest_pressures
    meanwhile: list[FireSlice] = []

    def another_thread_comes(*arguments: Any) -> dict[str, float]:
        monkeypatch.setattr(slices, "highest_pressures", real)
        meanwhile.append(slicer.fire(exposure))
        return real(*arguments)

    monkeypatch.setattr(slices, "highest_pressures", another_thread_comes)
    first = slicer.fire(exposure)
    assert meanwhile == [first]
    assert first == Slicer(installation, DAY).fire(exposure)


@pytest.mark.parametrize("name", sorted(tables.sample_names()))
def test_a_slice_gives_the_case_that_the_whole_installation_gives(name: str) -> None:
    """Property: what was cut away is not felt; of every fire of the samples."""
    whole = load(tables.sample_path(name))
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
            inner_radiation=False,
            credit="all",
            uncredited=study.uncredited,
            conditions=study.conditions,
            dead=study.dead,
        )
        assert cut.names == uncut.names
        assert cut.integers.tolist() == uncut.integers.tolist()
        # the enthalpy of a feed may follow from a temperature that is worked out once more
        assert cut.floats == pytest.approx(uncut.floats, rel=1e-12, nan_ok=True)
        assert {n: cut.reach[n] for n in cut.reach} == {n: uncut.reach[n] for n in uncut.reach}
