"""How many fire runs an assessment is going to make, known before the first of them.

The runs of the envelopes are known exactly; how long a search of a bore takes and whether a cure
has to be looked for shows only on the way, so the number is the least.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from airrisk.installation.model import ENGULFING, Installation
from airrisk.study.envelope import corners
from airrisk.study.exposures import Exposure, exposures, flame_away, jet_spot
from airrisk.study.fire_runs import FireStudy
from airrisk.study.slices import FireSlice, Slicer

BESIDE_THE_CORNERS = 2  # runs: as stated, and with nothing that opens
AWAY = 2  # runs of a flame, and of a jet, away from the plugs
SEARCH = 15  # runs that the search of one bore takes at least
# s of a known run on one processor of 2023, with those that come up beside it (doubts of safe
# fires, corners between); a network by the number of its vessels and lines; measured
ONE_PART = 2e-3
EACH_PART = 1.5e-3


@dataclass(frozen=True)
class Workload:
    """The runs ahead."""

    fires: int
    runs: int  # at least
    largest: int  # vessels and lines of the largest section
    seconds: float  # a rough guess, on one processor


def runs_of(cut: FireSlice, bores: bool) -> int:
    """Runs that one fire takes at least.

    Parameters
    ----------
    cut
        What burns, and what it can feel.
    bores
        Whether bores are searched.
    """
    study = FireStudy(cut)
    searched = 0
    if bores and cut.fire_class in ENGULFING:
        searched = len(set(cut.section.plugs) - set(study.uncredited))
    return len(corners(study)) + BESIDE_THE_CORNERS + SEARCH * searched


def workload(installation: Installation, on: dt.date, bores: bool = True) -> Workload:
    """The runs of an assessment, counted before they are made.

    Parameters
    ----------
    installation
        Read and checked.
    on
        The date that upkeep counts from.
    bores
        Whether bores and cures are searched.
    """
    slicer = Slicer(installation, on)
    asked: list[tuple[Exposure, int]] = [
        (one, runs_of(slicer.fire(one), bores)) for one in exposures(installation)
    ]
    asked += [(one, AWAY) for one in (*flame_away(installation), *jet_spot(installation))]
    sizes = [len(one.section.holders) for one, _ in asked]
    return Workload(
        fires=len(asked),
        runs=sum(runs for _, runs in asked),
        largest=max(sizes, default=0),
        seconds=sum(
            runs * (ONE_PART if size == 1 else EACH_PART * size)
            for (_, runs), size in zip(asked, sizes, strict=True)
        ),
    )
