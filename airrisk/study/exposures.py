"""Which fires are run against which sections: the file's own, or the study's when it has none."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from airrisk.installation.model import Fire, Installation
from airrisk.installation.sections import Section, closable_valves, sections_with, shut_in

Start = Literal["pressure", "highest"]
DefaultCase = Literal["a", "b", "c"]
QUARTER, TWENTIETH = 0.25, 0.05
HYDROCARBON_CONVECTION = 50.0  # W/m2/K, EN 1991-1-2 3.3.3
DEFAULT_DURATION = 3600.0  # s


@dataclass(frozen=True)
class Exposure:
    """One fire against one section, from one or more start pressures; the worst counts."""

    fire: Fire
    section: Section
    starts: tuple[Start, ...]
    default_case: DefaultCase | None


def exposures(installation: Installation) -> tuple[Exposure, ...]:
    """Every fire run that an assessment needs, in file order or section order.

    A file's own fire burns with its ``closed`` valves shut, or with every valve shut that may be
    closed, and starts from the stated pressures. Without any fire in the file the study makes, for
    every shut-in section, (a) a hydrocarbon fire of 60 min around all of it, (b) the same on a
    quarter and (c) on a twentieth of each vessel in turn with its plug out of the fire, each from
    the stated pressure and from the highest that can stand there.
    """
    if installation.fires:
        return tuple(_own(installation))
    return tuple(_assumed(shut_in(installation)))


def _own(installation: Installation) -> Iterable[Exposure]:
    for fire in installation.fires:
        closed = closable_valves(installation) if fire.closed is None else fire.closed
        reached = {name.casefold() for name in fire.reaches}
        for section in sections_with(installation, closed):
            if any(name.casefold() in reached for name in section.holders):
                yield Exposure(fire, section, ("pressure",), None)


def _assumed(sections: Iterable[Section]) -> Iterable[Exposure]:
    starts: tuple[Start, ...] = ("pressure", "highest")
    for section in sections:
        everywhere = tuple((name, 1.0) for name in section.holders)
        yield Exposure(_fire(f"Engulfed {section.id}", everywhere, None), section, starts, "a")
        for vessel in section.vessels:
            quarter = _fire(f"Quarter of {vessel}", ((vessel, QUARTER),), ())
            yield Exposure(quarter, section, starts, "b")
            spot = _fire(f"Twentieth of {vessel}", ((vessel, TWENTIETH),), ())
            yield Exposure(spot, section, starts, "c")


def _fire(name: str, shares: tuple[tuple[str, float], ...], plugs: tuple[str, ...] | None) -> Fire:
    return Fire(
        id=name,
        curve="hydrocarbon",
        reaches=tuple(part for part, _ in shares),
        exposed_share=shares,
        plugs_in_fire=plugs,
        convection=HYDROCARBON_CONVECTION,
        duration=DEFAULT_DURATION,
    )
