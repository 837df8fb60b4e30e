"""What a case is built from: who of the installation takes part, and what is assumed of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import Credit, strength_limit
from airrisk.fire.covers import Cover, Layers, cover, hottest_face
from airrisk.fire.network import GasNetwork, gas_network
from airrisk.fire.patches import Exposures, Laid, by_severity, laid_out
from airrisk.fire.plug_body import PlugBody, plug_body
from airrisk.installation.inspected import FAULTS
from airrisk.installation.model import (
    BurstingDisc,
    Compressor,
    Fire,
    Installation,
    Line,
    Plug,
    ReliefValve,
    Vessel,
)
from airrisk.installation.sections import Section
from airrisk.kernel import layout as at

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True)
class CaseSettings:
    """What is assumed of a case beyond what the installation says.

    Attributes
    ----------
    basis
        Strength basis; None: the chosen one.
    inner_radiation
        Whether the hot zone radiates to the cold one.
    credit
        "as fitted": devices in ``uncredited`` never open; "none": no plug opens; "all": all may
        but those of unknown alloy and those in ``dead``.
    starts
        Pressure of each vessel and line when the fire starts [Pa absolute]; None: as stated.
    convection_factor
        On all heat transfer between metal and air inside.
    uncredited
        Devices without credit; None: plugs whose condition forbids it.
    conditions
        Condition by plug; None: what the plugs' entries say.
    dead
        Plugs that open in no run: they are under water.
    exposures
        Patches of the walls that are not the same all over, by part; the others as the fire says.
    plug_patches
        Patch that a plug is screwed into, by plug; left out: of those it can stand on, the one
        that heats it least.
    layers
        Which layers of insulation are there.
    unconfirmed_layers
        Parts whose insulation nobody may count on.
    """

    basis: str | None = None
    inner_radiation: bool = True
    credit: Credit = "as fitted"
    starts: Mapping[str, float] | None = None
    convection_factor: float = 1.0
    uncredited: Collection[str] | None = None
    conditions: Mapping[str, str] | None = None
    dead: Collection[str] = ()
    exposures: Exposures = field(default_factory=dict)
    plug_patches: Mapping[str, str] = field(default_factory=dict)
    layers: Layers = "counted"
    unconfirmed_layers: Collection[str] = ()


AS_STATED = CaseSettings()


class Arrays:
    """Blocks of floats and of integers, one behind the other; the head says where each begins."""

    def __init__(self) -> None:
        self.floats = np.zeros(at.F_HEAD)
        self.integers = np.zeros(at.I_HEAD, dtype=np.int64)
        self._floats: list[Floats] = [self.floats]
        self._integers: list[Integers] = [self.integers]

    def add_floats(self, key: int, block: Floats) -> None:
        self.integers[key] = sum(piece.size for piece in self._floats)
        self._floats.append(block.ravel())

    def add_integers(self, key: int, block: Integers) -> None:
        self.integers[key] = sum(piece.size for piece in self._integers)
        self._integers.append(block.ravel())

    def joined(self) -> tuple[Floats, Integers]:
        return np.concatenate(self._floats), np.concatenate(self._integers).astype(np.int64)


@dataclass(frozen=True, eq=False)
class Scene:
    """What a case is built from, and who of the installation takes part."""

    installation: Installation
    fire: Fire
    section: Section
    settings: CaseSettings

    @cached_property
    def basis(self) -> str:
        return self.settings.basis or self.installation.choices.strength_basis

    @cached_property
    def limit(self) -> float:
        return strength_limit(self.installation, self.basis)

    @cached_property
    def network(self) -> GasNetwork:
        exposed = self.settings.exposures
        return gas_network(self.installation, self.section, self.fire, exposed)

    @cached_property
    def exposed(self) -> Exposures:
        """Patches of the parts of this section that have their own."""
        inside = {space.id for space in self.network.spaces if space.part is not None}
        return {
            name: patches for name, patches in self.settings.exposures.items() if name in inside
        }

    @cached_property
    def laid(self) -> dict[str, dict[str, Laid]]:
        """Where those patches stand in the case."""
        found: dict[str, dict[str, Laid]] = {}
        first = 0
        for space in self.network.spaces:
            if space.id in self.exposed:
                found[space.id] = laid_out(self.exposed[space.id], first)
                first += sum(one.place >= at.FIRST_PATCH for one in found[space.id].values())
        return found

    def is_engulfed(self, part: str) -> bool:
        """Whether the fire strikes all of a part."""
        if part in self.laid:
            return len(by_severity(self.laid[part].values())) == len(self.laid[part])
        return self.share(part) >= 1.0

    @cached_property
    def index(self) -> dict[str, int]:
        """Number of each gas space."""
        return {space.id: i for i, space in enumerate(self.network.spaces)}

    @cached_property
    def home(self) -> dict[str, int]:
        """Gas space of each part and of each point without volume."""
        return {**self.index, **{p: self.index[name] for p, name in self.network.home.items()}}

    @cached_property
    def plugs(self) -> tuple[Plug, ...]:
        return tuple(one for one in self.installation.plugs if one.id in self.section.plugs)

    @cached_property
    def relief_valves(self) -> tuple[ReliefValve, ...]:
        inside = self.section.relief_valves
        return tuple(one for one in self.installation.relief_valves if one.id in inside)

    @cached_property
    def discs(self) -> tuple[BurstingDisc, ...]:
        return tuple(
            one for one in self.installation.bursting_discs if one.id in self.section.discs
        )

    @cached_property
    def compressors(self) -> tuple[Compressor, ...]:
        """Those that go on feeding the section."""
        return tuple(
            one
            for one in self.installation.compressors
            if one.id in self.section.compressors
            and one.in_fire == "keeps running"
            and one.id in self.home
        )

    @cached_property
    def parts(self) -> dict[str, Vessel | Line]:
        """Parts that are gas spaces."""
        return {one.id: one.part for one in self.network.spaces if one.part is not None}

    @cached_property
    def covers(self) -> dict[str, Cover]:
        """Insulation of the parts that have some."""
        ambient, settings = self.installation.site.ambient_temperature, self.settings
        found = {}
        for name, part in self.parts.items():
            laid = self.laid[name].values() if name in self.laid else None
            outer = hottest_face(self.fire, laid, self.share(name), ambient)
            one = cover(part, outer, settings.unconfirmed_layers, settings.layers)
            if one is not None:
                found[name] = one
        return found

    @cached_property
    def wet(self) -> dict[str, Vessel | Line]:
        """Parts with condensate."""
        return {
            space.id: space.part
            for space in self.network.spaces
            if space.part is not None and space.part.condensate > 0.0
        }

    @cached_property
    def conditions(self) -> Mapping[str, str]:
        if self.settings.conditions is not None:
            return self.settings.conditions
        return {plug.id: str(plug.condition) for plug in self.installation.plugs}

    @cached_property
    def uncredited(self) -> Collection[str]:
        if self.settings.uncredited is not None:
            return self.settings.uncredited
        return {name for name, state in self.conditions.items() if state in FAULTS}

    @cached_property
    def bodies(self) -> dict[str, PlugBody]:
        """Of each plug of known alloy."""
        return {
            plug.id: plug_body(plug, self.conditions.get(plug.id, plug.condition))
            for plug in self.plugs
            if plug.alloy is not None
        }

    def share(self, part: str) -> float:
        """How much of a part's surface stands in the fire."""
        return self.fire.share(part) if part in self.fire.reaches else 0.0

    def plug_works(self, name: str) -> bool:
        credit = self.settings.credit
        if name in self.settings.dead:
            return False
        return credit == "all" or (credit == "as fitted" and name not in self.uncredited)

    def opening_works(self, name: str) -> bool:
        """Whether a relief valve or disc opens; they do where no plug is credited."""
        return self.settings.credit != "as fitted" or name not in self.uncredited
