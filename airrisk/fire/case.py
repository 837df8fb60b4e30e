"""One fire against one section as flat arrays, ready to run."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.covers import Cover
from airrisk.fire.network import FlowPath, Space
from airrisk.fire.patches import Laid, by_severity
from airrisk.fire.plug_body import PlugBody
from airrisk.installation.geometry import (
    burst_factor,
    part_geometry,
)
from airrisk.installation.model import Compressor, Fire, Installation, Line, Plug, Vessel
from airrisk.kernel import layout as at
from airrisk.messages import said
from airrisk.physics import metal, shells
from airrisk.physics.creep import curve_of

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
OVERFULL = said("more-than-half-full-of-water")  # why a part cannot be reckoned
Credit = Literal["as fitted", "none", "all"]

NEVER_BURSTS = 1e12  # Pa
TOLERANCE = 3e-7  # of the time steps of one space, so that the balance closes
NETWORK_TOLERANCE = 1e-6  # of several; in them flows cancel between the spaces


class FireCaseError(ValueError):
    """A fire that cannot be reckoned; ``part`` and ``reason`` say why."""

    def __init__(self, part: str, reason: str) -> None:
        self.part = part
        self.reason = reason
        super().__init__(f"{part}: {reason}")

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.part, self.reason)


@dataclass(frozen=True, eq=False)
class FireCase:
    """A fire case ready to run. ``floats`` and ``integers`` are laid out as in ``layout``."""

    floats: Floats
    integers: Integers
    spaces: tuple[Space, ...]
    plugs: tuple[str, ...]
    relief_valves: tuple[str, ...]
    discs: tuple[str, ...]
    feeds: tuple[str, ...]
    limit: float
    basis: str
    fire: Fire
    section: str
    credit: Credit = "as fitted"
    uncredited: tuple[str, ...] = ()
    bodies: Mapping[str, PlugBody] = field(default_factory=dict)
    links: tuple[FlowPath, ...] = ()
    parts: Mapping[str, Vessel | Line] = field(default_factory=dict)
    plug_records: Mapping[str, Plug] = field(default_factory=dict)
    pools: tuple[str, ...] = ()  # parts with condensate
    burst_formula: str = "mean diameter"
    # vessel or line whose rupture decides -> plugs and discs that its air can flow to
    reach: Mapping[str, frozenset[str]] = field(default_factory=dict)
    # spaces that start at the highest of these parts' pressures -> the parts, with that stated
    follows: Mapping[str, tuple[tuple[str, float], ...]] = field(default_factory=dict)
    machines: Mapping[str, Compressor] = field(default_factory=dict)
    # patches by name of the parts whose walls are cut into more than flames and ambient
    patches: Mapping[str, Mapping[str, Laid]] = field(default_factory=dict)
    # insulation of the parts that have some
    covers: Mapping[str, Cover] = field(default_factory=dict)

    @property
    def names(self) -> tuple[str, ...]:
        """Ids of the gas spaces."""
        return tuple(space.id for space in self.spaces)

    @property
    def vessel_indices(self) -> tuple[int, ...]:
        """Spaces whose rupture decides: the vessels, or all parts where there is no vessel."""
        vessels = tuple(i for i, space in enumerate(self.spaces) if space.kind == "vessel")
        if vessels:
            return vessels
        return tuple(i for i, space in enumerate(self.spaces) if space.kind == "line")

    @property
    def no_creep_data(self) -> tuple[str, ...]:
        """Of the parts whose rupture decides, those whose metal has no curve of rupture life."""
        deciding = [self.parts[self.names[index]] for index in self.vessel_indices]
        return tuple(part.id for part in deciding if curve_of(part.material) is None)

    def space_at(self, name: str, field_index: int) -> int:
        """Place of one float of a space."""
        block = int(self.integers[at.I_F_SPACE])
        return block + self.names.index(name) * at.S_SIZE + field_index

    def plug_at(self, name: str, field_index: int) -> int:
        """Place of one float of a plug."""
        return int(self.integers[at.I_F_PLUG]) + self.plugs.index(name) * at.P_SIZE + field_index

    def wall_at(self, name: str) -> list[tuple[int, int, float]]:
        """Places of surface and metal of each patch of a part, with its share of them."""
        block = self.space_at(name, 0)
        zones = {
            at.FLAMES_PATCH: (block + at.S_HOT_AREA, block + at.S_HOT_MASS),
            at.AMBIENT_PATCH: (block + at.S_COLD_AREA, block + at.S_COLD_MASS),
        }
        laid = self.patches.get(name)
        if laid is None:
            share = self.fire.share(name) if name in self.fire.reaches else 0.0
            return [(*zones[at.FLAMES_PATCH], share), (*zones[at.AMBIENT_PATCH], 1.0 - share)]
        return [
            (*(zones.get(one.place) or self._patch_at(one.place)), one.share)
            for one in laid.values()
        ]

    def _patch_at(self, place: int) -> tuple[int, int]:
        block = self.patch_at(place, 0)
        return block + at.Q_AREA, block + at.Q_MASS

    def patch_at(self, place: int, field_index: int) -> int:
        """Place of one float of a patch that is a record of its own."""
        block = int(self.integers[at.I_F_PATCH])
        return block + (place - at.FIRST_PATCH) * at.Q_SIZE + field_index

    def wall_columns(self, name: str, surface: Any, mass: Any) -> dict[int, Any]:
        """Places and values when surface [m2] and metal [kg] of a part change, number or array."""
        found: dict[int, Any] = {}
        for area_at, mass_at, share in self.wall_at(name):
            found[area_at] = share * surface
            found[mass_at] = share * mass
        return found

    def follows_fire(self, number: Literal["emissivity", "convection"]) -> list[int]:
        """Places of the numbers of walls that are those of the fire."""
        zone, own = {
            "emissivity": (at.S_EMISSIVITY, at.Q_EMISSIVITY),
            "convection": (at.S_CONVECTION, at.Q_CONVECTION),
        }[number]
        found = [self.space_at(name, zone) for name in self.parts if name not in self.patches]
        kinds = ("flames", "radiation") if number == "emissivity" else ("flames",)
        for name, laid in self.patches.items():
            found += [
                self.space_at(name, zone)
                if one.place == at.FLAMES_PATCH
                else self.patch_at(one.place, own)
                for one in laid.values()
                if one.exposure is not None
                and one.exposure.kind in kinds
                and getattr(one.exposure, number) is None
            ]
        return found

    def records(self, *kinds: str) -> list[int]:
        """Patches with these exposures that are records of their own, by their place."""
        return [
            one.place
            for laid in self.patches.values()
            for one in laid.values()
            if one.place >= at.FIRST_PATCH
            and one.exposure is not None
            and one.exposure.kind in kinds
        ]

    def struck_at(self, name: str) -> list[tuple[int, int]]:
        """Areas of a part that the fire strikes, the worst first.

        Each is the place of the area, and that of how much of it the condensate wets.
        """
        laid = self.patches.get(name)
        pool = int(self.integers[at.I_F_POOL])
        pool += (self.pools.index(name) if name in self.pools else 0) * at.W_SIZE + at.W_WETTED
        zone = (self.space_at(name, at.S_HOT_AREA), pool)
        if laid is None:
            return [zone]
        return [
            zone
            if one.place == at.FLAMES_PATCH
            else (self.patch_at(one.place, at.Q_AREA), self.patch_at(one.place, at.Q_WETTED))
            for one in by_severity(laid.values())
        ]

    def resistances_at(self, name: str) -> list[int]:
        """Places of what the insulation of a part resists where the fire strikes it."""
        laid = self.patches.get(name)
        zone = self.space_at(name, at.S_HOT_RESISTANCE)
        if laid is None:
            return [zone]
        return [
            zone if one.place == at.FLAMES_PATCH else self.patch_at(one.place, at.Q_RESISTANCE)
            for one in by_severity(laid.values())
        ]

    def struck_area(self, name: str) -> float:
        """Surface of a part that the fire strikes, m2."""
        return float(sum(self.floats[area_at] for area_at, _ in self.struck_at(name)))

    def changed(
        self, floats: Mapping[int, float] = {}, integers: Mapping[int, int] = {}
    ) -> FireCase:
        """The case with some numbers replaced."""
        new_floats = self.floats.copy()
        new_integers = self.integers.copy()
        for place, value in floats.items():
            new_floats[place] = value
        for place, number in integers.items():
            new_integers[place] = number
        return replace(self, floats=new_floats, integers=new_integers)

    def with_tolerance(self, tolerance: float) -> FireCase:
        """The case with another relative tolerance of the time steps."""
        return self.changed({at.F_RTOL: tolerance})

    def without_plugs(self) -> FireCase:
        """The case with every plug blocked."""
        block = int(self.integers[at.I_I_PLUG])
        return self.changed(
            integers={block + k * at.PI_SIZE + at.PI_ENABLED: 0 for k in range(len(self.plugs))}
        )

    def without_devices(self, names: Collection[str] | None = None) -> FireCase:
        """The case with some devices that never open; left out: all of them."""
        plugs, discs = int(self.integers[at.I_I_PLUG]), int(self.integers[at.I_F_DISC])
        reliefs = int(self.integers[at.I_I_RELIEF])

        def shut(known: tuple[str, ...]) -> list[int]:
            return [k for k, name in enumerate(known) if names is None or name in names]

        return self.changed(
            integers={
                **{plugs + k * at.PI_SIZE + at.PI_ENABLED: 0 for k in shut(self.plugs)},
                **{reliefs + k * at.RI_SIZE + at.RI_ENABLED: 0 for k in shut(self.relief_valves)},
            },
            floats={discs + k * at.D_SIZE + at.D_BURST: NEVER_BURSTS for k in shut(self.discs)},
        )


def strength_limit(installation: Installation, basis: str) -> float:
    """Largest strength use that counts as safe on a basis."""
    typed = installation.choices.strength_use_limit
    if typed is not None and basis == installation.choices.strength_basis:
        return typed
    return metal.STRENGTH_USE_LIMITS[basis]


def largest_step(duration: float | Floats) -> Floats:
    """Longest time step [s] in a fire that lasts so long [s]."""
    return np.maximum(np.asarray(duration) / 10.0, 1.0)


def wall_of(
    part: Vessel | Line, formula: str, basis: str, metal_of: Vessel | Line | None = None
) -> tuple[shells.ShellGeometry, float]:
    """Geometry on the reckoned wall, and gauge burst pressure over strength.

    The metal is that of ``metal_of`` where a wall scatters about the one that was ordered.
    """
    return part_geometry(part), burst_factor(part, formula, basis, metal_of=metal_of)


def plugs_in_fire(installation: Installation, fire: Fire) -> frozenset[str]:
    """Plugs that the flames reach: as listed, else those on parts wholly in the fire."""
    if fire.plugs_in_fire is not None:
        return frozenset(fire.plugs_in_fire)
    return frozenset(
        plug.id
        for plug in installation.plugs
        if plug.on in fire.reaches and fire.share(plug.on) >= 1.0
    )
