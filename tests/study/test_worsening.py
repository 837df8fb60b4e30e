"""An acceptance keeps what was found, and lapses when it is more, nearer or worse."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from airrisk import tables
from airrisk.editing.actions import with_acceptance
from airrisk.installation.fields import spec
from airrisk.installation.model import Action
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study import rules
from airrisk.study.actions import facts_of, with_acceptances
from airrisk.study.assessment import assess
from airrisk.study.records import Finding
from airrisk.study.worsening import found_in, grown_worse, worsening
from airrisk.wording.acceptances import lapse_text
from airrisk.wording.origin import value_text
from airrisk.wording.units import Units
from tests.samples.answers import sample_answer, sample_source
from tests.study.cure_plants import HEAD, vessel

BLAST, HEAT, TOUCH = "people-within-reach", "heat-reaches-people", "flame-can-touch-vessel"
ON = dt.date(2026, 11, 1)
KNOWN = (("places", ("P1", "P2")), ("reach_m", 18.0), ("distances_m", (("P1", 5.0), ("P2", 15.0))))
NOW = {"places": ("P1", "P2"), "reach_m": 18.0, "distances_m": {"P1": 5.0, "P2": 15.0}}


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({}, ""),
        ({"distances_m": {"P1": 4.96, "P2": 15.0}}, ""),  # within 1 %
        ({"distances_m": {"P1": 9.0, "P2": 15.0}}, ""),
        ({"places": ("p2",), "distances_m": {"p2": 15.0}}, ""),
        ({"distances_m": {"P1": 4.9, "P2": 15.0}}, "nearer"),
        ({"distances_m": {"P1": 5.0, "P2": 6.0}}, "nearer"),  # not the nearest of all
        ({"distances_m": {"P1": float("nan"), "P2": 15.0}}, "nearer"),
        ({"reach_m": 17.0}, ""),
        ({"reach_m": 18.3}, "reach"),
        ({"places": ("P1", "P2", "P3"), "distances_m": {"P1": 5, "P2": 15, "P3": 17}}, "people"),
        ({"distances_m": {"P1": 5.0, "P2": 15.0, "P3": 17.0}}, "people"),
        ({"places": ("P2",), "distances_m": None, "reach_m": None}, "unknown"),
    ],
)  # fmt: skip
def test_people_that_are_nearer_more_or_of_unknown_distance(change: dict[str, Any], why: str):
    assert grown_worse(BLAST, KNOWN, found_in(BLAST, NOW | change)) == why


def test_people_of_unknown_distance_were_accepted_as_such():
    then = (("places", ("P1",)), ("stored_pa_m3", 1e6))
    now = {"places": ("P1",), "stored_pa_m3": 1e6}
    assert grown_worse(BLAST, then, now) == ""
    assert grown_worse(BLAST, then, now | {"stored_pa_m3": 1.2e6}) == "number"
    assert grown_worse(BLAST, then, now | {"places": ("P1", "P9")}) == "people"
    assert grown_worse(BLAST, then, now | {"distances_m": {"P1": 2.0}}) == "known now"


def test_an_acceptance_that_does_not_say_what_was_found_covers_nothing_that_can_grow():
    assert grown_worse(BLAST, None, NOW) == "not kept"
    assert grown_worse("plug-alloy-unstated", None, {}) == ""
    # what the file holds in another form is not taken for what was found
    assert grown_worse(BLAST, (("places", 3.0),), NOW) == "people"


@pytest.mark.parametrize(
    ("rule", "then", "now"),
    [
        ("wall-thinner-than-design-needs", (("carried_gauge_pa", 9e5),),
         {"carried_gauge_pa": 8e5}),
        ("pressure-above-design", (("pressure_pa", 12e5), ("design_pressure_pa", 11e5)),
         {"pressure_pa": 13e5, "design_pressure_pa": 11e5}),
        ("plug-melts-too-low", (("found_margin_k", 4.0),), {"found_margin_k": -3.0}),
        ("plug-melts-too-low", (("found_margin_k", -3.0),), {"found_margin_k": -4.0}),
        ("heat-reaches-people", (("places", ("P1",)), ("heat_w_m2", (("P1", 2e3),))),
         {"places": ("P1",), "heat_w_m2": {"P1": 4e3}}),
    ],
)  # fmt: skip
def test_a_worse_number_is_not_what_was_accepted(rule, then, now):
    assert grown_worse(rule, then, now) == "number"


def test_every_kept_value_is_one_that_a_rule_gives():
    folder = Path(rules.__file__).parent
    given = "".join(one.read_text(encoding="utf-8") for one in folder.glob("*.py"))
    named = {one.id for one in rules.RULES}
    for rule, entry in tables.read_toml("findings.toml").items():
        assert rule in named
        assert set(entry.get("kept", {})) <= {"names", "more", "less"}
        for one in worsening(rule):
            assert f" {one.key}=" in given or f'"{one.key}":' in given, (rule, one)


@pytest.mark.parametrize("name", ["river-ferry.toml", "joinery.toml", "generator-room.toml"])
def test_every_finding_of_a_sample_stays_accepted_as_it_is(name):
    """Property: what is written into the file loses nothing that matters."""
    answer = sample_answer(name)
    found = [one for one in answer.findings if one.rule != "calculation-failed"]
    text = SystemText(sample_source(name).decode())
    for one in found:
        text, _, mistakes = with_acceptance(text, facts_of(one), "why", "who", "2036-01-01")
        assert mistakes == {}
    again = with_acceptances(found, read(text.text).actions, answer.on)
    open_ = [(one.rule, one.part, one.lapsed) for one in again if one.counts or one.lapsed]
    assert [one for one in open_ if one[0] != "fire-outcome"] == []


PEOPLE = """
[[people]]
id = "{name}"
{where}
"""
POOL = """
[[fire_source]]
id = "{name}"
kind = "pool"
fuel = "diesel"
diameter = "2 m"
at = [{east}, 0.0]
"""


def plant(*more: str, place: str = "at = [0.0, 0.0]") -> str:
    return HEAD.format(choices="") + vessel("R1", more=place) + "".join(more)


def people(name: str, east: float | None) -> str:
    where = 'distance = "3 m"\nfrom = "R2"' if east is None else f"at = [{east}, 0.0]"
    return PEOPLE.format(name=name, where=where)


def told(text: str, *wanted: str) -> list[Finding]:
    answer = assess(read(text), ON, bores=False)
    return [one for one in answer.findings if one.rule in wanted]


def accepted(text: str, *wanted: str) -> str:
    """The actions that accept the findings of some rules as they are."""
    after = SystemText(text)
    for finding in told(text, *wanted):
        after, _, mistakes = with_acceptance(after, facts_of(finding), "why", "who", "2036-01-01")
        assert mistakes == {}
    found = told(after.text, *wanted)
    assert found
    assert [one for one in found if one.counts or one.lapsed] == []
    return after.text[after.text.index("[[action]]") :]


def lapses(text: str, *wanted: str) -> set[str]:
    """Why the acceptances of what counts do not hold; each is told in words."""
    found = [one for one in told(text, *wanted) if one.counts]
    why = {lapse for one in found for _, lapse in one.lapsed}
    assert all(lapse_text(one) for one in why)
    return why


def test_people_who_come_nearer_later_are_not_accepted():
    decided = accepted(plant(people("P1", 4.0)), BLAST)
    assert "distances_m = { P1 = 4.0 }" in decided
    assert lapses(plant(people("P1", 4.0), decided), BLAST) == set()
    assert lapses(plant(people("P1", 2.0), decided), BLAST) == {"nearer"}
    assert lapses(plant(people("P1", 4.0), people("P2", 4.5), decided), BLAST) == {"people"}
    larger = plant(people("P1", 4.0), decided).replace("0.5 m3", "1 m3")
    assert lapses(larger, BLAST) == {"reach"}
    old = "\n".join(one for one in decided.splitlines() if not one.startswith("found"))
    assert lapses(plant(people("P1", 4.0), old), BLAST) == {"not kept"}


def test_people_of_unknown_distance_who_are_added_later_are_not_accepted():
    far = vessel("R2")  # without a place
    decided = accepted(plant(far, people("P1", 4.0)), BLAST)
    assert lapses(plant(far, people("P1", 4.0), decided), BLAST) == set()
    lost = plant(far, people("P1", 4.0), people("P2", None), decided)
    (one,) = [f for f in told(lost, BLAST) if f.part == "R1" and f.counts]
    assert (one.values["variant"], one.values["places"]) == ("unknown", ("P2",))
    assert [f.accepted for f in told(lost, BLAST) if f.part == "R1"].count("") == 1
    # and those who were accepted as of unknown distance, when it is known
    unknown = accepted(plant(far, people("P2", None)), BLAST)
    (of_r1,) = [one for one in unknown.split("[[action]]") if 'part = "R1"' in one]
    assert "distances_m" not in of_r1
    near = plant(vessel("R2", more="at = [3.5, 0.0]"), people("P2", None), unknown)
    assert "known now" in lapses(near, BLAST)
    moved = plant(people("P1", None), vessel("R2"), decided)
    assert "unknown" in lapses(moved, BLAST)


def test_heat_that_reaches_more_people_or_reaches_them_harder_is_not_accepted():
    pool = POOL.format(name="Pool1", east=30)
    decided = accepted(plant(pool, people("P1", 35.0)), HEAT)
    assert lapses(plant(pool, people("P1", 35.0), decided), HEAT) == set()
    assert lapses(plant(pool, people("P1", 34.0), decided), HEAT) == {"number"}
    assert lapses(plant(pool, people("P1", 35.0), people("P2", 25.0), decided), HEAT) == {"people"}
    lost = plant(pool, people("P1", 35.0), people("P2", None), vessel("R2"), decided)
    assert [one.values["variant"] for one in told(lost, HEAT) if one.counts] == ["unknown"]


def test_two_sources_near_one_vessel_are_accepted_one_by_one():
    """A second source does not hide behind the first, and neither acceptance undoes the other."""
    first, second = POOL.format(name="Pool1", east=1.6), POOL.format(name="Pool2", east=-1.6)
    one = accepted(plant(first), TOUCH)
    (new,) = [f for f in told(plant(first, second, one), TOUCH) if f.counts]
    assert new.values["source"] == "Pool2"
    both = accepted(plant(first, second), TOUCH)
    assert both.count("[[action]]") == 2
    assert lapses(plant(first, second, both), TOUCH) == set()


def test_joints_that_let_go_can_be_accepted():
    """They are about a fire and have no outcome of their own."""
    rule = "joint-lets-go"
    line = """
[[line]]
id = "L1"
from = "R1"
to = "closed"
length = "4 m"
inside_diameter = "54.5 mm"
wall_thickness = "2.9 mm"
joints = "soft-soldered"
"""
    assert accepted(plant(line), rule)


def test_what_was_accepted_is_told_in_words():
    action = Action(id="A1", rule=BLAST, decision="accept", found=KNOWN)
    told_as = value_text(action, spec("action", "found"), Units())
    assert told_as == "places P1 P2, reach_m 18, distances_m P1 5 P2 15"


def test_what_an_acceptance_has_to_know_of_a_finding_can_be_looked_up():
    facts = facts_of(Finding(BLAST, "warning", "R1", "", NOW))
    assert {facts: 1}[facts_of(Finding(BLAST, "warning", "R1", "", dict(NOW)))] == 1
    assert facts not in {facts_of(Finding(BLAST, "warning", "R1", "", NOW | {"reach_m": 20.0})): 1}
