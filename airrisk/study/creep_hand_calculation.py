"""The creep damage of a fire in steps that a calculator repeats: one life, and the sum."""

from __future__ import annotations

import bisect
import itertools
import math
from dataclasses import dataclass

import numpy as np

from airrisk.installation.geometry import burst_factor
from airrisk.installation.model import Installation, Line, Vessel
from airrisk.physics import metal
from airrisk.physics.creep import curve_of, rupture_life
from airrisk.study.hand_calculation import burst_traces
from airrisk.study.records import FireRecord, PartCurves, Trace

STEPS = 12  # of the sum
LEAST_DAMAGE = 0.005  # from where it is worth a calculation
LEFT_OUT = 0.01  # of the damage, at either end of the steps


@dataclass(frozen=True)
class FastestCreep:
    """The moment at which the metal of a part uses up its life fastest."""

    time_s: float
    pressure_pa: float
    wall_temperature_k: float  # of the hottest zone
    traces: tuple[Trace, ...]


@dataclass(frozen=True)
class CreepStep:
    """A stretch of the fire, with the state in its middle."""

    from_s: float
    to_s: float
    pressure_pa: float
    wall_temperature_k: float
    stress_pa: float
    life_s: float

    @property
    def damage(self) -> float:
        """Share of the life that this stretch uses up."""
        return (self.to_s - self.from_s) / self.life_s


@dataclass(frozen=True)
class CreepSum:
    """The damage of a part added up step by step, and that of the run."""

    steps: tuple[CreepStep, ...]
    around: float  # damage of the run before the first step and after the last
    of_run: float

    @property
    def total(self) -> float:
        """The damage by the steps, with what lies around them."""
        return self.around + sum(step.damage for step in self.steps)


def _own(record: FireRecord, part: Vessel | Line) -> PartCurves | None:
    """The histories of a part, where its damage is worth a calculation."""
    own = None if record.curves is None else record.curves.parts.get(part.id)
    worth = own is not None and max(own.creep_damage, default=0.0) >= LEAST_DAMAGE
    return own if worth else None


def _hottest(own: PartCurves) -> list[float]:
    return [
        max(both)
        for both in zip(own.hot_wall_temperature_k, own.cold_wall_temperature_k, strict=True)
    ]


def fastest_creep(
    installation: Installation, record: FireRecord, part: Vessel | Line
) -> FastestCreep | None:
    """The moment of a part at which it would live shortest, and how that comes about.

    Parameters
    ----------
    installation
        Gives the strength basis, the burst formula and the atmosphere.
    record
        The fire, with its curves.
    part
        A vessel or line of its section.

    Returns
    -------
    FastestCreep or None
        None where hardly any damage is counted.
    """
    own, curve = _own(record, part), curve_of(part.material)
    if own is None or curve is None or record.curves is None:
        return None
    ambient, hot = installation.site.ambient_pressure, _hottest(own)
    basis = metal.resolve_basis(part.material, installation.choices.strength_basis)
    factor = burst_factor(part, installation.choices.burst_formula, basis)
    lives = [
        rupture_life(part.material, (pressure - ambient) / factor, heat)
        for pressure, heat in zip(own.pressure_pa, hot, strict=True)
    ]
    row = min(range(len(lives)), key=lives.__getitem__)
    pressure, heat = own.pressure_pa[row], hot[row]
    steps = tuple(burst_traces(installation, part, basis, heat))
    least = min(step.result for step in steps if step.key.startswith("burst_"))
    strength = next(step.result for step in steps if step.key.startswith("strength_"))
    if least <= 0.0 or math.isinf(lives[row]):
        return None
    stress = (pressure - ambient) * strength / least
    y = math.log10(stress * 1e-6)
    parameter = float(np.polynomial.polynomial.polyval(y, curve.a))
    coefficients = {f"a_{power}": value for power, value in enumerate(curve.a)}
    return FastestCreep(
        record.curves.time_s[row],
        pressure,
        heat,
        (
            *steps,
            Trace(
                "creep_stress",
                {"p": pressure, "p_0": ambient, "S": strength, "p_b": least},
                stress,
            ),
            Trace("creep_logarithm", {"s": stress}, y),
            Trace("creep_parameter", {**coefficients, "y": y}, parameter),
            Trace("creep_life", {"P_L": parameter, "T_m": heat, "C_L": curve.least}, lives[row]),
        ),
    )


def creep_sum(
    installation: Installation, record: FireRecord, part: Vessel | Line
) -> CreepSum | None:
    """The damage of a part added up in a few steps, each with the state in its middle.

    Parameters
    ----------
    installation, record, part
        As for ``fastest_creep``.

    Returns
    -------
    CreepSum or None
        None where hardly any damage is counted.
    """
    own = _own(record, part)
    if own is None or record.curves is None:
        return None
    time, damage, hot = record.curves.time_s, own.creep_damage, _hottest(own)
    first = bisect.bisect_right(damage, LEFT_OUT * damage[-1]) - 1
    last = min(bisect.bisect_left(damage, (1.0 - LEFT_OUT) * damage[-1]) + 1, len(time) - 1)
    basis = metal.resolve_basis(part.material, installation.choices.strength_basis)
    factor = burst_factor(part, installation.choices.burst_formula, basis)
    edges = np.linspace(time[first], time[last], STEPS + 1).tolist()
    steps = []
    for begin, end in itertools.pairwise(edges):
        middle = 0.5 * (begin + end)
        pressure = float(np.interp(middle, time, own.pressure_pa))
        heat = float(np.interp(middle, time, hot))
        stress = (pressure - installation.site.ambient_pressure) / factor
        life = rupture_life(part.material, stress, heat)
        steps.append(CreepStep(begin, end, pressure, heat, stress, life))
    return CreepSum(tuple(steps), damage[first] + damage[-1] - damage[last], damage[-1])
