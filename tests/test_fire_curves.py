"""A fire curve stands in three places; a curve that one of them forgets fails here.

The places are the formula with its number (``physics/heat_kernel.py``), the name with the usual
heat transfer (``physics/fires.py``) and the words for people (``wording/labels.py``).
"""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest

from airrisk.fire.case_building import CURVE_NUMBERS
from airrisk.installation.fields import spec as field_spec
from airrisk.installation.reading import read
from airrisk.kernel import layout
from airrisk.physics import fires
from airrisk.physics.heat_kernel import CURVE_CODES
from airrisk.tables import sample_path
from airrisk.wording import labels
from tests.independent import walls

TIMES = np.array([30.0, 300.0, 900.0, 1259.0, 1261.0, 3600.0, 7200.0])


def test_every_curve_says_its_usual_heat_transfer_and_none_is_taken_from_another():
    assert get_args(fires.CurveKind) == fires.CURVES
    assert set(fires.CONVECTION) == set(CURVE_NUMBERS)
    assert all(value > 0.0 for value in fires.CONVECTION.values())


def test_every_curve_has_a_number_of_its_own_in_the_kernel():
    assert set(CURVE_CODES) == {*fires.NOMINAL_CURVES, "temperature"}
    assert len(set(CURVE_NUMBERS.values())) == len(CURVE_NUMBERS)
    # the kernel asks for these by name
    assert CURVE_NUMBERS["slow"] == layout.CURVE_SLOW
    assert (CURVE_NUMBERS["flux"], CURVE_NUMBERS["table"]) == (
        layout.CURVE_FLUX,
        layout.CURVE_TABLE,
    )


@pytest.mark.parametrize("curve", fires.NOMINAL_CURVES)
def test_every_nominal_curve_has_a_formula_written_twice(curve: str):
    """Property: the program's formula and the one typed in from the standard are the same."""
    found = fires.fire_temperature(curve, TIMES)
    again = [walls.fire_temperature(curve, float(t)) for t in TIMES]
    np.testing.assert_allclose(found, again, rtol=1e-12)


def test_no_curve_is_another_one_under_its_name():
    rows = {tuple(fires.fire_temperature(curve, TIMES)) for curve in fires.NOMINAL_CURVES}
    assert len(rows) == len(fires.NOMINAL_CURVES)


def test_every_curve_has_words_of_its_own():
    words = [labels.fire_curve(curve) for curve in fires.CURVES]
    assert len(set(words)) == len(words)


@pytest.mark.parametrize("curve", fires.NOMINAL_CURVES)
def test_a_file_that_names_a_curve_burns_with_its_heat_transfer(curve: str):
    """Property: the file's words and the assumed fire follow the one list."""
    assert field_spec("fire", "curve").choices == fires.CURVES
    assert field_spec("choices", "assumed_fire").choices == fires.NOMINAL_CURVES
    text = sample_path("sawmill").read_text(encoding="utf-8")
    fire = '\n[[fire]]\nid = "F9"\ncurve = "{}"\nreaches = ["{}"]\n'
    vessel = read(text).vessels[0].id
    (found,) = [one for one in read(text + fire.format(curve, vessel)).fires if one.id == "F9"]
    assert found.convection == fires.CONVECTION[curve]


def test_no_wall_gets_hotter_than_its_fire():
    """Analytic: the flames at the end, the hottest point before it, sigma T^4 of what comes in."""
    assert fires.hottest_wall("standard", 3600.0, 288.15) == pytest.approx(
        float(fires.fire_temperature("standard", np.array([3600.0]))[0])
    )
    assert fires.hottest_wall("temperature", 60.0, 288.15, temperature=500.0) == 500.0
    points = ((0.0, 300.0), (100.0, 700.0), (200.0, 400.0))
    assert fires.hottest_wall("table", 1000.0, 288.15, points=points) == 700.0
    assert fires.hottest_wall("table", 50.0, 288.15, points=points) == pytest.approx(500.0)
    hot = fires.hottest_wall("flux", 60.0, 288.15, flux=50e3)
    assert 5.670374419e-8 * (hot**4 - 288.15**4) == pytest.approx(50e3)
    assert fires.hottest_wall("flux", 60.0, 288.15, flux=50e3, absorbed=True) == np.inf
    with pytest.raises(fires.FireCurveError, match="flux"):
        fires.hottest_wall("flux", 60.0, 288.15)
