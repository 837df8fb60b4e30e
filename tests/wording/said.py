"""Everything that one answer says to people in sentences, text by text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from airrisk.installation.model import Installation
from airrisk.report import blocks
from airrisk.report.summary_sections import fire_service_section, summary_section
from airrisk.study.records import Assessment, FireRecord
from airrisk.wording.cures import bore_sentences, cure_sentences
from airrisk.wording.engineers_questions import engineers_questions
from airrisk.wording.findings import finding_cure, finding_text, worst_first
from airrisk.wording.sentences import (
    chosen_strength_basis,
    fire_sentence,
    fire_verdict,
    protection_sentence,
    screening_sentence,
    short_fire_sentence,
    uncredited_plugs,
)
from airrisk.wording.units import Units
from airrisk.wording.what_to_do import what_to_do


@dataclass(frozen=True)
class Said:
    """One text, read on its own: a finding with its cure, a verdict, a line of the report."""

    kind: str  # "finding" | "fire" | "verdict" | "cure" | "to do" | "question" | "part" | "report"
    where: str
    text: str


def said(answer: Assessment, installation: Installation, units: Units) -> Iterator[Said]:
    """The texts of an answer.

    Parameters
    ----------
    answer : Assessment
        The answer.
    installation : Installation
        What it is about.
    units : Units
        Unit set and atmosphere.
    """
    for one in answer.findings:
        where = f"{one.rule}, {one.part}"
        text = f"{finding_text(one, units)} {finding_cure(one, units)}"
        yield Said("finding", where, text)
    for fire in answer.fires:
        yield from _of_fire(answer, fire, units)
    doubted = uncredited_plugs(answer)
    for name, part in answer.parts.items():
        yield Said("part", name, protection_sentence(answer, name))
        yield Said("part", name, screening_sentence(part, units, doubted))
    ordered = [one for one in worst_first(answer.findings) if one.severity != "note"]
    for line in what_to_do(answer, ordered, units):
        yield Said("to do", "", line)
    for question in engineers_questions(answer, installation, units):
        yield Said("question", question.question, question.answer)
    for section in (
        summary_section(answer, units),
        fire_service_section(answer, installation, units),
    ):
        for block in section.blocks:
            for text in _texts(block):
                yield Said("report", section.key, text)


def _of_fire(answer: Assessment, fire: FireRecord, units: Units) -> Iterator[Said]:
    where = f"{fire.id} on {fire.section}"
    yield Said("fire", where, fire_sentence(fire, units))
    yield Said("fire", where, short_fire_sentence(fire, units))
    yield Said("verdict", where, fire_verdict(fire, chosen_strength_basis(answer)).text)
    for text in (*cure_sentences(fire, units), *bore_sentences(fire, units)):
        yield Said("cure", where, text)


def _texts(block: blocks.Block) -> tuple[str, ...]:
    if isinstance(block, blocks.Bullets):
        return block.items
    return (block.text,) if isinstance(block, (blocks.Paragraph, blocks.Heading)) else ()
