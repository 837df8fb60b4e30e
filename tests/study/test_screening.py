"""Screening of one part against hand calculations and invariants."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.installation.model import (
    Choices,
    Installation,
    Plug,
    ReliefValve,
    Site,
    Vessel,
)
from airrisk.physics import air, metal
from airrisk.study.screening import crossings, heat_shut_in, screen
from airrisk.study.shut_in_air import ScreeningError, ShutInAir
from tests.calculator import recompute

AMBIENT = 101325.0
WALL_FOR_123_MPA = 1.0 / (2 * 123.0 / 1.0 - 1.0)  # m on 1 m bore: p = 2 t S / (D + t), 10 bar


def vessel(**changes) -> Vessel:
    numbers = {
        "id": "R1",
        "inside_diameter": 1.0,
        "volume": 2.0,
        "cylinder_length": 2.0 / (math.pi / 4) - 2 / 3,
        "heads": "hemispherical",
        "wall_thickness": WALL_FOR_123_MPA,
        "measured": True,
        "weld_factor": 1.0,
        "material": "P265GH",
        "design_pressure": 1.1e6 + AMBIENT,
        "pressure": 1.0e6 + AMBIENT,
        "temperature": 293.15,
    }
    return Vessel(**{**numbers, **changes})


def installation(part: Vessel, **changes) -> Installation:
    return Installation(vessels=(part,), site=Site(ambient_pressure=AMBIENT), **changes)


P265_TENSILE = ((20, 410.0), (300, 410.0), (400, 328.0), (500, 410.0 * 0.624), (600, 154.16))
P265_ANNEX_A = ((20, 331.25), (300, 331.25), (400, 265.0), (500, 206.7), (600, 124.55))
P265_YIELD = ((20, 265.0), (400, 265.0), (500, 206.7), (600, 124.55))
P265_TENSILE_KY = ((20, 410.0), (400, 410.0), (500, 319.8), (600, 192.7))


@pytest.mark.parametrize(
    ("basis", "curve", "ideal_celsius"),
    [
        ("tensile", P265_TENSILE, 425),
        ("annex-a", P265_ANNEX_A, 370),
        ("yield", P265_YIELD, 327),
        ("tensile-ky", P265_TENSILE_KY, 482),
    ],
)
def test_rupture_of_a_shell_stressed_to_123_mpa_on_each_basis(basis, curve, ideal_celsius):
    """Published k_y (EN 1993-1-2 table 3.1, annex A) with a reference library for the air.

    ``ideal_celsius`` is the same sum with an ideal gas (arithmetic); real air presses up to 1.2 %
    more at these temperatures, so the answer lies a few kelvin lower.
    """
    from CoolProp.CoolProp import PropsSI
    from scipy.optimize import brentq

    part = vessel()
    density = PropsSI("D", "P", part.pressure, "T", part.temperature, "Air")

    def excess(celsius):
        gauge = PropsSI("P", "D", density, "T", celsius + 273.15, "Air") - AMBIENT
        strength = np.interp(celsius, *zip(*curve, strict=True)) * 1e6
        return gauge / 1.0e6 * 123.0e6 - strength

    expected = brentq(excess, 20, 600)
    reached = screen(installation(part), part).rupture_temperature_by_basis_k[basis]
    assert reached is not None
    assert reached - 273.15 == pytest.approx(expected, abs=0.02)
    assert ideal_celsius - 8 < reached - 273.15 < ideal_celsius


def test_the_chosen_basis_gives_the_rupture_temperature():
    part = vessel()
    record = screen(installation(part, choices=Choices(strength_basis="yield")), part)
    assert record.rupture_temperature_k == record.rupture_temperature_by_basis_k["yield"]


def test_pressure_at_rupture_is_the_burst_pressure_there():
    """Analytic: the crossing of isochore and strength curve."""
    part = vessel()
    record = screen(installation(part), part)
    assert record.rupture_temperature_k is not None
    plate = metal.grade("P265GH", part.wall_thickness)
    strength = float(metal.strength(plate, "tensile", record.rupture_temperature_k))
    burst = strength * 2 * part.wall_thickness / (part.inside_diameter + part.wall_thickness)
    assert record.rupture_pressure_pa == pytest.approx(AMBIENT + burst, rel=1e-5)


def test_relief_lift_follows_the_ideal_ratio_at_low_pressure():
    """Analytic: at low pressure air is ideal and p/T is constant."""
    part = vessel(pressure=2.0e5, design_pressure=4.0e5)
    valve = ReliefValve(id="RV1", on="r1", set_pressure=3.0e5, area=1e-4, discharge_coefficient=0.8)
    record = screen(installation(part, relief_valves=(valve,)), part)
    assert record.relief_lift_temperature_k == pytest.approx(293.15 * 1.5, rel=4e-3)
    assert record.design_pressure_temperature_k == pytest.approx(293.15 * 2.0, rel=4e-3)


def test_mass_of_air_is_density_times_volume():
    """Against a reference library: CoolProp."""
    from CoolProp.CoolProp import PropsSI

    part = vessel()
    record = screen(installation(part), part)
    density = PropsSI("D", "P", part.pressure, "T", part.temperature, "Air")
    assert record.gas_mass_kg == pytest.approx(density * record.volume_m3, rel=1e-6)


def test_condensate_lowers_the_rupture_temperature():
    part = vessel()
    wet = dataclasses.replace(part, condensate=0.02)
    dry_record = screen(installation(part), part)
    wet_record = screen(installation(wet), wet)
    assert wet_record.rupture_temperature_k < dry_record.rupture_temperature_k - 20


def test_vapour_pressure_ends_when_all_water_has_evaporated():
    """Analytic: after the last drop the vapour is an ideal gas of fixed mass."""
    gas = ShutInAir(1.1e6, 293.15, 1.0, 1e-3)
    t = np.array([600.0])
    assert float(gas.vapour_pressure(t)[0]) == pytest.approx(0.998 * 461.526 * 600.0 / 0.999)


def test_a_vessel_full_of_water_is_refused():
    with pytest.raises(ScreeningError, match="half full"):
        ShutInAir(1.1e6, 293.15, 1.0, 1.0)


def test_plug_margin_is_rupture_less_liquidus():
    part = vessel()
    plug = Plug(id="FP1", on="R1", alloy="tin", bore=0.01)
    record = screen(installation(part, plugs=(plug,)), part)
    assert record.rupture_temperature_k is not None
    assert record.plug_margin_k["FP1"] == pytest.approx(record.rupture_temperature_k - 505.078)
    kinds = [mark.kind for mark in record.marks if mark.temperature_k is not None]
    assert kinds.index("plug liquidus") < kinds.index("rupture")


@settings(max_examples=40, deadline=None)
@given(
    st.floats(2e5, 2e7),
    st.floats(253.15, 393.15),
    st.floats(0.0, 0.05),
)
def test_pressure_rises_with_temperature_and_starts_where_stated(pressure, temperature, water):
    """Property: p(T) is monotonic and p(T0) = p0."""
    gas = ShutInAir(pressure, temperature, 1.0, water)
    grid = np.linspace(temperature, 1500.0, 200)
    reached = gas.pressure(grid)
    assert np.all(np.diff(reached) > 0)
    assert float(reached[0]) == pytest.approx(pressure, rel=1e-7)


@settings(max_examples=40, deadline=None)
@given(st.floats(1.01, 6.0))
def test_a_crossing_is_where_the_pressure_meets_its_target(ratio):
    gas = ShutInAir(1.1e6, 293.15, 1.0)
    target = 1.1e6 * ratio
    (at,) = crossings(gas, [lambda t: np.full_like(t, target)], 1590.0)
    if at is None:
        assert float(gas.pressure(1590.0)) < target
    else:
        assert float(air.pressure(gas.density, at)) == pytest.approx(target, rel=1e-6)


@pytest.mark.parametrize("formula", ["mean diameter", "thick wall", "Faupel"])
@pytest.mark.parametrize("basis", ["tensile", "annex-a", "yield", "tensile-ky"])
def test_every_printed_formula_repeats_its_number(formula, basis):
    """Arithmetic: the formulas of the data files, evaluated with the printed inputs."""
    part = vessel(condensate=0.001)
    choices = Choices(strength_basis=basis, burst_formula=formula)
    traces = screen(installation(part, choices=choices), part).traces
    assert len(traces) > 15
    for trace in traces:
        assert recompute(trace) == pytest.approx(trace.result, rel=1e-9), trace.key


@pytest.mark.parametrize("water", [0.0002, 1e-6])
def test_a_part_whose_water_is_ice_is_screened_too(water):
    """Arithmetic: over ice the vapour counts as at the triple point, 611.7 Pa; a pinch of it has
    evaporated before."""
    record = screen(
        installation(vessel(condensate=water, temperature=255.0)),
        vessel(condensate=water, temperature=255.0),
    )
    for trace in record.traces:
        assert recompute(trace) == pytest.approx(trace.result, rel=1e-9), trace.key
    vapour = next(
        t.result for t in record.traces if t.key in {"saturation_pressure", "condensate_pressure"}
    )
    assert vapour == pytest.approx(min(611.7, water * 1000.0 * 461.5 * 255.0 / 2.0), rel=0.01)


def test_the_order_alone_is_that_of_the_whole_screening():
    """Property: the short record holds the same numbers as the long one."""
    system = installation(
        vessel(),
        plugs=(Plug(id="FP1", on="R1", alloy="tin", bore=0.01),),
        relief_valves=(ReliefValve(id="RV1", on="R1", set_pressure=1.05e6 + AMBIENT, area=2e-4),),
    )
    whole, short = screen(system, system.vessels[0]), heat_shut_in(system, system.vessels[0])
    for item in dataclasses.fields(short):
        assert getattr(short, item.name) == getattr(whole, item.name), item.name


def test_nothing_ruptures_at_more_than_its_metal_bears():
    """Property: where liquid ends steam comes up in a jump; the vessel has let go on the way."""
    for water in (0.0, 0.02, 0.4, 0.99):
        part = vessel(condensate=water, wall_thickness=0.04)
        found = screen(installation(part), part)
        if found.rupture_pressure_pa is None or found.rupture_temperature_k is None:
            continue
        curve = found.curve
        borne = np.interp(found.rupture_temperature_k, curve.temperature_k, curve.burst_pressure_pa)
        assert found.rupture_pressure_pa <= borne * (1.0 + 1e-3)
        for mark in found.marks:
            if mark.kind == "rupture" and mark.pressure_pa is not None:
                cold = 1.2 * found.burst_pressure_cold_gauge_pa + 101325.0
                assert mark.pressure_pa <= cold
