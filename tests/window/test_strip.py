"""What the strip of sections says."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from PySide6.QtGui import QColor

from airrisk import tables
from airrisk.study.records import Finding
from airrisk.window.answers_panel import listed_fire
from airrisk.window.strip import finding_card, section_cards
from airrisk.window.theme import colours
from airrisk.window.tryout.live import TryOutAnswer
from airrisk.window.tryout.pins import Pin, Pins
from airrisk.wording.units import Units
from tests.samples.answers import sample_answer


def test_a_plug_that_the_verdict_does_not_count_on_is_marked():
    """Regression: the card named it like any other beside the word "ruptures"."""
    answer = sample_answer("dairy-hall")
    doubted = {plug for fire in answer.fires for plug in fire.uncredited}
    session = SimpleNamespace(units=Units("metric", answer.ambient_pressure_pa))
    texts = [card.text for card in section_cards(answer, session)]
    assert doubted
    for plug in doubted:
        assert any(f"{plug} (no credit)" in text for text in texts)


def test_a_section_whose_fires_were_not_run_says_so():
    answer = sample_answer("river-ferry")
    session = SimpleNamespace(units=Units("metric", answer.ambient_pressure_pa))
    cards = section_cards(replace(answer, fires=()), session)
    assert cards
    assert {(c.heading, c.tone, c.small) for c in cards} == {
        ("– not assessed", "quiet", "no fire was run against it")
    }


def test_a_search_keeps_the_findings_with_all_its_words_and_counts_them(
    qtbot, frame, no_bores, answered
):
    frame.files.open_sample(str(tables.sample_path("dairy-hall")))
    answered(frame)
    strip = frame.work.strip
    everything = len(strip.findings.cards)
    qtbot.keyClicks(strip.search, "plug warning")
    headings = [card.card.heading for card in strip.findings.cards]
    assert 0 < len(headings) < everything
    assert all("warning" in heading for heading in headings)
    assert strip.findings_title.text() == f"Findings: {len(headings)} of {everything}"
    strip.search.clear()
    assert strip.findings_title.text() == f"Findings: {everything}"


def test_a_finding_about_no_part_is_about_the_installation():
    finding = Finding("nothing-to-assess", "warning", "", "")
    card = finding_card(finding, 0, SimpleNamespace(units=Units(), assessment=None))
    assert "warning: installation, " in card.heading


def ended(fire, outcome, safe, sure=None):
    """A fire whose worst run ends so, while the run as stated vents in time."""
    seen = replace(fire.envelope, outcome=outcome, peak_strength_use=0.9)
    return replace(fire, outcome="vents in time", safe=safe, sure=sure, envelope=seen)


@pytest.mark.parametrize(
    ("outcome", "safe", "sure", "tone", "heading"),
    [
        ("ruptures", False, None, "danger", "✖ ruptures"),
        ("passes the limit", False, None, "warning", "▲ passes the limit"),
        ("not converged", False, None, "danger", "? not converged"),
        ("vents in time", False, None, "danger", "△ vents in time, not safe"),
        ("outlasts the fire", False, None, "danger", "△ outlasts the fire, not safe"),
        ("vents in time", True, True, "sound", "● vents in time"),
        ("vents in time", True, False, "note", "● vents in time"),
        ("vents in time", None, None, "quiet", "… not yet checked"),
    ],
)
def test_every_place_tells_the_worst_run_and_not_the_one_as_stated(
    qtbot, outcome, safe, sure, tone, heading
):
    answer = sample_answer("river-ferry")
    fires = tuple(ended(f, outcome, safe, sure) for f in answer.fires)
    units = Units("metric", answer.ambient_pressure_pa)
    session = SimpleNamespace(units=units)
    for card in section_cards(replace(answer, fires=fires), session):
        assert (card.heading, card.tone) == (heading, tone)
    assert listed_fire(fires[0]).split()[0] == heading.split()[0]
    assert listed_fire(fires[0]).endswith(heading.partition(" ")[2])
    pins = Pins()
    qtbot.addWidget(pins)
    part = next(iter(answer.parts.values()))
    energy = SimpleNamespace(energies=part.stored_energy_j)
    pins.add(Pin({}, TryOutAnswer(part, energy, fires[0], safe is not None, True), 0, True), units)
    assert pins.item(0, 1).text().startswith(heading)
    colour = pins.item(0, 1).foreground().color()
    assert colour == QColor(getattr(colours(), tone))
    assert (colour == QColor(colours().sound)) == (tone == "sound")


def test_a_safe_section_says_whether_that_is_sure():
    answer = sample_answer("river-ferry")
    session = SimpleNamespace(units=Units("metric", answer.ambient_pressure_pa))

    def small(sure):
        fires = tuple(ended(f, "vents in time", True, sure) for f in answer.fires)
        return [card.small for card in section_cards(replace(answer, fires=fires), session)]

    assert all("; sure; " in text for text in small(True))
    assert all("; not sure: " in text for text in small(False))
