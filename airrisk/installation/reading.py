"""A system file, text to checked records, all mistakes reported at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from airrisk.installation import crosschecks, spreads
from airrisk.installation.characters import visible_line
from airrisk.installation.decoding import (
    MAX_BYTES,
    decode,
    of_file,
    parse_toml,
    read_file,
    too_large,
)
from airrisk.installation.fields import (
    FIELDS,
    KINDS_SINCE,
    REPEATED,
    SINGLE,
    FieldSpec,
    keys_of,
    kind_name,
)
from airrisk.installation.fields import spec as field_spec
from airrisk.installation.items import Item
from airrisk.installation.layout import Layout, LayoutError
from airrisk.installation.migration import FORMAT, READ_AS_WRITTEN, is_older, migrate
from airrisk.installation.model import (
    RECORDS,
    Installation,
    Site,
    Spread,
    Vessel,
)
from airrisk.installation.problems import (
    MOST_TOLD,
    SHOWN_VALUE,
    NewerFormat,
    Problem,
    SystemFileErrors,
    shortened,
    shown,
)
from airrisk.installation.values import (
    WRONG,
    Surroundings,
    asking,
    first_of,
    fold,
    id_mistake,
    known_names,
    read_keys,
    read_notes,
    read_value,
    rule_names,
)
from airrisk.installation.worn_walls import with_readings
from airrisk.messages import said
from airrisk.physics.alloys import alloys
from airrisk.physics.fires import CONVECTION
from airrisk.physics.metal import materials
from airrisk.physics.shells import ShellError, vessel_geometry

__all__ = [
    "MAX_BYTES", "NewerFormat", "Problem", "Reading", "SystemFileErrors", "check", "decode",
    "examine", "load_bytes", "read",
]  # fmt: skip

VOLUME_AGREEMENT = 0.01
MOST_KEPT = 5_000  # mistakes that are put in order before the first ones are told

GROUPS = {
    "compressor": "compressors", "vessel": "vessels", "line": "lines", "junction": "junctions",
    "consumer": "consumers", "valve": "valves", "plug": "plugs",
    "relief_valve": "relief_valves", "bursting_disc": "bursting_discs",
    "inspection": "inspections", "reading": "readings",
    "fire": "fires", "fire_source": "fire_sources",
    "wall": "walls", "people": "people", "room": "rooms", "action": "actions",
}  # fmt: skip


@dataclass(frozen=True)
class Reading:
    """What a text says and what is wrong with it.

    Parameters
    ----------
    installation : Installation or None
        None as soon as there is one mistake.
    problems : tuple of Problem
        The mistakes by line; of more than a hundred the first ones, and how many more.
    sound : Installation or None
        The parts that no mistake can touch; None when the text cannot be read at all.
    withheld : frozenset of str
        Ids of the parts, devices, valves and fires that a mistake touches.
    """

    installation: Installation | None
    problems: tuple[Problem, ...]
    sound: Installation | None = None
    withheld: frozenset[str] = frozenset()


def read(text: str | bytes, name: str = "") -> Installation:
    """The installation that a text describes.

    Parameters
    ----------
    text : str or bytes
        A system file.
    name : str
        File name for messages.

    Raises
    ------
    NewerFormat
        The file is of a later format.
    SystemFileErrors
        Something is wrong; every mistake is listed.
    """
    found = examine(text, name)
    if found.installation is None:
        newer = any(problem.field == "format" and problem.index == FORMAT_AHEAD
                    for problem in found.problems)  # fmt: skip
        raise (NewerFormat if newer else SystemFileErrors)(found.problems)
    return found.installation


def check(
    text: str | bytes, name: str = "", raw: dict[str, Any] | None = None
) -> tuple[Installation | None, list[Problem]]:
    """The installation, or None, and everything that is wrong with the text.

    Parameters
    ----------
    text : str or bytes
        A system file.
    name : str
        File name for messages.
    raw : dict, optional
        What the text says as plain TOML, where that is known already.
    """
    found = examine(text, name, raw)
    return found.installation, list(found.problems)


def load_bytes(path: str | Path) -> tuple[Installation, bytes]:
    """The installation that a file describes, and the bytes of the file.

    Parameters
    ----------
    path : str or Path
        A system file.

    Raises
    ------
    OSError
        The file cannot be read.
    SystemFileErrors
        Something is wrong with what it says.
    """
    data = read_file(path)
    return read(data, str(path)), data


def examine(text: str | bytes, name: str = "", raw: dict[str, Any] | None = None) -> Reading:
    """Everything that a text says and everything that is wrong with it.

    Parameters
    ----------
    text : str or bytes
        A system file.
    name : str
        File name for messages.
    raw : dict, optional
        What the text says as plain TOML, where that is known already.
    """
    try:
        words = decode(text, name) if isinstance(text, bytes) else text
        if len(words) > MAX_BYTES or len(words.encode("utf-8", "replace")) > MAX_BYTES:
            raise SystemFileErrors([too_large(name)])
        raw = parse_toml(words, name) if raw is None else raw
        stated = raw.get("format")
        if is_older(stated) and stated not in READ_AS_WRITTEN:
            words = migrate(words, raw["format"])  # lines named are those of the text as migrated
            raw = parse_toml(words, name)
    except SystemFileErrors as error:
        return Reading(None, error.problems)
    return _Reader(words, raw, name).run()


FORMAT_AHEAD = -2  # index of the one problem that says the format is newer


class _Reader:
    """Reads one text once."""

    def __init__(self, text: str, raw: dict[str, Any], name: str) -> None:
        self.text, self.raw, self.name = text, raw, name
        self.problems: list[Problem] = []
        self.uncounted = 0  # mistakes that were not kept
        self.items: dict[str, list[Item]] = {kind: [] for kind in FIELDS}
        self.around = Surroundings()
        self._layout: Layout | None = None
        self._placeless = False

    def run(self) -> Reading:
        """Read all tables, then what they say about each other."""
        if not self._right_format():
            return Reading(None, tuple(self.problems))
        self._take_tables()
        self.around = Surroundings(
            ids=self._ids(),
            materials=tuple(metal.key for metal in materials()),
            alloys=tuple(metal.key for metal in alloys()),
            rules=rule_names() if self.items["action"] else (),
        )
        for kind in ("", "about", "choices", "site"):
            for item in self.items[kind]:
                self._fields(item)
        site = self.items["site"][0]
        self.around.ambient_pressure = site.values.get(
            "ambient_pressure", self.around.ambient_pressure
        )
        for kind in REPEATED:
            for item in self.items[kind]:
                self._fields(item)
                self._resolve(item)
        for kind in FIELDS:
            for item in self.items[kind]:
                if kind and kind != "spread" and not item.wrong:
                    given = frozenset(item.raw) & set(keys_of(kind))
                    item.record = RECORDS[kind](**item.values, given=given)
        self._number_valves()
        crosschecks.run(self.items, self.report)
        found = spreads.read_spreads(self.items, self.around, self.report)
        self.problems.sort(key=lambda p: (p.line or 0, p.kind, p.index or 0, p.field, p.message))
        self._leave_the_rest()
        everything = self._installation(found, frozenset())
        if not self.problems:
            return Reading(everything, (), everything)
        withheld = crosschecks.touched(self.items)
        kept = tuple(one for one in found if fold(one.part) not in withheld)
        names = frozenset(self.around.ids[one][2] for one in withheld if one in self.around.ids)
        sound = self._installation(kept, withheld) if not self.items["site"][0].wrong else None
        return Reading(None, tuple(self.problems), sound, names)

    def report(
        self, item: Item, key: str, message: str, valid: str, *sub: str | int, value: object = None
    ) -> None:
        """Note one mistake in a field of a table (key empty: in the table itself)."""
        item.wrong = True
        if len(self.problems) >= MOST_KEPT:
            self.uncounted += 1
            return
        path = (*item.path, key, *sub) if key else item.path
        if value is None and key in item.raw:
            value = item.raw[key]
        self.problems.append(
            Problem(
                self.name, self._line(path), item.name,
                shortened(visible_line(key[:SHOWN_VALUE]), SHOWN_VALUE),
                "" if value is None else shown(value), message, valid, item.kind,
                item.index if item.kind not in SINGLE else None,
            )
        )  # fmt: skip

    def _leave_the_rest(self) -> None:
        """Tell the first mistakes and how many more there are."""
        more = len(self.problems) - MOST_TOLD + self.uncounted
        if more > 0:
            del self.problems[MOST_TOLD:]
            what = said("more-mistakes", more=more)
            self.problems.append(of_file(self.name, what, said("mend-these-first")))

    def _line(self, path: tuple[str | int, ...]) -> int | None:
        if self._layout is None and not self._placeless:
            try:
                self._layout = Layout(self.text.encode("utf-8", "replace"))
            except LayoutError:
                self._placeless = True
        return self._layout.line(path) if self._layout else None

    def _right_format(self) -> bool:
        valid = f"format = {FORMAT}"
        found = self.raw.get("format")
        if "format" not in self.raw:
            message = said("format-not-said")
        elif isinstance(found, bool) or not isinstance(found, int):
            message = said("no-format-number")
        elif found > FORMAT:
            message = said("format-too-new")
        elif found in READ_AS_WRITTEN:
            return True
        else:
            message = said("no-such-format")
        ahead = isinstance(found, int) and not isinstance(found, bool) and found > FORMAT
        value = shown(found) if "format" in self.raw else ""
        line = self._line(("format",)) or 1
        index = FORMAT_AHEAD if ahead else None
        self.problems.append(
            Problem(self.name, line, "", "format", value, message, valid, "", index)
        )
        return False

    def _take_tables(self) -> None:
        """Sort the raw tables by kind; report what is no table of this format."""
        top = Item("", 0, {k: v for k, v in self.raw.items() if k in keys_of("")})
        self.items[""].append(top)
        for key, value in self.raw.items():
            if key in keys_of(""):
                continue
            if key not in FIELDS:
                near = self.around.nearest(key, [*keys_of(""), *filter(None, FIELDS)])
                what = said("no-such-table-or-field")
                self.report(
                    top, key, asking(what, near),
                    ", ".join((*keys_of(""), *(_header(kind) for kind in FIELDS if kind))),
                    value=value,
                )  # fmt: skip
            elif KINDS_SINCE.get(key, 1) > self.raw["format"]:
                self.report(top, key, *self._later(KINDS_SINCE[key]), value=value)
            elif key in SINGLE:
                if isinstance(value, dict):
                    self.items[key].append(Item(key, 0, value))
                else:
                    self.report(top, key, said("no-table"), _header(key), value=value)
            elif not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
                one = isinstance(value, dict)
                what = said("one-table") if one else said("no-list-of-tables")
                self.report(
                    top,
                    key,
                    what,
                    said("header-above-each", header=_header(key)),
                    value=value,
                )
            else:
                self.items[key] = [Item(key, index, raw) for index, raw in enumerate(value)]
        for kind in ("about", "choices", "site", "spread"):
            if not self.items[kind]:
                self.items[kind].append(Item(kind, 0, {}))

    def _ids(self) -> dict[str, tuple[str, int, str]]:
        ids: dict[str, tuple[str, int, str]] = {}
        for kind in REPEATED:
            for item in self.items[kind]:
                name = str(item.raw.get("id"))
                if kind == "inspection" or id_mistake(item.raw.get("id")):
                    continue
                item.id = name
                first = ids.setdefault(fold(name), (kind, item.index, name))
                if first != (kind, item.index, name):
                    line = self._line((first[0], first[1], "id"))
                    self.report(
                        item,
                        "id",
                        said(
                            "id-used-twice",
                            kind=kind_name(first[0]),
                            name=first[2],
                            line=line,
                        ),
                        said("ids-that-differ"),
                    )
        return ids

    def _fields(self, item: Item) -> None:
        known = {one.key: one for one in FIELDS[item.kind]}
        for key in item.raw:
            if key not in known:
                near = self.around.nearest(key, known)
                what = said("no-such-field")
                self.report(item, key, asking(what, near), ", ".join(known))
        for key, one in known.items():
            if key in item.raw and one.since > self.raw["format"]:
                self.report(item, key, *self._later(one.since))
            elif key in item.raw:
                value = self._value(item, one)
                if value is not WRONG:
                    item.values[one.attr] = value
            elif one.required:
                names = known_names(one, self.around)
                self.report(item, key, said("missing"), " | ".join(names) or one.valid_text())

    def _later(self, since: int) -> tuple[str, str]:
        """What to say of a field that the stated format does not have yet, and what is valid."""
        message = said("field-newer-than-format", format=self.raw["format"])
        return message, said("format-or-left-out", since=since)

    def _value(self, item: Item, one: FieldSpec) -> Any:
        def told(message: str, valid: str, *sub: str | int, value: object = None) -> None:
            self.report(item, one.key, message, valid, *sub, value=value)

        raw = item.raw[one.key]
        if one.kind == "notes":
            return read_notes(item.kind, one, raw, self.around, told)
        if one.kind == "keys":
            return read_keys(item.kind, item.raw, raw, self.around, told)
        return read_value(one, raw, self.around, told)

    def _resolve(self, item: Item) -> None:
        """Fill what a left-out field counts as when another one decides it."""
        resolve = _RESOLVERS.get(item.kind)
        if resolve is not None:
            site = self.items["site"][0].values

            def told(key: str, message: str, valid: str) -> None:
                self.report(item, key, message, valid)

            resolve(item, site.get("ambient_temperature", Site.ambient_temperature), told)

    def _number_valves(self) -> None:
        """Count the valves at one place from the part outward."""
        counts: dict[tuple[str, str | None], int] = {}
        for item in self.items["valve"]:
            place = (item.values.get("on", ""), item.values.get("end"))
            order = counts.get(place, 0)
            counts[place] = order + 1
            if item.record is not None:
                item.record = replace(item.record, order=order)

    def _installation(self, found: tuple[Spread, ...], without: frozenset[str]) -> Installation:
        parts: dict[str, Any] = {}
        for kind, group in GROUPS.items():
            parts[group] = tuple(
                item.record
                for item in self.items[kind]
                if item.record is not None
                and not item.wrong
                and fold(item.id or item.values.get("on", "")) not in without
            )
        for kind in ("about", "choices", "site"):
            item = self.items[kind][0]
            if item.record is not None and not item.wrong:
                parts[kind] = item.record
        title = self.items[""][0].values.get("title", "")
        return with_readings(Installation(title=title, spreads=found, **parts))


Told = Callable[[str, str, str], None]


def _header(kind: str) -> str:
    """How a table of a kind is headed in the file."""
    return f"[{kind}]" if kind in SINGLE else f"[[{kind}]]"


def _resolve_compressor(item: Item, ambient_temperature: float, told: Told) -> None:
    if item.values.get("cooling") == "oil-flooded" and "lubrication" not in item.raw:
        item.values["lubrication"] = "oil-flooded"


def _resolve_vessel(item: Item, ambient_temperature: float, told: Told) -> None:
    values = item.values
    values.setdefault("temperature", ambient_temperature)
    if "volume" not in item.raw and "cylinder_length" not in item.raw:
        told(
            "volume",
            said("missing"),
            said("volume-or-cylinder-length"),
        )
        return
    heads = values.get("heads", Vessel.heads)
    if heads == "flat" and "head_thickness" not in item.raw:
        told("head_thickness", said("missing-for-flat-heads"), '"20 mm"')
    needed = {"inside_diameter", "wall_thickness"}
    asked = {"volume", "cylinder_length", "heads", "head_thickness"} & set(item.raw)
    if not (needed | asked) <= set(values):
        return  # already reported
    shape: dict[str, Any] = {
        "inside_diameter": values["inside_diameter"], "wall": values["wall_thickness"],
        "heads": heads, "head_wall": values.get("head_thickness"),
    }  # fmt: skip
    try:
        if "cylinder_length" in values:
            built = vessel_geometry(**shape, cylinder_length=values["cylinder_length"])
        else:
            built = vessel_geometry(**shape, volume=values["volume"])
    except ShellError as error:
        told(error.field, said("too-small-for-heads"), error.valid)
        return
    longest = field_spec("vessel", "cylinder_length").high or 0.0
    if built.cylinder_length > longest:
        told(
            "volume",
            said(
                "cylinder-of-length",
                cylinder_length=f"{built.cylinder_length:.4g}",
            ),
            said("cylinder-at-most", longest=f"{longest:g}"),
        )
        return
    given = values.setdefault("volume", built.volume)
    values.setdefault("cylinder_length", built.cylinder_length)
    if abs(built.volume - given) > VOLUME_AGREEMENT * max(built.volume, given):
        told(
            "volume",
            said(
                "cylinder-length-does-not-agree",
                volume=f"{built.volume:.4g}",
            ),
            said("both-within-one-percent"),
        )


def _resolve_fire(item: Item, ambient_temperature: float, told: Told) -> None:
    values = item.values
    if "curve" in values:
        values.setdefault("convection", CONVECTION[values["curve"]])
    shares = values.get("exposed_share", 1.0)
    reaches = values.get("reaches", ())
    if isinstance(shares, dict):
        reached = set(reaches)
        for part in shares:
            if "reaches" in values and part not in reached:
                told(
                    "exposed_share",
                    said("part-not-reached-by-fire", part=part),
                    first_of(reaches),
                )
        values["exposed_share"] = tuple((part, shares.get(part, 1.0)) for part in reaches)
    else:
        values["exposed_share"] = tuple((part, shares) for part in reaches)


_RESOLVERS: dict[str, Callable[[Item, float, Told], None]] = {
    "compressor": _resolve_compressor,
    "vessel": _resolve_vessel,
    "fire": _resolve_fire,
}
