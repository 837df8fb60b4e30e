"""The arrays of a map while it is drawn."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from airrisk.study.fire_map_grid import Place
from airrisk.study.fire_map_records import BY_REACH, NO_SECTION, NOT_ASKED
from airrisk.study.fire_map_sections import Found


class Sheet:
    """What each position has come to; nothing is asked yet.

    Parameters
    ----------
    shape
        Rows and columns.
    """

    def __init__(self, shape: tuple[int, ...]) -> None:
        self.outcome: NDArray[np.int8] = np.full(shape, NOT_ASKED, dtype=np.int8)
        self.grounds: NDArray[np.int8] = np.full(shape, BY_REACH, dtype=np.int8)
        self.doubtful: NDArray[np.int8] = np.zeros(shape, dtype=np.int8)
        self.section: NDArray[np.int16] = np.full(shape, NO_SECTION, dtype=np.int16)
        self.use, self.load, self.rupture, self.vent = (np.full(shape, np.nan) for _ in range(4))

    def write(self, place: Place, found: Found) -> None:
        """Write down what a position came to."""
        self.outcome[place], self.grounds[place] = found.outcome, found.grounds
        self.section[place], self.doubtful[place] = found.section, found.doubtful
        self.use[place], self.load[place] = found.use, found.load
        self.rupture[place], self.vent[place] = found.rupture, found.vent

    def found(self, place: Place) -> Found:
        """What a position has come to."""
        return Found(
            int(self.outcome[place]), int(self.section[place]), float(self.use[place]),
            float(self.load[place]), float(self.rupture[place]), float(self.vent[place]),
            int(self.grounds[place]), int(self.doubtful[place]),
        )  # fmt: skip

    def copies(self) -> dict[str, Any]:
        """The arrays as fields of a ``FireMap``."""
        return {
            "outcome": self.outcome.copy(),
            "grounds": self.grounds.copy(),
            "doubtful": self.doubtful.copy(),
            "section": self.section.copy(),
            "peak_strength_use": self.use.copy(),
            "load": self.load.copy(),
            "rupture_s": self.rupture.copy(),
            "vent_s": self.vent.copy(),
        }
