"""A row of numbers of one curve, packed: five times smaller than a tuple of floats."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, overload

import numpy as np


class Curve(Sequence[float]):
    """Numbers that stay as they are; equal to any row of the same numbers.

    Parameters
    ----------
    values
        In order.
    """

    __slots__ = ("_packed",)

    def __init__(self, values: Iterable[float] = ()) -> None:
        self._packed = array("d")
        if isinstance(values, np.ndarray):
            self._packed.frombytes(np.ascontiguousarray(values, dtype=float).tobytes())
        else:
            self._packed.extend(values)

    def __len__(self) -> int:
        return len(self._packed)

    def __iter__(self) -> Iterator[float]:
        return iter(self._packed)

    @overload
    def __getitem__(self, place: int) -> float: ...

    @overload
    def __getitem__(self, place: slice) -> Curve: ...

    def __getitem__(self, place: int | slice) -> float | Curve:
        found = self._packed[place]
        return Curve(found) if isinstance(found, array) else found

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Curve):
            return self._packed == other._packed
        return isinstance(other, (tuple, list)) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        return hash(tuple(self._packed))

    def __repr__(self) -> str:
        return f"Curve({self._packed.tolist()})"

    def __sizeof__(self) -> int:
        return object.__sizeof__(self) + self._packed.__sizeof__()

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> np.ndarray:
        """For numpy, as one copy without a float for each number; not written to."""
        found = np.frombuffer(self._packed, dtype=float) if self._packed else np.empty(0)
        return found.astype(float if dtype is None else dtype)
