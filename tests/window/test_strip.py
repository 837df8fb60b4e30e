"""What the strip of sections says."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from airrisk import tables
from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.records import Finding
from airrisk.window.answers_panel import fire_title
from airrisk.window.strip import finding_card, section_cards
from airrisk.window.tryout.live import TryOutAnswer
from airrisk.window.tryout.pins import Pin, Pins
from airrisk.wording.units import Units


def test_a_plug_that_the_verdict_does_not_count_on_is_marked():
    """Regression: the card named it like any other beside the word "ruptures"."""
    data = tables.sample_path("dairy-hall").read_bytes()
    installation = read(data)
    answer = assess(installation, installation.choices.audit_date, source=data, bores=False)
    doubted = {plug for fire in answer.fires for plug in fire.uncredited_plugs}
    session = SimpleNamespace(units=Units("metric", answer.ambient_pressure_pa))
    texts = [card.text for card in section_cards(answer, session)]
    assert doubted
    for plug in doubted:
        assert any(f"{plug} (no credit)" in text for text in texts)


def test_a_section_without_a_fire_says_why():
    data = tables.sample_path("river-ferry.toml").read_bytes()
    installation = read(data)
    answer = assess(installation, installation.choices.audit_date, source=data, bores=False)
    session = SimpleNamespace(units=Units("metric", answer.ambient_pressure_pa))
    unmet = [c for c in section_cards(answer, session) if c.heading.endswith("not assessed")]
    assert [c.small for c in unmet] == ["reached by F2 only, with these valves open"]


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
    card = finding_card(finding, 0, SimpleNamespace(units=Units()))
    assert "warning: installation, " in card.heading


@pytest.mark.parametrize("word", ["outlasts the fire", "vents in time"])
def test_an_outcome_that_sounds_safe_and_is_not_says_so_everywhere(qtbot, word):
    data = tables.sample_path("river-ferry.toml").read_bytes()
    installation = read(data)
    answer = assess(installation, installation.choices.audit_date, source=data, bores=False)
    reason = "L1 ruptures and lets the air out"
    fires = tuple(replace(f, outcome=word, safe=False, reason=reason) for f in answer.fires)
    units = Units("metric", answer.ambient_pressure_pa)
    session = SimpleNamespace(units=units)
    cards = section_cards(replace(answer, fires=fires), session)
    assessed = [card for card in cards if not card.heading.endswith("not assessed")]
    assert assessed
    for card in assessed:
        assert card.heading == f"△ {word}, not safe"
        assert card.tone == "danger"
        assert card.small.startswith(reason)
    assert fire_title(fires[0]).startswith("△ ")
    assert fire_title(fires[0]).endswith(f"{word}, not safe")
    kept = replace(fires[0], safe=True)
    assert "not safe" not in fire_title(kept)
    pins = Pins()
    qtbot.addWidget(pins)
    pins.add(Pin({}, TryOutAnswer(next(iter(answer.parts.values())), fires[0], True)), units)
    assert pins.item(0, 1).text() == f"△ {word}, not safe: {reason}"
