"""The creep damage of a finished run counted in two other ways: what stands beside the verdict.

Both go along the damage that the run has added up: between two stored times it grew by so much,
and by the other way it would have grown by as much times the ratio of both rates there. The
ratio changes slowly where the rates themselves rise by powers of ten.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.run import FireRun
from airrisk.kernel import layout as at
from airrisk.kernel.places import damage_place
from airrisk.physics import air
from airrisk.physics.creep import creep_numbers, curve_of
from airrisk.physics.creep_kernel import damage_rate
from airrisk.physics.creep_omega import omega_damage_rate, omega_law_of

Floats = NDArray[np.float64]
LEAST_DAMAGE = 1e-4  # below it no other way comes to anything worth telling
LEAST_SHARE = 1e-5  # of the damage, that a step must add for its rates to matter


@dataclass(frozen=True, eq=False)
class CreepEdges:
    """Creep damage of one part along the stored times of a run; 1 is rupture."""

    least: Floats  # by the lower bound of the tests: what counts
    mean: Floats  # by their middle
    omega: Floats  # by the creep rate


_known: WeakKeyDictionary[FireRun, dict[str, CreepEdges]] = WeakKeyDictionary()


def creep_edges(run: FireRun) -> dict[str, CreepEdges]:
    """The damage of every part that took some and whose metal has data.

    Parameters
    ----------
    run
        A stored run.

    Returns
    -------
    dict
        By part; one row for each of ``run.time``.
    """
    found = _known.get(run)  # a run never changes, and several ask for its damage
    if found is None:
        found = _known[run] = _edges(run)
    return found


def _edges(run: FireRun) -> dict[str, CreepEdges]:
    first = int(damage_place(run.case.integers))
    found: dict[str, CreepEdges] = {}
    for index, space in enumerate(run.case.spaces):
        if space.part is None or run.time.size < 2:
            continue
        least = run.states[:, first + index]
        curve, law = curve_of(space.part.material), omega_law_of(space.part.material)
        if curve is None or law is None or not least[-1] >= LEAST_DAMAGE:
            continue
        grown = np.diff(least)
        begin, end = _stretch(grown)
        stress, heat = _strained(run, index, slice(begin, end + 1))
        numbers = creep_numbers(space.part.material)
        both = zip(stress.tolist(), heat.tolist(), strict=True)
        counted = np.array([damage_rate(pull, hot, *numbers) for pull, hot in both])
        other = omega_damage_rate(law, stress, heat)
        ratio = np.divide(other, counted, out=np.full_like(other, np.nan), where=counted > 0.0)
        omega = np.zeros_like(least)
        omega[begin : end + 1] = _along(grown[begin:end], ratio)
        omega[end:] = omega[end]
        found[space.id] = CreepEdges(least, least * 10.0 ** (curve.mean - curve.least), omega)
    return found


def by_omega(run: FireRun) -> FireRun | None:
    """The run with its damage at the end counted by the creep rate; None: hardly any damage."""
    edges = creep_edges(run)
    deciding = {run.case.names[index] for index in run.case.vessel_indices}
    if not deciding & set(edges):
        return None
    damage = run.creep_damage.copy()
    for index, name in enumerate(run.case.names):
        if name in edges:
            damage[index] = edges[name].omega[-1]
    return replace(run, creep_damage=damage)


def _stretch(grown: Floats) -> tuple[int, int]:
    """The first and the last row between which all of the damage arises."""
    rows = np.flatnonzero(grown > LEAST_SHARE * grown.sum())
    return int(rows[0]), int(rows[-1]) + 1


def _strained(run: FireRun, index: int, rows: slice) -> tuple[Floats, Floats]:
    """Stress [Pa] and temperature [K] that the creep of a space counts with."""
    case, spaces = run.case, len(run.case.spaces)
    block = int(case.integers[at.I_F_SPACE]) + index * at.S_SIZE
    row = case.floats[block : block + at.S_SIZE]
    states = run.states[rows]
    mass, gas = states[:, index], states[:, spaces + index]
    gauge = air.pressure(mass / row[at.S_VOLUME], gas) - case.floats[at.F_AMBIENT_P]
    hot, cold = run.walls(index)
    return gauge / row[at.S_BURST_FACTOR], np.maximum(hot[rows], cold[rows])


def _along(grown: Floats, ratio: Floats) -> Floats:
    """What grew step by step, times the mean ratio of both ends; one unknown end is the other's."""
    pairs = np.stack((ratio[:-1], ratio[1:]))
    known = np.isfinite(pairs)
    count = known.sum(axis=0)
    mean = np.where(known, pairs, 0.0).sum(axis=0) / np.maximum(count, 1)
    return np.concatenate(([0.0], np.cumsum(grown * np.where(count > 0, mean, 1.0))))
