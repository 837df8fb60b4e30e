"""Heat capacity of metals as a scalar function that can be compiled."""

from __future__ import annotations

FAMILY_CODES = {"carbon": 0, "stainless": 1, "aluminium": 2, "copper": 3}


def heat_capacity(family: int, temperature: float) -> float:
    """Heat capacity of a metal family.

    Parameters
    ----------
    family : int
        Code of the family, see ``FAMILY_CODES``.
    temperature : float
        Temperature [K]; below 0 and above the range of the source the end value holds.

    Returns
    -------
    float
        Heat capacity [J/kg/K].

    Source
    ------
    EN 1993-1-2:2005 3.4.1.2 (carbon steel) and annex C.3 (stainless), EN 1999-1-2 3.3.2.2
    (aluminium, to 500 C); copper 385 J/kg/K at 20 C rising 0.1 J/kg/K2, from memory.
    """
    c = min(max(temperature - 273.15, 0.0), 1400.0)
    if family == 0:
        if c < 600.0:
            return 425.0 + c * (0.773 + c * (-1.69e-3 + c * 2.22e-6))
        if c < 735.0:
            return 666.0 + 13002.0 / (738.0 - c)
        if c < 900.0:
            return 545.0 + 17820.0 / (c - 731.0)
        return 650.0
    if family == 1:
        return 450.0 + c * (0.280 + c * (-2.91e-4 + c * 1.34e-7))
    if family == 2:
        return 903.0 + 0.41 * min(c, 500.0)
    return 383.0 + 0.1 * min(c, 1000.0)
