"""Life of hot metal under stress, as scalar functions that can be compiled.

Plain Python without decorators, restricted to what numba compiles in nopython mode.
"""

from __future__ import annotations

import math

CREEPS_FROM = 673.15  # K, below it the damage is not counted
CREEP_DATA_TO = 1000.15  # K, 727 degC: there are no tests above, the curves are drawn on
LEAST_CREEP_STRESS = 1e6  # Pa, below it the damage is not counted
SHORTEST_LIFE = 1e-3  # s
LONGEST_LIFE = 1e12  # s


def damage_rate(stress, temperature, a0, a1, a2, a3, constant):
    """Share of its life that metal uses up in a second.

    Parameters
    ----------
    stress : float
        Pa.
    temperature : float
        Of the metal [K].
    a0, a1, a2, a3 : float
        Of the Larson-Miller parameter [K h-lg] against the decimal logarithm of the stress in MPa;
        ``a0`` 0 means that there are no data.
    constant : float
        The Larson-Miller constant.

    Returns
    -------
    float
        1/s; 0 below ``CREEPS_FROM`` and ``LEAST_CREEP_STRESS``, or without data.

    Source
    ------
    Larson-Miller form of API 579-1 and API 530: life in hours 10^(L / T - C). The coefficients
    stand with their source in resources/creep.toml.
    """
    if a0 == 0.0 or temperature <= CREEPS_FROM or stress <= LEAST_CREEP_STRESS:
        return 0.0
    y = math.log10(stress * 1e-6)
    parameter = a0 + y * (a1 + y * (a2 + y * a3))
    power = parameter / temperature - constant
    life = 3600.0 * math.exp(2.302585092994046 * min(max(power, -6.6), 8.4))
    return 1.0 / min(max(life, SHORTEST_LIFE), LONGEST_LIFE)
