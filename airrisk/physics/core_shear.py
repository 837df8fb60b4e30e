"""What pressure does to the core of a fusible plug in years of service: shear, and its limits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from airrisk.physics.alloys import Alloy
from airrisk.quantities import ZERO_CELSIUS
from airrisk.tables import read_toml

TABLE = "core_pressure.toml"


@dataclass(frozen=True)
class CoreLimit:
    """The greatest pressure that a kind of alloy is left under for years."""

    kind: str  # low_melting | other
    gauge_pressure: float  # Pa, of a core of the usual length


def core_shear(gauge_pressure: float, bore: float, core_length: float) -> float:
    """Shear along the wall of a core that pressure pushes out of its bore.

    Parameters
    ----------
    gauge_pressure : float
        Pressure behind the core above that before it [Pa].
    bore : float
        Diameter of the core [m].
    core_length : float
        Length of the core [m].

    Returns
    -------
    float
        Mean shear stress [Pa].

    Source
    ------
    Balance of forces: p pi d^2 / 4 = tau pi d L.
    """
    return gauge_pressure * bore / (4.0 * core_length)


@cache
def usual_length() -> float:
    """Length over bore of the core for which the limits of pressure hold [m/m]."""
    return float(read_toml(TABLE)["usual_core"]["bores"])


def pressure_on_usual_core(gauge_pressure: float, bore: float, core_length: float) -> float:
    """Pressure that strains a core as hard as its own does, had it the usual length.

    Never less than the pressure itself: a long core is not credited, because the limits are those
    of pressure.

    Parameters
    ----------
    gauge_pressure, bore, core_length : float
        As for ``core_shear`` [Pa, m, m].

    Returns
    -------
    float
        Gauge pressure [Pa].
    """
    return gauge_pressure * max(1.0, usual_length() * bore / core_length)


@cache
def _limits() -> dict[str, CoreLimit]:
    return {
        kind: CoreLimit(kind, row["gauge_pa"]) for kind, row in read_toml(TABLE)["limit"].items()
    }


def core_limit(metal: Alloy) -> CoreLimit:
    """The limit of pressure for an alloy.

    Parameters
    ----------
    metal : Alloy
        What the core is of.

    Source
    ------
    resources/core_pressure.toml: published for alloys that begin to melt below 110 degC, judgement
    from the creep of tin for all others.
    """
    low = metal.solidus < float(read_toml(TABLE)["melts_low_below_c"]) + ZERO_CELSIUS
    return _limits()["low_melting" if low else "other"]
