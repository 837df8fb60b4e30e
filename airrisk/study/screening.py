"""Screening of one vessel or line: heated as a whole at constant volume, and its stored energy.

Wall and air have one temperature that rises until the metal gives way. The order in which the
relief valve lifts, the design pressure is passed, the plug melts and the metal ruptures is read
off that one temperature; what the fire's side, the plug's place and its bore do is the business
of the fire transient.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import fields

import numpy as np

from airrisk.installation.geometry import burst_factor, part_geometry, shell_grade
from airrisk.installation.model import Installation, Line, Plug, Vessel
from airrisk.installation.start import start_state
from airrisk.physics import alloys, energy, metal
from airrisk.study.curve import Curve
from airrisk.study.hand_calculation import State, hand_calculation
from airrisk.study.oil_inside import oil_inside, oil_traces
from airrisk.study.records import (
    EnergiesRecord,
    HeatingCurve,
    HeatingRecord,
    PartRecord,
    RulerMark,
)
from airrisk.study.shut_in_air import ShutInAir

JUMP = 1.001  # over what the metal bears, from where it is no rounding
CURVE_POINTS = 121
HIGHEST_TEMPERATURE = 1590.0  # K, inside the air table


Target = Callable[[np.ndarray], np.ndarray]


def crossings(gas: ShutInAir, targets: Sequence[Target], top: float) -> list[float | None]:
    """Temperature at which the pressure first reaches each target, ``None`` when it never does.

    Parameters
    ----------
    gas
        The shut-in air.
    targets
        Functions of temperature [K] that give an absolute pressure [Pa] and do not rise faster
        than the air's.
    top
        End of the search [K].

    Returns
    -------
    list
        Temperatures [K]; the start temperature where the target is reached there already.
    """
    if not targets:
        return []
    low = np.full(len(targets), gas.start_temperature)
    high = np.full(len(targets), top)
    shares = np.linspace(0.0, 1.0, 65)
    found = np.ones(len(targets), dtype=bool)
    rows = np.arange(len(targets))
    while np.any(high - low > 1e-7 * high):
        grid = low[:, None] + (high - low)[:, None] * shares
        excess = gas.pressure(grid) - np.array(
            [target(row) for target, row in zip(targets, grid, strict=True)]
        )
        reached = excess >= 0.0
        found &= reached.any(axis=1)
        first = np.argmax(reached, axis=1)
        before = np.maximum(first - 1, 0)
        low, high = grid[rows, before], np.where(found, grid[rows, first], grid[rows, before])
    return [float(at) if there else None for at, there in zip(high, found, strict=True)]


def energies_of(
    pressure: float, temperature: float, volume: float, ambient_pressure: float, ambient: float
) -> EnergiesRecord:
    """Stored energy by five measures, J."""
    return EnergiesRecord(
        **energy.stored_energies(pressure, temperature, volume, ambient_pressure, ambient)
    )


def screen(
    installation: Installation, part: Vessel | Line, running: float | None = None
) -> PartRecord:
    """Screening record of one vessel or line.

    Parameters
    ----------
    installation
        The checked installation that the part belongs to.
    part
        One of its holders.
    running
        Hottest temperature of the air there in normal running [K]; left out: that of the part.

    Returns
    -------
    PartRecord
        SI, absolute pressures.

    Raises
    ------
    ScreeningError
        The part holds no air.
    air.AirRangeError
        Its state lies outside the air table.

    Source
    ------
    Isochore of the reference equation for air (Lemmon et al. 2000); strength curves and burst
    formulas as cited by ``physics.metal`` and ``physics.shells``.
    """
    site, choices = installation.site, installation.choices
    gas = _shut_in(installation, part)
    heated = _heated(installation, part, gas, running)
    around = site.ambient_pressure, site.ambient_temperature
    now = energies_of(heated.pressure_pa, heated.temperature_k, gas.volume, *around)
    rupture, rupture_pressure = heated.rupture_temperature_k, heated.rupture_pressure_pa
    then = broken = None
    if rupture is not None and rupture_pressure is not None:
        broken = rupture, rupture_pressure
        then = energies_of(rupture_pressure, rupture, gas.volume, *around)
    pcc2 = energy.pcc2_energy(heated.pressure_pa, gas.volume)
    chosen = metal.resolve_basis(part.material, choices.strength_basis)
    limits: dict[State, float | None] = {
        "lift": heated.relief_lift_temperature_k,
        "design": heated.design_pressure_temperature_k,
    }
    burned = oil_inside(installation, part, gas)
    return PartRecord(
        **{item.name: getattr(heated, item.name) for item in fields(heated)},
        stored_energy_j=now,
        rupture_energy_j=then,
        tnt_kg=now.isentropic / choices.tnt_energy,
        pcc2_energy_j=pcc2,
        pcc2_tnt_kg=energy.tnt_mass(pcc2, energy.PCC2_TNT_ENERGY),
        traces=(
            *hand_calculation(installation, part, gas, chosen, broken, (now, then), limits),
            *oil_traces(gas, burned),
        ),
        oil_inside=burned,
    )


def heat_shut_in(
    installation: Installation, part: Vessel | Line, running: float | None = None
) -> HeatingRecord:
    """The order of events alone, for answers that are needed many times a second.

    Parameters, errors and source as for ``screen``.

    Returns
    -------
    HeatingRecord
        The same numbers as in the whole record, without energies and hand calculation.
    """
    return _heated(installation, part, _shut_in(installation, part), running)


def _shut_in(installation: Installation, part: Vessel | Line) -> ShutInAir:
    pressure, temperature = start_state(installation, part)
    return ShutInAir(pressure, temperature, part_geometry(part).volume, part.condensate)


def _heated(
    installation: Installation, part: Vessel | Line, gas: ShutInAir, running: float | None
) -> HeatingRecord:
    site, choices = installation.site, installation.choices
    ambient = site.ambient_pressure
    shape = part_geometry(part)
    start_pressure, start_temperature = gas.start_pressure, gas.start_temperature
    steel, ordered = metal.material(part.material), shell_grade(part)
    top = min(steel.max_temperature, HIGHEST_TEMPERATURE)

    chosen = metal.resolve_basis(part.material, choices.strength_basis)
    factors = {
        basis: burst_factor(part, choices.burst_formula, basis) for basis in (*steel.bases, chosen)
    }

    def burst(temperature: np.ndarray | float, basis: str) -> np.ndarray:
        return factors[basis] * metal.strength(ordered, basis, temperature)

    def constant(pressure: float) -> Target:
        return lambda t: np.full_like(t, pressure)

    def rupture_pressure_of(basis: str) -> Target:
        return lambda t: ambient + burst(t, basis)

    valves = [valve for valve in installation.relief_valves if _same(valve.on, part.id)]
    targets = [rupture_pressure_of(basis) for basis in steel.bases]
    targets += [constant(valve.set_pressure) for valve in valves]
    if part.design_pressure is not None:
        targets.append(constant(part.design_pressure))
    reached = crossings(gas, targets, top)
    by_basis = dict(zip(steel.bases, reached, strict=False))
    lifts_at = reached[len(steel.bases) : len(steel.bases) + len(valves)]
    design = None if part.design_pressure is None else reached[-1]
    rupture = by_basis[chosen]

    def borne(at: float, basis: str) -> float:
        # where liquid ends its steam comes up in a jump: the metal has let go on the way
        least = ambient + float(burst(at, basis))
        there = float(gas.pressure(at))
        return least if there > JUMP * least else there

    rupture_pressure = None if rupture is None else borne(rupture, chosen)

    marks: list[RulerMark] = []
    for valve, lift in zip(valves, lifts_at, strict=True):
        marks.append(RulerMark("relief lift", valve.id, lift, valve.set_pressure))
    if part.design_pressure is not None:
        marks.append(RulerMark("design pressure", part.id, design, part.design_pressure))
    plug_margin: dict[str, float | None] = {}
    for plug in installation.plugs:
        if _same(plug.on, part.id) and plug.alloy is not None:
            marks.extend(_plug_marks(plug, gas))
            liquidus = alloys.alloy(plug.alloy).liquidus
            plug_margin[plug.id] = None if rupture is None else rupture - liquidus
    hottest = start_temperature if running is None else running
    marks.append(RulerMark("running", part.id, hottest, start_pressure))
    for basis, at in by_basis.items():
        marks.append(RulerMark("rupture", basis, at, None if at is None else borne(at, basis)))

    grid = np.linspace(start_temperature, top, CURVE_POINTS)
    curve = HeatingCurve(
        Curve(grid),
        Curve(gas.pressure(grid)),
        Curve(ambient + burst(grid, chosen)),
    )
    return HeatingRecord(
        id=part.id,
        kind="vessel" if isinstance(part, Vessel) else "line",
        volume_m3=shape.volume,
        surface_m2=shape.outer_surface,
        wall_mass_kg=shape.metal_mass,
        gas_mass_kg=gas.mass,
        pressure_pa=start_pressure,
        temperature_k=start_temperature,
        burst_pressure_cold_gauge_pa=float(burst(293.15, chosen)),
        design_pressure_temperature_k=design,
        relief_lift_temperature_k=min((at for at in lifts_at if at is not None), default=None),
        rupture_temperature_k=rupture,
        rupture_pressure_pa=rupture_pressure,
        rupture_temperature_by_basis_k=by_basis,
        curve=curve,
        marks=tuple(sorted(marks, key=_mark_order)),
        plug_margin_k=plug_margin,
    )


def _same(first: str, second: str) -> bool:
    return first.casefold() == second.casefold()


def _mark_order(mark: RulerMark) -> tuple[float, str, str]:
    at = math.inf if mark.temperature_k is None else mark.temperature_k
    return at, mark.kind, mark.source


def _plug_marks(plug: Plug, gas: ShutInAir) -> list[RulerMark]:
    core = alloys.alloy(plug.alloy or "")

    def pressure(at: float) -> float | None:
        return float(gas.pressure(at)) if at >= gas.start_temperature else None

    return [
        RulerMark("plug solidus", plug.id, core.solidus, pressure(core.solidus)),
        RulerMark("plug liquidus", plug.id, core.liquidus, pressure(core.liquidus)),
    ]
