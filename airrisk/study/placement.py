"""The audit: all rules asked of one installation on one date."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from airrisk.installation.sections import Section
from airrisk.study.records import Finding, SectionRecord
from airrisk.study.rules import RULES, Rule, RuleContext
from airrisk.study.rules.asking import asked_in_turn
from airrisk.study.rules.context import SEVERITY_ORDER, Unanswered, with_kinds
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
    found = [with_kinds(context, one) for one in _without_contradiction(found)]
    place = {rule.id: number for number, rule in enumerate(RULES)}
    return tuple(
        sorted(
            found,
            key=lambda f: (SEVERITY_ORDER[f.severity], place[f.rule], f.part.casefold()),
        )
    )


def _without_contradiction(found: list[Finding]) -> list[Finding]:
    """The findings, none of which counts on a device that another one rejects.

    A finding that counts on devices names them under ``reassures`` and says under ``otherwise``
    which of its values are others where none of them is left.
    """
    rejected = {one.part for one in found if one.severity != "note"}
    settled = []
    for one in found:
        named = one.values.get("reassures", ())
        kept = tuple(name for name in named if name not in rejected)
        values = dict(one.values)
        if named and not kept:
            values |= values.pop("otherwise")
            values["reassures"] = ()
        elif named != kept:
            values |= {key: kept for key, value in one.values.items() if value == named}
        settled.append(replace(one, values=values))
    return settled


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
