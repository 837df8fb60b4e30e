"""SI numbers to text and to chart coordinates in the reader's unit set."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk import quantities
from airrisk.messages import Texts
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import decimal_sign, tr

SEARCHED_FROM = 1e-3  # m, below it no bore is looked for
SMALLEST_TOLD = 1.001 * SEARCHED_FROM  # m, a bore up to it may be larger than what is needed

METRIC = "metric"
US_CUSTOMARY = "US customary"
NOT_COMPUTED: Texts[str] = "not computed"

# Kinds that nobody types into a system file but that results have: (unit, SI value of one unit).
_RESULT_UNITS: dict[str, dict[str, tuple[str, float]]] = {
    "stress": {METRIC: ("MPa", 1e6), US_CUSTOMARY: ("ksi", 6.894757293168361e6)},
    "mass_flux": {METRIC: ("kg/(m²·s)", 1.0), US_CUSTOMARY: ("lb/(ft²·s)", 4.882427636383051)},
    "distance": {METRIC: ("m", 1.0), US_CUSTOMARY: ("ft", 0.3048)},
    "ratio": {METRIC: ("", 1.0), US_CUSTOMARY: ("", 1.0)},
    "count": {METRIC: ("", 1.0), US_CUSTOMARY: ("", 1.0)},
    "seconds": {METRIC: ("s", 1.0), US_CUSTOMARY: ("s", 1.0)},
    "absolute_pressure": {METRIC: ("bar(a)", 1e5), US_CUSTOMARY: ("psia", 6894.757293168361)},
    "sound_level": {METRIC: ("dB", 1.0), US_CUSTOMARY: ("dB", 1.0)},
    "angle": {METRIC: ("°", math.pi / 180.0), US_CUSTOMARY: ("°", math.pi / 180.0)},
}

# What is small is read more easily in a smaller unit: below (limit, unit, SI value of the unit).
_SMALL = {
    ("energy", METRIC): (1e6, "kJ", 1e3),
    ("mass", METRIC): (0.1, "g", 1e-3),
    ("volume", METRIC): (0.1, "L", 1e-3),
    ("mass", US_CUSTOMARY): (0.045, "oz", 0.028349523125),
}

# What is large is read more easily in powers of ten: from (limit, unit, SI value of the unit).
_LARGE = {
    ("energy", US_CUSTOMARY): (
        (1.3558179483314004e6, "×\u00a010⁶\u00a0ft·lbf", 1.3558179483314004e6),
        (1.3558179483314004e4, "×\u00a010³\u00a0ft·lbf", 1.3558179483314004e3),
    ),
}

_PRETTY = {
    "W/m2/K": "W/(m²·K)", "W/m2": "W/m²", "kW/m2": "kW/m²", "Pa s": "Pa·s", "Pa m3": "Pa·m³",
    "psi ms": "psi·ms", "bar L": "bar·L", "psi ft3": "psi·ft³", "ft lbf": "ft·lbf",
    "W/m/K": "W/(m·K)", "Btu/h/ft/degF": "Btu/(h·ft·°F)", "m2 K/W": "m²·K/W",
    "h ft2 degF/Btu": "h·ft²·°F/Btu",
    "Btu/h/ft2": "Btu/(h·ft²)", "Btu/h/ft2/degF": "Btu/(h·ft²·°F)", "Btu/h/degF": "Btu/(h·°F)",
}  # fmt: skip


@dataclass(frozen=True)
class Units:
    """How the reader wants numbers: the unit set and the atmosphere that gauge is counted from."""

    name: str = METRIC
    ambient_pressure: float = quantities.STANDARD_ATMOSPHERE  # Pa


def pretty_unit(unit: str) -> str:
    """The unit as it is printed: degC becomes °C, m2 becomes m²."""
    if unit in _PRETTY:
        return _PRETTY[unit]
    for plain, printed in (("deg", "°"), ("m3", "m³"), ("m2", "m²"), ("ft3", "ft³")):
        unit = unit.replace(plain, printed)
    return unit.replace("in2", "in²")


def unit_of(kind: str, units: Units) -> str:
    """The unit that a kind of quantity is shown in, as printed; empty for plain numbers."""
    if kind in _RESULT_UNITS:
        return _RESULT_UNITS[kind][units.name][0]
    return pretty_unit(quantities.UNIT_SETS[units.name][kind])


def displayed(values: ArrayLike, kind: str, units: Units) -> NDArray[np.float64]:
    """SI values as numbers in the unit of ``unit_of``, for chart coordinates."""
    array = np.asarray(values, dtype=float)
    if kind in _RESULT_UNITS:
        return array / _RESULT_UNITS[kind][units.name][1]
    scale, offset = _linear(kind, units)
    return array * scale + offset


def kept_distance(metres: float, units: Units, digits: int = 2) -> str:
    """A distance to keep, rounded up and with its unit: nobody is told a shorter one than found.

    Parameters
    ----------
    metres
        Distance [m].
    units
        Unit set.
    digits
        Significant figures.
    """
    return f"{kept_number(metres, units, digits)}\u00a0{unit_of('distance', units)}"


def kept_number(metres: float, units: Units, digits: int = 2) -> str:
    """The number of ``kept_distance`` alone."""
    shown = float(displayed(metres, "distance", units))
    step = 10.0 ** (math.floor(math.log10(shown)) - digits + 1) if shown > 0.0 else 1.0
    return number_text(math.ceil(shown / step - 1e-9) * step, digits)


def temperature_down(kelvin: float, units: Units) -> str:
    """A temperature that something holds to, in whole degrees, rounded down, with its unit."""
    shown = math.floor(float(displayed(kelvin, "temperature", units)) + 1e-6)
    return f"{shown}\u00a0{unit_of('temperature', units)}"


def temperature_up(kelvin: float, units: Units) -> str:
    """A temperature that something can reach, in whole degrees, rounded up, with its unit."""
    shown = math.ceil(float(displayed(kelvin, "temperature", units)) - 1e-6)
    return f"{shown}\u00a0{unit_of('temperature', units)}"


def from_displayed(value: float, kind: str, units: Units) -> float:
    """The SI value of a number in the displayed unit; the inverse of ``displayed``."""
    if kind in _RESULT_UNITS:
        return value * _RESULT_UNITS[kind][units.name][1]
    scale, offset = _linear(kind, units)
    return (value - offset) / scale


def _linear(kind: str, units: Units) -> tuple[float, float]:
    unit = quantities.UNIT_SETS[units.name][kind]
    # Every unit is a straight line in SI; two points give it, also for °C and gauge pressure.
    low, high = (
        quantities.convert(si, kind, unit, ambient_pressure=units.ambient_pressure)
        for si in (1000.0, 2000.0)
    )
    scale = (high - low) / 1000.0
    return scale, low - 1000.0 * scale


def number_text(value: float, digits: int = 4) -> str:
    """A plain number with some significant figures, without exponent in any usual range."""
    if not math.isfinite(value):
        return tr(NOT_COMPUTED)
    return localised(quantities.plain_number(float(value), digits))


def localised(number: str) -> str:
    """A number in plain digits with the reader's decimal sign."""
    return number.replace(".", decimal_sign())


