"""Quick answers about one fire are those of the whole record."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields, replace

import pytest

from airrisk.fire.stopping import Cancelled
from airrisk.installation.reading import check
from airrisk.study.brief_fire import (
    brief_fire_record,
    exposure_like,
    exposures_of,
    settled_fire_record,
)
from airrisk.study.fire_outcomes import fire_record
from tests.editing.systems import SMALL

DAY = dt.date(2026, 11, 1)
# what only the other runs, the searches and the whole record of the stated one tell
NOT_TOLD = {
    "safe", "sure", "envelope", "doubts", "smallest_bore_m", "by_basis", "balance", "bores",
    "cures", "no_cure", "reaction_force_n", "rupture_state", "margins", "runs",
    "rupture_if_fire_goes_on_s",
}  # fmt: skip
SYSTEM = SMALL.partition('[[vessel]]\nid = "R2"')[0] + "\n".join(
    (
        "[[plug]]", 'id = "FP1"', 'on = "R1"', 'alloy = "tin"', 'bore = "20 mm"',
        'condition = "clean"', "fitted = 2026-10-01", "", "[[fire]]", 'id = "F1"',
        'curve = "hydrocarbon"', 'reaches = ["R1"]', "",
    )
)  # fmt: skip


def system(text: str = SYSTEM):
    installation, problems = check(text)
    assert installation is not None, problems
    return installation


@pytest.fixture(scope="module")
def whole():
    installation = system()
    exposure = exposure_like(installation, "R1", "F1")
    assert exposure is not None
    return installation, fire_record(installation, exposure, DAY)


def test_two_runs_say_of_the_fire_as_stated_what_the_whole_record_says(whole):
    """Property: same values in, same outcome, events, margins and curves out."""
    installation, full = whole
    brief = brief_fire_record(installation, "R1", "F1", DAY)
    assert brief is not None
    told = {item.name for item in fields(brief)} - NOT_TOLD
    assert {name for name in told if getattr(brief, name) != getattr(full, name)} == set()
    assert brief.margins.vent_before_rupture_s == full.margins.vent_before_rupture_s
    assert brief.curves == full.curves
    assert not brief.bores
    assert not brief.smallest_bore_m


def test_two_runs_never_call_a_fire_safe(whole):
    installation, full = whole
    brief = brief_fire_record(installation, "R1", "F1", DAY)
    assert full.safe
    assert (brief.outcome, brief.safe, brief.sure, brief.envelope) == (
        "vents in time", None, None, None,
    )  # fmt: skip
    thin = system(SYSTEM.replace('wall_thickness = "5 mm"', 'wall_thickness = "1.2 mm"'))
    unsafe = brief_fire_record(thin, "R1", "F1", DAY)
    assert (unsafe.outcome, unsafe.safe) == ("ruptures", False)


def test_the_settled_record_is_the_whole_one_without_cures(whole):
    """Property: leaving out cures and extras changes neither verdict nor bore."""
    installation, full = whole
    settled = settled_fire_record(installation, "R1", "F1", DAY)
    assert settled is not None
    assert settled.smallest_bore_m["FP1"] > 0.0
    assert settled.bores["FP1"].latest_melting_k is None
    assert replace(settled, bores=full.bores, cures=full.cures) == full


def test_the_verdict_is_handed_over_before_the_bores_are_searched(whole):
    installation, full = whole
    early = []
    settled = settled_fire_record(installation, "R1", "F1", DAY, early=early.append)
    assert [(one.safe, one.envelope, one.bores) for one in early] == [
        (full.safe, full.envelope, {})
    ]
    assert replace(early[0], bores=settled.bores, smallest_bore_m=settled.smallest_bore_m) == (
        settled
    )


def test_a_part_that_the_stated_fire_does_not_reach_has_the_assumed_fires(whole):
    away = system(SMALL.replace('reaches = ["R1", "R2"]', 'reaches = ["R2"]\nclosed = ["V1"]'))
    assert {one.fire_class for one in exposures_of(away, "R1")} == {"whole", "beside", "spot"}
    assert exposure_like(away, "R1", "F1").fire_class == "whole"


def test_a_part_that_does_not_exist_has_no_answer(whole):
    """Property: None, not a verdict."""
    installation, _ = whole
    assert exposures_of(installation, "R9") == ()
    assert brief_fire_record(installation, "R9", "F1", DAY) is None
    assert settled_fire_record(installation, "R9", "F1", DAY) is None


def test_a_settled_answer_can_be_stopped(whole):
    """Property: a newer movement ends the search between two runs."""
    installation, _full = whole
    asked = []

    def stop() -> bool:
        asked.append(1)
        return len(asked) > 12

    with pytest.raises(Cancelled):
        settled_fire_record(installation, "R1", "F1", DAY, should_stop=stop)
