"""Metals: strength on several bases against temperature, heat capacity."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics.metal_kernel import FAMILY_CODES
from airrisk.quantities import ZERO_CELSIUS
from airrisk.tables import read_toml

Array = NDArray[np.float64]

CARBON_BASES = ("tensile", "annex-a", "yield", "tensile-ky")
OTHER_BASES = ("ultimate", "proof")

# Largest strength use (gauge pressure / burst pressure) that still counts as safe on a basis.
# Judgement: the ultimate curves are averages of short tests. Yielding counts like annex A, of
# which k_y is the strength above 400 C, without reserve beyond it. The optimistic basis has the
# limit that lets no more pass than the tensile one does (0.8 x 0.667), which is the same curve
# times 0.8 from 400 C.
STRENGTH_USE_LIMITS = {
    "tensile": 0.667,
    "annex-a": 0.8,
    "yield": 0.8,
    "tensile-ky": 0.533,
    "ultimate": 0.667,
    "proof": 0.8,
}

# What a basis chosen in the words of carbon steel means for a metal that has not got it: the
# strength of the same kind; annex A extends the yield point, so it falls to the proof strength.
_STANDS_FOR = {
    "tensile": "ultimate",
    "tensile-ky": "ultimate",
    "annex-a": "proof",
    "yield": "proof",
    "ultimate": "tensile",
    "proof": "yield",
}


class UnknownMaterial(KeyError):
    """No metal has this key; ``known`` are the keys there are."""

    def __init__(self, key: str, known: tuple[str, ...]) -> None:
        self.key = key
        self.known = known
        super().__init__(key)

    def __str__(self) -> str:
        return f"unknown material {self.key!r}; known are {', '.join(self.known)}"

    def __reduce__(self):
        return type(self), (self.key, self.known)


class UnknownBasis(ValueError):
    """No metal has this strength basis."""

    def __init__(self, basis: str) -> None:
        self.basis = basis
        super().__init__(
            f"unknown strength basis {basis!r}; known are {', '.join(STRENGTH_USE_LIMITS)}"
        )

    def __reduce__(self):
        return type(self), (self.basis,)


class TooThick(ValueError):
    """No strength is known of a metal in this thickness; ``greatest`` [m] is still known."""

    def __init__(self, key: str, thickness: float, greatest: float) -> None:
        self.key = key
        self.thickness = thickness
        self.greatest = greatest
        super().__init__(
            f"{key} of {thickness * 1e3:.4g} mm: strength known to {greatest * 1e3:.4g} mm"
        )

    def __reduce__(self):
        return type(self), (self.key, self.thickness, self.greatest)


@dataclass(frozen=True)
class Material:
    """One metal, whatever its thickness; its strength is that of a ``Grade``."""

    key: str
    name: str
    family: str  # carbon | stainless | aluminium | copper
    density: float  # kg/m3
    emissivity: float
    max_temperature: float  # K, end of the strength curve
    source: str
    bases: tuple[str, ...]
    curve_key: str  # entry of strength_factors.toml
    creep: str | None  # entry of creep.toml; None: no data
    curve_source: str
    curve_standing: str

    @property
    def family_code(self) -> int:
        """Number of the family in the compiled functions."""
        return FAMILY_CODES[self.family]


@dataclass(frozen=True)
class Grade:
    """What a metal promises up to a thickness; strengths are cold values."""

    metal: Material
    greatest_thickness: float  # m, up to which these values hold
    yield_min: float  # Pa
    tensile_min: float  # Pa
    tensile_max: float | None  # Pa; None: the grade states none
    weld_yield: float  # Pa, in the zone that welding has softened; where nothing is, yield_min
    weld_tensile: float  # Pa, likewise
    standing: str  # read | memory | judgement

    @property
    def high_strength(self) -> float:
        """Tensile strength of a strong specimen [Pa]: the grade's maximum or 1.25 x minimum."""
        return self.tensile_max if self.tensile_max is not None else 1.25 * self.tensile_min

    def weld_share(self, basis: str) -> float:
        """Strength of the softened zone beside a weld over that of the metal, on a basis."""
        if is_proof_like(resolve_basis(self.metal.key, basis)):
            return self.weld_yield / self.yield_min
        return self.weld_tensile / self.tensile_min

    def yield_ratio(self, basis: str, welded: bool = True) -> float:
        """Yield over tensile strength, beside the weld if welded; 1 where yielding is the limit."""
        if is_proof_like(resolve_basis(self.metal.key, basis)):
            return 1.0
        if welded:
            return self.weld_yield / self.weld_tensile
        return self.yield_min / self.tensile_min


