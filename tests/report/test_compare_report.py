"""The pages on what changed: what turned stands first, nothing that went is called safe."""

import dataclasses
import datetime as dt
import io
from typing import Any

import pytest
from pypdf import PdfReader

from airrisk.installation.model import (
    AssumedFire,
    Inspection,
    Installation,
    People,
    Reading,
    Wall,
)
from airrisk.installation.reading import read
from airrisk.report.blocks import Paragraph, Table
from airrisk.report.compare_causes import compare_causes
from airrisk.report.compare_report import build_comparison
from airrisk.report.content import units_for
from airrisk.report.html import render_html
from airrisk.report.pdf import render_pdf
from airrisk.wording.comparing import other_question
from airrisk.wording.findings import finding_text
from tests.report import hand_made
from tests.report.test_chapters import taken_on
from tests.samples.answers import answer_beside, sample_answer, sample_installation, sample_source


def pages_of(before, after):
    units = units_for(after[1])
    causes = compare_causes(before, after, lambda one: finding_text(one, units))
    return build_comparison(before, after, causes)


def told(report) -> list[str]:
    return [one.text for one in report.sections[0].blocks if isinstance(one, Paragraph)]


def table(report, head) -> Table | None:
    found = [one for one in report.sections[0].blocks if isinstance(one, Table)]
    return next((one for one in found if head in one.columns), None)


def test_a_verdict_that_is_no_longer_safe_is_counted_and_stands_in_the_alarm_style():
    installation = hand_made.installation()
    smaller = dataclasses.replace(
        installation, plugs=(dataclasses.replace(installation.plugs[0], bore=0.005),)
    )
    late = hand_made.answered(hand_made.unsafe())
    report = pages_of((hand_made.assessment(), installation), (late, smaller))
    banner = report.sections[0].blocks[0]
    assert banner.style == "alarm"
    assert "1 verdict is no longer safe. 0 have become safe." in told(report)[2]
    changed = table(report, "Isolable section")
    assert [row[1] for row in changed.rows] == ["Stated fire"]
    assert changed.tones[0][3] == "bad"
    assert table(report, "Where").rows == (("FP1", "Bore", "10\u00a0mm", "5\u00a0mm"),)
    assert len(PdfReader(io.BytesIO(render_pdf(report, units_for(smaller)))).pages) <= 2


def test_a_section_that_is_gone_has_not_become_safe():
    installation = hand_made.installation()
    unsafe = hand_made.answered(hand_made.unsafe())
    empty = dataclasses.replace(unsafe, verdicts=(), fires=())
    report = pages_of((unsafe, installation), (empty, installation))
    assert "0 have become safe" in told(report)[2]
    assert {row[3] for row in table(report, "Isolable section").rows} == {"–"}


def test_equal_versions_say_so():
    pair = hand_made.assessment(), hand_made.installation()
    report = pages_of(pair, pair)
    assert table(report, "Isolable section") is None
    assert "The files say the same, but for comments or the way of writing." in told(report)
    assert render_html(report, units_for(pair[1])) == render_html(report, units_for(pair[1]))


def test_actions_that_came_or_went_are_listed():
    installation = hand_made.installation()
    report = pages_of((hand_made.assessment(), installation), (taken_on(), installation))
    listed = table(report, "Action")
    assert [row[0] for row in listed.rows] == ["A2", "A1", "A3", "A4"]
    assert {row[4] for row in listed.rows} == {"not in the file"}


@pytest.mark.parametrize("name", ["school-laboratory"])
def test_a_small_change_of_a_sample_takes_two_pages_at_most(name):
    source = sample_source(name)
    text = source.replace(b'wall_thickness = "4 mm"', b'wall_thickness = "5 mm"')
    assert text != source
    whole = read(text, name)
    after = answer_beside(whole, source=text, bores=False)
    report = pages_of((sample_answer(name), sample_installation(name)), (after, whole))
    assert len(PdfReader(io.BytesIO(render_pdf(report, units_for(whole)))).pages) <= 2


def test_a_weaker_assumed_fire_or_a_source_taken_out_is_told_before_any_verdict():
    """Less is asked: what looks better need not be."""
    installation, answer = sample_installation("dairy-hall"), sample_answer("dairy-hall")
    assumed = AssumedFire(duration=900.0)
    weaker = dataclasses.replace(
        installation,
        choices=dataclasses.replace(installation.choices, assumed_fire=assumed),
        fire_sources=(),
    )
    first = told(pages_of((answer, installation), (answer, weaker)))[0]
    assert first.startswith("The two versions do not ask the same: Assumed fire")
    for gone in installation.fire_sources:
        assert gone.id in first
    assert other_question(installation, installation) == ""
    real = dataclasses.replace(installation, vessels=installation.vessels[:-1])
    assert other_question(installation, real) == ""
    seen = Inspection(on="R1", date=dt.date(2026, 1, 1), condition="corroded")
    thin = Reading(id="M1", on="R1", date=dt.date(2026, 1, 1), thickness=2e-3)
    known = dataclasses.replace(installation, inspections=(seen,), readings=(thin,))
    assert other_question(installation, known) == ""  # more is known, nothing is left out
    told_gone = other_question(known, dataclasses.replace(known, inspections=(), readings=()))
    assert "M1 and inspection of R1 changed" in told_gone
    air = dataclasses.replace(installation.site, ambient_temperature=250.0)
    assert "Ambient temperature" in other_question(
        installation, dataclasses.replace(installation, site=air)
    )
    earlier = dataclasses.replace(installation.choices, audit_date=dt.date(2020, 1, 1))
    assert other_question(installation, dataclasses.replace(installation, choices=earlier))


def test_places_that_changed_and_walls_and_people_that_are_gone_are_told_before_any_verdict():
    """What is moved away on the layout is heated less, and people who are gone are not hurt."""
    vessel, *rest = sample_installation("dairy-hall").vessels
    wall = Wall(id="W1", points=((0.0, 0.0), (4.0, 0.0)), height=3.0, resists=3600.0)
    before = dataclasses.replace(
        sample_installation("dairy-hall"),
        vessels=(dataclasses.replace(vessel, at=(1.0, 1.0), area="Hall"), *rest),
        walls=(wall,),
        people=(People(id="P9", at=(3.0, 0.0)),),
    )

    def with_vessel(**changed: Any) -> Installation:
        return dataclasses.replace(
            before, vessels=(dataclasses.replace(before.vessels[0], **changed), *rest)
        )

    place = f"place of {vessel.id} changed"
    for change in ({"at": (90.0, 1.0)}, {"at": None}, {"area": "Yard"}):
        assert place in other_question(before, with_vessel(**change))
    assert other_question(before, with_vessel(wall_thickness=0.02)) == ""
    assert other_question(with_vessel(at=None), before) == ""  # more is known
    longer = dataclasses.replace(wall, resists=36000.0)
    assert "W1 changed" in other_question(before, dataclasses.replace(before, walls=(longer,)))
    assert "W1 changed" in other_question(before, dataclasses.replace(before, walls=()))
    assert "W1 changed" in other_question(dataclasses.replace(before, walls=()), before)
    away = (People(id="P9", at=(90.0, 0.0)),)
    assert "P9 changed" in other_question(before, dataclasses.replace(before, people=away))
    assert "P9 changed" in other_question(before, dataclasses.replace(before, people=()))
    more = (*before.people, People(id="P10", at=(1.0, 0.0)))
    assert other_question(before, dataclasses.replace(before, people=more)) == ""
