"""What one fire can feel, cut out for several threads at once."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from airrisk.installation.reading import check
from airrisk.study import slices
from airrisk.study.exposures import exposures
from airrisk.study.slices import FireSlice, Slicer
from tests.editing.systems import SMALL

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
