"""Undo and redo of text replacements."""

from __future__ import annotations

from dataclasses import dataclass, field

from airrisk.editing.splices import Splice, splice_between


@dataclass(frozen=True)
class Step:
    """One undoable step as a person names it."""

    label: str
    splice: Splice
    merge_key: str | None = None


@dataclass
class History:
    """Steps done and undone; position 0 is the text as opened.

    The clean position is the one that equals the file; ``None`` when it cannot be reached
    any more.
    """

    limit: int = 2000
    _done: list[Step] = field(default_factory=list)
    _undone: list[Step] = field(default_factory=list)
    _clean: int | None = 0
    _sealed: bool = True  # the next step may not merge into the last one

    @property
    def undo_label(self) -> str | None:
        """What undo would take back, None when there is nothing."""
        return self._done[-1].label if self._done else None

    @property
    def redo_label(self) -> str | None:
        """What redo would do again, None when there is nothing."""
        return self._undone[-1].label if self._undone else None

    @property
    def is_clean(self) -> bool:
        """Whether the text at this position equals the saved one."""
        return self._clean == len(self._done)

    def push(self, label: str, before: str, after: str, merge_key: str | None = None) -> None:
        """Record that ``before`` became ``after``.

        A step with the same ``merge_key`` as the last one joins it, so that dragging a knob
        is one step; ``seal`` ends the joining.
        """
        if self._clean is not None and self._clean > len(self._done):
            self._clean = None  # the saved text stood among the undone steps
        self._undone.clear()
        merges = (
            merge_key is not None
            and not self._sealed
            and bool(self._done)
            and self._done[-1].merge_key == merge_key
            and self._clean != len(self._done)
        )
        if merges:
            first = self._done.pop()
            original = first.splice.reversed().apply(before)
            if original != after:
                self._done.append(Step(label, splice_between(original, after), merge_key))
        else:
            self._done.append(Step(label, splice_between(before, after), merge_key))
            if len(self._done) > self.limit:
                del self._done[0]
                self._clean = None if not self._clean else self._clean - 1
        self._sealed = False

    def seal(self) -> None:
        """End the joining: the next step stands alone."""
        self._sealed = True

    def undo(self, text: str) -> str:
        """Take the last step back; returns the text before it.

        Raises
        ------
        IndexError
            Nothing to undo.
        """
        step = self._done.pop()
        self._undone.append(step)
        self._sealed = True
        return step.splice.reversed().apply(text)

    def redo(self, text: str) -> str:
        """Do the last undone step again; returns the text after it.

        Raises
        ------
        IndexError
            Nothing to redo.
        """
        step = self._undone.pop()
        self._done.append(step)
        self._sealed = True
        return step.splice.apply(text)

    def mark_clean(self) -> None:
        """The text at this position is now the saved one."""
        self._clean = len(self._done)
        self._sealed = True

    def mark_never_clean(self) -> None:
        """No reachable position equals the file (restored after a crash, file changed)."""
        self._clean = None
