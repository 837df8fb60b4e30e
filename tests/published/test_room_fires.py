"""Hot gas under a ceiling against a printed calculation sheet."""

from __future__ import annotations

import pytest

from airrisk.physics import room_fires

# NUREG-1805, sheet of McCaffrey, Quintiere and Harkleroad, version 1805.1 of 2011 (read): 200 kW in
# a room of 6 m x 4 m x 3 m with a door of 0.76 m x 2.06 m, air at 33 degC before
LINING = room_fires.Lining("sheet", 0.463, 1607.0, 1000.0, 0.1)
PRINTED = {
    60: 111.4460028425624, 180: 127.20870379947485, 600: 148.14298552019181,
    1800: 171.2794664404937, 3600: 188.21345313992379,
}  # fmt: skip


@pytest.mark.parametrize(("time", "celsius"), PRINTED.items())
def test_the_gas_under_the_ceiling_gets_as_hot_as_printed(time, celsius):
    door = (0.76 * 2.06, 2.06)
    surface = 2.0 * (6.0 * 4.0 + 6.0 * 3.0 + 4.0 * 3.0) - door[0]
    lost = room_fires.lost_into(LINING, LINING.thickness, time)
    found = 33.0 + room_fires.layer_rise(200e3, surface, door, lost)
    assert found == pytest.approx(celsius, rel=1e-9)


def test_heat_comes_through_a_thin_lining():
    """Analytic: after (rho c / k) (d/2)^2 the wall only conducts."""
    board = room_fires.Lining("board", 0.2, 900.0, 1000.0, 0.02)
    assert room_fires.lost_into(board, 0.02, 451.0) == pytest.approx(0.2 / 0.02)
    assert room_fires.lost_into(board, 0.02, 449.0) == pytest.approx((0.2 * 9e5 / 449) ** 0.5)


def test_no_room_of_its_volume_and_height_has_less_surface():
    found = room_fires.surface_of(72.0, 3.0)
    for length in (3.0, 4.0, 6.0, 12.0):
        width = 24.0 / length
        assert found <= 2.0 * (length * width + 3.0 * length + 3.0 * width) + 1e-9
