"""How uncertain an input is: distributions from the system file, else the defaults with source."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from airrisk.installation.inputs import Input, input_at
from airrisk.installation.model import Installation
from airrisk.installation.spreads import DISTRIBUTIONS, MIDDLES
from airrisk.messages import said

Array = np.ndarray


@dataclass(frozen=True)
class Distribution:
    """A one-dimensional distribution in SI units.

    Parameters
    ----------
    kind
        "uniform" (low, high), "normal" (mean, deviation, optional low and high as truncation),
        "triangular" (low, mode, high), "lognormal" (median, spread_factor = exp of the standard
        deviation of the logarithm) or "chance" (probability of 1, else 0).
    parameters
        Name to SI value.

    Raises
    ------
    ValueError
        The kind is unknown or a parameter is missing or out of order.
    """

    kind: str
    parameters: Mapping[str, float]
    source: str = ""
    standing: str = ""
    origin: str = "typed"
    interval: tuple[float, float] | None = None  # 95 %, of a probability that was counted

    def __post_init__(self) -> None:
        if self.kind not in DISTRIBUTIONS:
            valid = ", ".join(DISTRIBUTIONS)
            raise ValueError(
                said(
                    "distribution-unknown",
                    kind=repr(self.kind),
                    valid=valid,
                )
            )
        names, optional = DISTRIBUTIONS[self.kind]
        needed = [name for name in names if name in MIDDLES or name not in optional]
        missing = [name for name in needed if name not in self.parameters]
        if missing:
            raise ValueError(
                said(
                    "distribution-needs",
                    kind=repr(self.kind),
                    missing=", ".join(missing),
                )
            )
        p = self.parameters
        if self.kind in ("uniform", "triangular") and not p["low"] < p["high"]:
            raise ValueError(said("distribution-needs-low-below-high", kind=repr(self.kind)))
        if self.kind == "triangular" and not p["low"] <= p["mode"] <= p["high"]:
            raise ValueError(said("triangular-needs-order"))
        if self.kind == "normal" and not p["deviation"] > 0:
            raise ValueError(said("normal-needs-deviation"))
        if self.kind == "lognormal" and not (p["median"] > 0 and p["spread_factor"] > 1):
            raise ValueError(said("lognormal-needs-median-and-factor"))
        if self.kind == "chance" and not 0 <= p["probability"] <= 1:
            raise ValueError(said("chance-needs-probability"))

    def quantile(self, share: Array | float) -> Array:
        """Value at cumulative probability ``share`` (array of 0..1)."""
        from scipy import special

        u = np.asarray(share, dtype=float)
        p = self.parameters
        if self.kind == "uniform":
            return p["low"] + (p["high"] - p["low"]) * u
        if self.kind == "triangular":
            return _triangular(u, p["low"], p["mode"], p["high"])
        if self.kind == "lognormal":
            return p["median"] * np.exp(math.log(p["spread_factor"]) * special.ndtri(u))
        if self.kind == "chance":
            return np.where(u < p["probability"], 1.0, 0.0)
        low = special.ndtr((p.get("low", -math.inf) - p["mean"]) / p["deviation"])
        high = special.ndtr((p.get("high", math.inf) - p["mean"]) / p["deviation"])
        return p["mean"] + p["deviation"] * special.ndtri(low + (high - low) * u)

    def ends(self) -> tuple[float, float]:
        """The 5 % and 95 % values, used to vary one input at a time."""
        low, high = self.quantile(np.array([0.05, 0.95]))
        return float(low), float(high)


@dataclass(frozen=True)
class SpreadInput:
    """One input of the what-if study."""

    key: str  # "ID.field"
    present: float
    kind: str  # quantity kind
    distribution: Distribution
    notes: Mapping[str, str] = field(default_factory=dict)


def _triangular(u: Array, low: float, mode: float, high: float) -> Array:
    width = high - low
    turn = (mode - low) / width
    rising = low + np.sqrt(u * width * (mode - low))
    falling = high - np.sqrt((1.0 - u) * width * (high - mode))
    return np.where(u <= turn, rising, falling)


def default_distribution(entry: Input, present: float) -> Distribution | None:
    """The default spread of an input around its present value, ``None`` where there is none."""
    one = entry.spread
    if one is None:
        return None
    return Distribution(
        one.distribution,
        one.about(present),
        one.source,
        one.standing,
        origin="default",
        interval=one.interval,
    )


def spread_inputs(
    installation: Installation, variable: Mapping[str, tuple[float, str]], only: Iterable[str] = ()
) -> tuple[SpreadInput, ...]:
    """The inputs that the study varies, each with its distribution.

    Parameters
    ----------
    installation
        Its ``spreads`` come first.
    variable
        Key "ID.field" to (present SI value, quantity kind): what the fire case can vary.
    only
        When not empty, just these keys.

    Raises
    ------
    ValueError
        A wanted key cannot be varied, or has no distribution.
    """
    typed = {f"{s.part}.{s.field}".casefold(): s for s in installation.spreads}
    wanted = list(only) or list(variable)
    by_fold = {key.casefold(): key for key in variable}
    inputs = []
    for name in wanted:
        key = by_fold.get(name.casefold())
        if key is None:
            raise ValueError(
                said(
                    "cannot-be-varied-here",
                    name=name,
                    variable=", ".join(sorted(variable)),
                )
            )
        present, kind = variable[key]
        # the share of a fire is one number in the file and one for each part here
        part, field = key.split(".")[:2]
        stated = typed.get(f"{part}.{field}".casefold())
        if stated is not None:
            distribution: Distribution | None = Distribution(
                stated.distribution, dict(stated.parameters), said("the-system-file"), "typed"
            )
        else:
            entry = input_at(installation, key)
            distribution = None if entry is None else default_distribution(entry, present)
        if distribution is None:
            if only:
                raise ValueError(said("no-default-spread", name=name))
            continue
        if not np.all(np.isfinite(distribution.quantile(np.array([0.01, 0.99])))):
            raise ValueError(said("spread-not-finite", name=name))
        if math.isclose(*distribution.ends()) and distribution.kind != "chance":
            continue
        inputs.append(SpreadInput(key, present, kind, distribution))
    return tuple(inputs)
