"""Texts with units: what is accepted, what is refused and why, and every factor."""

from __future__ import annotations

import csv
import functools
import math
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from airrisk import quantities
from airrisk.quantities import QuantityError, convert, format_quantity, parse, to_si

AMBIENT = 101300.0
TABLE = Path(__file__).parent / "installation" / "quantity_texts.csv"


def _rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter=";"))


ACCEPTED = [row for row in _rows() if not row["refused"]]
REFUSED = [row for row in _rows() if row["refused"]]


@pytest.mark.parametrize("row", ACCEPTED, ids=lambda row: f"{row['kind']}: {row['text']!r}")
def test_an_accepted_text_has_its_si_value(row):
    # published: factors of NIST SP 811 (2008) appendix B, put in by hand; else arithmetic
    found = parse(row["text"], row["kind"], ambient_pressure=AMBIENT)
    assert found == pytest.approx(float(row["si"]), rel=2e-9, abs=1e-12)


@pytest.mark.parametrize("row", REFUSED, ids=lambda row: f"{row['kind']}: {row['text']!r}")
def test_a_refused_text_says_what_is_wrong_and_what_is_valid(row):
    with pytest.raises(QuantityError) as caught:
        parse(row["text"], row["kind"], ambient_pressure=AMBIENT)
    assert row["refused"] in caught.value.reason
    assert caught.value.valid
    assert caught.value.text == row["text"]
    assert caught.value.kind == row["kind"]
    assert caught.value.reason in str(caught.value)


def test_the_table_holds_at_least_two_hundred_texts():
    assert len(ACCEPTED) >= 100
    assert len(REFUSED) >= 100


@functools.cache
def _registry():
    import pint

    return pint.UnitRegistry()


def _pint_spelling(unit: str) -> str:
    """The unit as pint writes it; pint's own reading of our spellings cannot be trusted."""
    words = {
        "kgf/cm2": "kgf/cm^2", "mmHg": "mmHg", "inHg": "inHg", "t": "tonne",
        "min": "minute", "h": "hour", "d": "day", "gal(US)": "US_liquid_gallon",
        "gal(UK)": "imperial_gallon", "cfm": "ft^3/minute", "hp": "horsepower", "Btu": "Btu_it",
        "mph": "mile/hour", "in": "inch", "um": "micrometer", "feet": "foot", "inches": "inch",
        "degF": "delta_degF", "degC": "delta_degC", "degR": "delta_degF", "": "dimensionless",
        "%": "percent", "ft lbf": "foot*force_pound", "ft lbf/lb": "foot*force_pound/lb",
        "sec": "second", "litres": "liter", "liters": "liter", "hours": "hour",
        "minutes": "minute", "seconds": "second", "sq in": "inch^2", "sq ft": "foot^2",
        "cu in": "inch^3", "cu ft": "foot^3", "lb": "pound", "L": "liter", "l": "liter",
        "psi": "psi", "lbf": "force_pound", "W/mK": "W/m/delta_degC",
        "m2K/W": "m**2*delta_degC/W",
    }  # fmt: skip
    if unit in words:
        return words[unit]
    bits = []
    for number, part in enumerate(unit.replace("m2K", "m2/K").replace("(", " ").split("/")):
        factors = part.replace(")", " ").split()
        for place, factor in enumerate(factors):
            power = factor[-1] if factor[-1] in "23" and factor not in words else ""
            stem = factor.removesuffix(power) if power else factor
            name = words.get(stem, stem)
            below = number > 0
            bits.append(("/" if below else "*") + f"({name})" + (f"**{power}" if power else ""))
            assert place < 3
    return "1" + "".join(bits)


