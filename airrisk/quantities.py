"""Text with units to SI numbers and back; gauge and absolute pressure never confused.

The number is read here (decimal point or decimal comma, no grouping), the unit is looked up in
a closed list per kind of quantity. Temperatures are in kelvin and pressures absolute once read.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import NoReturn

from airrisk.messages import Codes, Message, either, said

# Exact by definition: the inch and the pound of 1959, standard gravity of 1901, the
# thermochemical and International Table units through NIST SP 811 (2008), appendix B.
_INCH = 0.0254
_FOOT = 0.3048
_POUND = 0.45359237
GRAVITY = 9.80665  # m/s2, standard
STANDARD_ATMOSPHERE = 101325.0  # Pa
_POUND_FORCE = _POUND * GRAVITY
_PSI = _POUND_FORCE / _INCH**2
_BTU = 1055.05585262
_US_GALLON = 231 * _INCH**3
_UK_GALLON = 4.54609e-3
_FAHRENHEIT_STEP = 5 / 9
ZERO_CELSIUS = 273.15


class QuantityError(ValueError):
    """A text that is not a quantity of the wanted kind.

    Parameters
    ----------
    text : str
        What was typed.
    kind : str
        Kind of quantity that was wanted.
    reason : str
        What is wrong.
    valid : str
        What would be right.
    """

    def __init__(self, text: str, kind: str, reason: str, valid: str) -> None:
        super().__init__(text, kind, reason, valid)
        self.text, self.kind, self.reason, self.valid = text, kind, reason, valid

    @property
    def told(self) -> str:
        """All of it in one line, which can be said in another language."""
        return said(
            "quantity-at-fault",
            text=repr(self.text), reason=self.reason, valid=self.valid,
        )  # fmt: skip

    def __str__(self) -> str:
        return str(self.told)


class _Unit:
    """A straight line to SI: SI = number * factor + offset."""

    __slots__ = ("factor", "gauge", "offset")  # plain, so that importing stays fast

    def __init__(self, factor: float, offset: float = 0.0, gauge: bool = False) -> None:
        self.factor, self.offset, self.gauge = factor, offset, gauge


_PRESSURES = {
    "Pa": 1.0, "hPa": 100.0, "kPa": 1e3, "MPa": 1e6, "mbar": 100.0, "bar": 1e5, "psi": _PSI,
    "atm": STANDARD_ATMOSPHERE, "mmHg": 133.322387415, "inHg": 25.4 * 133.322387415,
    "kgf/cm2": GRAVITY * 1e4,
}  # fmt: skip

_PLAIN: dict[str, dict[str, float]] = {
    "pressure_difference": _PRESSURES,
    "length": {
        "m": 1.0, "mm": 1e-3, "cm": 1e-2, "um": 1e-6, "km": 1e3, "in": _INCH, "inch": _INCH,
        "inches": _INCH, "ft": _FOOT, "foot": _FOOT, "feet": _FOOT,
    },
    "area": {
        "m2": 1.0, "mm2": 1e-6, "cm2": 1e-4, "in2": _INCH**2, "sq in": _INCH**2,
        "ft2": _FOOT**2, "sq ft": _FOOT**2,
    },
    "volume": {
        "m3": 1.0, "L": 1e-3, "l": 1e-3, "litre": 1e-3, "litres": 1e-3, "liter": 1e-3,
        "liters": 1e-3, "mL": 1e-6, "ml": 1e-6, "dm3": 1e-3, "cm3": 1e-6, "ft3": _FOOT**3,
        "cu ft": _FOOT**3, "in3": _INCH**3, "cu in": _INCH**3, "gal(US)": _US_GALLON,
        "gal(UK)": _UK_GALLON,
    },
    "mass": {"kg": 1.0, "g": 1e-3, "t": 1e3, "lb": _POUND, "oz": _POUND / 16},
    "time": {
        "s": 1.0, "sec": 1.0, "ms": 1e-3, "min": 60.0, "minutes": 60.0, "h": 3600.0,
        "hours": 3600.0, "hour": 3600.0, "seconds": 1.0, "d": 86400.0,
    },
    "flow": {
        "m3/s": 1.0, "m3/min": 1 / 60, "m3/h": 1 / 3600, "L/s": 1e-3, "l/s": 1e-3,
        "L/min": 1e-3 / 60, "l/min": 1e-3 / 60, "cfm": _FOOT**3 / 60, "ft3/min": _FOOT**3 / 60,
        "ft3/s": _FOOT**3, "ft3/h": _FOOT**3 / 3600,
    },
    "mass_flow": {
        "kg/s": 1.0, "kg/min": 1 / 60, "kg/h": 1 / 3600, "g/s": 1e-3, "lb/s": _POUND,
        "lb/min": _POUND / 60, "lb/h": _POUND / 3600,
    },
    "flux": {
        "W/m2": 1.0, "kW/m2": 1e3, "W/cm2": 1e4,
        "Btu/h/ft2": _BTU / 3600 / _FOOT**2, "Btu/(h ft2)": _BTU / 3600 / _FOOT**2,
    },
    "heat_transfer": {
        "W/m2/K": 1.0, "W/(m2 K)": 1.0, "W/m2K": 1.0, "kW/m2/K": 1e3,
        "Btu/h/ft2/degF": _BTU / 3600 / _FOOT**2 / _FAHRENHEIT_STEP,
        "Btu/(h ft2 degF)": _BTU / 3600 / _FOOT**2 / _FAHRENHEIT_STEP,
    },
    "conductance": {
        "W/K": 1.0, "mW/K": 1e-3, "kW/K": 1e3,
        "Btu/h/degF": _BTU / 3600 / _FAHRENHEIT_STEP,
    },
    "heat_conductivity": {
        "W/m/K": 1.0, "W/(m K)": 1.0, "W/mK": 1.0, "mW/m/K": 1e-3,
        "Btu/h/ft/degF": _BTU / 3600 / _FOOT / _FAHRENHEIT_STEP,
        "Btu in/h/ft2/degF": _BTU * _INCH / 3600 / _FOOT**2 / _FAHRENHEIT_STEP,
    },
    "heat_resistance": {
        "m2 K/W": 1.0, "m2K/W": 1.0,
        "h ft2 degF/Btu": _FOOT**2 * _FAHRENHEIT_STEP * 3600 / _BTU,
    },
    "energy": {
        "J": 1.0, "kJ": 1e3, "MJ": 1e6, "GJ": 1e9, "kWh": 3.6e6, "Btu": _BTU,
        "ft lbf": _FOOT * _POUND_FORCE,
    },
    "specific_energy": {
        "J/kg": 1.0, "kJ/kg": 1e3, "MJ/kg": 1e6, "J/g": 1e3, "kJ/g": 1e6,
        "Btu/lb": _BTU / _POUND, "ft lbf/lb": _FOOT * _POUND_FORCE / _POUND,
    },
    "pressure_volume": {
        "Pa m3": 1.0, "kPa m3": 1e3, "MPa m3": 1e6, "bar m3": 1e5, "bar L": 100.0,
        "bar l": 100.0, "kPa L": 1.0, "MPa L": 1e3, "psi ft3": _PSI * _FOOT**3,
    },
    "power": {"W": 1.0, "kW": 1e3, "MW": 1e6, "hp": 550 * _FOOT * _POUND_FORCE},
    "angle": {"deg": math.pi / 180.0, "rad": 1.0},
    "density": {"kg/m3": 1.0, "g/cm3": 1e3, "kg/L": 1e3, "lb/ft3": _POUND / _FOOT**3},
    "speed": {"m/s": 1.0, "km/h": 1 / 3.6, "ft/s": _FOOT, "mph": 5280 * _FOOT / 3600},
    "force": {"N": 1.0, "kN": 1e3, "lbf": _POUND_FORCE},
    "impulse": {"Pa s": 1.0, "kPa s": 1e3, "kPa ms": 1.0, "psi s": _PSI, "psi ms": _PSI * 1e-3},
    "temperature_difference": {
        "K": 1.0, "degC": 1.0, "degF": _FAHRENHEIT_STEP, "degR": _FAHRENHEIT_STEP,
    },
    "number": {"": 1.0},
    "share": {"": 1.0, "%": 0.01},
}  # fmt: skip


def _pressure_units() -> dict[str, _Unit]:
    units = {}
    for name, factor in _PRESSURES.items():
        for ending in ("(g)", " gauge", " g"):
            units[name + ending] = _Unit(factor, gauge=True)
        for ending in ("(a)", " abs", " absolute", " a"):
            units[name + ending] = _Unit(factor)
        if name in {"bar", "mbar", "psi", "kPa", "MPa", "hPa"}:
            units[name + "g"] = _Unit(factor, gauge=True)
            units[name + "a"] = _Unit(factor)
    return units


_UNITS: dict[str, dict[str, _Unit]] = {
    "pressure": _pressure_units(),
    "temperature": {
        "degC": _Unit(1.0, ZERO_CELSIUS),
        "degF": _Unit(_FAHRENHEIT_STEP, ZERO_CELSIUS - 32 * _FAHRENHEIT_STEP),
        "K": _Unit(1.0),
        "degR": _Unit(_FAHRENHEIT_STEP),
    },
    **{kind: {u: _Unit(f) for u, f in units.items()} for kind, units in _PLAIN.items()},
}

UNIT_SETS: dict[str, dict[str, str]] = {
    "metric": {
        "pressure": "bar(g)", "pressure_difference": "kPa", "length": "mm", "area": "mm2",
        "volume": "m3", "temperature": "degC", "temperature_difference": "K", "mass": "kg",
        "time": "min", "flow": "m3/min", "mass_flow": "kg/s", "flux": "kW/m2",
        "heat_transfer": "W/m2/K", "conductance": "W/K",
        "heat_conductivity": "W/m/K", "heat_resistance": "m2 K/W", "energy": "MJ",
        "specific_energy": "MJ/kg", "pressure_volume": "bar L", "power": "kW",
        "density": "kg/m3", "speed": "m/s", "force": "N", "impulse": "Pa s", "angle": "deg",
        "number": "", "share": "%",
    },
    "US customary": {
        "pressure": "psig", "pressure_difference": "psi", "length": "in", "area": "in2",
        "volume": "ft3", "temperature": "degF", "temperature_difference": "degF", "mass": "lb",
        "time": "min", "flow": "cfm", "mass_flow": "lb/s", "flux": "Btu/h/ft2",
        "heat_transfer": "Btu/h/ft2/degF", "conductance": "Btu/h/degF",
        "heat_conductivity": "Btu/h/ft/degF", "heat_resistance": "h ft2 degF/Btu",
        "energy": "ft lbf",
        "specific_energy": "Btu/lb", "pressure_volume": "psi ft3", "power": "hp",
        "density": "lb/ft3", "speed": "ft/s", "force": "lbf", "impulse": "psi ms", "angle": "deg",
        "number": "", "share": "%",
    },
}  # fmt: skip

_EXAMPLES = {
    "pressure": ("10 bar(g)", "145 psig", "1.1 MPa(a)"),
    "pressure_difference": ("5 kPa", "0.7 psi"),
    "length": ("1100 mm", "1.1 m", "43 in"),
    "area": ("78.5 mm2", "0.12 in2"),
    "volume": ("2 m3", "50 L", "70 ft3"),
    "temperature": ("35 degC", "95 degF", "308 K"),
    "temperature_difference": ("30 K", "30 degC", "54 degF"),
    "mass": ("0.12 kg", "120 g", "0.26 lb"),
    "time": ("60 min", "3600 s", "1 h"),
    "flow": ("6 m3/min", "100 L/s", "212 cfm"),
    "flux": ("100 kW/m2", "31700 Btu/h/ft2"),
    "heat_transfer": ("50 W/m2/K", "8.8 Btu/h/ft2/degF"),
    "conductance": ("2 W/K", "3.8 Btu/h/degF"),
    "heat_conductivity": ("0.2 W/m/K", "0.12 Btu/h/ft/degF"),
    "heat_resistance": ("0.001 m2 K/W",),
    "specific_energy": ("4.184 MJ/kg", "1800 Btu/lb"),
    "pressure_volume": ("50 bar L", "5000 Pa m3"),
    "power": ("500 kW", "1.2 MW"),
    "mass_flow": ("0.2 kg/s", "26 lb/min"),
    "angle": ("90 deg",),
    "number": ("0.85",),
    "share": ("0.25", "25 %"),
    "calendar": ("12 months", "2 years", "6 weeks", "30 days"),
}

# How a kind is called in a message.
KIND_WORDS: Codes[dict[str, str]] = {
    "pressure": "quantity-pressure",
    "temperature": "quantity-temperature",
    "pressure_difference": "quantity-pressure-difference",
    "length": "quantity-length",
    "area": "quantity-area",
    "volume": "quantity-volume",
    "mass": "quantity-mass",
    "time": "quantity-time",
    "flow": "quantity-flow",
    "mass_flow": "quantity-mass-flow",
    "flux": "quantity-flux",
    "heat_transfer": "quantity-heat-transfer",
    "conductance": "quantity-conductance",
    "heat_conductivity": "quantity-heat-conductivity",
    "heat_resistance": "quantity-heat-resistance",
    "energy": "quantity-energy",
    "specific_energy": "quantity-specific-energy",
    "pressure_volume": "quantity-pressure-volume",
    "power": "quantity-power",
    "angle": "quantity-angle",
    "density": "quantity-density",
    "speed": "quantity-speed",
    "force": "quantity-force",
    "impulse": "quantity-impulse",
    "temperature_difference": "quantity-temperature-difference",
    "number": "quantity-number",
    "share": "quantity-share",
}

# Units that people type and that do not say enough; the answer tells what is missing.
_UNCLEAR: dict[str, dict[str, Message]] = {
    "temperature": {
        "C": said("write-unit", unit='"degC"'),
        "F": said("write-unit", unit='"degF"'),
        "deg": said("write-unit", unit=either(('"degC"', '"degF"'))),
        "R": said("write-unit", unit='"degR"'),
    },
    "temperature_difference": {
        "C": said("write-unit", unit=either(('"K"', '"degC"'))),
        "F": said("write-unit", unit='"degF"'),
    },
    "volume": {
        "gal": said("write-unit", unit=either(('"gal(US)"', '"gal(UK)"'))),
        "gallon": said("write-unit", unit=either(('"gal(US)"', '"gal(UK)"'))),
        "gallons": said("write-unit", unit=either(('"gal(US)"', '"gal(UK)"'))),
        "Nm3": said("reference-volume-of-vessel"),
    },
    "flow": {
        "scfm": said("free-air-in-cfm"),
        "Nm3/h": said("free-air-in-m3-per-hour"),
        "Nm3/min": said("free-air-in-m3-per-minute"),
    },
}

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_HEAD = re.compile(r"[+-]?[0-9.,'_]*(?:(?<=[0-9.,])[eE][+-]?[0-9]+)?(?: (?=[0-9])[0-9.,]+)*")
_NOT_NUMBERS = re.compile(r"[+-]?(?:nan|inf|infinity)\b", re.IGNORECASE)
_SPACES = re.compile(r"[\s\u00a0\u2007\u2009\u202f]+")
_SPELLINGS = str.maketrans(
    {"²": "2", "³": "3", "µ": "u", "μ": "u", "·": " ", "⋅": " ", "*": " ", "−": "-", "º": "°"}
)
# units of which people count thousands, beside litres, millimetres and millibar; judgement
_IN_THOUSANDS = frozenset(
    {
        "Pa", "Pa(g)", "Pa(a)", "hPa", "hPa(g)", "hPa(a)", "kPa", "kPa(g)", "kPa(a)", "kg", "g",
        "lb", "s", "degC", "degF", "K", "L/min", "l/min", "L/s", "l/s", "m3/h", "cfm", "ft3/min",
        "ft3/h", "kg/h", "lb/h", "W", "kW", "hp", "W/m2", "J", "kJ", "kWh", "Btu", "J/kg",
        "kJ/kg", "kg/m3", "N", "ft3", "cu ft", "gal(US)", "gal(UK)", "cm2", "cm3", "dm3", "mL",
        "ml",
    }
)  # fmt: skip
_GROUPED = re.compile(r"[+-]?[1-9][0-9]{0,2}\.000")
MAX_TEXT = 100  # characters; longer texts are shown shortened


def kinds() -> tuple[str, ...]:
    """All kinds of quantity that can be read."""
    return tuple(_UNITS)


def units_of(kind: str) -> tuple[str, ...]:
    """All accepted unit spellings of a kind.

    Parameters
    ----------
    kind : str
        Kind of quantity, for example "pressure".

    Raises
    ------
    KeyError
        No such kind.
    """
    return tuple(_UNITS[kind])


def example(kind: str) -> str:
    """Accepted texts of a kind, as put into messages."""
    if kind in _EXAMPLES:
        return either([f'"{one}"' for one in _EXAMPLES[kind]])
    return said("number-and-unit", units=", ".join(units_of(kind)))


def read_number(text: str, kind: str = "number") -> float:
    """The number that a text without unit says; decimal point or decimal comma.

    Parameters
    ----------
    text : str
        For example "1.5", "1,5" or "2e-3".
    kind : str
        Named in the error.

    Raises
    ------
    QuantityError
        Not one plain finite number, or its comma may group thousands.
    """
    stripped = _SPACES.sub(" ", text.translate(_SPELLINGS)).strip()
    if not stripped:
        _refuse(text, kind, said("no-number"))
    if _NOT_NUMBERS.match(stripped):
        _refuse(text, kind, said("not-finite"))
    if not _NUMBER.fullmatch(stripped):
        if re.search(r"[0-9][ '_][0-9]", stripped) or len(re.findall(r"[.,]", stripped)) > 1:
            _refuse(text, kind, said("ambiguous-grouping"))
        _refuse(text, kind, said("number-unreadable"))
    if re.match(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}(?![0-9])", stripped):
        plain = stripped.replace(",", "")
        _refuse(
            text,
            kind,
            said(
                "ambiguous-comma",
                plain=plain,
                other=stripped.replace(",", "."),
            ),
        )
    number = float(stripped.replace(",", "."))
    if not math.isfinite(number):
        _refuse(text, kind, said("not-finite"))
    return number


@lru_cache(maxsize=4096)  # the same texts are read again after every edit of a file
def split(text: str, kind: str) -> tuple[float, str]:
    """The number and the unit spelling (as in ``units_of``) of a quantity text.

    Parameters
    ----------
    text : str
        For example "10 bar(g)".
    kind : str
        Kind of quantity.

    Raises
    ------
    QuantityError
        The text has no readable number, no unit, or a unit of another kind.
    """
    units = _UNITS[kind]
    cleaned = _SPACES.sub(" ", text.translate(_SPELLINGS)).strip()
    if not cleaned:
        _refuse(text, kind, said("empty"))
    found = _NOT_NUMBERS.match(cleaned) or _HEAD.match(cleaned)
    head = found.group() if found else ""
    if not head.strip():
        _refuse(text, kind, said("no-number-before-unit"))
    try:
        number = read_number(head, kind)
    except QuantityError as error:
        _refuse(text, kind, error.reason, error.valid)
    unit = _spell(cleaned[len(head) :].strip())
    if unit in units:
        _refuse_grouping_point(text, kind, head.strip(), unit)
        return number, unit
    _refuse_unit(text, kind, unit)


def parse(text: str, kind: str, *, ambient_pressure: float | None = None) -> float:
    """The SI value of a quantity text.

    Parameters
    ----------
    text : str
        Number and unit, for example "10 bar(g)", "1,2 m", "145 psig".
    kind : str
        Kind of quantity.
    ambient_pressure : float, optional
        Pa absolute; added to gauge pressures. Left out: gauge pressures are refused.

    Returns
    -------
    float
        SI; pressures absolute, temperatures in K.

    Raises
    ------
    QuantityError
        The text is not a quantity of this kind.
    """
    number, unit = split(text, kind)
    if _UNITS[kind][unit].gauge and ambient_pressure is None:
        _refuse(text, kind, said("must-be-absolute"), '"1013 mbar(a)" or "14.7 psia"')
    value = to_si(number, kind, unit, ambient_pressure)
    if not math.isfinite(value):
        _refuse(text, kind, said("not-finite"))
    if kind == "temperature" and value < -1e-9:
        _refuse(
            text, kind, said("below-absolute-zero"), said("above-value", value='"-273.15 degC"')
        )
    if kind == "pressure" and value < 0:
        _refuse(text, kind, said("below-vacuum"), said("above-value", value='"0 bar(a)"'))
    return value


def to_si(number: float, kind: str, unit: str, ambient_pressure: float | None = None) -> float:
    """The SI value of a number in a unit.

    Parameters
    ----------
    number : float
        In ``unit``.
    kind, unit : str
        Kind of quantity and one of ``units_of(kind)``.
    ambient_pressure : float, optional
        Pa absolute; needed for gauge units.

    Raises
    ------
    KeyError
        No such kind or unit.
    ValueError
        A gauge unit without ambient pressure.
    """
    line = _UNITS[kind][unit]
    return number * line.factor + line.offset + _datum(line, unit, ambient_pressure)


def convert(value: float, kind: str, unit: str, ambient_pressure: float | None = None) -> float:
    """The number in a unit of an SI value; the inverse of ``to_si``.

    Parameters
    ----------
    value : float
        SI; pressures absolute, temperatures in K.
    kind, unit : str
        Kind of quantity and one of ``units_of(kind)``.
    ambient_pressure : float, optional
        Pa absolute; needed for gauge units.

    Raises
    ------
    KeyError
        No such kind or unit.
    ValueError
        A gauge unit without ambient pressure.
    """
    line = _UNITS[kind][unit]
    shift = line.offset + _datum(line, unit, ambient_pressure)
    number = (value - shift) / line.factor
    # What is left of a difference of equal numbers is rounding, not a quantity.
    return 0.0 if shift and abs(value - shift) < 1e-13 * abs(shift) else number


def format_quantity(
    value: float, kind: str, unit: str, digits: int = 4, *, ambient_pressure: float | None = None
) -> str:
    """An SI value as text with its unit, to some significant figures; ``parse`` reads it.

    Parameters
    ----------
    value : float
        SI; pressures absolute, temperatures in K.
    kind, unit : str
        Kind of quantity and one of ``units_of(kind)``.
    digits : int
        Significant figures; zeros that end the decimals are left out.
    ambient_pressure : float, optional
        Pa absolute; needed for gauge units.
    """
    number = convert(value, kind, unit, ambient_pressure)
    return f"{plain_number(number, digits)} {unit}".rstrip()


def plain_number(number: float, digits: int = 4) -> str:
    """A number to some significant figures, without exponent between 1e-6 and 1e15.

    Parameters
    ----------
    number : float
        Finite.
    digits : int
        Significant figures.
    """
    if number == 0:
        return "0"
    rounded = float(f"{number:.{digits - 1}e}")
    size = math.floor(math.log10(abs(rounded)))
    if not -7 < size < 15:
        return f"{rounded:.{digits - 1}e}"
    text = f"{rounded:.{max(0, digits - 1 - size)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def calendar_step(text: str) -> tuple[int, int]:
    """A span of the calendar as (months, days).

    Parameters
    ----------
    text : str
        For example "12 months", "2 years", "6 weeks" or "30 days".

    Raises
    ------
    QuantityError
        Not a whole positive number of days, weeks, months or years.
    """
    found = re.fullmatch(r"([0-9]{1,4}) ?(day|week|month|year)s?", _SPACES.sub(" ", text).strip())
    if not found or int(found[1]) == 0:
        _refuse(text, "calendar", said("no-whole-calendar-time"))
    months, days = {"day": (0, 1), "week": (0, 7), "month": (1, 0), "year": (12, 0)}[found[2]]
    return months * int(found[1]), days * int(found[1])


def _datum(line: _Unit, unit: str, ambient_pressure: float | None) -> float:
    if not line.gauge:
        return 0.0
    if ambient_pressure is None:
        raise ValueError(said("unit-needs-ambient", unit=unit))
    return ambient_pressure


def _spell(unit: str) -> str:
    unit = unit.replace("^", "").replace(" (", "(") if not unit.startswith("(") else unit
    unit = re.sub(r"° ?([CFR])\b", r"deg\1", unit)
    unit = re.sub(r"\b([CFR])°", r"deg\1", unit)
    unit = unit.replace("(m2K)", "(m2 K)")
    return re.sub(r" ?/ ?", "/", unit)


def _refuse_grouping_point(text: str, kind: str, number: str, unit: str) -> None:
    """A point that groups thousands, as many countries write it: "20.000 kW" may be 20 MW.

    Nobody writes three zeros after a point to tell thousandths of a unit that is counted in
    thousands; in a larger one, as in "3.000 m", they are decimals. Three other digits are
    decimals everywhere: four significant figures, as in "6.485 L", are what this program writes.
    """
    litres = kind == "volume" and unit.lower().startswith("l")
    counted = litres or unit.startswith(("mm", "mbar")) or unit in _IN_THOUSANDS
    if counted and _GROUPED.fullmatch(number):
        whole, _, rest = number.partition(".")
        _refuse(text, kind, said("ambiguous-point", plain=whole + rest, other=whole))


def _refuse_unit(text: str, kind: str, unit: str) -> NoReturn:
    if not unit:
        _refuse(text, kind, said("no-unit"))
    if kind in {"number", "share"}:
        _refuse(
            text,
            kind,
            said("plain-number-wanted", unit=repr(_short(unit))),
        )
    if kind == "pressure" and unit in _PRESSURES:
        _refuse(
            text, kind, said("gauge-or-absolute-not-said"),
            said("gauge-or-absolute", unit=unit),
        )  # fmt: skip
    if kind == "pressure_difference" and unit in _UNITS["pressure"]:
        _refuse(text, kind, said("difference-neither-gauge-nor-absolute"))
    hint = _UNCLEAR.get(kind, {}).get(unit)
    if hint:
        _refuse(text, kind, said("unit-unclear", unit=repr(unit)), hint)
    for other, units in _UNITS.items():
        if unit in units and kind not in {other, "temperature_difference"}:
            wanted = said(KIND_WORDS[kind])
            was = said(KIND_WORDS[other.removesuffix("_difference")])
            _refuse(
                text,
                kind,
                said(
                    "unit-of-another-kind",
                    unit=repr(unit),
                    was=was,
                    wanted=wanted,
                ),
            )
    if re.match(r"/ ?[0-9]", unit):
        _refuse(text, kind, said("fraction-not-decimal"))
    import difflib  # only for messages; keeps the import of this module fast

    near = difflib.get_close_matches(unit.lower(), [u.lower() for u in _UNITS[kind]], 1, 0.7)
    meant = next((u for u in _UNITS[kind] if near and u.lower() == near[0]), None)
    ask = said("unit-guess", meant=repr(meant)) if meant else ""
    _refuse(text, kind, said("unit-unknown", unit=repr(_short(unit)), ask=ask))


def _refuse(text: str, kind: str, reason: str, valid: str | None = None) -> NoReturn:
    raise QuantityError(_short(text), kind, reason, example(kind) if valid is None else valid)


def _short(text: str) -> str:
    return text if len(text) <= MAX_TEXT else text[: MAX_TEXT - 3] + "..."
