"""Discharge temperatures against ideal-gas limits and textbook air tables; limits by machine."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.physics import air
from airrisk.physics.compression import (
    compress,
    discharge_limit,
    intercooler_approach,
    stage_discharge,
)


@pytest.mark.parametrize("ratio", [1.5, 2.0, 3.0])
def test_dilute_air_follows_the_ideal_adiabatic_law(ratio: float) -> None:
    # analytic: T2 = T1 r^((k-1)/k) with k between its values at the two temperatures
    t1 = 250.0
    end = stage_discharge(1000.0, t1, 1000.0 * ratio, 1.0).discharge_temperature
    gammas = []
    for t in (t1, end):
        gas = air.air_state(0.01, t)
        gammas.append(float(gas.cp / gas.cv))
    bounds = sorted(t1 * ratio ** ((k - 1.0) / k) for k in gammas)
    assert bounds[0] - 1e-6 <= end <= bounds[1] + 1e-6
    assert end == pytest.approx(t1 * ratio ** (0.4 / 1.4), rel=2e-3)


def test_textbook_compressor_of_ratio_ten() -> None:
    # published, from memory: ideal-gas air tables of engineering textbooks (Moran and Shapiro,
    # Brayton cycle example): 300 K, 100 kPa, ratio 10, isentropic: 574.1 K, h 300.19 -> 579.9 kJ/kg
    end = stage_discharge(1e5, 300.0, 1e6, 1.0)
    assert end.discharge_temperature == pytest.approx(574.1, abs=1.5)
    assert end.work == pytest.approx(279.7e3, rel=5e-3)


def test_textbook_compressor_of_eighty_per_cent() -> None:
    # published, from memory: the same example with 80 % isentropic efficiency, work 349.6 kJ/kg
    assert stage_discharge(1e5, 300.0, 1e6, 0.8).work == pytest.approx(349.6e3, rel=5e-3)


@pytest.mark.parametrize(
    ("ratio", "low", "high"),
    [
        (2.0, (360.0, 2.626), (370.0, 2.892)),
        (4.0, (440.0, 5.332), (450.0, 5.775)),
        (8.0, (530.0, 10.37), (540.0, 11.10)),
    ],
)
def test_isentropes_of_the_air_tables(
    ratio: float, low: tuple[float, float], high: tuple[float, float]
) -> None:
    # published, from memory: relative pressures of textbook air tables, 300 K: 1.3860
    wanted = 1.3860 * ratio
    expected = low[0] + (wanted - low[1]) / (high[1] - low[1]) * (high[0] - low[0])
    end = stage_discharge(1e5, 300.0, ratio * 1e5, 1.0).discharge_temperature
    assert end == pytest.approx(expected, abs=0.7)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.5, 1.0), st.floats(1.1, 12.0), st.floats(260.0, 330.0), st.floats(0.8e5, 1.2e5))
def test_poorer_efficiency_and_larger_ratio_run_hotter(
    efficiency: float, ratio: float, inlet: float, suction: float
) -> None:
    # property
    end = stage_discharge(suction, inlet, suction * ratio, efficiency)
    poorer = stage_discharge(suction, inlet, suction * ratio, 0.9 * efficiency)
    larger = stage_discharge(suction, inlet, suction * ratio * 1.1, efficiency)
    assert inlet < end.discharge_temperature < poorer.discharge_temperature
    assert end.discharge_temperature < larger.discharge_temperature


def test_enthalpy_rise_is_the_work() -> None:
    # analytic: adiabatic stage
    end = stage_discharge(1e5, 293.15, 8e5, 0.75)
    h1 = air.enthalpy(air.density(1e5, 293.15), 293.15)
    h2 = air.enthalpy(air.density(8e5, end.discharge_temperature), end.discharge_temperature)
    assert float(h2 - h1) == pytest.approx(end.work, rel=1e-9)


def test_uncooled_stages_of_full_efficiency_equal_one_stage() -> None:
    # analytic: isentropic steps in a row are one isentropic step
    one = compress(1e5, 293.15, 16e5, 1.0)
    four = compress(1e5, 293.15, 16e5, 1.0, stages=4)
    assert four[-1].discharge_temperature == pytest.approx(one[0].discharge_temperature, abs=1e-4)
    assert sum(s.work for s in four) == pytest.approx(one[0].work, rel=1e-6)


def test_intercooling_saves_work_and_equal_ratios_share_the_pressure() -> None:
    cooled = compress(1e5, 293.15, 16e5, 0.8, stages=2, intercooled_to=303.15)
    assert cooled[0].delivery_pressure == pytest.approx(4e5)
    assert cooled[1].inlet_temperature == 303.15
    assert sum(s.work for s in cooled) < compress(1e5, 293.15, 16e5, 0.8)[0].work
    assert cooled[1].delivery_pressure == 16e5


def test_an_intercooler_never_heats() -> None:
    stages = compress(1e5, 293.15, 1.2e5, 1.0, stages=2, intercooled_to=400.0)
    assert stages[1].inlet_temperature == stages[0].discharge_temperature


def test_no_pressure_rise_needs_no_work() -> None:
    end = stage_discharge(1e5, 293.15, 1e5, 0.8)
    assert end.discharge_temperature == pytest.approx(293.15, abs=1e-6)
    assert end.work == pytest.approx(0.0, abs=1e-6)


def test_impossible_values_are_refused_with_the_number() -> None:
    with pytest.raises(ValueError, match=r"efficiency 0\.0"):
        stage_discharge(1e5, 293.15, 8e5, 0.0)
    with pytest.raises(ValueError, match="must not be below the suction"):
        stage_discharge(1e5, 293.15, 0.9e5, 0.8)
    with pytest.raises(ValueError, match="stages 0"):
        compress(1e5, 293.15, 8e5, 0.8, stages=0)
    with pytest.raises(air.AirRangeError):
        stage_discharge(1e5, 293.15, 2e7, 0.3)


@pytest.mark.parametrize(
    ("lubrication", "stages", "kilowatts", "bar", "celsius"),
    [
        # kW put into the air: 17.0 of them take 20 at the shaft
        ("oil-lubricated", 1, 16.999, 8.0, 220.0),
        ("oil-lubricated", 1, 17.001, 8.0, 200.0),
        ("oil-lubricated", 2, 16.999, 10.0, 180.0),
        ("oil-lubricated", 2, 16.999, 10.001, 160.0),
        ("oil-lubricated", 2, 17.001, 8.0, 160.0),
        ("oil-flooded", 1, 75.0, 8.0, 120.0),
        ("oil-free", 2, 75.0, 8.0, None),
    ],
)
def test_limit_follows_lubrication_stages_power_and_pressure(
    lubrication: str, stages: int, kilowatts: float, bar: float, celsius: float | None
) -> None:
    # published, from memory: see the source column of the table
    limit = discharge_limit(lubrication, stages, kilowatts * 1e3, bar * 1e5)
    assert (limit and limit.temperature) == (celsius and pytest.approx(celsius + 273.15))


def test_approach_is_positive() -> None:
    assert intercooler_approach() > 0.0