def _of_each(value: object, count: int) -> tuple[Any, ...]:
    """A list of the data file, one entry a thickness; one value stands for all."""
    found = tuple(value) if isinstance(value, list) else (value,) * count
    if len(found) != count:
        raise ValueError(f"{value}: must have {count} entries, as many as to_mm")
    return found


def _grades_of(metal: Material, row: Mapping[str, Any]) -> tuple[Grade, ...]:
    to_mm = row.get("to_mm", [math.inf])
    columns = [
        _of_each(row.get(name), len(to_mm))
        for name in (
            "yield_mpa", "tensile_min_mpa", "tensile_max_mpa", "weld_yield_mpa",
            "weld_tensile_mpa", "standing",
        )
    ]  # fmt: skip
    return tuple(
        Grade(
            metal=metal,
            greatest_thickness=greatest * 1e-3,
            yield_min=yield_mpa * 1e6,
            tensile_min=tensile_mpa * 1e6,
            tensile_max=None if most is None else most * 1e6,
            weld_yield=(yield_mpa if weld_yield is None else weld_yield) * 1e6,
            weld_tensile=(tensile_mpa if weld_tensile is None else weld_tensile) * 1e6,
            standing=standing,
        )
        for greatest, yield_mpa, tensile_mpa, most, weld_yield, weld_tensile, standing in zip(
            to_mm, *columns, strict=True
        )
    )


@cache
def _all_grades() -> dict[str, tuple[Grade, ...]]:
    """Grades of every metal, thinnest first, in the order of the data file."""
    factors = read_toml("strength_factors.toml")
    found: dict[str, tuple[Grade, ...]] = {}
    for key, row in read_toml("materials.toml").items():
        family = row["family"]
        curve = factors[row.get("curve", family)]
        metal = Material(
            key=key,
            name=row["name"],
            family=family,
            density=row["density"],
            emissivity=row["emissivity"],
            max_temperature=curve["temperature_c"][-1] + ZERO_CELSIUS,
            source=row["source"],
            bases=CARBON_BASES if family == "carbon" else OTHER_BASES,
            curve_key=row.get("curve", family),
            creep=row.get("creep"),
            curve_source=curve["source"],
            curve_standing=curve["standing"],
        )
        found[key] = _grades_of(metal, row)
    return found


@cache
def materials() -> tuple[Material, ...]:
    """All metals, in the order of the data file."""
    return tuple(grades[0].metal for grades in _all_grades().values())


@cache
def _by_key() -> dict[str, Material]:
    return {metal.key.casefold(): metal for metal in materials()}


def material(key: str) -> Material:
    """The metal with this key, compared without case.

    Raises
    ------
    UnknownMaterial
        No metal has the key.
    """
    try:
        return _by_key()[key.casefold()]
    except KeyError:
        raise UnknownMaterial(key, tuple(metal.key for metal in materials())) from None


def grades(key: str) -> tuple[Grade, ...]:
    """What a metal promises at its thicknesses, thinnest first.

    Raises
    ------
    UnknownMaterial
        No metal has the key.
    """
    return _all_grades()[material(key).key]


def grade(key: str, thickness: float) -> Grade:
    """What a metal promises in a thickness.

    Parameters
    ----------
    key : str
        Material.
    thickness : float
        Of the plate or pipe as ordered [m].

    Returns
    -------
    Grade
        The values of the first thickness of the standard that is not less.

    Raises
    ------
    UnknownMaterial
        No metal has the key.
    TooThick
        Thicker than the data reach.
    """
    found = grades(key)
    for one in found:
        if thickness <= one.greatest_thickness * (1.0 + 1e-9):
            return one
    raise TooThick(material(key).key, thickness, found[-1].greatest_thickness)


