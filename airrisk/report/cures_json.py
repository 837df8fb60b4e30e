"""Causes and cure plans as plain values for the JSON answer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from airrisk.study.open_work import open_work
from airrisk.study.records import Assessment
from airrisk.wording.cure_plans import cause_cure, change_sentence
from airrisk.wording.units import Units

if TYPE_CHECKING:
    from airrisk.study.cure_changes import Change
    from airrisk.study.cure_plan import PlanSearch
    from airrisk.study.cure_trials import Cell


def causes_json(assessment: Assessment, units: Units) -> list[dict[str, Any]]:
    """The causes by rank; ``findings`` are places in the list of findings, counted from 0.

    Parameters
    ----------
    assessment : Assessment
        With causes.
    units : Units
        For the numbers inside texts.
    """
    places = {id(one): place for place, one in enumerate(assessment.findings)}
    return [
        {
            "rank": rank,
            "severity": cause.severity,
            "findings": [places[id(one)] for one in cause.findings],
            "parts": sorted({one.part for one in cause.findings}),
            "cure": cause_cure(cause, assessment.kinds, units) if cause.changes else None,
            "changes": [_change(one, assessment, units) for one in cause.changes],
            "energy_j": cause.energy_j,
            "people": list(cause.people),
            "open_actions": [
                one.id for one in open_work(cause.findings, assessment.actions, assessment.on)
            ],
            "cured": [{"section": section, "class": name} for section, name in cause.cured],
        }
        for rank, cause in enumerate(assessment.causes or (), start=1)
    ]


def plans_json(assessment: Assessment, units: Units) -> dict[str, Any]:
    """The search for cure plans: what was tried, what it came to, each plan with its verdicts.

    Parameters
    ----------
    assessment : Assessment
        With plans.
    units : Units
        For the numbers inside texts.
    """
    search: PlanSearch = assessment.plans
    return {
        "tried": {
            "changes": search.singles,
            "pairs": search.pairs,
            "groups": search.groups,
            "sets": search.sets,
        },
        "ended": search.ended,
        "unsafe": [_cell(one) for one in search.cells],
        "incurable": [_cell(one) for one in search.incurable],
        "only_by_keeping_fires_away": [_cell(one) for one in search.without_place],
        "plans": [
            {
                "cost": plan.cost,
                "steps": [
                    {"step": step} | _change(one, assessment, units)
                    for step, one in enumerate(plan.changes, start=1)
                ],
                "as_if_confirmed": True,
                "proven": [
                    {
                        "section": one.section,
                        "class": one.fire_class,
                        "outcome": one.outcome,
                        "safe": one.safe,
                        "sure": one.sure,
                        "runs": one.runs,
                    }
                    for one in plan.after.verdicts
                ],
            }
            for plan in search.plans
        ],
    }


def _change(change: Change, assessment: Assessment, units: Units) -> dict[str, Any]:
    return {
        "kind": change.kind,
        "part": change.part,
        "text": change_sentence(change, assessment.kinds, units),
        "cost": change.cost,
        "edits": [{"part": one.part, "field": one.key, "value": _plain(one.value)}
                  for one in change.edits],
        "added": {key: _plain(value) for key, value in change.added},
    }  # fmt: skip


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return value if isinstance(value, (str, int, float, bool)) else str(value)


def _cell(cell: Cell) -> dict[str, Any]:
    return {
        "section": cell.section,
        "closed_valves": list(cell.closed_valves),
        "class": cell.fire_class,
    }
