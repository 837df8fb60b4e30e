"""Texts with units: right numbers, gauge and absolute said, kinds taken from key endings."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk import quantities
from airrisk.wording.units import (
    Units,
    absolute_text,
    and_list,
    displayed,
    from_displayed,
    gauge_text,
    kept_distance,
    kept_number,
    keyed_text,
    kind_of_key,
    quantity_text,
    temperature_down,
    temperature_up,
    time_text,
    unit_of,
)

METRIC = Units("metric", 101325.0)
US = Units("US customary", 101325.0)


def test_pressure_says_gauge_or_absolute_in_both_unit_sets():
    """Analytic: 1 psi = 6894.757 Pa."""
    assert quantity_text(1.101325e6, "pressure", METRIC) == "10\u00a0bar(g)"
    assert absolute_text(1.101325e6, METRIC) == "11.01\u00a0bar(a)"
    assert gauge_text(1e6, METRIC) == "10\u00a0bar(g)"
    assert quantity_text(1.101325e6, "pressure", US) == "145\u00a0psig"
    assert absolute_text(101325.0, US) == "14.7\u00a0psia"


def test_tin_melts_at_the_its90_value_in_both_scales():
    """Published: ITS-90, tin 231.928 °C (= 449.47 °F)."""
    assert quantity_text(505.078, "temperature", METRIC) == "231.9\u00a0°C"
    assert quantity_text(505.078, "temperature", US) == "449.5\u00a0°F"


def test_large_energies_in_foot_pounds_are_in_powers_of_ten():
    """Arithmetic: 1 ft·lbf = 1.3558179 J."""
    assert quantity_text(2.871e6, "energy", US) == "2.118\u00a0×\u00a010⁶\u00a0ft·lbf"
    assert quantity_text(1.164e5, "energy", US) == "85.85\u00a0×\u00a010³\u00a0ft·lbf"
    assert quantity_text(500.0, "energy", US) == "368.8\u00a0ft·lbf"
    assert quantity_text(0.0005426, "mass", US) == "0.01914\u00a0oz"


def test_what_is_absent_or_not_finite_is_never_a_number():
    for value in (None, math.nan, math.inf):
        assert quantity_text(value, "pressure", METRIC) == "not computed"
    assert keyed_text("peak_pressure_pa", None, METRIC) == "not computed"
    assert time_text(math.nan) == "not computed"


@pytest.mark.parametrize(
    ("key", "kind"),
    [
        ("peak_pressure_pa", "pressure"),
        ("limit_gauge_pa", "gauge"),
        ("incident_pa", "pressure_difference"),
        ("side_incident_pa", "pressure_difference"),
        ("found_margin_k", "temperature_difference"),
        ("solidus_k", "temperature"),
        ("stored_pa_m3", "pressure_volume"),
        ("delivery_m3_s", "flow"),
        ("smallest_bore_m", "length"),
        ("pipe_length_m", "distance"),
        ("volume_m3", "volume"),
        ("tnt_kg", "mass"),
        ("opens_s", "fire_time"),
        ("peak_strength_use", "number"),
        ("agent_left_share", "share"),
    ],
)
def test_kind_follows_the_unit_ending_of_a_key(key, kind):
    assert kind_of_key(key) == kind


def test_names_and_lists_read_as_in_a_sentence():
    assert keyed_text("closed_valves", ("V1", "V2", "V3"), METRIC) == "V1, V2 and V3"
    assert keyed_text("part", "R1", METRIC) == "R1"
    assert and_list([]) == "none"


def test_times_are_in_the_handiest_unit():
    assert time_text(59.9) == "59.9\u00a0s"
    assert time_text(372.0) == "6.2\u00a0min"
    assert time_text(4 * 3600.0) == "4\u00a0h"


@given(
    st.sampled_from(["pressure", "temperature", "energy", "volume", "distance", "stress"]),
    st.floats(1.0, 1e7),
    st.sampled_from(["metric", "US customary"]),
)
def test_chart_numbers_go_back_to_si(kind, value, name):
    """Property: displayed and from_displayed are inverse."""
    units = Units(name, 9.8e4)
    number = float(displayed(value, kind, units))
    assert from_displayed(number, kind, units) == pytest.approx(value, rel=1e-9, abs=1e-6)


def test_chart_numbers_equal_the_converter_of_the_file_reader():
    """The chart's straight line against ``quantities.convert`` at many points."""
    for kind, values in (("pressure", np.linspace(1e5, 5e7, 9)), ("temperature", [200.0, 1600.0])):
        unit = quantities.UNIT_SETS["metric"][kind]
        wanted = [quantities.convert(v, kind, unit, METRIC.ambient_pressure) for v in values]
        assert displayed(values, kind, METRIC) == pytest.approx(wanted, rel=1e-12, abs=1e-9)


def test_every_display_unit_is_printed_without_file_spelling():
    for name in quantities.UNIT_SETS:
        for kind in quantities.UNIT_SETS[name]:
            unit = unit_of(kind, Units(name))
            assert "deg" not in unit
            assert "m3" not in unit
            assert "m2" not in unit


@pytest.mark.parametrize("unit_set", ["metric", "US customary"])
@given(metres=st.floats(0.01, 2000.0), digits=st.integers(2, 3))
@settings(max_examples=200)
def test_a_distance_to_keep_is_never_told_shorter_than_it_is(unit_set, metres, digits):
    """Property: rounded up in whatever unit, by less than one of the last figure."""
    units = Units(unit_set)
    told = float(kept_number(metres, units, digits))
    shown = float(displayed(metres, "distance", units))
    assert shown * (1.0 - 1e-8) <= told <= shown * (1.0 + 10.0 ** (1 - digits)) + 1e-9


def test_halves_of_a_distance_to_keep_go_up():
    # rounded to even they would be 12.2 and 0.25
    units = Units("metric")
    assert kept_distance(12.25, units, 3) == "12.3\u00a0m"
    assert kept_distance(0.255, units, 2) == "0.26\u00a0m"
    assert kept_distance(0.0, units, 3) == "0\u00a0m"


@pytest.mark.parametrize(
    ("celsius", "down", "up"),
    [(1099.7, "1099", "1100"), (1100.0, "1100", "1100"), (1100.2, "1100", "1101"),
     (600.0, "600", "600")],
)  # fmt: skip
def test_temperatures_to_keep_below_are_rounded_to_the_safe_side(celsius, down, up):
    kelvin = celsius + 273.15
    assert temperature_down(kelvin, METRIC) == f"{down}\u00a0°C"
    assert temperature_up(kelvin, METRIC) == f"{up}\u00a0°C"


def test_a_time_that_nobody_can_tell_from_nothing_is_nothing() -> None:
    assert time_text(1.7e-7) == "0\u00a0s"
    assert time_text(0.01) == "0.01\u00a0s"
