"""What became of causes, findings and verdicts between two versions, in words."""

from __future__ import annotations

from airrisk.installation.fields import FIELDS
from airrisk.installation.model import Installation
from airrisk.messages import Texts
from airrisk.study.records import Assessment
from airrisk.wording.matrix import class_heads, matrix_rows
from airrisk.wording.translation import tr
from airrisk.wording.units import and_list

_OF_CAUSES: Texts[dict[str, str]] = {
    "new": "new", "worse": "worse", "no longer accepted": "no longer accepted",
    "not assessed": "not assessed now", "removed": "no longer in the file",
    "overtaken": "overtaken by a graver one", "accepted": "accepted",
    "better": "better", "solved": "solved", "changed": "changed",
    "same": "as before",
}  # fmt: skip


def status_text(status: str) -> str:
    """What became of a cause or a finding, for example "worse"."""
    return tr(_OF_CAUSES[status])


def verdict_rows(
    before: Assessment, after: Assessment
) -> list[tuple[str, str, str, str, str]]:  # fmt: skip
    """Section, fires, verdict before and after, and whether it has changed; a dash: no such row."""
    old, new = _cells(before), _cells(after)
    found = []
    for section, head in dict.fromkeys([*old, *new]):
        was, now = old.get((section, head), "–"), new.get((section, head), "–")
        found.append((section, head, was, now, "" if was == now else tr("changed")))
    return found


# choices that bear on dates and on what is printed, not on what is asked of a section
NOT_ASKED = frozenset({"due_soon", "keep_clear_of", "tnt_energy", "examination_rules"})
MOST_NAMED = 6


def other_question(before: Installation, after: Installation) -> str:
    """Whether the verdicts of two versions answer the same question; empty: they do.

    A weaker assumed fire, a source or people that were taken out, a wider limit, colder air
    outside, another wall that shields, a part moved on the layout, an earlier day or a reading or
    inspection that is gone turns verdicts as a real improvement does.
    """
    changed = [
        tr(spec.label)
        for kind in ("choices", "site")
        for spec in FIELDS[kind]
        if spec.key not in NOT_ASKED
        and getattr(getattr(before, kind), spec.attr) != getattr(getattr(after, kind), spec.attr)
    ]
    for old, new in (
        (before.fires, after.fires),
        (before.fire_sources, after.fire_sources),
        (before.rooms, after.rooms),
        (before.people, after.people),
        (before.walls, after.walls),
    ):
        now = {one.id: one for one in new}
        changed += [one.id for one in old if now.get(one.id) != one]
    stood = {one.id for one in before.walls}
    changed += [one.id for one in after.walls if one.id not in stood]  # a new one shields too
    changed += [tr("place of {part}").format(part=name) for name in _moved(before, after)]
    left = {one.id for one in after.readings}
    changed += [one.id for one in before.readings if one.id not in left]
    seen = {(one.on.casefold(), one.date) for one in after.inspections}
    gone = [one.on for one in before.inspections if (one.on.casefold(), one.date) not in seen]
    changed += [tr("inspection of {part}").format(part=name) for name in dict.fromkeys(gone)]
    if not changed:
        return ""
    if len(changed) > MOST_NAMED:
        changed = [*changed[:MOST_NAMED], tr("others")]
    return tr(
        "The two versions do not ask the same: {changed} changed. A verdict that looks better may "
        "come from that alone."
    ).format(changed=and_list(changed))


def _moved(before: Installation, after: Installation) -> list[str]:
    """Parts of which the place or the compartment was stated and is another, or none, now."""
    now = {one.id: one for one in after.parts()}
    return [
        one.id
        for one in before.parts()
        if one.id in now
        and any(
            getattr(one, key, None) not in (None, "", getattr(now[one.id], key, None))
            for key in ("at", "area")
        )
    ]


def _cells(answer: Assessment) -> dict[tuple[str, str], str]:
    heads = class_heads()
    return {
        (row.title, head): cell.text
        for row in matrix_rows(answer)
        for head, cell in zip(heads, row.cells, strict=True)
    }
