"""The one rule that says how a fire run ended and whether that is safe.

It looks at a record of the end of runs, arrays of one length (length 1 for a single run), and at
nothing else; no step of it is taken anywhere else. Each change for the worse of an input of the
rule makes its answer worse or leaves it as it is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

Outcome = Literal[
    "vents in time", "outlasts the fire", "passes the limit", "ruptures", "not converged"
]
# from good to bad; the first two are safe
OUTCOMES: tuple[Outcome, ...] = get_args(Outcome)
_VENTS, _OUTLASTS, _LIMIT, _RUPTURES, _FAILED = range(5)
DAMAGE_LIMIT = 0.5  # of the life at temperature, by the lower bound of the tests; judgement
SAFE_OUTCOMES = frozenset(OUTCOMES[: _OUTLASTS + 1])


@dataclass(frozen=True, eq=False)
class EndOfRun:
    """What runs came to; arrays of one length, NaN for a time at which nothing happened.

    ``peak_use`` is the highest strength use of any vessel, ``rupture_time`` the first rupture of
    a vessel and ``line_rupture_time`` that of a line beside them [s]. ``vented`` says that the
    air of every vessel could flow to a plug or disc that opened; the air that a broken line lets
    out does not count. ``creep_damage`` is the highest share of its life at temperature that the
    metal of a vessel has used up.
    """

    converged: Flags
    peak_use: Floats
    rupture_time: Floats
    line_rupture_time: Floats
    vented: Flags
    creep_damage: Floats

    def __len__(self) -> int:
        return int(self.peak_use.size)


def outcome_numbers(end: EndOfRun, limit: float) -> NDArray[np.int8]:
    """Index into ``OUTCOMES`` for each run; the first that applies, from the worst on.

    Parameters
    ----------
    end
        The ends of the runs.
    limit
        Largest strength use that counts as safe.

    Returns
    -------
    array of int8
    """
    sound = end.converged & np.isfinite(end.peak_use) & np.isfinite(end.creep_damage)
    broken = np.isfinite(end.rupture_time) | np.isfinite(end.line_rupture_time)
    return np.select(
        [
            ~sound,
            broken | (end.peak_use >= 1.0) | (end.creep_damage >= 1.0),
            (end.peak_use > limit) | (end.creep_damage > DAMAGE_LIMIT),
            end.vented,
        ],
        [_FAILED, _RUPTURES, _LIMIT, _VENTS],
        default=_OUTLASTS,
    ).astype(np.int8)


def is_safe(outcome: Outcome) -> bool:
    """Whether an outcome counts as safe for the run that gave it."""
    return outcome in SAFE_OUTCOMES


def badness(outcome: Outcome) -> int:
    """Sorts outcomes from good to bad; both safe ones are as good, their strength use decides."""
    return max(OUTCOMES.index(outcome) - _OUTLASTS, 0)


def load_of(peak_use: float, creep_damage: float, limit: float) -> float:
    """What a run takes of what is allowed, 1 at the limit: of the strength, or of the life.

    Parameters
    ----------
    peak_use, creep_damage
        As in ``EndOfRun``.
    limit
        Largest strength use that counts as safe.
    """
    if math.isnan(creep_damage):
        return math.nan
    return max(peak_use / limit, creep_damage / DAMAGE_LIMIT)  # NaN of the use stays


def rank_of(outcome: Outcome, load: float, rupture_time: float | None) -> tuple[int, float, float]:
    """Sorts endings from good to bad: of ruptures the earliest is the worst, else the highest load.

    ``load`` is that of ``load_of``.

    A rupture of which no time is known (everything heated alike, however slowly) is the last of
    them: whoever reads a time must find no earlier one elsewhere.
    """
    if outcome == "ruptures":
        return badness(outcome), 1.0, -math.inf if rupture_time is None else -rupture_time
    return badness(outcome), load, 0.0


ReasonCode = Literal[
    "within the limit",  # nothing that the vessel's air can reach opened
    "vented within the limit",
    "limit passed",
    "ruptured",
    "line ruptured",
    "solver",  # ``detail`` is its status
    "isothermal",  # all at the melting point of the plug
]


@dataclass(frozen=True)
class Reason:
    """Why an outcome is what it is: a code and names, for the words above to speak of."""

    code: ReasonCode
    part: str = ""  # that ruptures, or whose strength use is the highest
    opened: tuple[str, ...] = ()  # heat-operated devices that had opened by then
    emptying: tuple[str, ...] = ()  # those of them that the air of the part can reach
    creep: bool = False  # the time at temperature decides, not the strength
    detail: str = ""


@dataclass(frozen=True)
class Verdict:
    """The outcome of one run."""

    outcome: Outcome
    reason: Reason
    kept_by: Literal["heat", "pressure", "none"]
    peak_use: float  # of the worst vessel
    peak_pressure: float  # Pa absolute, over all spaces
    controlling_part: str
    limit: float
    creep_damage: float = 0.0  # of the worst vessel
    rupture_time: float | None = None  # s, first vessel, or line where no vessel ruptures

    @property
    def safe(self) -> bool:
        """Whether this run counts as safe."""
        return is_safe(self.outcome)

    @property
    def load(self) -> float:
        """What it takes of what is allowed, 1 at the limit."""
        return load_of(self.peak_use, self.creep_damage, self.limit)

    def rank(self) -> tuple[int, float, float]:
        """Sorts verdicts from good to bad: by outcome, load, and time to rupture."""
        return rank_of(self.outcome, self.load, self.rupture_time)
