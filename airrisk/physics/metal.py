"""Metals: strength on several bases against temperature, heat capacity, conductivity."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics.metal_kernel import FAMILY_CODES, heat_capacity
from airrisk.tables import read_toml

Array = NDArray[np.float64]

CARBON_BASES = ("tensile", "annex-a", "yield", "tensile-ky")
OTHER_BASES = ("ultimate", "proof")

# Largest strength use (gauge pressure / burst pressure) that still counts as safe on a basis.
# Judgement: the ultimate curves are averages of short tests, the proof curves leave reserve.
STRENGTH_USE_LIMITS = {
    "tensile": 0.667,
    "annex-a": 0.8,
    "yield": 1.0,
    "tensile-ky": 0.667,
    "ultimate": 0.667,
    "proof": 1.0,
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


@dataclass(frozen=True)
class Material:
    """One metal; strengths are cold values."""

    key: str
    name: str
    family: str  # carbon | stainless | aluminium | copper
    density: float  # kg/m3
    yield_min: float  # Pa
    tensile_min: float  # Pa
    tensile_max: float | None  # Pa; None: the grade states none
    emissivity: float
    max_temperature: float  # K, end of the strength curve
    source: str
    standing: str  # read | memory | judgement
    bases: tuple[str, ...]
    curve_key: str  # entry of strength_factors.toml
    curve_source: str
    curve_standing: str

    @property
    def high_strength(self) -> float:
        """Tensile strength of a strong specimen [Pa]: the grade's maximum or 1.25 x minimum."""
        return self.tensile_max if self.tensile_max is not None else 1.25 * self.tensile_min

    @property
    def family_code(self) -> int:
        """Number of the family in the compiled functions."""
        return FAMILY_CODES[self.family]


@cache
def materials() -> tuple[Material, ...]:
    """All metals, in the order of the data file."""
    factors = read_toml("strength_factors.toml")
    found = []
    for key, row in read_toml("materials.toml").items():
        family = row["family"]
        curve = factors[row.get("curve", family)]
        tensile_max = row.get("tensile_max_mpa")
        found.append(
            Material(
                key=key,
                name=row["name"],
                family=family,
                density=row["density"],
                yield_min=row["yield_mpa"] * 1e6,
                tensile_min=row["tensile_min_mpa"] * 1e6,
                tensile_max=None if tensile_max is None else tensile_max * 1e6,
                emissivity=row["emissivity"],
                max_temperature=curve["temperature_c"][-1] + 273.15,
                source=row["source"],
                standing=row["standing"],
                bases=CARBON_BASES if family == "carbon" else OTHER_BASES,
                curve_key=row.get("curve", family),
                curve_source=curve["source"],
                curve_standing=curve["standing"],
            )
        )
    return tuple(found)


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


def bases(key: str) -> tuple[str, ...]:
    """Strength bases of one metal, its own keys."""
    return material(key).bases


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
def strength_curve(key: str, basis: str) -> tuple[Array, Array]:
    """Strength against temperature as nodes joined by straight lines.

    Below the first node the strength is that of the first, above the last it is 0.

    Parameters
    ----------
    key : str
        Material.
    basis : str
        Strength basis; see ``resolve_basis``.

    Returns
    -------
    tuple
        Temperatures [K] and strengths [Pa], read-only arrays.

    Raises
    ------
    UnknownMaterial, UnknownBasis
        No such metal or basis.

    Source
    ------
    EN 1993-1-2 table 3.1 and annexes A and C, EN 1999-1-2; per metal in the data files.
    """
    metal = material(key)
    own = resolve_basis(key, basis)
    row = read_toml("strength_factors.toml")[metal.curve_key]
    t = np.array(row["temperature_c"], dtype=float)
    if metal.family != "carbon":
        cold = metal.tensile_min if own == "ultimate" else metal.yield_min
        values = cold * np.array(row[own], dtype=float)
    else:
        k_y = np.array(row["yield"], dtype=float)
        if own == "yield":
            values = metal.yield_min * k_y
        elif own == "tensile-ky":
            values = metal.tensile_min * k_y
        elif own == "annex-a":
            # f_u = 1.25 f_y to 300 C, f_y (2 - 0.0025 T) to 400 C, f_y,T above; at most Rm
            hardened = np.where(t <= 300.0, 1.25, np.where(t <= 400.0, 2.0 - 0.0025 * t, k_y))
            uncapped = metal.yield_min * hardened
            values = np.minimum(uncapped, metal.tensile_min)
            if uncapped[0] > metal.tensile_min:  # the cap ends between 300 and 400 C
                corner = (2.0 - metal.tensile_min / metal.yield_min) / 0.0025
                at = int(np.searchsorted(t, corner))
                t = np.insert(t, at, corner)
                values = np.insert(values, at, metal.tensile_min)
        else:
            # shape of annex A relative to its cold value: 1, 0.8 at 400 C, k_y / 1.25 above
            values = metal.tensile_min * np.where(t <= 300.0, 1.0, k_y / 1.25)
    kelvin = t + 273.15
    kelvin.flags.writeable = False
    values.flags.writeable = False
    return kelvin, values


