"""What is wrong with a system file, told so that a person can put it right."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from airrisk.installation.characters import spelt, visible_line
from airrisk.messages import listed, said

SHOWN_VALUE = 60  # characters of a value repeated in a message
MOST_TOLD = 100  # mistakes that are told one by one; the others are counted


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake in a system file.

    Parameters
    ----------
    file : str
        Name of the file, may be empty.
    line : int or None
        Line number from 1; None when no line can be named.
    part : str
        Kind and id, for example "vessel R1"; "site" for a single table; empty for the file.
    field : str
        Key in the file; empty when the mistake is not about one field.
    value : str
        What stands in the file, shortened.
    message : str
        What is wrong.
    valid : str
        What would be right.
    kind : str
        Kind of table, for example "vessel".
    index : int or None
        Place among the tables of that kind, from 0.
    """

    file: str
    line: int | None
    part: str
    field: str
    value: str
    message: str
    valid: str
    kind: str = ""
    index: int | None = None

    @property
    def told(self) -> str:
        """All of it in one line, which can be said in another language."""
        bits = (visible_line(self.file), self.line)
        place = ":".join(str(bit) for bit in bits if bit not in ("", None))
        subject = listed([bit for bit in (self.part, self.field) if bit])
        if self.value:
            subject = listed([subject, self.value], " = ") if subject else self.value
        text = listed([bit for bit in (place, subject, self.message) if bit], ": ")
        return said("mistake-and-valid", text=text, valid=self.valid) if self.valid else text

    def __str__(self) -> str:
        return str(self.told)


class SystemFileErrors(ValueError):
    """A system file that cannot be used.

    Parameters
    ----------
    problems : iterable of Problem
        All mistakes found, in the order of the lines.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(self.problems)

    @property
    def told(self) -> str:
        """All mistakes, a line each, which can be said in another language."""
        return listed([problem.told for problem in self.problems], "\n")

    def __str__(self) -> str:
        return str(self.told)


class NewerFormat(SystemFileErrors):
    """A system file of a later format: it can be viewed as text, not edited or assessed."""


def shown(value: object) -> str:
    """A value as it is repeated in a message, shortened."""
    if isinstance(value, bool):
        text = "true" if value else "false"
    elif isinstance(value, str):
        text = '"' + spelt(value[:SHOWN_VALUE]) + '"'
        if len(value) > SHOWN_VALUE:
            return text[: SHOWN_VALUE - 3] + "..."
    elif isinstance(value, dict):
        text = "{...}"
    elif isinstance(value, list) and value and all(isinstance(one, dict) for one in value):
        text = "[[...]]"
    elif isinstance(value, list):
        text = f"[{', '.join(shown(one) for one in value[:SHOWN_VALUE])}]"
    elif isinstance(value, int) and value.bit_length() > 1000:  # too long to be spelt
        text = said("very-large-number")
    else:
        text = str(value)
    return shortened(text, SHOWN_VALUE)


def shortened(text: str, most: int) -> str:
    """A text cut to so many characters, with dots where something is left out."""
    return text if len(text) <= most else text[: most - 3] + "..."