def with_decimals(text: str) -> str:
    """A text that the program wrote for a field, with the reader's decimal sign in its numbers.

    Both signs can be typed; what stands in a file is shown as it stands there.
    """
    return re.sub(r"(?<=\d)\.(?=\d)", decimal_sign(), text)


def quantity_text(value: float | None, kind: str, units: Units, digits: int = 4) -> str:
    """A quantity as read by people: number, unit, and for pressure whether gauge or absolute.

    Parameters
    ----------
    value : float or None
        SI value; None or not finite: "not computed".
    kind : str
        Kind of quantity, of ``airrisk.quantities`` or a result kind ("energy", "overpressure",
        "speed", "ratio", ...).
    units : Units
        Unit set and atmosphere.
    digits : int
        Significant figures.

    Returns
    -------
    str
        Number, a no-break space and the unit.
    """
    if value is None or not math.isfinite(value):
        return tr(NOT_COMPUTED)
    limit, small, size = _SMALL.get((kind, units.name), (0.0, "", 1.0))
    if 0.0 < abs(value) < limit:
        return f"{number_text(value / size, digits)}\u00a0{small}"
    for limit, large, size in _LARGE.get((kind, units.name), ()):
        if abs(value) >= limit:
            return f"{number_text(value / size, digits)}\u00a0{large}"
    number = float(displayed(value, kind, units))
    unit = unit_of(kind, units)
    if kind == "count":
        return f"{round(number)}"
    if kind == "temperature":
        number = round(number, 1)  # finer is never meant
    text = number_text(number, digits)
    return f"{text}\u00a0{unit}" if unit else text


