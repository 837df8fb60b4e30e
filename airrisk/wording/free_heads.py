"""Changes that take insulation off a plug: whether one does, and how it is said."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from airrisk.wording.translation import tr

if TYPE_CHECKING:  # the search itself is not needed to speak of it
    from airrisk.study.cure_changes import Change
    from airrisk.study.records import Cure


def _frees(written: Iterable[tuple[str, object]]) -> bool:
    """Whether fields with their new values make a plug stand free of insulation."""
    return any(key == "stands_free" and str(value).casefold() == "true" for key, value in written)


def freed_sentence(text: str, change: Change) -> str:
    """The sentence of a change, and that insulation is cut back where it asks for that."""
    edits = [(edit.key, edit.value) for edit in change.edits]
    if not _frees((*edits, *change.added)):
        return text
    cut = tr("Cut the insulation back there, so that head and outlet of the plug stand free.")
    return f"{text} {cut}"


def freed_deed(deed: str, cure: Cure) -> str:
    """The deed of a cure, without full stop, and that insulation is cut back where it asks so."""
    changes = [(key, value) for _, key, value in cure.changes]
    if not _frees((*changes, *cure.added)):
        return deed
    return tr("{deed}, and cut the insulation back so that its head and outlet stand free").format(
        deed=deed
    )