def resolve_basis(key: str, basis: str) -> str:
    """The metal's own basis for a chosen one.

    Parameters
    ----------
    key : str
        Material.
    basis : str
        Any basis key; for metals other than carbon steel "tensile" and "tensile-ky" mean
        "ultimate", "yield" and "annex-a" mean "proof"; for carbon steel the reverse.

    Returns
    -------
    str
        A key of ``bases(key)``.

    Raises
    ------
    UnknownMaterial
        No metal has the key.
    UnknownBasis
        No metal has such a basis.
    """
    own = material(key).bases
    if basis in own:
        return basis
    if basis not in _STANDS_FOR:
        raise UnknownBasis(basis)
    return _STANDS_FOR[basis]


def is_proof_like(basis: str) -> bool:
    """Whether the basis stands for the onset of yielding rather than for the tensile strength."""
    if basis not in STRENGTH_USE_LIMITS:
        raise UnknownBasis(basis)
    return basis in ("yield", "proof")


@cache
def strength_curve(grade: Grade, basis: str) -> tuple[Array, Array]:
    """Strength of the unwelded metal against temperature as nodes joined by straight lines.

    Below the first node the strength is that of the first, above the last it is 0.

    Parameters
    ----------
    grade : Grade
        Metal in its thickness.
    basis : str
        Strength basis; see ``resolve_basis``.

    Returns
    -------
    tuple
        Temperatures [K] and strengths [Pa], read-only arrays.

    Raises
    ------
    UnknownBasis
        No such basis.

    Source
    ------
    EN 1993-1-2 table 3.1 and annexes A and C, EN 1999-1-2; per metal in the data files.
    """
    metal = grade.metal
    own = resolve_basis(metal.key, basis)
    row = read_toml("strength_factors.toml")[metal.curve_key]
    t = np.array(row["temperature_c"], dtype=float)
    if metal.family != "carbon":
        cold = grade.tensile_min if own == "ultimate" else grade.yield_min
        values = cold * np.array(row[own], dtype=float)
    else:
        k_y = np.array(row["yield"], dtype=float)
        if own == "yield":
            values = grade.yield_min * k_y
        elif own == "tensile-ky":
            values = grade.tensile_min * k_y
        elif own == "annex-a":
            # f_u = 1.25 f_y to 300 C, f_y (2 - 0.0025 T) to 400 C, f_y,T above; at most Rm
            hardened = np.where(t <= 300.0, 1.25, np.where(t <= 400.0, 2.0 - 0.0025 * t, k_y))
            uncapped = grade.yield_min * hardened
            values = np.minimum(uncapped, grade.tensile_min)
            if uncapped[0] > grade.tensile_min:  # the cap ends between 300 and 400 C
                corner = (2.0 - grade.tensile_min / grade.yield_min) / 0.0025
                at = int(np.searchsorted(t, corner))
                t = np.insert(t, at, corner)
                values = np.insert(values, at, grade.tensile_min)
        else:
            # shape of annex A relative to its cold value: 1, 0.8 at 400 C, k_y / 1.25 above
            values = grade.tensile_min * np.where(t <= 300.0, 1.0, k_y / 1.25)
    kelvin = t + ZERO_CELSIUS
    kelvin.flags.writeable = False
    values.flags.writeable = False
    return kelvin, values


def strength(grade: Grade, basis: str, temperature: ArrayLike) -> Array:
    """Strength of the unwelded metal.

    Parameters
    ----------
    grade : Grade
        Metal in its thickness.
    basis : str
        Strength basis; see ``resolve_basis``.
    temperature : array
        Temperature [K].

    Returns
    -------
    array
        Strength [Pa]; 0 beyond the curve.

    Raises
    ------
    UnknownBasis
        No such basis.
    """
    t, values = strength_curve(grade, basis)
    return np.interp(np.asarray(temperature, float), t, values, right=0.0)


def strength_over(one: Grade, other: Grade, basis: str) -> float:
    """Strength of a metal in one thickness over that in another, the least at any temperature."""
    if one is other:
        return 1.0
    t = np.union1d(strength_curve(one, basis)[0], strength_curve(other, basis)[0])
    below = strength(other, basis, t)
    firm = below > 0.0
    return float(np.min(strength(one, basis, t)[firm] / below[firm]))