def least_bore_text(bore: float, units: Units, digits: int = 3) -> str:
    """A smallest bore that is enough [m]; where the search ended before one was too small."""
    text = quantity_text(bore, "length", units, digits)
    return tr("at most {bore}").format(bore=text) if bore <= SMALLEST_TOLD else text


def absolute_text(value: float | None, units: Units, digits: int = 4) -> str:
    """An absolute pressure as such: bar(a) or psia."""
    if value is None or not math.isfinite(value):
        return tr(NOT_COMPUTED)
    unit, size = ("psia", 6894.757293168361) if units.name == US_CUSTOMARY else ("bar(a)", 1e5)
    return f"{number_text(value / size, digits)}\u00a0{unit}"


def gauge_text(value: float | None, units: Units, digits: int = 4) -> str:
    """A pressure given above the atmosphere (Pa gauge) in the displayed gauge unit."""
    if value is None or not math.isfinite(value):
        return tr(NOT_COMPUTED)
    unit, size = ("psig", 6894.757293168361) if units.name == US_CUSTOMARY else ("bar(g)", 1e5)
    return f"{number_text(value / size, digits)}\u00a0{unit}"


def added_pressure_text(value: float, units: Units, digits: int = 4) -> str:
    """A difference of pressure in the unit of gauge pressures, to stand beside one of them."""
    unit, size = ("psi", 6894.757293168361) if units.name == US_CUSTOMARY else ("bar", 1e5)
    return f"{number_text(value / size, digits)}\u00a0{unit}"


def liquid_text(value: float, units: Units, digits: int = 4) -> str:
    """A volume of liquid: litres or US gallons."""
    if units.name == US_CUSTOMARY:
        return f"{number_text(value / 3.785411784e-3, digits)}\u00a0gal(US)"
    return quantity_text(value, "volume", units, digits)


AT_ONCE = 1e-3  # s, what takes no longer: a valve that stands at its set pressure lifts at once


def time_text(seconds: float | None, digits: int = 3) -> str:
    """A time of a fire: seconds below two minutes, minutes to three hours, then hours."""
    if seconds is None or not math.isfinite(seconds):
        return tr(NOT_COMPUTED)
    size = abs(seconds)
    if size < AT_ONCE:
        return f"{number_text(0.0, digits)}\u00a0s"
    if size < 120.0:
        return f"{number_text(seconds, digits)}\u00a0s"
    if size < 10800.0:
        return f"{number_text(seconds / 60.0, digits)}\u00a0min"
    return f"{number_text(seconds / 3600.0, digits)}\u00a0h"


def percent_text(share: float | None, digits: int = 3) -> str:
    """A share of 1 in percent."""
    if share is None or not math.isfinite(share):
        return tr(NOT_COMPUTED)
    return f"{number_text(100.0 * share, digits)}\u00a0%"


