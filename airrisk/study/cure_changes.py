"""Changes of an installation that may cure it, as edits of its system file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from airrisk.installation.fields import OFFERING
from airrisk.installation.model import Installation
from airrisk.installation.reading import check
from airrisk.installation.splice import EditError, SystemText

ChangeKind = Literal[
    "renew", "move", "fit", "enlarge", "alloy", "reach", "lock", "turn", "stop", "set", "drain",
    "confirm", "outlet", "keep_away", "away", "wall", "lower", "insulate",
]  # fmt: skip
NEVER_OFFERED: frozenset[ChangeKind] = frozenset(
    {"lock", "turn", "keep_away", "away", "reach", "wall", "lower"}
)
# promises that somebody must go on keeping: no part of the installation does it
PROMISES: frozenset[ChangeKind] = frozenset({"keep_away", "away", "wall"})
# of what is added; the number is counted up to the first that is free
NEW_IDS = {"plug": "FP1", "wall": "Wall1"}


@dataclass(frozen=True)
class Edit:
    """One field of one part, or of a table that stands once, with its new value."""

    part: str
    key: str
    value: Any  # as ``SystemText.set`` takes it


@dataclass(frozen=True)
class Change:
    """One change: fields that get another value, and perhaps a new plug or wall.

    Attributes
    ----------
    kind
        What is done.
    part
        The part or device that it is done to; of a new plug the part that it stands on, of a
        wall the source of fire that it stands before.
    edits
        Fields of parts that are there already.
    added
        Fields of a new plug or wall, its id left out; empty: none.
    table
        Of which kind of table that is.
    flames
        Fires of the file in whose flames the plug then is, each with the plugs that are already.
    confirmed
        Parts of which every offered value is confirmed.
    values
        What the words about it need; numbers in SI.
    cost
        Relative to renewing one plug.
    """

    kind: ChangeKind
    part: str
    edits: tuple[Edit, ...] = ()
    added: tuple[tuple[str, Any], ...] = ()
    flames: tuple[tuple[str, tuple[str, ...]], ...] = ()
    confirmed: tuple[str, ...] = ()
    values: Mapping[str, Any] = field(default_factory=dict, hash=False, compare=False)
    cost: float = 0.0
    table: str = "plug"

    @property
    def places(self) -> frozenset[tuple[str, str]]:
        """The fields that it writes; two changes of one field exclude each other."""
        own = {(edit.part, edit.key) for edit in self.edits}
        if self.added and self.table == "wall":
            own.add((self.part, "at"))  # it stands where the source of fire stands now
        elif self.added:
            own.add(("a plug on", self.part))
        return frozenset(own)


class ChangeImpossibleError(ValueError):
    """The changed file would not be valid."""


def changed_text(
    text: SystemText, changes: Sequence[Change], *, as_offered: bool = False
) -> SystemText:
    """The system file with some changes.

    Parameters
    ----------
    text
        As it is.
    changes
        In the order in which they are made.
    as_offered
        Whether every written value is named in the ``offered`` of its part, so that nobody counts
        on it yet; changes of ``unwritten`` are left out then.

    Raises
    ------
    ChangeImpossibleError
        A change names what is not there.
    """
    try:
        for change in changes:
            text = _one(text, change, as_offered)
        for change in changes:
            if change.kind == "insulate":
                text = _freed(text, change, as_offered)
    except EditError as error:
        raise ChangeImpossibleError(str(error)) from error
    return text


def read_changed(text: SystemText) -> Installation:
    """The installation of a changed file.

    Raises
    ------
    ChangeImpossibleError
        The file has mistakes.
    """
    installation, problems = check(text.text, raw=text.raw)
    if installation is None or problems:
        raise ChangeImpossibleError("; ".join(str(problem) for problem in problems))
    return installation


def unwritten(changes: Iterable[Change]) -> tuple[Change, ...]:
    """Those of some changes that a file cannot hold as offered, and that are therefore not written.

    What is written without that mark counts at once, although nobody has done it yet.
    """
    return tuple(change for change in changes if change.kind in NEVER_OFFERED)


def _one(text: SystemText, change: Change, as_offered: bool) -> SystemText:
    if as_offered and change.kind in NEVER_OFFERED:
        return text
    name = change.part
    if change.added:
        name = text.free_id(NEW_IDS[change.table])
        fields = {"id": name, **dict(change.added)}
        if as_offered:
            fields["offered"] = [key for key in fields if key != "id"]
        text = text.add(change.table, fields)
    written = [(edit.part, edit.key, _plain(edit.value)) for edit in change.edits]
    if as_offered:
        for edit, one in zip(change.edits, written, strict=True):
            text = _offered(text.set(*one), edit)
    else:
        text = text.set_all(written)
    for part in change.confirmed:
        text = text if as_offered else text.confirm(part)
    for fire, heated in change.flames:
        listed = text.value(fire, "plugs_in_fire")
        named = [str(one) for one in (heated if listed is None else listed)]
        if name not in named:
            text = text.set(fire, "plugs_in_fire", [*named, name])
    if change.kind == "lock":
        text = _without_shutting(text, {edit.part for edit in change.edits})
    return text


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def _freed(text: SystemText, change: Change, as_offered: bool) -> SystemText:
    """The plugs on parts that are insulated stand free of it, those that were added with it too."""
    parts = {edit.part.casefold() for edit in change.edits}
    for plug in text.raw.get("plug", ()):
        if str(plug.get("on", "")).casefold() in parts and not plug.get("stands_free"):
            edit = Edit(str(plug["id"]), "stands_free", True)
            text = text.set(edit.part, edit.key, edit.value)
            text = _offered(text, edit) if as_offered else text
    return text


def _offered(text: SystemText, edit: Edit) -> SystemText:
    kind, index = text.address(edit.part)
    if kind not in OFFERING or index is None:
        return text
    named = [str(one) for one in text.value(edit.part, "offered") or ()]
    return text if edit.key in named else text.set(edit.part, "offered", [*named, edit.key])


def _without_shutting(text: SystemText, valves: set[str]) -> SystemText:
    """No fire of the file burns with a valve shut that is locked open."""
    gone = {name.casefold() for name in valves}
    for number, fire in enumerate(text.raw.get("fire", ())):
        closed = fire.get("closed")
        if closed and any(str(one).casefold() in gone for one in closed):
            left = [one for one in closed if str(one).casefold() not in gone]
            text = text.set(("fire", number), "closed", left)
    return text