def strength(key: str, basis: str, temperature: ArrayLike) -> Array:
    """Strength of a metal.

    Parameters
    ----------
    key : str
        Material.
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
    UnknownMaterial, UnknownBasis
        No such metal or basis.
    """
    t, values = strength_curve(key, basis)
    return np.interp(np.asarray(temperature, float), t, values, right=0.0)


def specific_heat(key: str, temperature: ArrayLike) -> Array:
    """Heat capacity of a metal.

    Parameters
    ----------
    key : str
        Material.
    temperature : array
        Temperature [K].

    Returns
    -------
    array
        Heat capacity [J/kg/K].

    Raises
    ------
    UnknownMaterial
        No metal has the key.

    Source
    ------
    EN 1993-1-2 3.4.1.2 and annex C, EN 1999-1-2; copper: Debye-like straight line, handbook.
    """
    code = material(key).family_code
    t = np.asarray(temperature, float)
    flat = [heat_capacity(code, float(value)) for value in t.ravel()]
    return np.array(flat).reshape(t.shape)


@cache
def enthalpy_curve(key: str) -> tuple[Array, Array]:
    """Heat content of a metal from 273.15 K, nodes every 2 K to 1600 K.

    Parameters
    ----------
    key : str
        Material.

    Returns
    -------
    tuple
        Temperatures [K] and enthalpies [J/kg], read-only arrays.
    """
    fine = np.arange(273.15, 1600.2, 0.25)
    c = specific_heat(key, fine)
    content = np.concatenate(([0.0], np.cumsum(0.5 * (c[1:] + c[:-1]) * np.diff(fine))))
    t, h = fine[::8].copy(), content[::8].copy()
    t.flags.writeable = False
    h.flags.writeable = False
    return t, h


def conductivity(key: str, temperature: ArrayLike) -> Array:
    """Thermal conductivity of a metal.

    Parameters
    ----------
    key : str
        Material.
    temperature : array
        Temperature [K].

    Returns
    -------
    array
        Conductivity [W/m/K].

    Raises
    ------
    UnknownMaterial
        No metal has the key.

    Source
    ------
    EN 1993-1-2 3.4.1.3 and annex C.3, EN 1999-1-2 3.3.2.3; copper: handbook, from memory.
    """
    metal = material(key)
    c = np.asarray(temperature, float) - 273.15
    if metal.family == "carbon":
        return np.where(c < 800.0, 54.0 - 0.0333 * c, 27.3)
    if metal.family == "stainless":
        return 14.6 + 0.0127 * c
    if metal.family == "aluminium":
        # groups 6000 and 5000 of the standard differ
        return 0.07 * c + 190.0 if metal.key.startswith("6") else 0.1 * c + 140.0
    return np.maximum(395.0 - 0.06 * c, 320.0)
