"""Many variants of one fire run, that a caller can follow and stop."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.batch import run_batch
from airrisk.fire.case import FireCase
from airrisk.fire.stopping import Cancelled
from airrisk.fire.variants import variable_inputs
from airrisk.installation.inputs import WORKS
from airrisk.study.spreads import Array
from airrisk.verdict.rule import OUTCOMES

Progress = Callable[[float, str], None]
StopTest = Callable[[], bool] | None


@dataclass(frozen=True, eq=False)
class VariantAnswers:
    """What the variants gave, one entry each; NaN: did not happen."""

    outcome: NDArray[np.int64]  # index into OUTCOMES
    safe: NDArray[np.bool_]
    peak_use: NDArray[np.float64]
    first_vent: NDArray[np.float64]
    rupture: NDArray[np.float64]
    creep_damage: NDArray[np.float64]
    opened: Mapping[str, NDArray[np.float64]]  # s, of each plug and disc

    @property
    def converged(self) -> NDArray[np.bool_]:
        """Where the calculation came to an end."""
        return self.outcome != OUTCOMES.index("not converged")

    @property
    def in_time(self) -> NDArray[np.bool_]:
        """Where a plug or disc opened, the air left in time, and no line broke."""
        return (self.outcome == OUTCOMES.index("vents in time")) & self.safe


class VariantRuns:
    """Runs variants of one case and counts them.

    Parameters
    ----------
    case
        The run as filed.
    progress
        Called with the share done of what was announced, and what is being done.
    should_stop
        Asked often.
    out_of_reach
        Plugs and discs that the air of the vessel which decides cannot flow to.
    """

    def __init__(
        self,
        case: FireCase,
        progress: Progress | None = None,
        should_stop: StopTest = None,
        out_of_reach: frozenset[str] = frozenset(),
    ) -> None:
        self.case = case
        self.done = 0
        self._bare: FireCase | None = None
        self.out_of_reach = out_of_reach.intersection((*case.plugs, *case.discs))
        self._announced = 1
        self._progress, self._should_stop = progress, should_stop

    def announce(self, count: int) -> None:
        """About how many variants will be run in all, for the progress."""
        self._announced = max(count, 1)

    def run(
        self, values: Mapping[str, Array], what: str = "", *, without_plugs: bool = False
    ) -> VariantAnswers:
        """Run one variant for each entry of the value arrays.

        Parameters
        ----------
        values
            Key to SI values, all of one length.
        what
            For the progress.
        without_plugs
            Every plug blocked.

        Raises
        ------
        Cancelled
            ``should_stop`` said so.
        """
        case = self.case
        if without_plugs:
            if self._bare is None:
                self._bare = case.without_plugs()
            case = self._bare
            values = {key: a for key, a in values.items() if not key.endswith(f".{WORKS}")}
        return self._run(case, values, what)

    def first_vents(self, answers: VariantAnswers) -> Array:
        """When the air of the deciding vessel first gets out, s; NaN: not at all."""
        within = [times for name, times in answers.opened.items() if name not in self.out_of_reach]
        if not within:
            return np.full(answers.outcome.shape, np.nan)
        return np.asarray(np.fmin.reduce(within))

    def _run(self, case: FireCase, values: Mapping[str, Array], what: str) -> VariantAnswers:
        if not values:  # the run as stated
            key, (present, _) = next(iter(variable_inputs(case).items()))
            values = {key: np.array([present])}
        count = len(next(iter(values.values())))
        before = self.done
        self._ask()

        def told(done: int, _of: int) -> None:
            if self._progress is not None:
                self._progress(min(1.0, (before + done) / self._announced), what)

        found = run_batch(
            case, keep_shut(case, values), progress=told, should_stop=self._should_stop
        )
        self.done = before + count
        self._ask()
        return VariantAnswers(
            found.outcome.astype(np.int64),
            found.safe,
            found.peak_use,
            found.first_vent,
            found.rupture_time,
            found.creep_damage,
            dict(zip((*case.plugs, *case.discs), found.opened.T, strict=True)),
        )

    def _ask(self) -> None:
        if self._should_stop is not None and self._should_stop():
            raise Cancelled


def keep_shut(case: FireCase, values: Mapping[str, Array]) -> dict[str, Array]:
    """The values, and that a plug without credit does not work where they do not say whether."""
    count = len(next(iter(values.values())))
    shut = {f"{name}.{WORKS}": np.zeros(count) for name in case.bodies if name in case.uncredited}
    return {**shut, **values}


def finite_number(value: float) -> float | None:
    """A number of a run; ``None`` for what did not happen."""
    return float(value) if math.isfinite(value) else None


def finite_numbers(values: Iterable[float]) -> tuple[float | None, ...]:
    """Numbers of runs; ``None`` for what did not happen."""
    return tuple(finite_number(value) for value in values)
