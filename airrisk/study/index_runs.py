"""Which inputs the highest strength use hangs on: Sobol indices with as few runs as do."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from airrisk.installation.model import Installation
from airrisk.messages import said
from airrisk.study.one_at_a_time import ends_of
from airrisk.study.sampling import SobolIndices, sobol
from airrisk.study.spreads import Array, SpreadInput
from airrisk.study.variants import VariantRuns
from airrisk.study.what_if_inputs import within_bounds

ALIKE = 1e-9  # of the strength use, within the tolerance of the runs
INDEX_SAMPLES = 512  # largest base sample of the Sobol indices, a power of two
FEWEST_INDEX_SAMPLES = 128
SLIGHT_SWING = 0.03  # of the largest swing of the strength use, one input varied at a time
FELT = 4  # inputs of which a strength use notes much, about


def index_samples(samples: int) -> int:
    """Base sample of the Sobol indices beside so many samples: a power of two near a quarter.

    Each costs one run more than there are inputs, and their spread is told with the indices.
    """
    wanted = 2 ** round(math.log2(max(samples, 4) / 4.0))
    return min(max(wanted, FEWEST_INDEX_SAMPLES), INDEX_SAMPLES)


class Uses:
    """Peak strength uses of variants, cut at 1; what is asked again is not run again.

    Parameters
    ----------
    installation
        For the bounds of the fields.
    runs
        The case.
    inputs
        What varies.
    """

    def __init__(
        self, installation: Installation, runs: VariantRuns, inputs: Sequence[SpreadInput]
    ) -> None:
        self._installation, self._runs = installation, runs
        self._keys = [item.key for item in inputs]
        self._known: dict[bytes, float] = {}
        self.failed = 0  # runs that gave nothing and count as 1

    def __call__(self, values: Mapping[str, Array]) -> Array:
        """One use for each entry of the values; a run that fails counts as 1.

        Raises
        ------
        Cancelled
            Somebody wanted to stop.
        """
        allowed = {key: values[key] for key in self._keys}
        within_bounds(self._installation, allowed)
        rows = np.column_stack([allowed[key] for key in self._keys])
        asked = [row.tobytes() for row in rows]
        new = {name: n for n, name in enumerate(asked) if name not in self._known}
        if new:
            places = np.array(sorted(new.values()))
            part = {key: array[places] for key, array in allowed.items()}
            found = self._runs.run(part, said("sobol-indices"))
            size = places.size  # one answer stands for all where nothing that varies is felt
            whole = np.broadcast_to(found.converged & np.isfinite(found.peak_use), size)
            peaks = np.broadcast_to(found.peak_use, size)
            self.failed += int(np.sum(~whole))
            answers = np.where(whole, np.minimum(peaks, 1.0), 1.0)
            self._known.update(
                (asked[place], float(use)) for place, use in zip(places, answers, strict=True)
            )
        return np.array([self._known[name] for name in asked])


def _slight(inputs: Sequence[SpreadInput], uses: Uses, held: Mapping[str, float]) -> frozenset[str]:
    """Inputs that, varied alone, move the strength use by little beside what others do."""
    varied = [item for item in inputs if item.key not in held]
    rows = 2 * len(varied)
    values = {item.key: np.full(rows, item.present) for item in inputs}
    values.update({key: np.full(rows, value) for key, value in held.items()})
    for number, item in enumerate(varied):
        values[item.key][2 * number : 2 * number + 2] = ends_of(item)
    swings = np.abs(np.diff(uses(values).reshape(-1, 2), axis=1))[:, 0]
    small = swings < SLIGHT_SWING * swings.max()
    return frozenset(item.key for item, few in zip(varied, small, strict=True) if few)


def variance_shares(
    inputs: Sequence[SpreadInput], uses: Uses, base: int, seed: int, held: Mapping[str, float]
) -> SobolIndices | None:
    """Sobol indices of the peak strength use, with one value of what is held.

    None where all runs give the same: then there is no variance to share out.
    """
    if not any(item.key not in held for item in inputs):
        return None
    spread = [math.inf, -math.inf]

    def watched(values: Mapping[str, Array]) -> Array:
        answers = uses(values)
        spread[:] = min(spread[0], float(answers.min())), max(spread[1], float(answers.max()))
        return answers

    answer = sobol(
        inputs, watched, base, seed,
        held=held, slight=_slight(inputs, uses, held),
    )  # fmt: skip
    return None if spread[1] - spread[0] <= ALIKE else answer
