"""The audit: all rules asked of one installation on one date."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from airrisk.installation.sections import Section
from airrisk.study.records import Finding, SectionRecord
from airrisk.study.rules import RULES, Rule, RuleContext
from airrisk.study.rules.asking import asked_in_turn
from airrisk.study.rules.context import SEVERITY_ORDER, Unanswered
from airrisk.study.rules.fires import rule_not_asked


def audit(
    context: RuleContext, note: Callable[[str, Exception], str] | None = None
) -> tuple[Finding, ...]:
    """Findings of all rules, the most severe first, then in the order of the rules, then by part.

    Parameters
    ----------
    context : RuleContext
    note : callable
        Called with the part and the error where a rule cannot be asked of it; returns the reason
        in words. That is a finding too, and the rules go on with the other parts. Left out: the
        error goes to the caller.
    """
    found: list[Finding] = []
    unanswered: dict[tuple[str, str], tuple[Exception, list[str]]] = {}
    for rule in RULES:
        for answer in asked_in_turn("", _answers(rule, context)):
            if isinstance(answer, Finding):
                found.append(answer)
            elif note is None:
                raise answer.error
            else:
                # several rules ask for the same number: that is one failure
                key = (answer.part, str(answer.error))
                titles = unanswered.setdefault(key, (answer.error, []))[1]
                if rule.title not in titles:
                    titles.append(rule.title)
    if note is not None:
        found += [
            rule_not_asked(part, tuple(titles), note(part, error))
            for (part, _), (error, titles) in unanswered.items()
        ]
    place = {rule.id: number for number, rule in enumerate(RULES)}
    return tuple(
        sorted(
            found,
            key=lambda f: (SEVERITY_ORDER[f.severity], place[f.rule], f.part.casefold()),
        )
    )


def _answers(rule: Rule, context: RuleContext) -> Iterator[Finding | Unanswered]:
    yield from rule.check(context)


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
