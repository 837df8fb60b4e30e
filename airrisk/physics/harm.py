"""What overpressure does to people and buildings, and stand-off distances of gas tests."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.tables import read_toml

Pcc2Edition = Literal["2005/2008", "later"]


@dataclass(frozen=True)
class Threshold:
    """An incident overpressure and what it does."""

    harm: str
    target: str  # glass | building | people | zone
    incident_pa: float
    source: str
    standing: str
    plan: bool  # one line of each kind, for plans and short tables


@dataclass(frozen=True)
class Probit:
    """Share of people or buildings affected against incident overpressure."""

    harm: str
    a: float
    b: float
    source: str
    standing: str


@dataclass(frozen=True)
class StandOff:
    """Stand-off distances of ASME PCC-2 for one stored energy."""

    edition: Pcc2Edition
    minimum_m: float | None  # None: above the largest energy of the text, distance by rule only
    scaled_m: Mapping[str, float]  # harm -> distance
    distance_m: float  # the larger of minimum and the glass distance


@cache
def thresholds() -> tuple[Threshold, ...]:
    """All overpressure thresholds, lowest first.

    Source: resources/harm.toml, one source a row.
    """
    rows = (Threshold(**row) for row in read_toml("harm.toml")["threshold"])
    return tuple(sorted(rows, key=lambda row: row.incident_pa))


@cache
def probits() -> tuple[Probit, ...]:
    """All probit functions.

    Source: resources/harm.toml.
    """
    return tuple(Probit(**row) for row in read_toml("harm.toml")["probit"])


@cache
def hazardous_fragment_energy() -> float:
    """Kinetic energy of a piece that is taken as dangerous to people, J.

    Source: US explosives safety board criterion (58 ft lbf).
    """
    return float(read_toml("harm.toml")["fragment"]["energy_j"])


# of the error function; scipy has it too, but takes a third of a second to import
_complement = np.vectorize(math.erfc, otypes=[np.float64])


def share_affected(probit: Probit, overpressure: ArrayLike) -> NDArray[np.float64]:
    """Share affected by a probit function.

    Parameters
    ----------
    probit : the function
    overpressure : incident overpressure, Pa

    Returns
    -------
    0 to 1.

    Source: Eisenberg probits, normal integral of Y - 5.
    """
    p = np.maximum(np.asarray(overpressure, float), 1e-9)
    deviations = probit.a + probit.b * np.log(p) - 5.0
    return np.asarray(_complement(-deviations / math.sqrt(2.0)) / 2.0)


def stand_off(energy: float, tnt_mass: float, edition: Pcc2Edition = "later") -> StandOff:
    """Stand-off distances of ASME PCC-2.

    Parameters
    ----------
    energy : stored energy by the standard's own formula, J
    tnt_mass : kg, by the standard's own TNT energy
    edition : "2005/2008" uses the TNT mass once, "later" twice

    Returns
    -------
    StandOff with minimum and scaled distances, m.

    Raises
    ------
    ValueError
        Energy or mass is negative or the edition is unknown.

    Source: ASME PCC-2 part 5; scaled distances from memory.
    """
    if energy < 0 or tnt_mass < 0:
        raise ValueError("stored energy (J) and TNT mass (kg) must not be negative")
    if edition not in ("2005/2008", "later"):
        raise ValueError(f'PCC-2 edition {edition!r}: valid are "2005/2008" and "later"')
    rules = read_toml("harm.toml")["pcc2"]
    mass = tnt_mass * (2.0 if edition == "later" else 1.0)
    scaled = {row["harm"]: float(row["rs"] * mass ** (1 / 3)) for row in rules["scaled"]}
    minimum = next(
        (float(row["distance_m"]) for row in rules["minimum"] if energy <= row["up_to_j"]), None
    )
    return StandOff(edition, minimum, scaled, max(minimum or 0.0, *scaled.values()))
