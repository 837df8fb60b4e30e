"""Heat through a layer of insulation at steady state."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy.optimize import brentq

from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN, absorbed_flux, layer_flux, net_flux

SLAB = 0.05 / 0.2  # m2 K/W, 50 mm of 0.2 W/m/K
FILM = 25.0  # W/m2/K


def test_a_slab_under_a_film_is_two_resistances_in_series():
    # published: q = (T1 - T2) / (1/h + s/k), any handbook of heat transfer (EN ISO 6946 for
    # walls, from memory); by hand: (1000 - 200) / (0.04 + 0.25) = 2758.6 W/m2
    taken = net_flux(1273.15, 0.0, 0.0, FILM)
    assert layer_flux(taken, 473.15, 0.0, FILM, SLAB) == pytest.approx(800.0 / 0.29, rel=1e-12)


def test_the_outer_face_takes_up_as_much_as_goes_through():
    # analytic: the balance of the outer face, by another search
    for flame in (400.0, 900.0, 1373.15):
        for resistance in (1e-4, 0.01, 0.3, 5.0):
            for wall in (290.0, 700.0, 1200.0):
                found = layer_flux(net_flux(flame, 0.0, 0.8, 50.0), wall, 0.8, 50.0, resistance)
                face = brentq(
                    lambda hot, flame=flame, wall=wall, resistance=resistance: (
                        net_flux(flame, hot, 0.8, 50.0) - (hot - wall) / resistance
                    ),
                    1.0,
                    5000.0,
                    xtol=1e-10,
                )
                assert wall + found * resistance == pytest.approx(face, rel=1e-9)


def test_a_thin_layer_is_no_layer():
    bare = net_flux(1373.15, 400.0, 0.8, 50.0)
    covered = layer_flux(net_flux(1373.15, 0.0, 0.8, 50.0), 400.0, 0.8, 50.0, 1e-9)
    assert covered == pytest.approx(bare, rel=1e-6)


def test_more_resistance_lets_less_heat_through():
    # property
    taken = absorbed_flux(80e3, 0.0, 288.15, 0.8, 4.0)
    found = [layer_flux(taken, 400.0, 0.8, 4.0, r) for r in np.geomspace(1e-4, 10.0, 40).tolist()]
    assert all(b < a for a, b in itertools.pairwise(found))
    assert found[-1] > 0.0


def test_a_wall_hotter_than_all_around_cools_through_its_layer():
    # analytic: no hotter than ambient outside, so all of it leaves
    taken = net_flux(288.15, 0.0, 0.8, 4.0)
    found = layer_flux(taken, 700.0, 0.8, 4.0, 0.2)
    face = 700.0 + found * 0.2
    lost = 0.8 * STEFAN_BOLTZMANN * (face**4 - 288.15**4) + 4.0 * (face - 288.15)
    assert found == pytest.approx(-lost, rel=1e-9)
    assert found < 0.0
