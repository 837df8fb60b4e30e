"""What became of causes, findings and verdicts between two versions, in words."""

from __future__ import annotations

from airrisk.messages import Texts
from airrisk.study.records import Assessment
from airrisk.wording.matrix import class_heads, matrix_rows
from airrisk.wording.translation import tr

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


def _cells(answer: Assessment) -> dict[tuple[str, str], str]:
    heads = class_heads()
    return {
        (row.title, head): cell.text
        for row in matrix_rows(answer)
        for head, cell in zip(heads, row.cells, strict=True)
    }
