"""A table of the system file on its way to a record."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from airrisk.installation.fields import SINGLE, named_place


@dataclass
class Item:
    """One table of the file on its way to a record."""

    kind: str
    index: int
    raw: dict[str, Any]
    id: str = ""
    values: dict[str, Any] = field(default_factory=dict)
    wrong: bool = False
    record: Any = None

    @property
    def name(self) -> str:
        """Kind and id for messages."""
        if self.kind in SINGLE:
            return self.kind
        return named_place(self.kind, self.id, self.index)

    @property
    def path(self) -> tuple[str | int, ...]:
        """Where the table stands in the file."""
        if self.kind in SINGLE:
            return (self.kind,) if self.kind else ()
        return (self.kind, self.index)