@pytest.mark.parametrize("kind", [k for k in quantities.kinds() if k not in {"temperature"}])
def test_every_factor_agrees_with_an_outside_library(kind):
    # published: the unit registry of pint, itself after NIST and CODATA
    registry = _registry()
    base = {
        "pressure": "Pa", "pressure_difference": "Pa", "length": "m", "area": "m^2",
        "volume": "m^3", "mass": "kg", "time": "s", "flow": "m^3/s", "mass_flow": "kg/s",
        "flux": "W/m^2", "heat_transfer": "W/m^2/delta_degC", "conductance": "W/delta_degC",
        "heat_resistance": "m^2*delta_degC/W", "heat_conductivity": "W/m/delta_degC",
        "energy": "J", "specific_energy": "J/kg",
        "pressure_volume": "Pa*m^3", "power": "W", "density": "kg/m^3", "speed": "m/s",
        "force": "N", "impulse": "Pa*s", "temperature_difference": "delta_degC",
        "angle": "rad", "number": "dimensionless", "share": "dimensionless",
    }[kind]  # fmt: skip
    for unit in quantities.units_of(kind):
        own = to_si(1.0, kind, unit, 0.0) - to_si(0.0, kind, unit, 0.0)
        plain = unit
        if kind == "pressure":
            for ending in ("(g)", "(a)", " gauge", " absolute", " abs", " g", " a", "g", "a"):
                stem = unit.removesuffix(ending)
                if stem != unit and stem in quantities.units_of("pressure_difference"):
                    plain = stem
                    break
        spelling = _pint_spelling(plain)
        if "K" not in base and kind in {
            "heat_transfer",
            "conductance",
            "heat_resistance",
            "heat_conductivity",
        }:
            spelling = spelling.replace("(K)", "(delta_degC)")
        outside = (1.0 * registry.parse_expression(spelling)).to(base).magnitude if (
            kind != "temperature_difference" or plain != "K"
        ) else 1.0  # fmt: skip
        assert own == pytest.approx(outside, rel=1e-9), unit


@pytest.mark.parametrize(
    ("unit", "zero", "boiling"),
    [("degC", 0.0, 100.0), ("degF", 32.0, 212.0), ("K", 273.15, 373.15), ("degR", 491.67, 671.67)],
)
def test_temperature_scales_meet_at_ice_and_steam(unit, zero, boiling):
    # published: definitions of the scales, NIST SP 811 (2008) appendix B.8
    assert to_si(zero, "temperature", unit) == pytest.approx(273.15, abs=1e-9)
    assert to_si(boiling, "temperature", unit) == pytest.approx(373.15, abs=1e-9)


_UNITS = [(kind, unit) for kind in quantities.kinds() for unit in quantities.units_of(kind)]


@given(
    where=st.sampled_from(_UNITS),
    number=st.floats(1e-6, 1e9),
    comma=st.booleans(),
    ambient=st.floats(4e4, 1.2e5),
)
def test_a_number_written_and_read_is_the_same(where, number, comma, ambient):
    # property
    kind, unit = where
    written = repr(number)
    if comma and "e" not in written:
        whole, _, rest = written.partition(".")
        # three decimals behind a comma would be ambiguous: one more zero makes them four
        written = f"{whole},{rest}0" if len(rest) == 3 else f"{whole},{rest}"
    si = parse(f"{written} {unit}", kind, ambient_pressure=ambient)
    assert si == to_si(number, kind, unit, ambient)
    scale = abs(number) + abs(ambient)
    assert convert(si, kind, unit, ambient) == pytest.approx(number, rel=1e-9, abs=1e-8 * scale)


@given(where=st.sampled_from(_UNITS), number=st.floats(1e-3, 1e6), digits=st.integers(2, 6))
def test_a_formatted_quantity_reads_back_to_its_digits(where, number, digits):
    # property
    kind, unit = where
    si = to_si(number, kind, unit, 101325.0)
    text = format_quantity(si, kind, unit, digits, ambient_pressure=101325.0)
    back = parse(text, kind, ambient_pressure=101325.0)
    unit_si = abs(to_si(1.0, kind, unit, 0.0) - to_si(0.0, kind, unit, 0.0))
    size = 10.0 ** math.floor(math.log10(number))
    assert abs(back - si) <= 0.51 * size * 10 * 10.0 ** (1 - digits) * unit_si + 1e-9 * abs(si)


@given(st.text(max_size=30), st.sampled_from(quantities.kinds()))
def test_any_text_is_read_or_refused_but_never_fails(text, kind):
    # property
    try:
        value = parse(text, kind, ambient_pressure=101325.0)
    except QuantityError as error:
        sound = bool(error.reason and error.valid)
    else:
        sound = math.isfinite(value)
    assert sound


