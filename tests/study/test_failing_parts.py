"""One failure is one answer that is missing: the other rules, devices, vessels, places have theirs.

Real ones (air colder and denser than its table, within what a file may state) and injected ones.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import Installation, People, Room
from airrisk.study import assessment, consequences, discharges, placement
from airrisk.study.assessment import assess
from airrisk.study.records import Assessment, Finding
from airrisk.study.rules import RULES, Rule, RuleContext
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.study.networks import line, plug, relief, vessel
from tests.study.rule_plants import ON

DENSE = 9.0e7  # Pa absolute; air of 230 K is then outside its table (over 600 kg/m3)
COLD = 230.0


@pytest.fixture(autouse=True)
def _without_fires(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(assessment, "_fires", lambda *_: ())


def plant(**changes: Any) -> Installation:
    """Two receivers with people, a room that a gas floods, plugs without a date, relief valves."""
    made = Installation(
        vessels=(
            vessel("R1", at=(0.0, 0.0), area="hall"),
            vessel("R2", at=(9.0, 0.0), area="hall", temperature=COLD),
        ),
        lines=(line("L1", "R1", "R2", area="hall"),),
        plugs=(plug("P1", "R1"), plug("P2", "R2")),
        relief_valves=(relief("S1", "R1"), relief("S2", "R2")),
        people=(
            People(id="Bench", at=(3.0, 0.0), kind="work place"),
            People(id="Office", at=(0.0, 60.0), kind="building"),
        ),
        rooms=(Room(id="Hall", volume=200.0, extinguishing="gas", area="hall"),),
    )
    return replace(made, **changes)


def answer(installation: Installation, **other: Any) -> Assessment:
    return assess(installation, ON, bores=False, **other)


def of_failure(found: Assessment) -> list[Finding]:
    return [one for one in found.findings if one.rule == "calculation-failed"]


def others(found: Assessment) -> list[Finding]:
    return [one for one in found.findings if one.rule != "calculation-failed"]


def test_a_relief_valve_outside_the_air_table_takes_no_other_discharge_with_it() -> None:
    sound = answer(plant())
    found = answer(
        plant(relief_valves=(relief("S1", "R1"), relief("S2", "R2", set_pressure=DENSE)))
    )
    assert sound.failures == ()
    assert set(sound.discharges) - set(found.discharges) == {"S2"}
    assert [(one.step, one.part) for one in found.failures] == [("discharges", "S2")]
    assert "no value at" in found.failures[0].message
    assert [one.part for one in of_failure(found)] == ["S2"]


def test_a_part_outside_the_air_table_takes_no_finding_of_the_others_with_it() -> None:
    # what the outlet pipe of its plug lets through cannot be told, all else can
    tight: dict[str, Any] = {"outlet": "piped", "outlet_length": 30.0, "outlet_diameter": 0.01}
    dense = plant(
        vessels=(plant().vessels[0], replace(plant().vessels[1], pressure=DENSE)),
        lines=(),
        plugs=(plug("P1", "R1", **tight), plug("P2", "R2", **tight)),
    )
    found = answer(dense)
    rules = {(one.rule, one.part) for one in others(found)}
    assert ("outlet-line-too-tight", "P1") in rules
    assert ("outlet-line-too-tight", "P2") not in rules
    assert {("plug-overdue", "P1"), ("plug-overdue", "P2"), ("plug-condition", "P2")} <= rules
    assert ("findings", "P2") in {(one.step, one.part) for one in found.failures}
    (missing,) = [one for one in of_failure(found) if one.values["variant"] == "rule"]
    assert (missing.part, missing.severity) == ("P2", "danger")
    text = finding_text(missing, Units())
    assert "P2" in text
    assert "no value at" in text
    assert "{" not in text + finding_cure(missing, Units())


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_that_fails_leaves_the_findings_of_all_others(
    rule: Rule, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: RuleContext) -> Iterator[Finding]:
        raise ArithmeticError("no root")
        yield

    sound = answer(plant())
    changed = tuple(replace(one, check=broken) if one.id == rule.id else one for one in RULES)
    monkeypatch.setattr(placement, "RULES", changed)
    found = answer(plant())
    assert others(found) == [one for one in sound.findings if one.rule != rule.id]
    assert [(one.step, one.message) for one in found.failures] == [("findings", "no root")]
    assert [one.values["rules"] for one in of_failure(found)] == [(rule.title,)]


def test_a_rule_that_fails_for_one_part_is_still_asked_of_the_next(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    state = RuleContext.plug_state

    def broken(self: RuleContext, one: Any) -> Any:
        if one.id == "P1":
            raise ArithmeticError("no date")
        return state(self, one)

    sound = answer(plant())
    monkeypatch.setattr(RuleContext, "plug_state", broken)
    found = answer(plant())
    lost = set(map(repr, sound.findings)) - set(map(repr, found.findings))
    assert {(f.rule, f.part) for f in sound.findings if repr(f) in lost} == {
        ("plug-overdue", "P1"),
        ("plug-condition", "P1"),
    }
    # two rules asked for the same number: one failure, which names both
    assert [(one.step, one.part) for one in found.failures] == [("findings", "P1")]
    (told,) = of_failure(found)
    assert len(told.values["rules"]) == 2


def test_one_case_of_one_vessel_takes_neither_its_other_cases_nor_the_other_vessels(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    strong = consequences.strong_burst_pressure

    def broken(installation: Installation, one: Any, temperature: float) -> float:
        if one.id == "R1":
            raise ArithmeticError("no strength")
        return strong(installation, one, temperature)

    sound = answer(plant())
    monkeypatch.setattr(consequences, "strong_burst_pressure", broken)
    found = answer(plant())
    assert list(found.consequences["R1"]) == ["cold_working"]
    assert found.consequences["R1"]["cold_working"] == sound.consequences["R1"]["cold_working"]
    assert found.consequences["R2"] == sound.consequences["R2"]
    assert {(one.step, one.part) for one in found.failures} == {("consequences", "R1")}
    # the places are told what the cases that are left do to them
    assert {(r.vessel, r.case) for r in found.people_reach if r.vessel == "R1"} == {
        ("R1", "cold_working")
    }
    assert [r for r in found.people_reach if r.vessel == "R2"] == [
        r for r in sound.people_reach if r.vessel == "R2"
    ]


def test_one_place_takes_no_other_place_with_it(monkeypatch: pytest.MonkeyPatch) -> None:
    far = math.dist((0.0, 60.0), (9.0, 0.0))
    tnt = consequences.blast.tnt_blast

    def broken(distance: Any, mass: float) -> Any:
        if np.ndim(distance) == 0 and distance == far:
            raise ArithmeticError("too far")
        return tnt(distance, mass)

    sound = answer(plant())
    monkeypatch.setattr(consequences.blast, "tnt_blast", broken)
    found = answer(plant())
    kept = [r for r in sound.people_reach if (r.people, r.vessel) != ("Office", "R2")]
    assert kept
    assert list(found.people_reach) == kept
    assert {(one.step, one.part) for one in found.failures} == {("people", "Office")}


@pytest.mark.parametrize("step", ["rule", "discharge", "case"])
def test_a_stop_inside_a_step_is_no_failure(step: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: Any, **__: Any) -> Any:
        raise Cancelled

    where, name = {
        "rule": (RuleContext, "plug_state"),
        "discharge": (discharges, "_discharge"),
        "case": (consequences, "_case_record"),
    }[step]
    monkeypatch.setattr(where, name, stopped)
    with pytest.raises(Cancelled):
        answer(plant())


def test_who_does_not_ask_for_failures_gets_the_error(monkeypatch: pytest.MonkeyPatch) -> None:
    # the tests of the rules call the audit without a list of failures
    def broken(_: RuleContext, __: Any) -> Any:
        raise ArithmeticError("no date")

    monkeypatch.setattr(RuleContext, "plug_state", broken)
    with pytest.raises(ArithmeticError, match="no date"):
        placement.audit(RuleContext(plant(), ON))
