"""What the fields of a source of fire, a wall and the parts about them say about each other."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from airrisk.installation.model import STANDS_AT
from airrisk.messages import said
from airrisk.physics.pool_fires import fuels

if TYPE_CHECKING:
    from airrisk.installation.items import Item

Items = Mapping[str, list["Item"]]
Report = Callable[..., None]

_EXAMPLES = {
    "fuel": '"diesel"', "diameter": '"2 m"', "heat_release": '"500 kW"', "mass_flow": '"0.2 kg/s"',
}  # fmt: skip
# What each kind needs, one of each group; and what it may have besides.
_NEEDS: dict[str, tuple[tuple[str, ...], ...]] = {
    "pool": (("fuel",), ("diameter", "surface")),
    "jet": (("mass_flow", "length"),),
    "goods": (("heat_release",), ("diameter",)),
}
_MAY: dict[str, tuple[str, ...]] = {
    "pool": ("volume",),
    "jet": ("fuel", "incident_flux", "direction", "duration"),
    "goods": ("duration",),
}
_OWN = (
    "fuel", "diameter", "surface", "volume", "heat_release", "mass_flow", "length",
    "incident_flux", "direction", "duration",
)  # fmt: skip


def standing_sources(items: Items, report: Report) -> None:
    """Report every contradiction in and between sources of fire.

    Parameters
    ----------
    items : mapping
        The tables of the file by kind; values that could not be read are missing.
    report : callable
        Called as ``report(item, key, message, valid)`` for each mistake.
    """
    good = [item for item in items["fire_source"] if item.values]
    for item in good:
        kind = item.values.get("kind", None if "kind" in item.raw else "pool")
        if kind is not None:
            _needed(item, kind, report)
            _unused(item, kind, report)
            _fuel(item, kind, report)
        _in_a_vessel(item, items, report)
    _apart(good, report)
    for item in items["room"]:
        _layer_of(item, report)
    for item in items["vessel"]:
        if item.values.get("orientation", "vertical") == "vertical" and "direction" in item.raw:
            report(item, "direction", said("vessel-stands-upright"),
                   said("horizontal-or-leave-out"))  # fmt: skip


_OF_LAYER = {
    "height": '"3 m"', "vent_area": '"2 m2"', "vent_height": '"2 m"', "lining": '"brick"',
}  # fmt: skip


def _layer_of(item: Item, report: Report) -> None:
    """All that decides how hot a fire makes a room is given, or none of it."""
    given = [key for key in (*_OF_LAYER, "lining_thickness") if key in item.raw]
    for key, example in _OF_LAYER.items():
        if given and key not in item.raw:
            report(item, key, said("missing-beside", other=given[0]), example)
    height, vent = item.values.get("height"), item.values.get("vent_height")
    if height is not None and vent is not None and vent > height:
        report(item, "vent_height", said("higher-than-room"),
               said("at-most-metres", most=f"{height:g}"))  # fmt: skip


def _needed(item: Item, kind: str, report: Report) -> None:
    for group in _NEEDS[kind]:
        found = [key for key in group if key in item.raw]
        if not found:
            report(
                item,
                group[0],
                said("missing-for-kind", kind=kind),
                _EXAMPLES[group[0]],
            )
    if "diameter" in item.raw and "surface" in item.raw:
        report(item, "surface", said("diameter-given-too"), said("one-of-the-two"))
    if kind == "jet" and "mass_flow" in item.raw and "fuel" not in item.raw:
        report(item, "fuel", said("missing-for-mass-flow"), '"natural gas"')


def _unused(item: Item, kind: str, report: Report) -> None:
    used = {key for group in _NEEDS[kind] for key in group} | set(_MAY[kind])
    for key in _OWN:
        if key in item.raw and key not in used:
            of = next(
                one for one in _NEEDS if key in _MAY[one] or any(key in g for g in _NEEDS[one])
            )
            report(item, key, said("not-used-by-kind", kind=kind),
                   said("kind-or-leave-out", of=of))  # fmt: skip


def _fuel(item: Item, kind: str, report: Report) -> None:
    fuel = item.values.get("fuel")
    if kind == "pool" and fuel is not None and fuel not in fuels():
        report(
            item,
            "fuel",
            said("makes-no-pool", fuel=fuel),
            said("fuels-of-pools", fuels=" | ".join(fuels())),
        )


def _in_a_vessel(item: Item, items: Items, report: Report) -> None:
    """A source stands beside a vessel or under it, not in it."""
    at = item.values.get("at")
    if at is None:
        return
    height = item.values.get("elevation", 0.0)
    for other in items["vessel"]:
        place, bore = other.values.get("at"), other.values.get("inside_diameter")
        if place is None or bore is None:
            continue
        lowest = other.values.get("elevation", STANDS_AT)
        if math.dist(at, place) < 0.5 * bore and lowest <= height <= lowest + _tall(other.values):
            report(
                item,
                "elevation" if "elevation" in item.raw else "at",
                said("inside-vessel", vessel=other.name),
                said("beside-or-below", lowest=f"{lowest:g}"),
            )


def _tall(values: Mapping[str, Any]) -> float:
    """Height of a vessel, m; no less than its bore."""
    bore = float(values["inside_diameter"])
    volume = values.get("volume")
    if values.get("orientation", "vertical") != "vertical" or volume is None:
        return bore
    return max(bore, float(volume) / (0.25 * math.pi * bore**2))


def _apart(sources: list[Item], report: Report) -> None:
    first: dict[tuple[Any, ...], Item] = {}
    for item in sources:
        at = item.values.get("at")
        if at is None:
            continue
        place = (item.values.get("kind", "pool"), at, item.values.get("elevation", 0.0))
        if place[0] == "jet":
            continue  # a leak may burn now in one and now in another direction
        if first.setdefault(place, item) is not item:
            report(
                item,
                "at",
                said("place-taken", other=first[place].name),
                said("place-of-its-own"),
            )
