"""How a fire heats the wall of one part, in steps that a calculator repeats.

Every number is that of the run at the time of its row, or follows from those of the same row; the
wall of the next row follows from two rows by the step rule::

    wall' = wall + (time' - time) * area / metal * (net + net') / (c + c')

with the net flux = from the fire - to the air inside - to the wall out of the fire.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from airrisk.fire.case_building import INNER_EMISSIVITY
from airrisk.installation.geometry import part_geometry, shell_grade
from airrisk.installation.model import Fire, Installation, Line, Vessel
from airrisk.physics import metal
from airrisk.physics.fires import fire_temperature
from airrisk.physics.heat_kernel import (
    absorbed_flux,
    convection_coefficient,
    inner_radiation,
    layer_flux,
    net_flux,
)
from airrisk.physics.metal_kernel import heat_capacity
from airrisk.study.exposures import even_exposures
from airrisk.study.records import FireRecord, PartCurves

STEPS_S = (5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0)
MOST_ROWS = 32


@dataclass(frozen=True)
class HeatRow:
    """One moment: what goes into the wall in the fire, and what it holds."""

    time_s: float
    flame_k: float | None  # None: a stated flux
    from_fire_w_m2: float
    to_air_w_m2: float
    across_w_m2: float  # by radiation to the wall out of the fire
    wall_k: float
    face_k: float  # what the fire heats: the insulation, or the wall itself
    wall_j_kg_k: float  # heat capacity of the metal
    air_k: float
    air_kg: float
    pressure_pa: float
    strength_pa: float
    use: float
    damage: float | None  # None: hardly any
    plug_k: float | None
    melted: float | None

    @property
    def net_w_m2(self) -> float:
        """What stays in the wall."""
        return self.from_fire_w_m2 - self.to_air_w_m2 - self.across_w_m2


@dataclass(frozen=True)
class HeatByHand:
    """The rows of one part, and what the step rule needs."""

    part: str
    rows: tuple[HeatRow, ...]
    area_m2: float  # of the wall in the fire
    metal_kg: float  # of it
    fire: Fire
    ambient_k: float
    resistance_m2_k_w: float  # of the insulation that counts; 0: none
    plug: str  # whose columns those of a plug are; empty: none
    ends: str  # "ruptures" | "fire ends" | "run ends"
    plug_opens_s: float | None

    def step(self, place: int) -> float:
        """Temperature of the wall at the row after one, by the step rule, K."""
        this, following = self.rows[place], self.rows[place + 1]
        flux = this.net_w_m2 + following.net_w_m2
        capacity = this.wall_j_kg_k + following.wall_j_kg_k
        elapsed = following.time_s - this.time_s
        return this.wall_k + elapsed * self.area_m2 / self.metal_kg * flux / capacity


def flux_of_fire(fire: Fire, ambient: float, row: HeatRow) -> tuple[str, dict[str, float]]:
    """Key and values of the formula for the heat from the fire; "" where it is stated outright."""
    common = {"eps": fire.emissivity, "h": fire.convection, "T_w": row.face_k}
    if row.flame_k is not None:
        return "net_flux", {**common, "T_f": row.flame_k}
    if fire.absorbed or fire.flux is None:
        return "", {}
    return "absorbed_flux", {**common, "q_i": fire.flux, "T_u": ambient}


def fire_of_record(installation: Installation, record: FireRecord) -> Fire | None:
    """The fire that a record is about; None: one that stands somewhere."""
    if record.source_kind is not None:
        return None
    for one in even_exposures(installation):
        if one.fire.id == record.id and one.section.closed_valves == record.closed_valves:
            return one.fire
    return None


def heat_by_hand(
    installation: Installation, record: FireRecord, part: Vessel | Line
) -> HeatByHand | None:
    """The rows of one part in the run as stated.

    None where the fire does not heat it evenly, or the run ends as it begins.

    Parameters
    ----------
    installation
        Where the fire burns.
    record
        The fire, with its curves.
    part
        Of its section.
    """
    fire = fire_of_record(installation, record)
    own = None if record.curves is None else record.curves.parts.get(part.id)
    if fire is None or own is None or record.curves is None or fire.share(part.id) <= 0.0:
        return None
    ruptured = [e.time_s for e in record.events if "rupture" in e.event and e.part == part.id]
    last = min([record.curves.time_s[-1], fire.duration, *ruptured])
    if last <= 0.0:
        return None
    times = _times(last)
    plug = _plug_of(installation, record, part)
    scene = _Scene(installation, fire, part, record)
    kept = record.curves.plugs.get(plug)
    columns = _columns(record.curves.time_s, own, times)
    melting = (
        None
        if kept is None
        else np.column_stack(
            [
                np.interp(times, record.curves.time_s, kept.temperature_k),
                np.interp(times, record.curves.time_s, kept.melted_share),
            ]
        ).tolist()
    )
    rows = tuple(
        scene.row(time, columns[n].tolist(), melting[n] if melting else [None, None])
        for n, time in enumerate(times)
    )
    opened = [e.time_s for e in record.events if e.event == "plug opens" and e.part == plug]
    ends = "ruptures" if last in ruptured else "fire ends" if last == fire.duration else "run ends"
    return HeatByHand(
        part=part.id,
        rows=rows,
        area_m2=scene.hot * scene.shape.outer_surface,
        metal_kg=scene.hot * scene.shape.metal_mass,
        fire=fire,
        ambient_k=installation.site.ambient_temperature,
        resistance_m2_k_w=scene.resistance,
        plug=plug if kept is not None else "",
        ends=ends,
        plug_opens_s=min(opened, default=None),
    )


def _times(last: float) -> list[float]:
    """Even steps from the start, as many as a page holds, and the end."""
    step = next((one for one in STEPS_S if last / one <= MOST_ROWS - 1), STEPS_S[-1])
    even = [step * n for n in range(int(last / step) + 1)]
    return even if last - even[-1] < 0.02 * step else [*even, last]


def _plug_of(installation: Installation, record: FireRecord, part: Vessel | Line) -> str:
    """The plug of the part that opens first, else any on it that is credited; empty: none."""
    here = [
        one.id
        for one in installation.plugs
        if one.on == part.id and one.id not in record.uncredited
    ]
    opened = [e.part for e in record.events if e.event == "plug opens" and e.part in here]
    return next(iter((*opened, *here)), "")


def _columns(along: Sequence[float], own: PartCurves, times: list[float]) -> np.ndarray:
    """Wall in the fire and out of it, air, mass, pressure, use and damage at some times."""
    damage = own.creep_damage or [math.nan] * len(along)
    return np.column_stack(
        [
            np.interp(times, along, column)
            for column in (
                own.hot_wall_temperature_k, own.cold_wall_temperature_k, own.gas_temperature_k,
                own.gas_mass_kg, own.pressure_pa, own.strength_use, damage,
            )
        ]
    )  # fmt: skip


class _Scene:
    """The wall of a part before a fire."""

    def __init__(
        self, installation: Installation, fire: Fire, part: Vessel | Line, record: FireRecord
    ) -> None:
        self.fire, self.part = fire, part
        self.ambient = installation.site.ambient_temperature
        self.hot = fire.share(part.id)
        self.shape = part_geometry(part)
        self.radiates = record.inner_radiation == "on" and self.hot < 1.0
        cover = record.insulation.get(part.id)
        self.resistance = cover.resistance_m2_k_w if cover and cover.counted else 0.0
        self.family = metal.material(part.material).family_code
        self.basis = metal.resolve_basis(part.material, installation.choices.strength_basis)

    def row(
        self, time: float, values: Sequence[float], plug: Sequence[float | None]
    ) -> HeatRow:  # fmt: skip
        """One moment from the numbers of the run."""
        wall, cold, air, mass, pressure, use, damage = values
        flame, taken, face = self._from_fire(time, wall)
        free = self.shape.volume - self.part.condensate
        inner = float(convection_coefficient(mass / free, wall, air)) * (wall - air)
        area = self.hot * self.shape.outer_surface
        across = 0.0
        if self.radiates:
            rest = (1.0 - self.hot) * self.shape.outer_surface
            across = float(inner_radiation(wall, cold, area, rest, INNER_EMISSIVITY)) / area
        return HeatRow(
            time_s=time,
            flame_k=flame,
            from_fire_w_m2=taken,
            to_air_w_m2=inner,
            across_w_m2=across,
            wall_k=wall,
            face_k=face,
            wall_j_kg_k=float(heat_capacity(self.family, wall)),
            air_k=air,
            air_kg=mass,
            pressure_pa=pressure,
            strength_pa=float(
                metal.strength(shell_grade(self.part), self.basis, max(wall, cold))
            ),
            use=use,
            damage=None if math.isnan(damage) else damage,
            plug_k=plug[0],
            melted=plug[1],
        )  # fmt: skip

    def _from_fire(self, time: float, wall: float) -> tuple[float | None, float, float]:
        """Temperature of the flames, heat into the wall, temperature of what they heat."""
        fire = self.fire
        if fire.curve == "flux":
            assert fire.flux is not None
            if fire.absorbed:
                return None, fire.flux, wall
            return None, *self._through(
                lambda face: float(
                    absorbed_flux(fire.flux, face, self.ambient, fire.emissivity, fire.convection)
                ),
                wall,
            )
        flame = float(
            fire_temperature(fire.curve, time, temperature=fire.temperature, points=fire.points)
        )
        flame = max(flame, self.ambient) if fire.curve != "table" else flame
        return flame, *self._through(
            lambda face: float(net_flux(flame, face, fire.emissivity, fire.convection)), wall
        )

    def _through(self, flux: Callable[[float], float], wall: float) -> tuple[float, float]:
        """Heat through the insulation, and the temperature of its outer face."""
        if self.resistance <= 0.0:
            return flux(wall), wall
        fire = self.fire
        taken = flux(0.0)
        found = layer_flux(taken, wall, fire.emissivity, fire.convection, self.resistance)
        return found, wall + found * self.resistance
