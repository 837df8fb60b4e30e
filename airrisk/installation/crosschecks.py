"""What the tables of a system file say about each other."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from airrisk.installation.fields import DEVICES, OPEN_ENDS, PLUG_CONDITIONS
from airrisk.installation.insulation_checks import insulation
from airrisk.installation.model import Line
from airrisk.installation.place_checks import people_places
from airrisk.installation.source_checks import standing_sources
from airrisk.installation.values import fold
from airrisk.messages import said
from airrisk.physics import metal
from airrisk.physics.shells import bore_area

if TYPE_CHECKING:
    from airrisk.installation.items import Item

Items = Mapping[str, list["Item"]]
Report = Callable[..., None]
# kinds that join no parts, and that no mistake elsewhere touches
STANDING_ALONE = ("fire_source", "wall", "reading", "people", "room", "action")


def run(items: Items, report: Report) -> None:
    """Report every contradiction between tables.

    Parameters
    ----------
    items : mapping
        The tables of the file by kind; values that could not be read are missing.
    report : callable
        Called as ``report(item, key, message, valid)`` for each mistake.
    """
    for check in (
        _walls, _compressors, _lines, _valves, _openings, _bosses, _outlets, _fires, _fire_devices,
        _inspections, _people_apart, people_places, _actions, standing_sources, insulation,
    ):  # fmt: skip
        check(items, report)


def touched(items: Items) -> frozenset[str]:
    """Folded ids of everything that a mistake can change the answer of.

    Parts joined by lines stand or fall together, with their devices, valves and fires.

    Parameters
    ----------
    items : mapping
        The tables of the file by kind, with ``wrong`` set.
    """
    joined: dict[str, set[str]] = {}
    wrong: set[str] = set()
    for kind, group in items.items():
        for item in group:
            own = fold(item.id) if item.id else f"\0{kind}{item.index}"
            if kind in {"", "about", "choices", "site", "spread", *STANDING_ALONE}:
                continue
            if item.wrong:
                wrong.add(own)
            for other in _named(item.raw) if kind != "fire" else ():
                joined.setdefault(own, set()).add(other)
                joined.setdefault(other, set()).add(own)
    found, ahead = set(wrong), list(wrong)
    while ahead:
        new = joined.get(ahead.pop(), set()) - found
        found |= new
        ahead += new
    # A fire is withheld with any part that it reaches, but does not join the parts.
    for item in items["fire"]:
        if item.wrong or found & set(_named(item.raw)):
            found.add(fold(item.id))
    alone = (item for kind in STANDING_ALONE for item in items[kind])
    found |= {fold(item.id) for item in alone if item.wrong}
    return frozenset(name for name in found if name and not name.startswith("\0"))


def _named(raw: Mapping[str, Any]) -> Iterable[str]:
    for key in ("on", "from", "to", "reaches", "closed", "plugs_in_fire"):
        value = raw.get(key)
        for name in value if isinstance(value, list) else [value]:
            if isinstance(name, str) and fold(name) not in OPEN_ENDS:
                yield fold(name)


def _good(items: Items, kind: str) -> list[Item]:
    return [item for item in items[kind] if item.values]


def _walls(items: Items, report: Report) -> None:
    for kind in ("vessel", "line"):
        for item in _good(items, kind):
            wall, inside = item.values.get("wall_thickness"), item.values.get("inside_diameter")
            if wall and inside and wall > inside:
                report(item, "wall_thickness", said("wall-thicker-than-inside"),
                       said("wall-thinner-than-inside"))  # fmt: skip
            _known_strength(item, report)
            volume, water = item.values.get("volume"), item.values.get("condensate", 0.0)
            if kind == "line" and inside and "length" in item.values:
                volume = bore_area(inside) * item.values["length"]
            if volume and water >= volume:
                report(
                    item,
                    "condensate",
                    said("fills-whole-volume"),
                    said("below-volume", volume=f"{volume * 1e3:.4g}"),
                )


def _known_strength(item: Item, report: Report) -> None:
    """Whether the strength of the metal is known for the walls."""
    key = item.values.get("material")
    if key is None:  # already reported, or left out where it must be given
        key = None if item.kind == "vessel" or "material" in item.raw else Line.material
    if key is None:
        return
    greatest = metal.grades(key)[-1].greatest_thickness
    for field in ("wall_thickness", "head_thickness"):
        thickness = item.values.get(field)
        if thickness and thickness > greatest * (1.0 + 1e-9):
            report(
                item,
                field,
                said("strength-unknown-in-thickness", key=key),
                said("thickness-at-most", greatest=f"{greatest * 1e3:g}"),
            )


def _compressors(items: Items, report: Report) -> None:
    for item in _good(items, "compressor"):
        cut_in, top = (item.values.get(key) for key in ("cut_in_pressure", "discharge_pressure"))
        if cut_in is not None and top is not None and cut_in >= top:
            report(item, "cut_in_pressure", said("suction-not-below-discharge"),
                   said("below-discharge-pressure"))  # fmt: skip


def _lines(items: Items, report: Report) -> None:
    for item in _good(items, "line"):
        start, end = item.values.get("from_"), item.values.get("to")
        if start is None or end is None:
            continue
        if start == end and start not in OPEN_ENDS:
            report(item, "to", said("line-begins-where-it-ends"),
                   said("another-part-or-open-end"))  # fmt: skip
        elif start in OPEN_ENDS and end in OPEN_ENDS and "atmosphere" in {start, end}:
            report(item, "to", said("line-joins-no-part"),
                   said("at-least-one-part"))  # fmt: skip
        elif start in OPEN_ENDS and end in OPEN_ENDS and "pressure" not in item.raw:
            report(item, "pressure", said("pressure-between-closed-ends-missing"),
                   said("gauge-or-absolute-for-example"))  # fmt: skip


def _valves(items: Items, report: Report) -> None:
    lines = {fold(item.id) for item in items["line"]}
    for item in _good(items, "valve"):
        values = item.values
        kind = values.get("kind", "isolating")
        if "on" in values:
            on_line = fold(values["on"]) in lines
            if on_line and "end" not in item.raw:
                report(item, "end", said("end-of-valve-missing"), "from | to")
            elif not on_line and "end" in item.raw:
                report(item, "end", said("device-has-no-ends", on=values['on']),
                       said("leave-out"))  # fmt: skip
        if kind == "isolating" and values.get("reverse"):
            report(item, "reverse", said("isolating-valve-has-no-direction"),
                   said("only-for-non-return-valves"))  # fmt: skip
        if kind == "non-return" and values.get("state", "open") != "open":
            report(item, "state", said("non-return-valve-cannot-be-set"), said("leave-out"))


def _openings(items: Items, report: Report) -> None:
    vessels = {item.values.get("id"): item.values for item in _good(items, "vessel")}
    for kind, key in (("plug", "bore"), ("relief_valve", "area"), ("bursting_disc", "area")):
        for item in _good(items, kind):
            opening = item.values.get(key)
            inside = vessels.get(item.values.get("on"), {}).get("inside_diameter")
            if opening is None or inside is None:
                continue
            if key == "bore":
                whole, valid = inside, said("below-diameter", inside=f"{inside * 1e3:.4g}")
            else:
                whole = bore_area(inside)
                valid = said("below-area", whole=f"{whole * 1e6:.4g}")
            if opening >= whole:
                report(item, key, said("opening-as-wide-as-vessel"), valid)


def _bosses(items: Items, report: Report) -> None:
    parts = {item.values.get("id"): item for kind in ("vessel", "line") for item in items[kind]}
    for item in _good(items, "plug"):
        boss, part = item.values.get("boss_mass"), parts.get(item.values.get("on"))
        if boss is None or part is None:
            continue
        inside, wall = (part.values.get(key) for key in ("inside_diameter", "wall_thickness"))
        length = part.values.get("cylinder_length" if part.kind == "vessel" else "length")
        if inside is None or wall is None or length is None:
            continue
        density = metal.material(part.values.get("material", Line.material)).density
        shell = density * math.pi * (inside + wall) * wall * length
        if boss >= shell:
            report(
                item,
                "boss_mass",
                said("plug-as-heavy-as-shell", part=part.name),
                said("below-mass", shell=f"{shell * 1e3:.4g}"),
            )


def _outlets(items: Items, report: Report) -> None:
    for item in _good(items, "plug"):
        piped = item.values.get("outlet", "open") == "piped"
        for key, example in (("outlet_length", "2 m"), ("outlet_diameter", "21 mm")):
            if piped and key not in item.raw:
                report(
                    item,
                    key,
                    said("missing-for-piped-outlet"),
                    said("length-for-example", example=example),
                )
            elif not piped and key in item.raw:
                report(item, key, said("no-outlet-pipe"),
                       said("piped-or-left-out"))  # fmt: skip


def _fires(items: Items, report: Report) -> None:
    wants = {"flux": "flux", "temperature": "temperature", "table": "points"}
    examples = {"flux": '"100 kW/m2"', "temperature": '"1000 degC"',
                "points": '[["0 min", "20 degC"], ["5 min", "900 degC"]]'}  # fmt: skip
    for item in _good(items, "fire"):
        curve = item.values.get("curve")
        if curve is None:
            continue
        needed = wants.get(curve)
        if needed and needed not in item.raw:
            report(
                item,
                needed,
                said("missing-for-curve", curve=curve),
                examples[needed],
            )
        for key in (*examples, "absorbed"):
            owner = "flux" if key == "absorbed" else key
            if key in item.raw and owner != needed:
                of = next(name for name, field in wants.items() if field == owner)
                report(item, key, said("not-used-by-curve", curve=curve),
                       said("curve-or-left-out", of=of))  # fmt: skip


def _fire_devices(items: Items, report: Report) -> None:
    on = {item.values.get("id"): item.values.get("on") for item in items["plug"]}
    valves = {item.values.get("id"): item for item in items["valve"]}
    for item in _good(items, "fire"):
        reaches = item.values.get("reaches")
        for plug in item.values.get("plugs_in_fire", ()):
            part = on.get(plug)
            if reaches is not None and part is not None and part not in reaches:
                report(
                    item,
                    "plugs_in_fire",
                    said(
                        "plug-not-reached-by-fire",
                        plug=plug,
                        part=part,
                    ),
                    said("plugs-in-reach"),
                    value=plug,
                )
        for name in item.values.get("closed", ()):
            valve = valves.get(name)
            if valve is None:
                continue
            if valve.values.get("kind", "isolating") != "isolating":
                report(
                    item,
                    "closed",
                    said("valve-is-non-return", name=name),
                    said("isolating-valves"),
                    value=name,
                )
            elif valve.values.get("state") == "locked open":
                report(
                    item,
                    "closed",
                    said("valve-is-locked-open", name=name),
                    said("valves-not-locked-open"),
                    value=name,
                )


def _inspections(items: Items, report: Report) -> None:
    seen: dict[tuple[str, dt.date], Item] = {}
    conditions = {fold(item.id) for kind in DEVICES for item in items[kind]}
    plugs = {fold(item.id) for item in items["plug"]}
    for item in _good(items, "inspection"):
        on, date = item.values.get("on"), item.values.get("date")
        if on is None or date is None:
            continue
        first = seen.setdefault((on, date), item)
        facts = [(one.values.get("condition"), one.values.get("renewed")) for one in (first, item)]
        if facts[0] != facts[1]:
            report(
                item,
                "date",
                said("two-entries-on-one-day", on=on),
                said("one-entry-a-day"),
            )
        if item.values.get("renewed") and fold(on) not in conditions:
            report(item, "renewed", said("not-a-device", on=on), said("only-for-devices"))
        condition = item.values.get("condition")
        if fold(on) in plugs and condition is not None and condition not in PLUG_CONDITIONS:
            report(
                item,
                "condition",
                said("plug-is-no-place", on=on),
                " | ".join(PLUG_CONDITIONS),
                value=condition,
            )


def _people_apart(items: Items, report: Report) -> None:
    areas: dict[str, str] = {}
    for item in _good(items, "room"):
        area = item.values.get("area") or item.id
        if area and areas.setdefault(fold(area), item.id) != item.id:
            report(
                item,
                "area",
                said("area-has-room", areas=areas[fold(area)]),
                said("one-room-an-area"),
            )


# Fields of an action: needed and out of place, by decision.
_WANTED = {
    "do": {"text": said("deed-for-example")},
    "accept": {
        "reason": said("reason-for-example"),
        "by": said("accepted-by-for-example"),
        "until": said("until-for-example"),
    },
}
_NO_ANSWERS = ("calculation-failed",)  # rules that say: nobody knows
_OUT_OF_PLACE = {
    "do": ("reason", "by", "until", "accepted", "found", "severity"),
    "accept": ("due", "done", "evidence"),
}


def _actions(items: Items, report: Report) -> None:
    for item in _good(items, "action"):
        decision = item.values.get("decision")
        if decision is None:
            continue
        if decision == "accept" and item.values.get("rule") in _NO_ANSWERS:
            report(
                item,
                "rule",
                said("failed-calculation-cannot-be-accepted"),
                said("decision-do-or-calculated-finding"),
            )
        other = "do" if decision == "accept" else "accept"
        for key, valid in _WANTED[decision].items():
            if key not in item.raw:
                report(
                    item,
                    key,
                    said("missing-for-decision", decision=decision),
                    valid,
                )
            elif not str(item.values.get(key, "x")).strip():
                report(item, key, said("empty"), valid)
        for key in _OUT_OF_PLACE[decision]:
            if key in item.raw:
                report(
                    item,
                    key,
                    said("not-used-by-decision", decision=decision),
                    said("decision-or-left-out", other=other),
                )
        if decision == "do" and "evidence" in item.raw and "done" not in item.raw:
            report(item, "evidence", said("nothing-done-yet"), said("done-on-day"))
        if decision == "accept" and "accepted" in item.raw and "class" not in item.raw:
            report(
                item,
                "accepted",
                said("finding-not-about-fire"),
                said("class-of-fire"),
            )
        if "section" in item.raw and not item.values.get("section", "x").strip():
            report(
                item,
                "section",
                said("empty"),
                said("ids-of-section"),
            )
