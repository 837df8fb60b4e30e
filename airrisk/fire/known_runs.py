"""What runs have come to, kept under every number that went into them."""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import FireCase
from airrisk.fire.run import FireRun
from airrisk.kernel import layout as at

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
MOST_RUNS = 10_000  # some 500 bytes each
MOST_BYTES = 8_000_000  # of histories, some 50 runs of a few parts


class KnownRuns:
    """A bounded memory of runs, with histories or without; the oldest go first.

    A run depends on the numbers of its case and on nothing else, so that runs with the same
    numbers, bit for bit, have the same answer, whatever changed in the installation around them.
    What did not come to its end is not kept.
    """

    def __init__(self) -> None:
        self._rows: OrderedDict[bytes, bytes] = OrderedDict()
        self._whole: OrderedDict[bytes, FireRun] = OrderedDict()
        self._bytes = 0
        self._turn = threading.Lock()

    def __len__(self) -> int:
        return len(self._rows)

    def whole(self, case: FireCase) -> FireRun | None:
        """A run of a case with its histories; None: it is new."""
        with self._turn:
            known = self._whole.get(_key_of(case))
        return None if known is None else replace(known, case=case)

    def keep_whole(self, run: FireRun) -> None:
        """Keep a run with its histories, if it came to its end."""
        key = _key_of(run.case)
        with self._turn:
            if not run.converged or key in self._whole:
                return
            for array in (run.states, run.modes, run.time, run.creep_damage, run.peak_use):
                array.setflags(write=False)  # it is handed to whoever asks
            self._whole[key] = run
            self._bytes += _size(run)
            while self._bytes > MOST_BYTES:
                _, gone = self._whole.popitem(last=False)
                self._bytes -= _size(gone)

    def find(self, keys: Sequence[bytes], rows: Floats) -> list[int]:
        """Put what is known into its rows; the places of the others, each key once."""
        asked: set[bytes] = set()
        new = []
        with self._turn:
            for place, key in enumerate(keys):
                known = self._rows.get(key)
                if known is not None:
                    rows[place] = np.frombuffer(known)
                elif key not in asked:
                    asked.add(key)
                    new.append(place)
        return new

    def keep(self, key: bytes, row: Floats) -> None:
        """Keep the answer of a run that ended."""
        with self._turn:
            self._rows[key] = row.tobytes()
            while len(self._rows) > MOST_RUNS:
                self._rows.popitem(last=False)


def keys_of(
    floats: Floats, integers: Integers, places: Integers, table: Floats, way: str
) -> list[bytes]:
    """The keys of variants: all numbers of each, and the way in which it is run.

    Parameters
    ----------
    floats, integers
        The numbers of the case.
    places
        Which of the floats vary.
    table
        A row for each variant, a column for each place.
    way
        Of stepping.
    """
    head = hashlib.blake2b(way.encode(), digest_size=16)
    head.update(np.array([floats.size, integers.size]).tobytes())
    head.update(integers.tobytes())
    numbers = floats.copy()
    found = []
    for row in table:
        numbers[places] = row
        one = head.copy()
        one.update(numbers.tobytes())
        found.append(one.digest())
    return found


def _key_of(case: FireCase) -> bytes:
    """All numbers of a case, and the names in the events of its run."""
    names = (case.names, case.plugs, case.relief_valves, case.discs, case.feeds, case.fire.id)
    nothing = np.zeros(0, dtype=np.int64), np.zeros((1, 0))
    (key,) = keys_of(case.floats, case.integers, *nothing, repr(names))
    return key


def _size(run: FireRun) -> int:
    return run.states.nbytes + run.modes.nbytes + run.time.nbytes


def ended(status: float) -> bool:
    """Whether a run came to an end that may be kept."""
    return int(status) in (at.ENDED, at.RUPTURED)
