"""The map of where a fire is survived: what it says of each position, as a frozen record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.model import FireSource

MapClass = Literal[
    "survived", "not sure", "not assessed", "passes the limit", "ruptures", "not yet asked"
]
CLASSES: tuple[MapClass, ...] = get_args(MapClass)  # the worst of what was asked has the highest
SURVIVED, NOT_SURE, NOT_ASSESSED, LIMIT, RUPTURES, NOT_ASKED = range(len(CLASSES))
# what an answer rests on: the hottest that the metal can get there leaves every part within its
# limit; at most four runs; every run of the envelope; the four positions around it rupture
Grounds = Literal["reach", "four runs", "envelope", "between"]
GROUNDS: tuple[Grounds, ...] = get_args(Grounds)
BY_REACH, BY_FOUR, BY_ENVELOPE, BETWEEN = range(len(GROUNDS))
# why what was survived is not sure: the full answer doubts it; more runs may be worse; wind may
# lean the flame over; a part stands nobody knows where
Doubtful = Literal["", "doubt", "four runs", "wind", "place"]
DOUBTFUL: tuple[Doubtful, ...] = get_args(Doubtful)
NO_DOUBT, BY_DOUBT, BY_FEW_RUNS, BY_WIND, BY_PLACE = range(len(DOUBTFUL))
Stage = Literal["coarse", "picture", "borders"]
NO_SECTION = -1


@dataclass(frozen=True)
class MapSection:
    """A shut-in section of the map, and how far the source acts on it."""

    id: str
    vessels: tuple[str, ...]
    lines: tuple[str, ...]
    plugs: tuple[str, ...]  # that may be counted on
    struck_within_m: float  # from the middle of the source to the nearest point of a part
    runs_within_m: float  # beyond it no run is needed
    failed: str = ""  # why it cannot be run; empty: it can


@dataclass(frozen=True, eq=False)
class FireMap:
    """What becomes of the worst section while one source burns at each of many positions.

    The arrays have a row for each of ``y_m`` and a column for each of ``x_m``. Nothing is
    ``survived`` but where every run of the full answer is safe and none of its doubts tells.
    """

    source: FireSource
    diameter_m: float
    flame_height_m: float
    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    outcome: NDArray[np.int8]  # index into CLASSES
    grounds: NDArray[np.int8]  # index into GROUNDS
    doubtful: NDArray[np.int8]  # index into DOUBTFUL
    section: NDArray[np.int16]  # index into sections, of the worst; NO_SECTION: nothing is struck
    peak_strength_use: NDArray[np.float64]  # NaN: no run
    load: NDArray[np.float64]  # of what is allowed, of strength or of life; NaN: no run
    rupture_s: NDArray[np.float64]  # NaN: none
    vent_s: NDArray[np.float64]  # when a plug or disc opens in that run; NaN: none
    sections: tuple[MapSection, ...]
    not_placed: tuple[str, ...]
    hot_room: str  # room of the source whose hot gas is left out; empty: none, or it is not hot
    pitch_m: float
    runs: int
    stage: Stage

    def class_at(self, row: int, column: int) -> MapClass:
        """What becomes of the worst section at one position."""
        return CLASSES[int(self.outcome[row, column])]

    def nearest(self, x: float, y: float) -> tuple[int, int] | None:
        """Row and column of the position next to a place [m]; None: off the map."""
        half = 0.5 * self.pitch_m + 1e-9
        column = int(np.argmin(np.abs(self.x_m - x)))
        row = int(np.argmin(np.abs(self.y_m - y)))
        if abs(self.x_m[column] - x) > half or abs(self.y_m[row] - y) > half:
            return None
        return row, column

    @property
    def unsafe(self) -> NDArray[np.bool_]:
        """Positions at which a section is not safe or could not be assessed."""
        asked = self.outcome != NOT_ASKED
        return np.asarray(asked & (self.outcome >= NOT_ASSESSED))

    def count(self, which: MapClass) -> int:
        """How many positions have one class."""
        return int(np.count_nonzero(self.outcome == CLASSES.index(which)))
