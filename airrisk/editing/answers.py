"""Which answer belongs to which revision of the document."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from airrisk.messages import said


class StaleAnswer(RuntimeError):
    """The answer was computed for another revision than the document has now."""


@dataclass(frozen=True)
class Answer:
    """A computed value with the revision it was computed for."""

    revision: int
    value: Any


class AnswerShelf:
    """The newest answer of each kind; older ones never replace newer ones."""

    def __init__(self) -> None:
        self._answers: dict[str, Answer] = {}

    def put(self, kind: str, revision: int, value: Any) -> bool:
        """Keep an answer unless a newer one is there; True when kept."""
        present = self._answers.get(kind)
        if present is not None and present.revision > revision:
            return False
        self._answers[kind] = Answer(revision, value)
        return True

    def latest(self, kind: str) -> Answer | None:
        """The newest answer, whatever its revision (shown greyed when old)."""
        return self._answers.get(kind)

    def is_current(self, kind: str, revision: int) -> bool:
        """Whether the newest answer was computed for this revision."""
        answer = self._answers.get(kind)
        return answer is not None and answer.revision == revision

    def for_export(self, kind: str, revision: int) -> Any:
        """The answer for exactly this revision.

        Raises
        ------
        StaleAnswer
            There is none, or it belongs to another revision.
        """
        answer = self._answers.get(kind)
        if answer is None:
            raise StaleAnswer(said("no-answer-yet"))
        if answer.revision != revision:
            raise StaleAnswer(said("answer-older-than-change"))
        return answer.value

    def clear(self) -> None:
        """Forget everything (another file was opened)."""
        self._answers.clear()
