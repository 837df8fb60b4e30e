"""What the fields of an insulation say about each other."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from airrisk.messages import said

if TYPE_CHECKING:
    from airrisk.installation.items import Item

THICKNESS, CONDUCTIVITY = "insulation_thickness", "insulation_conductivity"
RESISTANCE = "insulation_resistance"


def insulation(items: Mapping[str, list[Item]], report: Callable[..., None]) -> None:
    """A layer is a resistance, or a thickness with a conductivity."""
    for kind in ("vessel", "line"):
        for item in items[kind]:
            if item.values:
                _layer(item, report)


def _layer(item: Item, report: Callable[..., None]) -> None:
    given = item.raw
    known, holds = (item.values.get(f"insulation_{key}") for key in ("known_at", "holds_to"))
    if known is not None and holds is not None and known > holds:
        report(item, "insulation_known_at", said("known-hotter-than-holds"),
               said("at-most-holds-to"))  # fmt: skip
    if RESISTANCE in given:
        for key in (THICKNESS, CONDUCTIVITY):
            if key in given:
                report(item, key, said("resistance-is-given"), said("resistance-or-thickness"))
        return
    for key, other in ((THICKNESS, CONDUCTIVITY), (CONDUCTIVITY, THICKNESS)):
        if key in given and other not in given:
            report(item, other, said("insulation-needs-both", given=key),
                   said("resistance-or-thickness"))  # fmt: skip
    for key in ("insulation_known_at", "insulation_holds_to"):
        if key in given and THICKNESS not in given and CONDUCTIVITY not in given:
            report(item, key, said("insulation-not-stated"), said("resistance-or-thickness"))
