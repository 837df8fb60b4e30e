"""Air blast of a TNT charge on the ground, as a function of scaled distance.

Curves: Kingery and Bulmash (hemispherical surface burst, full polynomials), continued beyond
40 m/kg^(1/3) with the far-field power laws of Swisdak, scaled to join without a step. The mass
goes in undoubled: the curves already contain the reflection by the ground.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.quantities import STANDARD_ATMOSPHERE
from airrisk.tables import read_toml

Quantity = Literal[
    "incident_overpressure", "reflected_overpressure", "incident_impulse", "reflected_impulse",
    "arrival_time", "positive_duration",
]  # fmt: skip
CurveSet = Literal["kingery-bulmash", "swisdak"]
NEAREST = 0.05  # m/kg^(1/3), edge of the full polynomials
FAR_JOIN = 40.0
FARTHEST = 198.5
_KILO = 1e3
_PRESSURES = ("incident_overpressure", "reflected_overpressure")


@dataclass(frozen=True)
class AirBlast:
    """Blast at given distances from a TNT charge on the ground (arrays, SI)."""

    scaled_distance: NDArray[np.float64]  # m/kg^(1/3)
    incident_overpressure: NDArray[np.float64]  # Pa
    reflected_overpressure: NDArray[np.float64]  # Pa
    incident_impulse: NDArray[np.float64]  # Pa s
    reflected_impulse: NDArray[np.float64]  # Pa s
    arrival_time: NDArray[np.float64]  # s
    positive_duration: NDArray[np.float64]  # s, NaN outside 0.178-40 m/kg^(1/3)
    in_range: NDArray[np.bool_]  # False: taken at or continued from the edge of the curves


@dataclass(frozen=True)
class _Segment:
    low: float
    high: float
    k: tuple[float, float]
    c: tuple[float, ...]
    base: float  # 10 or e

    def evaluate(self, z: NDArray[np.float64]) -> NDArray[np.float64]:
        u = self.k[0] + self.k[1] * (np.log10(z) if self.base == 10 else np.log(z))
        y = np.zeros_like(u)
        for coefficient in reversed(self.c):
            y = y * u + coefficient
        return np.asarray(self.base**y)


@cache
def _segments() -> dict[tuple[str, str], tuple[_Segment, ...]]:
    found: dict[tuple[str, str], list[_Segment]] = {}
    for row in read_toml("kingery_bulmash.toml")["curve"]:
        full = row["form"] == "log10"
        found.setdefault((row["quantity"], "kingery-bulmash" if full else "swisdak"), []).append(
            _Segment(
                row["low"],
                row["high"],
                tuple(row.get("k", (0.0, 1.0))),
                tuple(row["c"]),
                10.0 if full else np.e,
            )
        )
    return {
        key: tuple(sorted(rows, key=lambda segment: segment.low)) for key, rows in found.items()
    }


def scaled_curve(
    quantity: Quantity, scaled_distance: ArrayLike, curves: CurveSet = "kingery-bulmash"
) -> NDArray[np.float64]:
    """One blast quantity of the printed curves, without continuation.

    Parameters
    ----------
    quantity : which curve
    scaled_distance : Z, m/kg^(1/3)
    curves : the full polynomials or the simplified set

    Returns
    -------
    Pa for pressures; Pa s/kg^(1/3) for impulses; s/kg^(1/3) for times; NaN outside the curve.

    Source: Kingery and Bulmash 1984; Swisdak 1994 (coefficients from memory).
    """
    z = np.asarray(scaled_distance, float)
    result = np.full(z.shape, np.nan)
    segments = _segments()[quantity, curves]
    for segment in segments:
        inside = (z >= segment.low) & (z <= segment.high)
        if inside.any():
            result[inside] = segment.evaluate(z[inside])
    if quantity in _PRESSURES:
        return result * _KILO
    if quantity in ("incident_impulse", "reflected_impulse"):
        return result  # kPa ms = Pa s
    return result / _KILO


def reflected_from_incident(
    incident: ArrayLike, ambient: float = STANDARD_ATMOSPHERE
) -> NDArray[np.float64]:
    """Normally reflected overpressure of a plane shock in cold air (k = 1.4).

    Parameters
    ----------
    incident : side-on overpressure, Pa
    ambient : Pa absolute

    Returns
    -------
    Reflected overpressure, Pa.

    Source: Rankine-Hugoniot relations; overestimates nothing below about 1 MPa, above it air is
    no longer ideal.
    """
    p = np.asarray(incident, float)
    return 2 * p * (7 * ambient + 4 * p) / (7 * ambient + p)


def scaled_incident_overpressure(scaled_distance: ArrayLike) -> NDArray[np.float64]:
    """Incident overpressure at any scaled distance: nearest edge inside, power law far out.

    Parameters
    ----------
    scaled_distance : Z, m/kg^(1/3)

    Returns
    -------
    Pa, falling strictly with distance beyond 0.05 m/kg^(1/3).

    Source: Kingery and Bulmash 1984; beyond 40 m/kg^(1/3) the slope of Swisdak 1994.
    """
    z = np.maximum(np.asarray(scaled_distance, float), NEAREST)
    near = scaled_curve("incident_overpressure", np.minimum(z, FAR_JOIN))
    slope = _segments()["incident_overpressure", "swisdak"][-1].c[1]
    return near * np.maximum(z / FAR_JOIN, 1.0) ** slope


def curve_place(scaled_distance: float) -> float:
    """Place u on the curve of incident overpressure, u = k0 + k1 log10 Z.

    Parameters
    ----------
    scaled_distance : Z, 0.05 to 40 m/kg^(1/3)

    Returns
    -------
    u, dimensionless.

    Source: Kingery and Bulmash 1984.
    """
    (curve,) = _segments()["incident_overpressure", "kingery-bulmash"]
    return float(curve.k[0] + curve.k[1] * np.log10(scaled_distance))


def _incident_impulse(z: NDArray[np.float64]) -> NDArray[np.float64]:
    first = _segments()["incident_impulse", "kingery-bulmash"][0].low
    near = scaled_curve("incident_impulse", np.clip(z, first, FAR_JOIN))
    slope = _segments()["incident_impulse", "swisdak"][-1].c[1]
    return near * np.maximum(z / FAR_JOIN, 1.0) ** slope


def tnt_blast(distance: ArrayLike, tnt_mass: float) -> AirBlast:
    """Blast of a TNT charge on the ground.

    Parameters
    ----------
    distance : m from the centre of the charge
    tnt_mass : kg, undoubled

    Returns
    -------
    AirBlast with one value for each distance.

    Raises
    ------
    ValueError
        Distance or mass is not positive.

    Source: Kingery and Bulmash 1984; beyond 40 m/kg^(1/3) Swisdak 1994, plane-shock reflection
    and the reflected-to-incident impulse ratio found at 40 m/kg^(1/3).
    """
    r = np.atleast_1d(np.asarray(distance, float))
    if not tnt_mass > 0 or not np.all(r > 0):
        raise ValueError("TNT blast needs a positive mass (kg) and positive distances (m)")
    scale = tnt_mass ** (1 / 3)
    z = r / scale
    near = np.clip(z, NEAREST, FAR_JOIN)
    incident = scaled_incident_overpressure(z)
    far = z > FAR_JOIN
    reflected = scaled_curve("reflected_overpressure", near)
    reflected[far] = reflected_from_incident(incident[far])
    impulse = _incident_impulse(z)
    reflected_impulse = scaled_curve("reflected_impulse", near)
    reflected_impulse[far] *= impulse[far] / _incident_impulse(np.array([FAR_JOIN]))
    arrival = scaled_curve("arrival_time", near)
    # a weak wave runs at the speed of sound of 15 degC air, 340.3 m/s
    arrival[far] += (z[far] - FAR_JOIN) / 340.3
    return AirBlast(
        scaled_distance=z,
        incident_overpressure=incident,
        reflected_overpressure=reflected,
        incident_impulse=impulse * scale,
        reflected_impulse=reflected_impulse * scale,
        arrival_time=arrival * scale,
        positive_duration=scaled_curve("positive_duration", z) * scale,
        in_range=(z >= NEAREST) & (z <= FARTHEST),
    )


@cache
def _inverse_nodes() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    z = np.geomspace(NEAREST, 2000.0, 3000)
    p = scaled_incident_overpressure(z)
    return np.log(p[::-1]), np.log(z[::-1])


def distance_for_overpressure(overpressure: ArrayLike, tnt_mass: float) -> NDArray[np.float64]:
    """Distance at which the incident overpressure of a TNT charge falls to a given value.

    Parameters
    ----------
    overpressure : Pa
    tnt_mass : kg

    Returns
    -------
    m; 0 where the charge never reaches the value beyond the inner edge of the curve.

    Source: inverse of `scaled_incident_overpressure`, monotone, to 1e-9.
    """
    wanted = np.log(np.asarray(overpressure, float))
    log_p, log_z = _inverse_nodes()
    guess = np.interp(wanted, log_p, log_z)
    step = 1e-4
    here = np.log(scaled_incident_overpressure(np.exp(guess)))
    ahead = np.log(scaled_incident_overpressure(np.exp(guess + step)))
    falls = ahead < here
    # one Newton step on nodes 0.4 % apart
    guess = guess + np.where(falls, (wanted - here) * step / np.where(falls, ahead - here, -1.0), 0)
    reached = wanted <= log_p[-1]
    return np.where(reached, np.exp(guess), 0.0) * tnt_mass ** (1 / 3)
