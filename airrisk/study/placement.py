"""The audit: all rules asked of one installation on one date."""

from __future__ import annotations

from airrisk.installation.sections import Section
from airrisk.study.records import Finding, SectionRecord
from airrisk.study.rules import RULES, RuleContext
from airrisk.study.rules.context import SEVERITY_ORDER


def audit(context: RuleContext) -> tuple[Finding, ...]:
    """Findings of all rules, the most severe first, then in the order of the rules, then by part.

    Parameters
    ----------
    context : RuleContext
    """
    found = [one for rule in RULES for one in rule.check(context)]
    place = {rule.id: number for number, rule in enumerate(RULES)}
    return tuple(
        sorted(
            found,
            key=lambda f: (SEVERITY_ORDER[f.severity], place[f.rule], f.part.casefold()),
        )
    )


def section_records(sections: tuple[Section, ...]) -> tuple[SectionRecord, ...]:
    """Sections as result records."""
    return tuple(
        SectionRecord(
            section.id,
            section.members,
            section.closed_valves,
            section.volume,
            section.plugs,
            section.relief_valves,
        )
        for section in sections
    )
