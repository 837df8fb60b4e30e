"""The scratch copy: knob positions over the file's text, kept as one step or dropped."""

from __future__ import annotations

from typing import Any

from airrisk.editing import Document
from airrisk.installation.model import Installation
from airrisk.installation.reading import check
from airrisk.installation.splice import EditError, SystemText
from airrisk.study.cure_changes import Change, ChangeImpossibleError, changed_text


class Scratch:
    """Changes tried on a document's text; the document itself does not notice."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.changes: dict[tuple[str, str], str] = {}
        self.cure: tuple[Change, ...] = ()  # below the turned values, as if done and confirmed

    def turn(self, part: str, field: str, text: str) -> None:
        """Try this value for a field."""
        self.changes[(part, field)] = text

    def drop(self) -> None:
        """Forget every turned value."""
        self.changes.clear()

    @property
    def is_changed(self) -> bool:
        """Whether it says something else than the document."""
        return bool(self.changes or self.cure)

    def text(self) -> SystemText:
        """The document's present text with the tried values in it."""
        text = self.document.system_text
        if self.cure:
            text = changed_text(text.up_to_date(), self.cure)
        for (part, field), value in self.changes.items():
            text = _with(text, part, field, value)
        return text

    def installation(self) -> tuple[Installation | None, str]:
        """What the scratch copy says, and the first mistake when it cannot be read."""
        try:
            text = self.text().text
        except (
            EditError,
            ChangeImpossibleError,
        ) as error:  # the part was deleted or renamed meanwhile
            return None, str(error)
        installation, problems = check(text)
        if installation is not None:
            return installation, ""
        first = problems[0]
        return None, f"{first.part}, {first.field}: {first.message}; valid: {first.valid}"

    def keep(self, label: str) -> bool:
        """Put the tried values into the document as one undoable step.

        Raises
        ------
        EditError
            A part that was turned is not in the file any more.
        """
        text = self.text().text
        self.changes.clear()  # before the view follows the document
        return self.document.replace(label, text)


def _with(text: SystemText, part: str, field: str, value: Any) -> SystemText:
    if field == "volume" and text.value(part, "cylinder_length") is not None:
        text = text.unset(part, "cylinder_length")  # the two would contradict each other
    return text.set(part, field, value)
