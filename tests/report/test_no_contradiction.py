"""No page counts on a device, advises it or names it reassuringly that a finding rejects."""

import pytest

from airrisk.report.blocks import Bullets, Drawn, Formula, Heading, Paragraph, Table
from airrisk.report.short_report import build_whole_report
from airrisk.tables import sample_names
from tests.samples.answers import sample_answer, sample_installation
from tests.wording.contradictions import SEIZED, answered, contradicts, rejected


def told(report):
    """Chapter and text of everything that can be read; a row of a table is one text."""
    for section in report.sections:
        for block in section.blocks:
            if isinstance(block, (Paragraph, Heading)):
                yield section.key, block.text
            elif isinstance(block, Bullets):
                yield from ((section.key, item) for item in block.items)
            elif isinstance(block, Table):
                yield from ((section.key, " | ".join(row)) for row in block.rows)
                yield section.key, block.caption
            elif isinstance(block, Drawn):
                yield section.key, block.caption
            elif isinstance(block, Formula):
                yield section.key, block.worked.title


def about_itself(key: str, text: str, device: str) -> bool:
    """Whether a row tells what else is wrong with the device, not what it does."""
    of_findings = key in {"findings", "who-does-what", "owners"}
    return of_findings and any(
        f"{kind} {device} opens at" in text for kind in ("Relief valve", "relief valve")
    )


def contradictions(answer, installation):
    doubted = rejected(answer)
    if not doubted:
        return []
    return [
        f"{device} is rejected, yet {key}: {text}"
        for key, text in told(build_whole_report(answer, installation))
        for device in doubted
        if contradicts(text, device) and not about_itself(key, text, device)
    ]


@pytest.mark.parametrize("name", sample_names())
def test_no_page_of_a_sample_counts_on_what_it_rejects(name):
    assert contradictions(sample_answer(name), sample_installation(name)) == []


@pytest.mark.parametrize(("seed", "worse"), [(3, "offered"), (6, SEIZED)])
def test_no_page_of_a_random_system_counts_on_what_it_rejects(seed, worse):
    answer, installation = answered(seed, worse, bores=False)
    assert rejected(answer)
    assert contradictions(answer, installation) == []
