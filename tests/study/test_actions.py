"""An acceptance covers exactly its finding, and lapses when the fire does more harm."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from airrisk.installation.model import Accepted, Action
from airrisk.study.actions import (
    FindingFacts,
    acceptance_holds,
    covering,
    facts_of,
    is_about,
)
from airrisk.study.assessment import assess
from airrisk.study.records import Assessment, Finding
from airrisk.verdict.rule import OUTCOMES
from tests.fire.systems import installation, vessel

UNTIL = dt.date(2027, 6, 30)
ON = dt.date(2026, 11, 1)
ACTION = Action(
    id="A2", rule="fire-outcome", part="R2", section="L4+R2", fire_class="beside",
    decision="accept", reason="nothing burns within 6 m of the north side",
    by="Safety department", until=UNTIL,
    accepted=Accepted(outcome="passes the limit", use=0.71, rupture_after=2280.0),
)  # fmt: skip
FINDING = FindingFacts(
    "fire-outcome", "R2", "L4+R2", "beside", "passes the limit", 0.71, 2280.0
)  # fmt: skip


def lapse(finding: FindingFacts = FINDING, action: Action = ACTION, on: dt.date = ON) -> str:
    found = acceptance_holds(action, finding, on)
    assert found.holds == (not found.lapse)
    return found.lapse


def test_a_finding_that_is_as_it_was_stays_accepted():
    assert lapse() == ""


@pytest.mark.parametrize(
    "change",
    [
        {"rule": "bore-too-small"}, {"part": "R1"}, {"part": ""}, {"section": "R2"},
        {"section": "L4+L5+R2"}, {"section": ""}, {"fire_class": "spot"}, {"fire_class": ""},
    ],
)  # fmt: skip
def test_it_covers_no_other_finding(change):
    assert lapse(replace(FINDING, **change)) == "another finding"


def test_spelling_of_ids_and_order_of_a_section_do_not_matter():
    assert lapse(replace(FINDING, part="r2", section="r2+L4")) == ""


def test_what_is_to_be_done_accepts_nothing():
    assert lapse(action=replace(ACTION, decision="do")) == "another finding"


def test_it_lapses_when_the_metal_creeps_further_at_the_same_strength_use():
    """Property: the damage counts like a strength use as near its limit."""

    def facts(damage: float) -> FindingFacts:
        values = {
            "outcome": "passes the limit", "peak_strength_use": 0.4, "strength_use_limit": 0.64,
            "creep_damage": damage,
        }  # fmt: skip
        return facts_of(Finding("fire-outcome", "warning", "R2", "", values, "L4+R2", "beside"))

    known = facts(0.55)
    assert known.use == pytest.approx(0.704)
    assert known.use is not None
    action = replace(ACTION, accepted=Accepted(outcome="passes the limit", use=known.use))
    assert lapse(known, action) == ""
    assert lapse(facts(0.95), action) == "use"
    assert facts(0.1).use == 0.4


def test_it_lapses_on_its_date():
    assert lapse(on=UNTIL - dt.timedelta(days=1)) == ""
    assert lapse(on=UNTIL) == "date"
    assert lapse(on=UNTIL + dt.timedelta(days=1)) == "date"
    assert lapse(action=replace(ACTION, until=None)) == "date"


@pytest.mark.parametrize(
    ("use", "expected"),
    [(0.5, ""), (0.7299, ""), (0.73, "use"), (0.9, "use"), (math.nan, "use"), (None, "use")],
)
def test_it_lapses_when_the_strength_use_is_2_percent_points_higher(use, expected):
    assert lapse(replace(FINDING, use=use)) == expected


@pytest.mark.parametrize(
    ("rupture", "expected"),
    [(None, ""), (math.inf, ""), (9000.0, ""), (2167.0, ""), (2166.0, "rupture"),
     (0.0, "rupture"), (math.nan, "rupture")],
)  # fmt: skip
def test_it_lapses_when_the_rupture_comes_5_percent_earlier(rupture, expected):
    # 0.95 x 2280 s = 2166 s
    assert lapse(replace(FINDING, rupture_s=rupture)) == expected


def test_a_rupture_where_none_was_accepted_is_earlier():
    never = replace(ACTION, accepted=Accepted(outcome="passes the limit", use=0.71))
    assert lapse(action=never) == "rupture"
    assert lapse(replace(FINDING, rupture_s=None), never) == ""


@pytest.mark.parametrize("then", OUTCOMES[:-1])
@pytest.mark.parametrize("now", [*OUTCOMES, "unheard of", None])
def test_it_lapses_when_the_outcome_is_worse(then, now):
    action = replace(ACTION, accepted=Accepted(outcome=then, use=0.71, rupture_after=2280.0))
    worse = now not in OUTCOMES or OUTCOMES.index(now) > OUTCOMES.index(then)
    assert lapse(replace(FINDING, outcome=now, sure=True), action) == ("outcome" if worse else "")


def test_a_safe_outcome_that_is_no_longer_sure_is_another_matter():
    safe = replace(ACTION, accepted=Accepted(outcome="outlasts the fire", use=0.71))
    now = replace(FINDING, outcome="outlasts the fire", rupture_s=None)
    assert lapse(replace(now, sure=True), safe) == ""
    assert lapse(replace(now, sure=False), safe) == "not sure"
    assert lapse(now, safe) == "not sure"
    assert lapse(replace(now, outcome="vents in time", sure=False), safe) == "not sure"
    assert lapse(replace(now, sure=False)) == ""  # it was not safe when it was accepted


def test_a_fires_finding_needs_what_was_accepted():
    assert lapse(action=replace(ACTION, accepted=None)) == "nothing accepted"


def test_a_finding_about_no_fire_is_covered_until_its_date():
    action = Action(id="A1", rule="no-stop-on-fire-alarm", part="C1", decision="accept",
                    reason="watched", by="Plant", until=UNTIL, found=())  # fmt: skip
    finding = FindingFacts("no-stop-on-fire-alarm", "C1")
    assert lapse(finding, action) == ""
    assert lapse(finding, action, UNTIL) == "date"
    assert lapse(FindingFacts("nothing-to-assess"), replace(action, rule="nothing-to-assess",
                                                            part=None)) == ""  # fmt: skip


def test_of_two_acceptances_the_one_that_holds_stands_first():
    old = replace(ACTION, id="A1", until=dt.date(2026, 1, 1))
    work = replace(ACTION, id="A3", decision="do")
    other = replace(ACTION, id="A4", part="R9")
    found = covering((old, work, other, ACTION), FINDING, ON)
    assert [(one.action.id, one.lapse) for one in found] == [("A2", ""), ("A1", "date")]
    assert covering((), FINDING, ON) == ()
    assert is_about(work, FINDING)


@given(
    better=st.tuples(
        st.floats(0.0, 0.02, exclude_max=True), st.floats(1.0, 10.0),
        st.sampled_from(OUTCOMES[:3]),
    ),
    worse=st.tuples(st.floats(0.0201, 5.0), st.floats(0.0, 0.9499)),
)  # fmt: skip
def test_nothing_worse_is_ever_covered(better, worse):
    # property
    more, later, outcome = better
    fine = replace(
        FINDING, use=0.71 + more * 0.999, rupture_s=2280.0 * later, outcome=outcome, sure=None
    )
    assert lapse(fine) == ""
    assert lapse(replace(fine, use=0.71 + worse[0])) == "use"
    assert lapse(replace(fine, rupture_s=2280.0 * worse[1])) == "rupture"
    assert lapse(replace(fine, outcome="ruptures")) == "outcome"
    assert lapse(replace(fine, outcome="not converged")) == "outcome"


def test_an_assessment_takes_out_exactly_the_accepted_finding_until_its_day():
    """Property: it stays in the list with the acceptance beside it, and comes back on its date."""
    bare = installation(vessel())
    before = {f.fire_class: f for f in fires_findings(assess(bare, ON, bores=False))}
    whole, beside = before["whole"], before["beside"]
    values = whole.values
    action = Action(
        id="A1", rule="fire-outcome", decision="accept", part=whole.part, section=whole.section,
        fire_class="whole", reason="nothing burns there", by="Safety", until=ON.replace(year=2027),
        accepted=Accepted(
            outcome=values["outcome"], use=values["peak_strength_use"],
            rupture_after=values["rupture_s"],
        ),
    )  # fmt: skip
    decided = replace(bare, actions=(action,))
    after = {f.fire_class: f for f in fires_findings(assess(decided, ON, bores=False))}
    assert (after["whole"].accepted, after["whole"].counts) == ("A1", False)
    assert after["beside"] == beside
    late = fires_findings(assess(decided, ON.replace(year=2027), bores=False))
    again = next(f for f in late if f.fire_class == "whole")
    assert (again.counts, again.lapsed) == (True, (("A1", "date"),))
    thinner = replace(decided, vessels=(vessel(wall_thickness=0.007),))
    worse = fires_findings(assess(thinner, ON, bores=False))
    earlier = next(f for f in worse if f.fire_class == "whole")
    assert earlier.lapsed == (("A1", "rupture"),)


def fires_findings(answer: Assessment) -> list[Finding]:
    return [finding for finding in answer.findings if finding.rule == "fire-outcome"]


def test_a_finding_about_no_fire_lapses_when_it_is_graver_than_what_was_accepted():
    """A wall that wears away is a note first; accepting that accepts no danger later."""
    action = Action(
        id="A3", rule="wall-wears-away", part="R1", decision="accept", reason="renewed in 2028",
        by="Safety", until=UNTIL, severity="note", found=(),
    )  # fmt: skip
    finding = FindingFacts("wall-wears-away", "R1", severity="note")
    assert lapse(finding, action) == ""
    for severity in ("warning", "danger", None):
        assert lapse(replace(finding, severity=severity), action) == "severity"
    milder = replace(action, severity="danger")
    assert lapse(finding, milder) == ""
