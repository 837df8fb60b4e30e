"""Air that leaves through an open plug or valve: time to empty, jet, what it does to a room."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from airrisk.physics.ideal_gas import EXPONENT, GAS_CONSTANT
from airrisk.physics.shells import bore_area

JET_DECAY = 6.2  # centreline speed x distance / (exit speed x diameter), turbulent free jet
AGENT_MARGIN = 1.3  # design over extinguishing concentration of gas systems


@cache
def _nodes() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return np.polynomial.legendre.leggauss(32)


def time_to_empty(
    pressure: float,
    temperature: float,
    volume: float,
    area: float,
    ambient: float,
    *,
    isothermal: bool,
    end_gauge: float | None = None,
    heat_ratio: float = EXPONENT,
) -> float:
    """Time until a vessel has blown down, choked and then subsonic.

    Parameters
    ----------
    pressure : start, Pa absolute
    temperature : start, K
    volume : m3
    area : opening times discharge coefficient, m2
    ambient : Pa absolute
    isothermal : constant temperature; False: no heat to the air
    end_gauge : gauge pressure that counts as empty; left out: the larger of 1 % of the start
        and 5 kPa
    heat_ratio : k

    Returns
    -------
    s; 0 when the start is empty already.

    Raises
    ------
    ValueError
        Volume, area or temperature is not positive.

    Source: integral of dm over the isentropic nozzle flow of an ideal gas (exact closed form
    while choked).
    """
    if not (volume > 0 and area > 0 and temperature > 0):
        raise ValueError("time to empty needs volume (m3), area (m2) and temperature (K) above 0")
    k = heat_ratio
    gauge = pressure - ambient
    low = max(0.01 * gauge, 5e3) if end_gauge is None else end_gauge
    if gauge <= low:
        return 0.0
    a_start = math.sqrt(k * GAS_CONSTANT * temperature)
    critical = ((k + 1) / 2) ** (k / (k - 1)) * ambient
    rate = (2 / (k + 1)) ** ((k + 1) / (2 * (k - 1)))
    end = ambient + low
    choked_end = max(end, critical)
    scaled = 0.0
    if pressure > choked_end:
        if isothermal:
            scaled = math.log(pressure / choked_end) / rate
        else:
            ratio = (pressure / choked_end) ** ((k - 1) / (2 * k))
            scaled = (ratio - 1) * 2 / (k - 1) / rate
    if end < critical:
        # p as variable: dt+ = dp / (p k^.. flow), smooth after p0/p = 1 - s^2
        start = min(pressure, critical)
        x, w = _nodes()
        s0, s1 = math.sqrt(start / ambient - 1), math.sqrt(end / ambient - 1)
        s = 0.5 * (s0 - s1) * (x + 1) + s1
        p = ambient * (1 + s**2)
        dp = 2 * ambient * s * w * 0.5 * (s0 - s1)
        ratio = ambient / p
        mach = np.sqrt(2 / (k - 1) * (ratio ** (-(k - 1) / k) - 1))
        flow = mach * (1 + (k - 1) / 2 * mach**2) ** (-(k + 1) / (2 * (k - 1)))
        if isothermal:
            scaled += float(np.sum(dp / (p * flow)))
        else:
            sound = (p / pressure) ** ((k - 1) / (2 * k))
            scaled += float(np.sum(dp / (k * p * flow * sound)))
    return scaled * volume / (area * a_start)


@dataclass(frozen=True)
class PipeExit:
    """The end of an outlet pipe."""

    speed: float  # m/s
    pressure: float  # Pa absolute, above ambient when choked
    stagnation_pressure: float  # Pa absolute
    force: float  # N


def pipe_exit(
    mass_flow: float, stagnation_temperature: float, ambient: float, diameter: float
) -> PipeExit:
    """State and reaction force at the end of an outlet pipe, from its flow.

    Parameters
    ----------
    mass_flow : kg/s
    stagnation_temperature : K, that of the vessel (no heat through the pipe wall)
    ambient : Pa absolute
    diameter : inside, m

    Returns
    -------
    PipeExit.

    Raises
    ------
    ValueError
        A value is not positive.

    Source: one-dimensional adiabatic flow of an ideal gas, k = 1.4; Mach number 1 and a pressure
    above ambient when the flow is too large for ambient pressure at the end.
    """
    if min(mass_flow, stagnation_temperature, ambient, diameter) <= 0:
        raise ValueError("pipe exit needs flow, temperature, pressure and diameter above 0")
    k = EXPONENT
    area = bore_area(diameter)
    # M sqrt(1 + 0.2 M^2) at ambient pressure
    number = mass_flow * math.sqrt(GAS_CONSTANT * stagnation_temperature / k) / (ambient * area)
    mach = math.sqrt((math.sqrt(1 + 0.8 * number**2) - 1) / 0.4)
    pressure = ambient
    if mach > 1:
        mach, pressure = 1.0, ambient * number / math.sqrt(1.2)
    temperature = stagnation_temperature / (1 + 0.2 * mach**2)
    speed = mach * math.sqrt(k * GAS_CONSTANT * temperature)
    return PipeExit(
        speed=speed,
        pressure=pressure,
        stagnation_pressure=pressure * (1 + 0.2 * mach**2) ** 3.5,
        force=mass_flow * speed + (pressure - ambient) * area,
    )


@dataclass(frozen=True)
class Jet:
    """A free jet of air from an opening."""

    diameter: float  # m, of an equal jet already expanded to ambient pressure
    speed: float  # m/s there
    throw: float = JET_DECAY

    def speed_at(self, distance: float) -> float:
        """Mean speed on the axis at a distance (m) from the opening, m/s."""
        core = self.throw * self.diameter
        return self.speed if distance <= core else self.speed * core / distance

    def reach(self, speed: float) -> float:
        """Distance (m) at which the mean axis speed falls to ``speed`` m/s."""
        return self.throw * self.diameter * self.speed / speed if speed < self.speed else 0.0


def free_jet(mass_flow: float, force: float, ambient: float, ambient_temperature: float) -> Jet:
    """Turbulent free jet with the momentum of the discharge.

    Parameters
    ----------
    mass_flow : kg/s
    force : reaction force, N (equal to the momentum of the expanded jet)
    ambient : Pa absolute
    ambient_temperature : K, also taken for the expanded jet

    Returns
    -------
    Jet; centreline decay u/u0 = 6.2 d/x.

    Raises
    ------
    ValueError
        Flow or force is not positive.

    Source: round turbulent free jet, constant from memory (5.9 to 6.3 in text books); momentum
    diameter for under-expanded jets. In still air, nothing in the way.
    """
    if not (mass_flow > 0 and force > 0):
        raise ValueError("a jet needs a mass flow (kg/s) and a force (N) above 0")
    density = ambient / (GAS_CONSTANT * ambient_temperature)
    speed = force / mass_flow
    area = mass_flow / (density * speed)
    return Jet(math.sqrt(4 * area / math.pi), speed)


@dataclass(frozen=True)
class RoomEffect:
    """What the released air does to the room it enters."""

    free_air: float  # m3 at ambient state
    room_share: float  # of the room's volume
    sealed_pressure_rise: float  # Pa if nothing leaks
    agent_left: float  # share of an extinguishing gas that stays when the mixture is pushed out
    spoils_gas: bool  # less than the usual design margin is left


def room_effect(
    spaces: Sequence[tuple[float, float, float]],
    room_volume: float,
    ambient: float,
    ambient_temperature: float,
) -> RoomEffect:
    """Effect on a room of the air of several joined spaces that blows into it.

    Parameters
    ----------
    spaces : (pressure Pa absolute, temperature K, volume m3) of each space
    room_volume : m3
    ambient : Pa absolute
    ambient_temperature : K

    Returns
    -------
    RoomEffect. Sealed rise: internal energy is kept, sum (p - p0) V over all volumes.
    Extinguishing gas: perfect mixing while the surplus leaves, share left exp(-free air / room).

    Raises
    ------
    ValueError
        A volume is not positive.

    Source: energy and mass balance of an ideal gas; margin 1.3 between design and extinguishing
    concentration from memory (ISO 14520).
    """
    if not room_volume > 0 or any(volume <= 0 for _, _, volume in spaces):
        raise ValueError("room effect needs the volumes (m3) of spaces and room above 0")
    free_air = sum(max(p / t - ambient / ambient_temperature, 0.0) * v for p, t, v in spaces) * (
        ambient_temperature / ambient
    )
    surplus = sum(max(p - ambient, 0.0) * v for p, _, v in spaces)
    share = free_air / room_volume
    left = math.exp(-share)
    return RoomEffect(
        free_air=free_air,
        room_share=share,
        sealed_pressure_rise=surplus / (sum(v for _, _, v in spaces) + room_volume),
        agent_left=left,
        spoils_gas=left * AGENT_MARGIN < 1.0,
    )
