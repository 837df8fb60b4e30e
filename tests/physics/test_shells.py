"""Vessels and pipes: geometry against closed forms and quadrature, burst factors."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.physics import shells


def _turned(radius_of_z: np.ndarray, z: np.ndarray) -> tuple[float, float]:
    """Volume and area of a solid of revolution by the trapezium rule."""
    middle = 0.5 * (radius_of_z[1:] + radius_of_z[:-1])
    slant = np.hypot(np.diff(radius_of_z), np.diff(z))
    return float(np.sum(math.pi * middle**2 * np.diff(z))), float(
        np.sum(2 * math.pi * middle * slant)
    )


@pytest.mark.parametrize(("d", "t"), [(1.1, 0.008), (0.5, 0.02)])
def test_torispherical_head_equals_quadrature(d: float, t: float):
    """Analytic: crown radius Do and knuckle 0.1 Do, integrated numerically."""
    outside = d + 2 * t
    head = shells.head_geometry(d, "torispherical", t)
    for offset, volume, area in ((0.0, head.volume, None), (t, None, head.outer_surface)):
        crown, knuckle, r = outside + offset, 0.1 * outside + offset, 0.5 * d + offset
        c = r - knuckle
        tilt = math.asin(c / (crown - knuckle))
        a = np.linspace(0.0, math.pi / 2 - tilt, 4000)
        b = np.linspace(tilt, 0.0, 4000)
        radius = np.concatenate((c + knuckle * np.cos(a), crown * np.sin(b)))
        z = np.concatenate(
            (knuckle * np.sin(a), crown * np.cos(b) - (crown - knuckle) * math.cos(tilt))
        )
        v, s = _turned(radius, z)
        if volume is not None:
            assert volume == pytest.approx(v, rel=1e-5)
            assert head.depth == pytest.approx(z[-1], rel=1e-9)
        if area is not None:
            assert area == pytest.approx(s, rel=1e-5)


def test_torispherical_head_has_the_usual_share_of_the_cube():
    """Published: volume about 0.1 Do^3 and depth about 0.1935 Do (DIN 28011, from memory)."""
    head = shells.head_geometry(1.0, "torispherical", 1e-6)
    assert head.volume == pytest.approx(0.1, rel=0.015)
    assert head.depth == pytest.approx(0.1935, rel=0.003)


def test_ellipsoidal_head_equals_quadrature():
    """Analytic: half an oblate spheroid."""
    d, t = 0.8, 0.01
    head = shells.head_geometry(d, "ellipsoidal", t)
    a = np.linspace(0.0, math.pi / 2, 8000)
    outer = _turned((0.5 * d + t) * np.cos(a), (0.25 * d + t) * np.sin(a))[1]
    assert head.outer_surface == pytest.approx(outer, rel=1e-6)
    assert head.volume == pytest.approx(math.pi * d**3 / 24)


def test_hemispherical_vessel_without_cylinder_is_a_sphere():
    """Analytic: volume, surface and metal of a thin sphere."""
    d, t = 1.0, 0.005
    ball = shells.vessel_geometry(d, t, cylinder_length=0.0, heads="hemispherical", density=8000.0)
    assert ball.volume == pytest.approx(math.pi / 6)
    assert ball.outer_surface == pytest.approx(math.pi * 1.01**2)
    exact = 8000.0 * math.pi / 6 * (1.01**3 - 1.0)
    assert ball.metal_mass == pytest.approx(exact, rel=1e-4)


def test_flat_heads_add_plates():
    """Analytic: a drum."""
    drum = shells.vessel_geometry(
        1.0, 0.01, cylinder_length=2.0, heads="flat", head_wall=0.04, density=7850.0
    )
    assert drum.volume == pytest.approx(math.pi / 2)
    plates = 2 * math.pi / 4 * 1.02**2 * 0.04
    shell = math.pi / 4 * (1.02**2 - 1.0) * 2.0
    assert drum.metal_mass == pytest.approx(7850.0 * (plates + shell))
    assert drum.overall_length == pytest.approx(2.08)


def test_pipe_is_a_hollow_cylinder():
    """Analytic."""
    pipe = shells.pipe_geometry(0.0545, 0.0029, 12.0)
    assert pipe.metal_mass == pytest.approx(7850 * 12 * math.pi / 4 * (0.0603**2 - 0.0545**2))
    assert pipe.outer_surface == pytest.approx(math.pi * 0.0603 * 12.0)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.1, 3.0),
    st.floats(0.001, 0.05),
    st.floats(0.0, 10.0),
    st.sampled_from(shells.HEADS),
)
def test_length_and_volume_undo_each_other(d: float, share: float, length: float, heads: str):
    """Property: a vessel by length has the length that its volume gives."""
    t = share * d
    by_length = shells.vessel_geometry(d, t, cylinder_length=length, heads=heads)
    by_volume = (
        shells.vessel_geometry(d, t, volume=by_length.volume, heads=heads)
        if (by_length.volume > 0)
        else by_length
    )
    assert by_volume.cylinder_length == pytest.approx(length, abs=1e-9 * (1 + length))
    assert by_length.outer_surface > math.pi * d * length


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"inside_diameter": 0.0, "wall": 0.01, "volume": 1.0}, "inside_diameter"),
        ({"inside_diameter": 1.0, "wall": -0.01, "volume": 1.0}, "wall_thickness"),
        ({"inside_diameter": 1.0, "wall": 0.01, "volume": 0.1}, "volume"),
        ({"inside_diameter": 1.0, "wall": 0.01}, "volume"),
        ({"inside_diameter": 1.0, "wall": 0.01, "cylinder_length": math.nan}, "cylinder_length"),
        ({"inside_diameter": 1.0, "wall": 0.01, "volume": 1.0, "heads": "conical"}, "heads"),
    ],
)
def test_a_geometry_that_cannot_be_names_the_field(values: dict, field: str):
    """Property: the error carries field, value and what is valid."""
    with pytest.raises(shells.ShellError) as caught:
        shells.vessel_geometry(**values)
    assert caught.value.field == field
    assert caught.value.valid


def test_burst_is_the_least_of_shell_and_heads_times_the_weld():
    """Arithmetic: 8 mm on 1100 mm, torispherical heads at 0.8 of the cylinder."""
    s = 410e6
    cylinder = s * 0.016 / 1.108
    found = shells.burst_pressure(1.1, 0.008, s, heads="torispherical", weld_factor=0.85)
    assert found == pytest.approx(0.85 * 0.8 * cylinder)
    thick = shells.burst_pressure(1.1, 0.008, s, heads="torispherical", head_wall=0.012)
    assert thick == pytest.approx(cylinder)
    ball = shells.burst_pressure(1.1, 0.008, s, heads="hemispherical")
    assert ball == pytest.approx(cylinder)
    flat = shells.burst_pressure(1.1, 0.008, s, heads="flat", head_wall=0.03)
    assert flat == pytest.approx(6 * s * (0.03 / 1.1) ** 2)


def test_formulas_meet_for_thin_walls():
    """Analytic: mean diameter, Tresca and (on yield) Mises over 2/sqrt(3) agree as t/D -> 0."""
    d, t = 1.0, 1e-5
    mean, tresca, mises = (
        shells.cylinder_stress_factor(d, t, f) for f in ("mean diameter", "thick wall", "Faupel")
    )
    assert tresca == pytest.approx(mean, rel=1e-8)
    assert mises == pytest.approx(mean * 2 / math.sqrt(3), rel=1e-8)
    with pytest.raises(shells.ShellError):
        shells.cylinder_stress_factor(d, t, "by eye")


def test_wall_tolerances():
    """Arithmetic: plate less 0.3 mm (thin strip a tenth), pipe less 12.5 %, measured as it is."""
    assert shells.effective_wall(0.008, False) == pytest.approx(0.0077)
    assert shells.effective_wall(0.002, False) == pytest.approx(0.0018)
    assert shells.effective_wall(0.004, False, "pipe") == pytest.approx(0.0035)
    assert shells.effective_wall(0.008, True) == 0.008
    with pytest.raises(shells.ShellError):
        shells.effective_wall(0.008, False, "cardboard")
