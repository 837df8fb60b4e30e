"""The short report: a page to decide on, what is found and who does it, drawing, fire service."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from airrisk.installation.model import Installation
from airrisk.report.blocks import Report, Section
from airrisk.report.content import IN_SHORT, build_report, units_for
from airrisk.report.cure_sections import cures_section
from airrisk.report.decision_section import decision_section, deeds_to_do
from airrisk.report.lines import Lines, lines_of
from airrisk.report.proofs import card_keys, pointed_to, proof_of
from airrisk.report.who_does_what import who_does_what_section
from airrisk.study.records import Assessment
from airrisk.wording.translation import tr


def build_short_report(
    assessment: Assessment,
    installation: Installation,
    unit_set: str = "metric",
    more: Sequence[Section] = (),
) -> Report:
    """What people decide on and act by, in a few pages; the proof stands in the full report.

    Parameters
    ----------
    assessment : Assessment
        The answer of the study.
    installation : Installation
        The same revision of the system file, read.
    unit_set : str
        "metric" or "US customary".
    more : sequence of Section
        Chapters that were asked for, such as a map.

    Returns
    -------
    Report
        The page to decide on first.
    """
    full = build_report(assessment, installation, unit_set)
    return replace(
        full,
        subtitle=tr("Safety of a compressed-air installation in fire: short report"),
        sections=short_sections(assessment, installation, full, unit_set, more),
    )


def build_whole_report(
    assessment: Assessment,
    installation: Installation,
    unit_set: str = "metric",
    more: Sequence[Section] = (),
) -> Report:
    """The short report, and behind it every chapter that proves it.

    Parameters
    ----------
    assessment, installation, unit_set
        As of the short report.
    more : sequence of Section
        Chapters that were asked for; they stand among the proofs.
    """
    full = build_report(assessment, installation, unit_set, more)
    short = short_sections(assessment, installation, full, unit_set)
    known = {section.key for section in short} | IN_SHORT
    proofs = tuple(section for section in full.sections if section.key not in known)
    return replace(full, sections=(*short, *proofs), linked=pointed_to(short))


def short_sections(
    assessment: Assessment,
    installation: Installation,
    full: Report,
    unit_set: str,
    more: Sequence[Section] = (),
) -> tuple[Section, ...]:
    """The chapters of the short report; their numbers point to the lines of the full one."""
    units = units_for(installation, unit_set)
    lines = lines_of(full.sections)
    causes = cures_section(assessment, units)
    todo = deeds_to_do(assessment, units)
    made = {section.key: section for section in full.sections if section.key in IN_SHORT}
    return (
        decision_section(assessment, installation, units, lines, todo),
        who_does_what_section(assessment, units, lines, full.sections, todo.deeds),
        *([causes] if causes is not None else []),
        made["drawing"],
        _proven_card(made["fire-service"], assessment, installation, lines),
        *more,
    )


def _proven_card(
    card: Section, assessment: Assessment, installation: Installation, lines: Lines
) -> Section:
    """The card for the fire service, and where its numbers come from."""
    keys = [
        key for vessel in installation.vessels for key in card_keys(assessment, vessel.id)
    ]  # fmt: skip
    return replace(card, blocks=(*card.blocks, *proof_of(lines.at(keys))))
