"""Water in a part: what the fire runs leave out stands beside their verdicts."""

import dataclasses

from airrisk.report import blocks
from airrisk.report.fire_sections import fires_section
from airrisk.study.records import Finding
from airrisk.wording.sentences import section_verdict
from airrisk.wording.units import Units
from tests.report import hand_made

WET = Finding("condensate-raises-pressure", "warning", "R1", "", {})


def wet():
    answer = hand_made.assessment()
    return dataclasses.replace(answer, findings=(*answer.findings, WET))


def test_the_verdict_of_a_section_with_water_says_that_its_steam_is_left_out():
    assert "steam" in section_verdict(wet(), "L1+R1").text
    assert "steam" not in section_verdict(hand_made.assessment(), "L1+R1").text


def test_the_chapter_on_fires_says_it_too():
    texts = [
        b.text for b in fires_section(wet(), Units()).blocks if isinstance(b, blocks.Paragraph)
    ]
    assert any("R1 holds water" in text for text in texts)
