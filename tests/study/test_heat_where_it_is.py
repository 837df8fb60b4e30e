"""What a lumped wall and a perfect plug would hide: each is told, with a cure or without hope."""

from __future__ import annotations

import re

import pytest

from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.records import Assessment, Finding
from airrisk.wording.cures import cure_sentences
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.study.one_receiver import ON, SYSTEM

METRIC = Units("metric", 101_325.0)
HELD = """
format = 2

[[vessel]]
id = "R1"
inside_diameter = "800 mm"
volume = "1 m3"
wall_thickness = "8 mm"
measured = true
design_pressure = "3 bar(g)"
pressure = "2.85 bar(g)"
temperature = "20 degC"
material = "P265GH"

[[fire]]
id = "F1"
curve = "external"
reaches = ["R1"]
duration = "60 min"
"""


def answer(text: str) -> Assessment:
    return assess(read(text), ON)


def told(found: Assessment, rule: str, fire_class: str | None = None) -> Finding:
    (one,) = (
        finding
        for finding in found.findings
        if finding.rule == rule and fire_class in {None, finding.fire_class}
    )
    return one


@pytest.fixture(scope="module")
def receiver() -> Assessment:
    return answer(SYSTEM.replace("format = 1", "format = 2"))


def test_a_jet_on_a_spot_ruptures_a_sound_vessel_within_minutes(receiver: Assessment) -> None:
    # the order of 139 s that a jet of 300 kW/m2 was estimated to take
    found = told(receiver, "jet-on-a-spot")
    assert 60.0 < found.values["rupture_s"] < 400.0
    assert finding_cure(found, METRIC).startswith("No plug helps")


def test_time_at_temperature_ruptures_below_the_strength() -> None:
    # an hour of the external curve: the metal creeps through before its strength is reached
    found = answer(HELD)
    (stated,) = (fire for fire in found.fires if fire.fire_class == "stated")
    assert (stated.outcome, stated.safe) == ("ruptures", False)
    assert stated.peak_strength_use < 1.0
    outcome = told(found, "fire-outcome", "stated")
    assert outcome.severity == "danger"
    assert "crept for too long" in finding_text(outcome, METRIC)
    told_cures = cure_sentences(stated, METRIC)
    assert any(re.search(r"\d+ runs take at most", one) for one in told_cures)


def test_a_boss_that_no_flame_touches_is_told_with_what_gives_more_in_hand(
    receiver: Assessment,
) -> None:
    found = told(receiver, "verdict-depends-on-slow-plug")
    assert found.severity == "note"
    assert "ruptures" in finding_text(found, METRIC)
    assert "melts at a lower temperature" in finding_cure(found, METRIC)


def test_half_a_bore_is_told_where_it_is_too_little() -> None:
    narrow = answer(SYSTEM.replace("format = 1", "format = 2").replace("25 mm", "14 mm"))
    found = told(narrow, "verdict-depends-on-whole-bore")
    assert found.severity == "note"
    assert "only half of the bore opens" in finding_text(found, METRIC)
    (stated,) = (fire for fire in narrow.fires if fire.fire_class == "stated")
    assert stated.safe
    assert stated.bores["FP1"].least_opening_share > 0.5
