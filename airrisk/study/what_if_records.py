"""Answers of the what-if study: what happens to one fire when its inputs are not as stated.

All numbers are SI, pressures absolute; ``None`` stands for what did not happen or was not
computed. ``kind`` names the quantity of an input, as in ``airrisk.quantities``.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from airrisk.study.records import CornerRecord, FireClass
from airrisk.study.sampling import Share, SobolIndices
from airrisk.verdict.rule import Outcome

LEAST_SWING = 1e-3  # of the peak strength use, below the accuracy of the runs


@dataclass(frozen=True)
class Subject:
    """Which run is varied: the fire, the section, and what stays fixed."""

    fire: str
    section: str
    members: tuple[str, ...]
    closed_valves: tuple[str, ...]
    fire_class: FireClass
    corner: CornerRecord  # which run of the fire
    inner_radiation: str
    strength_basis: str
    strength_use_limit: float
    plugs: tuple[str, ...]
    uncredited_plugs: tuple[str, ...]
    # parts with insulation that this run is made with, and what they are: vessel or line
    insulated: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Point:
    """What one variant of the run gave."""

    outcome: Outcome
    safe: bool
    peak_strength_use: float | None
    strength_use_margin: float | None  # limit less peak use
    first_vent_s: float | None
    rupture_without_vent_s: float | None
    time_margin_s: float | None  # rupture without vent less first vent
    smallest_bore_m: Mapping[str, float | None] = field(
        default_factory=dict
    )  # None: none is enough
    creep_damage: float = 0.0


@dataclass(frozen=True)
class VariedInput:
    """One input with its spread."""

    key: str  # "ID.field"
    kind: str
    present: float
    distribution: str
    parameters: Mapping[str, float]
    origin: str  # "typed" | "default"
    source: str
    standing: str
    clipped_to: tuple[float | None, float | None] = (None, None)  # what the field allows
    interval: tuple[float, float] | None = None  # 95 %, of a probability that was counted


@dataclass(frozen=True)
class TornadoBar:
    """One input at its 5 % and its 95 % value, everything else as stated."""

    key: str
    kind: str
    present: float
    low: float
    high: float
    at_low: Point
    at_high: Point
    swing: float  # of the peak strength use, 0 where a run did not converge
    time_swing_s: float = 0.0  # of the time to rupture without any plug

    @property
    def flips(self) -> bool:
        """Whether one end is safe and the other is not."""
        return self.at_low.safe != self.at_high.safe


@dataclass(frozen=True)
class Tornado:
    """Every input varied alone, the largest effect on the peak strength use first.

    Where the metal ruptures at both ends the effect on the time to rupture decides the order.
    """

    present: Point
    bars: tuple[TornadoBar, ...]
    bores: bool  # whether smallest bores were searched

    @property
    def by_time(self) -> bool:
        """Whether only the time to rupture tells the inputs apart."""
        return all(bar.swing < LEAST_SWING for bar in self.bars) and any(
            bar.time_swing_s > 0.0 for bar in self.bars
        )


@dataclass(frozen=True)
class SweptInput:
    """One swept input with its values in rising order."""

    key: str
    kind: str
    present: float
    values: tuple[float, ...]


@dataclass(frozen=True)
class Sweep:
    """One input over a range."""

    swept: SweptInput
    outcomes: tuple[Outcome, ...]
    safe: tuple[bool, ...]
    peak_strength_use: tuple[float | None, ...]
    first_vent_s: tuple[float | None, ...]
    rupture_without_vent_s: tuple[float | None, ...]
    crossings: tuple[float, ...]  # values at which safe turns to unsafe or back
    strength_use_limit: float


@dataclass(frozen=True)
class SweepMap:
    """Two inputs over a grid; rows follow ``y``, columns ``x``."""

    x: SweptInput
    y: SweptInput
    outcomes: tuple[tuple[Outcome, ...], ...]
    safe: tuple[tuple[bool, ...], ...]
    peak_strength_use: tuple[tuple[float | None, ...], ...]
    border: tuple[tuple[tuple[float, float], tuple[float, float]], ...]  # pieces (x, y) to (x, y)
    strength_use_limit: float


@dataclass(frozen=True)
class Distributed:
    """Quantiles and a histogram of one result over the samples that have it."""

    count: int
    mean: float
    deviation: float
    quantiles: Mapping[str, float]  # "0.05" -> value
    edges: tuple[float, ...]
    counts: tuple[int, ...]


@dataclass(frozen=True)
class BoreSpread:
    """Smallest adequate bore of one plug over some of the samples, the plug taken as working."""

    plug: str
    fitted_m: float
    samples: int
    none_enough: int  # samples in which no bore is enough
    not_converged: int
    bores: Distributed | None
    enough: Share  # samples in which the fitted bore is at least the smallest


@dataclass(frozen=True)
class ShareAtEnds:
    """The share in which the plug acts first at both ends of the interval of a counted chance."""

    chances: tuple[float, float]  # that a plug works
    acts_first: tuple[float, float]


@dataclass(frozen=True)
class PlugInspections:
    """What the register of a plug says beside the chance that it works."""

    plug: str
    inspections: int  # since it was fitted
    faults: int  # of them with a condition in which nobody may count on it
    last: dt.date | None
    last_condition: str | None


@dataclass(frozen=True)
class Sampled:
    """All inputs drawn at once from their spreads."""

    method: str
    seed: int
    samples: int
    inputs: tuple[VariedInput, ...]
    outcomes: Mapping[str, int]
    plug_acts_first: Share  # a plug or disc opens before rupture and the air leaves in time
    acts_first_if_all_work: Share | None  # of the samples in which every credited plug works
    safe: Share
    not_converged: int  # counted in the totals, never as safe
    clipped: int  # drawn values moved to what their field allows
    peak_strength_use: Distributed | None  # 1 where the metal ruptures: the run ends there
    strength_use_margin: Distributed | None
    time_samples: int  # samples that were also run without any plug
    time_margin_s: Distributed | None  # of those in which a plug opens and the bare part ruptures
    no_vent: int  # of ``time_samples``: nothing opens
    no_rupture: int  # of ``time_samples``: the metal outlasts the fire without any plug
    bores: tuple[BoreSpread, ...]
    indices: SobolIndices | None  # of the peak strength use; None: no variance to share out
    indices_if_all_work: SobolIndices | None  # the same, every credited plug taken as working
    indices_not_converged: int  # runs that entered the indices with strength use 1
    by_creep: int = 0  # samples that are unsafe although the strength use stays within its limit
    at_ends: ShareAtEnds | None = None  # none: no chance that was counted
    inspections: tuple[PlugInspections, ...] = ()  # of the plugs whose chance was counted


@dataclass(frozen=True)
class WhatIf:
    """The whole study of one fire."""

    subject: Subject
    tornado: Tornado | None
    sweeps: tuple[Sweep, ...] = ()
    maps: tuple[SweepMap, ...] = ()
    sampled: Sampled | None = None
    unused_spreads: tuple[str, ...] = ()  # stated in the file, not felt by this run