@pytest.mark.parametrize(
    ("value", "kind", "unit", "text"),
    [
        (1101325.0, "pressure", "bar(g)", "10 bar(g)"),
        (101325.0, "pressure", "bar(g)", "0 bar(g)"),
        (1234567.0, "length", "m", "1235000 m"),
        (0.0012345, "length", "mm", "1.234 mm"),
        (9.9999, "length", "m", "10 m"),
        (308.15, "temperature", "degC", "35 degC"),
        (273.15, "temperature", "degC", "0 degC"),
        (0.5, "share", "%", "50 %"),
        (0.85, "number", "", "0.85"),
        (1e-9, "length", "m", "1.000e-09 m"),
    ],
)
def test_a_quantity_is_written_with_few_digits(value, kind, unit, text):
    # arithmetic
    assert format_quantity(value, kind, unit, ambient_pressure=101325.0) == text


def test_gauge_without_ambient_is_refused():
    with pytest.raises(QuantityError, match="must be an absolute pressure"):
        parse("1 bar(g)", "pressure")
    with pytest.raises(ValueError, match="counts from the ambient pressure"):
        to_si(1.0, "pressure", "bar(g)")


@pytest.mark.parametrize(
    ("text", "step"),
    [("12 months", (12, 0)), ("1 month", (1, 0)), ("2 years", (24, 0)), ("6 weeks", (0, 42)),
     ("30 days", (0, 30)), ("1 year", (12, 0))],
)  # fmt: skip
def test_a_calendar_span_is_months_and_days(text, step):
    assert quantities.calendar_step(text) == step


@pytest.mark.parametrize("text", ["12", "0 months", "1.5 years", "-1 month", "a month", "", "12 m"])
def test_no_calendar_span(text):
    with pytest.raises(QuantityError, match="whole number of days"):
        quantities.calendar_step(text)


@pytest.mark.parametrize("name", list(quantities.UNIT_SETS))
def test_a_unit_set_has_a_unit_for_every_kind(name):
    units = quantities.UNIT_SETS[name]
    assert set(units) == set(quantities.kinds())
    assert all(unit in quantities.units_of(kind) for kind, unit in units.items())


def test_a_long_text_is_shortened_in_the_message():
    with pytest.raises(QuantityError) as caught:
        parse("x" * 5000, "length")
    assert len(str(caught.value)) < 300


def test_importing_does_not_load_a_units_library():
    code = "import sys, airrisk.quantities; print('pint' in sys.modules, 'numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]


def test_a_unit_of_another_kind_is_named_as_people_say():
    """Regression: "bar" in a length was called a unit of pressure difference."""
    with pytest.raises(QuantityError, match="'bar' is a unit of pressure, not of length"):
        parse("12 bar", "length")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("20.000 kW", "power"), ("10.000 L/min", "flow"), ("1.000 kg", "mass"),
        ("3.000 m3/h", "flow"), ("5.000 W/m2", "flux"), ("43.000 kJ/kg", "specific_energy"),
        ("1.000 degC", "temperature"), ("3.000 L", "volume"), ("1.000 kPa(g)", "pressure"),
    ],
)  # fmt: skip
def test_a_point_before_three_zeros_is_asked_about_where_thousands_are_usual(text, kind):
    with pytest.raises(quantities.QuantityError, match="ambiguous number"):
        quantities.parse(text, kind, ambient_pressure=101325.0)
    plain = text.replace(".", "")
    assert quantities.parse(plain, kind, ambient_pressure=101325.0) > 0.0


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [("3.000 m", "length", 3.0), ("2.000 m3", "volume", 2.0), ("6.485 L", "volume", 6.485e-3),
     ("1.250 kg", "mass", 1.25), ("20.00 kW", "power", 2e4), ("0.000 kg", "mass", 0.0)],
)  # fmt: skip
def test_other_decimals_stay_decimals(text, kind, value):
    assert quantities.parse(text, kind) == pytest.approx(value)


@given(st.floats(1e-6, 1e9), st.sampled_from(["kW", "W", "hp"]))
def test_the_program_never_writes_three_zeros_behind_a_point(value, unit):
    # property: what it writes it reads again
    text = quantities.format_quantity(value, "power", unit)
    assert quantities.parse(text, "power") == pytest.approx(value, rel=1e-3)
