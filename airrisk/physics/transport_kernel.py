"""Viscosity of air as a scalar function that can be compiled."""

from __future__ import annotations

import math


def dilute_viscosity(temperature):
    """Viscosity of dilute air, as ``air.viscosity``.

    Parameters
    ----------
    temperature : float
        Temperature [K].

    Returns
    -------
    float
        Dynamic viscosity [Pa s].

    Source
    ------
    Lemmon and Jacobsen (2004), Int. J. Thermophys. 25, 21, dilute-gas part.
    """
    w = math.log(temperature / 103.3)
    omega = math.exp(0.431 + w * (-0.4623 + w * (0.08406 + w * (0.005341 - 0.00331 * w))))
    return 0.0266958e-6 * math.sqrt(28.9586 * temperature) / (0.36 * 0.36 * omega)