_SUFFIX_KINDS = (
    ("_difference_k", "temperature_difference"),
    ("_margin_k", "temperature_difference"),
    ("_rise_k", "temperature_difference"),
    ("_above_k", "temperature_difference"),
    ("_pa_m3", "pressure_volume"),
    ("_pa_s", "impulse"),
    ("vapour_difference_pa", "added_pressure"),
    ("_incident_pa", "pressure_difference"),
    ("_reflected_pa", "pressure_difference"),
    ("_overpressure_pa", "pressure_difference"),
    ("_difference_pa", "pressure_difference"),
    ("_stress_pa", "stress"),
    ("_strength_pa", "stress"),
    ("_gauge_pa", "gauge"),
    ("_pa", "pressure"),
    ("_kg_s", "mass_flow"),
    ("_m3_s", "flow"),
    ("_m_s", "speed"),
    ("_w_m2_k", "heat_transfer"),
    ("_w_m2", "flux"),
    ("_w_k", "conductance"),
    ("_j_kg", "specific_energy"),
    ("_kg_m3", "density"),
    ("condensate_m3", "liquid"),
    ("wall_m", "length"),
    ("thickness_m", "length"),
    ("core_length_m", "length"),
    ("bore_m", "length"),
    ("diameter_m", "length"),
    ("_m3", "volume"),
    ("_m2", "area"),
    ("_m", "distance"),
    ("_k", "temperature"),
    ("_kg", "mass"),
    ("_s", "fire_time"),
    ("_j", "energy"),
    ("_n", "force"),
    ("_w", "power"),
    ("_db", "sound_level"),
    ("_share", "share"),
)


def kind_of_key(key: str) -> str:
    """The kind of quantity that a record key names by its unit suffix; "number" when it has none.

    "gauge" stands for a pressure given above the atmosphere, "fire_time" for seconds that are
    shown in the handiest of s, min and h, "added_pressure" for a rise of pressure in the unit of
    gauge pressures, "liquid" for a volume of water.
    """
    lowered = key.casefold()
    for suffix, kind in _SUFFIX_KINDS:
        if lowered.endswith(suffix) or lowered == suffix.lstrip("_"):
            return kind
    return "number"


def keyed_text(key: str, value: object, units: Units, digits: int = 4) -> str:
    """A value as text, its kind taken from the unit suffix of its key.

    Parameters
    ----------
    key : str
        Record key, for example ``peak_pressure_pa``.
    value : object
        SI number, name, date, list of names, or None.
    units : Units
        Unit set and atmosphere.
    digits : int
        Significant figures.
    """
    if value is None:
        return tr(NOT_COMPUTED)
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    if isinstance(value, (list, tuple, set, frozenset)):
        items = sorted(value) if isinstance(value, (set, frozenset)) else list(value)
        return and_list([keyed_text(key, item, units, digits) for item in items])
    if not isinstance(value, (int, float, np.integer, np.floating)):
        return choice_word(value) if isinstance(value, str) else str(value)
    kind = kind_of_key(key)
    number = float(value)
    if kind == "gauge":
        return gauge_text(number, units, digits)
    if kind == "fire_time":
        return time_text(number, min(digits, 3))
    if kind == "added_pressure":
        return added_pressure_text(number, units, digits)
    if kind == "liquid":
        return liquid_text(number, units, digits)
    if kind == "number" or kind not in _known(units):
        if isinstance(value, (int, np.integer)):
            return str(int(value))
        return number_text(number, digits)
    return quantity_text(number, kind, units, digits)


def _known(units: Units) -> set[str]:
    return {*_RESULT_UNITS, *quantities.UNIT_SETS[units.name]}


def and_list(names: list[str] | tuple[str, ...]) -> str:
    """Names joined as in a sentence: "A", "A and B", "A, B and C"; "none" for no name."""
    items = [str(name) for name in names]
    if not items:
        return tr("none")
    if len(items) == 1:
        return items[0]
    return tr("{words} and {last}").format(words=", ".join(items[:-1]), last=items[-1])
