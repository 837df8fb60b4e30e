"""Packed rows of numbers behave as the tuples of floats that they stand for."""

from __future__ import annotations

import math
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from airrisk.report.json_output import plain
from airrisk.study.curve import Curve

NUMBERS = st.lists(st.floats(allow_nan=False))


@given(NUMBERS)
def test_it_reads_as_a_tuple_of_the_same_numbers(values):
    curve = Curve(np.array(values))
    assert tuple(curve) == tuple(values)
    assert curve == tuple(values) == curve
    assert len(curve) == len(values)
    assert bool(curve) == bool(values)
    assert hash(curve) == hash(Curve(values))
    assert np.array_equal(np.asarray(curve), np.array(values, dtype=float))
    assert curve[1:] == tuple(values[1:])


def test_another_number_or_length_is_another_curve():
    assert Curve([1.0, 2.0]) != Curve([1.0, 3.0])
    assert Curve([1.0, 2.0]) != (1.0,)
    assert Curve([1.0]) != 1.0


def test_what_numpy_gets_is_its_own():
    curve = Curve([1.0, 2.0])
    np.asarray(curve)[0] = 7.0
    assert curve == (1.0, 2.0)


def test_a_strided_column_is_taken_in_its_order():
    assert Curve(np.arange(6.0).reshape(3, 2)[:, 1]) == (1.0, 3.0, 5.0)


def test_json_has_null_for_what_is_no_number():
    assert plain(Curve([1.0, math.nan, math.inf])) == [1.0, None, None]


def test_it_takes_eight_bytes_for_a_number():
    assert sys.getsizeof(Curve(range(1000))) < 8.5 * 1000


def test_it_cannot_be_changed():
    with pytest.raises(TypeError):
        Curve([1.0])[0] = 2.0
