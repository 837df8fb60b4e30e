"""Histories of a run for charts and output, thinned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.creep_edges import creep_edges
from airrisk.fire.run import FireRun, thinned
from airrisk.installation.geometry import shell_grade
from airrisk.kernel import layout as at
from airrisk.kernel.places import patch_row
from airrisk.physics import air, metal

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
NOTHING = np.zeros(0)


@dataclass(frozen=True, eq=False)
class SpaceCurves:
    """Histories of one part; the walls are those of ``FireRun.walls``."""

    pressure_pa: Floats
    gas_temperature_k: Floats
    hot_wall_temperature_k: Floats
    cold_wall_temperature_k: Floats
    strength_use: Floats
    gas_mass_kg: Floats
    creep_damage: Floats  # no length where there is hardly any
    creep_damage_mean: Floats  # by the middle of the tests
    creep_damage_omega: Floats  # by the creep rate


@dataclass(frozen=True, eq=False)
class PlugHistory:
    """History of one plug; after it opened its temperature is held."""

    temperature_k: Floats
    melted_share: Floats
    open: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class RunCurves:
    """Histories over ``time_s``; field names as in the output."""

    time_s: Floats
    parts: Mapping[str, SpaceCurves]
    plugs: Mapping[str, PlugHistory]


def _plug_state(run: FireRun, k: int, enthalpy: Floats) -> tuple[Floats, Floats]:
    """Temperature and melted share of a plug body from its enthalpy above the start."""
    case = run.case
    block = int(case.integers[at.I_F_PLUG]) + k * at.P_SIZE
    row = case.floats[block : block + at.P_SIZE]
    capacity, latent = row[at.P_HEAT_CAPACITY], row[at.P_LATENT]
    solidus, liquidus, start = row[at.P_SOLIDUS], row[at.P_LIQUIDUS], row[at.P_START]
    first = capacity * (solidus - start)
    whole = latent + capacity * (liquidus - solidus)
    share = np.clip((enthalpy - first) / whole, 0.0, 1.0)
    temperature = np.where(
        enthalpy <= first,
        start + enthalpy / capacity,
        np.where(
            enthalpy < first + whole,
            solidus + (liquidus - solidus) * share,
            liquidus + (enthalpy - first - whole) / capacity,
        ),
    )
    return temperature, share


def curves(run: FireRun, most: int = 2000) -> RunCurves:
    """Histories of all parts and plugs, event times included.

    Parameters
    ----------
    run
        A stored run.
    most
        Largest number of points.

    Returns
    -------
    RunCurves
    """
    case = run.case
    rows = thinned(run, most)
    states, modes, time = run.states[rows], run.modes[rows], run.time[rows]
    n = len(case.spaces)
    mass, gas = states[:, :n], states[:, n : 2 * n]
    block = int(case.integers[at.I_F_SPACE])
    table = case.floats[block : block + n * at.S_SIZE].reshape(n, at.S_SIZE)
    pressure = air.pressure(mass / table[:, at.S_VOLUME], gas)
    ambient = case.floats[at.F_AMBIENT_P]
    parts: dict[str, SpaceCurves] = {}
    crept = creep_edges(run)
    for i, space in enumerate(case.spaces):
        if space.part is None:
            continue
        hot, cold = (wall[rows] for wall in run.walls(i))
        strength = metal.strength(shell_grade(space.part), case.basis, np.maximum(hot, cold))
        burst = table[i, at.S_BURST_FACTOR] * np.maximum(strength, 1.0)
        edges = crept.get(space.id)
        parts[space.id] = SpaceCurves(
            pressure[:, i],
            gas[:, i],
            hot,
            cold,
            (pressure[:, i] - ambient) / burst,
            mass[:, i],
            NOTHING if edges is None else edges.least[rows],
            NOTHING if edges is None else edges.mean[rows],
            NOTHING if edges is None else edges.omega[rows],
        )
    return RunCurves(time, parts, _plugs(run, states, modes))


def _plugs(run: FireRun, states: Floats, modes: Integers) -> dict[str, PlugHistory]:
    """Histories of all plugs at some rows of a run."""
    case = run.case
    n = len(case.spaces)
    plugs: dict[str, PlugHistory] = {}
    for k, name in enumerate(case.plugs):
        numbers = int(case.integers[at.I_I_PLUG]) + k * at.PI_SIZE
        opened = modes[:, 1 + k] == 1
        home = int(case.integers[numbers + at.PI_SPACE])
        if case.integers[numbers + at.PI_FOLLOWS_WALL] == 1:
            patch = int(case.integers[numbers + at.PI_PATCH])
            temperature = states[:, int(patch_row(home, patch, case.integers))]
            share = opened.astype(float)
        else:
            temperature, share = _plug_state(run, k, states[:, 4 * n + k])
        plugs[name] = PlugHistory(temperature, np.where(opened, 1.0, share), opened)
    return plugs


def air_at_the_end(run: FireRun, name: str) -> tuple[float, float]:
    """Pressure [Pa absolute] and temperature [K] of the air in a part when a run ends."""
    n, index = len(run.case.spaces), run.case.names.index(name)
    last = run.states[thinned(run)][:, [index, n + index]]
    volume = run.case.floats[run.case.space_at(name, at.S_VOLUME)]
    return float(air.pressure(last[:, 0] / volume, last[:, 1])[-1]), float(last[-1, 1])


def hottest_wall(run: FireRun, name: str) -> float:
    """The highest temperature of the wall of a part in a run, K."""
    return float(np.max(run.walls(run.case.names.index(name))))


def plug_temperatures_at(run: FireRun, time: float) -> dict[str, float]:
    """Temperature of every plug at one time, K.

    Parameters
    ----------
    run
        A stored run.
    time
        Time [s], within the run.

    Returns
    -------
    dict
        By plug; for a plug without alloy nothing.
    """
    rows = thinned(run, most=10**9)
    plugs = _plugs(run, run.states[rows], run.modes[rows])
    return {
        name: float(np.interp(time, run.time[rows], history.temperature_k))
        for name, history in plugs.items()
        if run.case.plug_records[name].alloy is not None
    }
