"""Noise of air blowing off into the open."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

REFERENCE_DISTANCE = 30.0  # m
# level at 30 m less 10 lg(jet power in W) against the ratio of stagnation to ambient pressure
_RATIO = np.array([2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0])
_LEVEL = np.array([50.5, 54.0, 55.2, 56.0, 56.4, 57.1, 57.5])
CRITICAL = 1.8929  # ratio at which air chokes
SCATTER_DB = 6.0  # of the level of a blow-off, see ``vent_noise``
# Small bores hiss at some 8 kHz, where air takes most: 117 dB per km at 10 degC and 70 % humidity,
# ISO 9613-2 (from memory, edition not checked).
ABSORPTION_DB_M = 0.117
# A signal is heard from 65 dB(A) on, and 15 dB above the background: ISO 7731 (from memory,
# edition not checked).
LEAST_SIGNAL_DB, ABOVE_BACKGROUND_DB = 65.0, 15.0


@dataclass(frozen=True)
class Noise:
    """Sound pressure level of a blow-off and how far it carries."""

    level_at_30_m_db: float
    in_range: bool  # pressure ratio 2 to 10, the range of the curve

    def level_at(self, distance: float) -> float:
        """Level at a distance (m) over open ground, dB."""
        return self.level_at_30_m_db - 20 * math.log10(max(distance, 0.1) / REFERENCE_DISTANCE)

    def distance_for(self, level: float) -> float:
        """Distance (m) at which the level has fallen to ``level`` dB."""
        return float(REFERENCE_DISTANCE * 10 ** ((self.level_at_30_m_db - level) / 20))


def vent_noise(mass_flow: float, sound_speed: float, pressure_ratio: float) -> Noise:
    """Noise of a vent to atmosphere.

    Parameters
    ----------
    mass_flow : kg/s
    sound_speed : of the air in the vessel's state, m/s
    pressure_ratio : stagnation over ambient pressure at the outlet

    Returns
    -------
    Noise; L(30 m) = Y + 10 lg(1/2 m a^2). Spherical spreading, no directivity (the jet is about
    10 dB quieter straight ahead, louder at 30-60 degrees to its axis), no absorption by air.

    Raises
    ------
    ValueError
        Flow or sound speed is negative, or the ratio below 1.

    Source: API 521 vent noise method; Y read from its curve, from memory (54 dB at ratio 3 is
    its worked example), 2 to 10; above 10 the value at 10, below choking Lighthill's eighth
    power of the exit speed. Doubt 6 dB.
    """
    if mass_flow < 0 or sound_speed <= 0 or pressure_ratio < 1:
        raise ValueError(
            "vent noise needs a mass flow of 0 or more, a sound speed above 0 and a pressure "
            f"ratio of 1 or more; got {mass_flow:g} kg/s, {sound_speed:g} m/s, {pressure_ratio:g}"
        )
    power = 0.5 * mass_flow * sound_speed**2
    if power == 0 or pressure_ratio == 1:
        return Noise(-math.inf, False)
    level = float(np.interp(math.log(pressure_ratio), np.log(_RATIO), _LEVEL))
    if pressure_ratio < CRITICAL:
        # acoustic efficiency grows with the fifth power of the Mach number, power with the third
        speed = 1 - pressure_ratio ** (-0.4 / 1.4)
        choked = 1 - CRITICAL ** (-0.4 / 1.4)
        level += 10 * 4 * math.log10(speed / choked)
    return Noise(level + 10 * math.log10(power), 2.0 <= pressure_ratio <= 10.0)


def level_to_be_heard(background: float) -> float:
    """Least level at which a signal is heard above a background, both in dB(A).

    Parameters
    ----------
    background : dB(A)

    Source
    ------
    ISO 7731: at least 65 dB(A) and 15 dB above the background (from memory, edition not checked).
    """
    return max(LEAST_SIGNAL_DB, background + ABOVE_BACKGROUND_DB)
