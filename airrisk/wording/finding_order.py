"""Findings in an order and in a choice that somebody asks for: part, rule, cause, action."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from airrisk.installation.naming import in_order
from airrisk.messages import Texts
from airrisk.study.actions import facts_of
from airrisk.study.open_work import work_about
from airrisk.study.records import Assessment, Finding
from airrisk.wording import labels
from airrisk.wording.findings import finding_place, rule_title, worst_first
from airrisk.wording.translation import tr

SEVERITY, PART, RULE, CAUSE, ACTION = "severity", "part", "rule", "cause", "action"
WAYS: Texts[dict[str, str]] = {
    SEVERITY: "worst first", PART: "by part", RULE: "by rule", CAUSE: "by cause",
    ACTION: "by action",
}  # fmt: skip
NAMES: Texts[dict[str, str]] = {
    SEVERITY: "Severity", PART: "Part", RULE: "Rule", CAUSE: "Cause", ACTION: "Action",
}  # fmt: skip


@dataclass(frozen=True)
class Known:
    """What stands beside the findings: causes, where somebody has asked for them, and actions.

    Attributes
    ----------
    causes
        Place of the cause, from 1, by what a finding says; empty: nobody has asked.
    actions
        Ids of the actions about a finding, by the same.
    """

    causes: Mapping[Any, int] = field(default_factory=dict)
    actions: Mapping[Any, tuple[str, ...]] = field(default_factory=dict)

    @classmethod
    def of(cls, assessment: Assessment, cures: Assessment | None) -> Known:
        """Of an answer, and of the same one with its causes."""
        causes: dict[Any, int] = {}
        for number, cause in enumerate((cures.causes if cures else None) or (), start=1):
            for one in cause.findings:
                causes.setdefault(facts_of(one), number)
        actions = {}
        for one in assessment.findings:
            about = [action.id for action in work_about((one,), assessment.actions)]
            if one.accepted:
                about.insert(0, one.accepted)
            if about:
                actions[facts_of(one)] = tuple(about)
        return cls(causes, actions)

    def cause(self, finding: Finding) -> int | None:
        """The cause of a finding, counted from 1; None: not known."""
        return self.causes.get(facts_of(finding))

    def about(self, finding: Finding) -> tuple[str, ...]:
        """The actions about a finding."""
        return self.actions.get(facts_of(finding), ())

    def words(self, finding: Finding, way: str) -> tuple[str, ...]:
        """What a finding is filed under, in words: its part, the title of its rule, ..."""
        if way == SEVERITY:
            return (labels.severity(finding.severity),)
        if way == PART:
            return (finding_place(finding),)
        if way == RULE:
            return (rule_title(finding.rule),)
        if way == CAUSE:
            number = self.cause(finding)
            return (cause_word(number),)
        return self.about(finding) or (tr("nothing decided"),)


def cause_word(number: int | None) -> str:
    """A cause by its number, or that none is known."""
    return tr("no cause known") if number is None else tr("cause {number}").format(number=number)


def ordered(findings: Iterable[Finding], way: str, known: Known) -> list[Finding]:
    """Findings in one of the ``WAYS``; of those that are alike there, the worst first.

    What has no cause or no action comes last: it is told, not hidden.
    """
    found = worst_first(tuple(findings))
    if way == SEVERITY:
        return found
    last = len(found) + 1
    parts = {name: place for place, name in enumerate(in_order({one.part for one in found}))}
    named = in_order({name for one in found for name in known.about(one)})
    actions = {name: place for place, name in enumerate(named)}
    keys: dict[str, Callable[[Finding], Any]] = {
        PART: lambda one: parts[one.part],
        RULE: lambda one: rule_title(one.rule).casefold(),
        CAUSE: lambda one: known.cause(one) or last,
        ACTION: lambda one: min((actions[name] for name in known.about(one)), default=last),
    }
    return sorted(found, key=keys[way])


def filed_under(findings: Iterable[Finding], way: str, known: Known) -> list[str]:
    """All words that findings are filed under in one way, in the order of that way."""
    return list(
        dict.fromkeys(
            word for one in ordered(findings, way, known) for word in known.words(one, way)
        )
    )
