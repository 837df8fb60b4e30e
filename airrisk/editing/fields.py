"""Typing a value into a field: tried first, put into the document only when it is sound."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from airrisk.installation.decoding import parse_toml
from airrisk.installation.fields import ALLOY_UNSTATED, OPEN_ENDS, FieldSpec
from airrisk.installation.place_checks import RING
from airrisk.installation.problems import SystemFileErrors
from airrisk.installation.reading import check
from airrisk.installation.splice import EditError, SystemText
from airrisk.installation.values import rule_names
from airrisk.messages import told_of
from airrisk.physics.alloys import alloys
from airrisk.physics.metal import materials

if TYPE_CHECKING:
    from airrisk.editing.document import Document
    from airrisk.installation.model import Installation


_LISTS = frozenset(
    ("shares", "points", "point", "path", "cell", "references", "keys", "fire", "accepted", "found")
)


def typed_text(spec: FieldSpec, text: str) -> Any:
    """What was typed as a value to set: lists and tables in brackets are read as such."""
    if spec.kind in _LISTS and text[:1] in "[{":
        try:
            return parse_toml(f"value = {text}")["value"]
        except SystemFileErrors:
            return text
    return text


def trial(document: Document, kind: str, name: str, spec: FieldSpec, text: str) -> tuple[str, str]:
    """The document's text with a field typed, and what is wrong with the field then.

    Parameters
    ----------
    document
        Stays as it is.
    kind, name
        Table and, where it stands more than once, its id.
    spec
        Declaration of the field.
    text
        What was typed; empty takes the field out, so that the default counts.

    Returns
    -------
    tuple
        New text, and the message to stand beside the field, empty when the value is sound.
    """
    part = name or kind
    before = document.system_text
    try:
        if not text:
            after = before.unset(part, spec.key)
        elif spec.kind == "id":
            after = before.rename(part, text)
        else:
            after = _set(before, kind, part, spec, text)
    except EditError as error:
        return document.text, told_of(error)
    if not text and spec.required:
        return document.text, f"needed; valid: {spec.valid_text()}"
    return after.text, _mistake(after, part if spec.kind != "id" else text, kind, spec)


def _set(before: SystemText, kind: str, part: str, spec: FieldSpec, text: str) -> SystemText:
    """A value typed into a field; of people the other way to tell their place goes."""
    after = before.set(part, spec.key, typed_text(spec, text))
    if kind != "people" or spec.key not in ("at", *RING):
        return after
    for key in RING if spec.key == "at" else ("at",):
        after = after.unset(part, key)
    vessels = [str(one.get("id", "")) for one in after.raw.get("vessel", ())]
    if spec.key == "distance" and len(vessels) == 1 and after.value(part, "from") is None:
        after = after.set(part, "from", vessels[0])
    return after


def _mistake(text: SystemText, part: str, kind: str, spec: FieldSpec) -> str:
    _installation, problems = check(text.text)
    index = text.address(part)[1]
    for problem in problems:
        same_table = problem.kind == kind and (index is None or problem.index == index)
        if same_table and problem.field.partition(".")[0].partition("[")[0] == spec.key:
            return (
                f"{problem.message}; valid: {problem.valid}" if problem.valid else problem.message
            )
    return ""


def words_for(spec: FieldSpec, installation: Installation | None, name: str) -> tuple[str, ...]:
    """What a field with a closed list may hold.

    Parameters
    ----------
    spec
        Declaration of the field.
    installation
        For fields that name a part.
    name
        Id of the part itself, which it cannot name.
    """
    if spec.kind == "outlet":
        rooms = () if installation is None else tuple(room.id for room in installation.rooms)
        return (*spec.choices, *rooms)
    if spec.choices:
        return spec.choices
    if spec.kind == "rule":
        return rule_names()
    if spec.kind == "flag":
        return ("true", "false")
    if spec.kind == "material":
        return tuple(metal.key for metal in materials())
    if spec.kind == "alloy":
        return (*(alloy.key for alloy in alloys()), ALLOY_UNSTATED)
    if installation is None:
        return ()
    if spec.kind == "end":
        return (*(p.id for p in installation.parts() if p.id != name), *OPEN_ENDS)
    if spec.kind == "reference":
        return tuple(_targets(installation, spec.targets, name))
    return ()


def _targets(installation: Installation, kinds: tuple[str, ...], name: str) -> list[str]:
    groups: dict[str, Sequence[Any]] = {
        "compressor": installation.compressors, "vessel": installation.vessels,
        "line": installation.lines, "junction": installation.junctions,
        "consumer": installation.consumers, "valve": installation.valves,
        "plug": installation.plugs, "relief_valve": installation.relief_valves,
        "bursting_disc": installation.bursting_discs,
        "fire": installation.fires, "fire_source": installation.fire_sources,
        "wall": installation.walls,
        "reading": installation.readings,
        "people": installation.people, "room": installation.rooms,
    }  # fmt: skip
    return [record.id for kind in kinds for record in groups.get(kind, ()) if record.id != name]
