"""Vessel and pipe geometry, metal mass, and the pressure at which they burst."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeVar, get_args

import numpy as np
from numpy.typing import NDArray

from airrisk.messages import said

Size = TypeVar("Size", float, NDArray[np.float64])

Heads = Literal["torispherical", "ellipsoidal", "hemispherical", "flat"]
HEADS: tuple[Heads, ...] = get_args(Heads)
BURST_FORMULAS = ("mean diameter", "Faupel", "thick wall")

CROWN_RADIUS = 1.0  # of a torispherical head, over the outside diameter of the shell
KNUCKLE_RADIUS = 0.1
PLATE_MINUS_TOLERANCE = 0.3e-3  # m, EN 10029 class B, the class EN 10028-1 asks for (memory)
PIPE_MINUS_TOLERANCE = 0.125  # EN 10216-1, EN 10217-1, ASTM A106 (memory)
# Burst of a formed head over that of the cylinder with the head's wall: judgement
ELLIPSOIDAL_SHARE = 1.0
TORISPHERICAL_SHARE = 0.8
# Limit load of a simply supported circular plate, p = 6 S (t/D)^2; the usual design rule
# t = 0.41 D sqrt(p/f) is the same
FLAT_PLATE = 6.0


class ShellError(ValueError):
    """A geometry that cannot be; ``field`` and ``value`` say which number."""

    def __init__(self, field: str, value: object, valid: str) -> None:
        self.field = field
        self.value = value
        self.valid = valid
        super().__init__(said("argument-must-be", field=field, value=value, valid=valid))

    def __reduce__(self):
        return type(self), (self.field, self.value, self.valid)


@dataclass(frozen=True)
class HeadGeometry:
    """One head, straight flange not counted."""

    depth: float  # m inside, from tangent plane to pole
    volume: float  # m3 inside
    outer_surface: float  # m2
    metal_volume: float  # m3, developed area at mid-wall times thickness


@dataclass(frozen=True)
class ShellGeometry:
    """A vessel or a length of pipe."""

    volume: float  # m3 inside, heads included
    outer_surface: float  # m2, heads included
    metal_mass: float  # kg, cylinder on the mean diameter, heads at developed area
    cylinder_length: float  # m
    head_volume: float  # m3 inside, one head
    head_outer_surface: float  # m2, one head
    head_metal_mass: float  # kg, one head
    overall_length: float  # m outside


def bore_area(diameter: Size) -> Size:
    """Area of a round opening of some diameter [m], in m2."""
    return 0.25 * math.pi * diameter**2


def cylinder_surface(inside_diameter: float, wall: Size) -> Size:
    """Outer surface of a cylinder for each metre of its length [m2/m]; sizes in m."""
    return math.pi * (inside_diameter + 2.0 * wall)


def cylinder_metal(inside_diameter: float, wall: Size) -> Size:
    """Metal of a cylinder for each metre of its length [m3/m]; sizes in m."""
    return math.pi * (inside_diameter + wall) * wall


def _torispherical(diameter: float, crown: float, knuckle: float) -> tuple[float, float, float]:
    """Depth, volume and area of a crown with knuckle, to the surface with these radii."""
    centre = 0.5 * diameter - knuckle
    half_angle = math.asin(centre / (crown - knuckle))
    cos_a = math.cos(half_angle)
    depth = crown - (crown - knuckle) * cos_a
    z = knuckle * cos_a
    angle = 0.5 * math.pi - half_angle
    cap_volume = math.pi * crown**3 / 3.0 * (2.0 - 3.0 * cos_a + cos_a**3)
    knuckle_volume = math.pi * (
        centre**2 * z
        + centre * (z * math.sqrt(knuckle**2 - z**2) + knuckle**2 * angle)
        + knuckle**2 * z
        - z**3 / 3.0
    )
    cap_area = 2.0 * math.pi * crown**2 * (1.0 - cos_a)
    knuckle_area = 2.0 * math.pi * knuckle * (centre * angle + knuckle * math.sin(angle))
    return depth, cap_volume + knuckle_volume, cap_area + knuckle_area


def _half_spheroid_area(radius: float, depth: float) -> float:
    squared = 1.0 - (depth / radius) ** 2
    e = math.sqrt(squared)
    return math.pi * radius**2 * (1.0 + (1.0 - squared) / e * math.atanh(e))


def head_geometry(
    inside_diameter: float, heads: str, wall: float, shell_wall: float | None = None
) -> HeadGeometry:
    """Volume, surface and metal of one head.

    Parameters
    ----------
    inside_diameter : float
        Inside diameter of the shell [m].
    heads : str
        torispherical (crown radius = outside diameter, knuckle a tenth of it, both inside),
        ellipsoidal (2:1 inside), hemispherical or flat.
    wall : float
        Head thickness [m].
    shell_wall : float
        Thickness of the cylinder [m], for the outside diameter; left out: ``wall``.

    Returns
    -------
    HeadGeometry
        Exact solids of revolution; the outside is the inside offset by the wall.

    Raises
    ------
    ShellError
        Unknown head.

    Source
    ------
    Geometry; shape of the torispherical head as in DIN 28011.
    """
    d, t = inside_diameter, wall
    outside = d + 2.0 * (t if shell_wall is None else shell_wall)
    if heads == "torispherical":
        crown, knuckle = CROWN_RADIUS * outside, KNUCKLE_RADIUS * outside
        depth, volume, _ = _torispherical(d, crown, knuckle)
        outer = _torispherical(d + 2.0 * t, crown + t, knuckle + t)[2]
        middle = _torispherical(d + t, crown + 0.5 * t, knuckle + 0.5 * t)[2]
        return HeadGeometry(depth, volume, outer, middle * t)
    if heads == "ellipsoidal":
        depth = 0.25 * d
        volume = math.pi * d**3 / 24.0
        outer = _half_spheroid_area(0.5 * d + t, depth + t)
        middle = _half_spheroid_area(0.5 * (d + t), depth + 0.5 * t)
        return HeadGeometry(depth, volume, outer, middle * t)
    if heads == "hemispherical":
        area = 2.0 * math.pi
        return HeadGeometry(
            0.5 * d,
            math.pi * d**3 / 12.0,
            area * (0.5 * d + t) ** 2,
            area * (0.5 * (d + t)) ** 2 * t,
        )
    if heads == "flat":
        disc = bore_area(outside)
        return HeadGeometry(0.0, 0.0, disc + math.pi * outside * t, disc * t)
    raise ShellError("heads", heads, said("one-of", words=", ".join(HEADS)))


def _positive(field: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise ShellError(field, value, "above 0")


def vessel_geometry(
    inside_diameter: float,
    wall: float,
    *,
    volume: float | None = None,
    cylinder_length: float | None = None,
    heads: str = "torispherical",
    head_wall: float | None = None,
    density: float = 7850.0,
) -> ShellGeometry:
    """Geometry and mass of a cylinder with two equal heads.

    Parameters
    ----------
    inside_diameter : float
        Inside diameter [m].
    wall : float
        Thickness of the cylinder [m].
    volume : float
        Inside volume, heads included [m3]; this or ``cylinder_length``, the length counts
        when both are given.
    cylinder_length : float
        Length between the tangent lines, straight flanges included [m].
    heads : str
        Kind of head, see ``head_geometry``.
    head_wall : float
        Thickness of the heads [m]; left out: ``wall``.
    density : float
        Density of the metal [kg/m3].

    Returns
    -------
    ShellGeometry
        Volume, surfaces, masses and lengths.

    Raises
    ------
    ShellError
        A number is not above 0, the heads alone hold more than the volume, or neither volume
        nor length is given.
    """
    t_head = wall if head_wall is None else head_wall
    for field, value in (
        ("inside_diameter", inside_diameter),
        ("wall_thickness", wall),
        ("head_thickness", t_head),
    ):
        _positive(field, value)
    head = head_geometry(inside_diameter, heads, t_head, wall)
    bore = bore_area(inside_diameter)
    if cylinder_length is None:
        if volume is None:
            raise ShellError("volume", None, said("given-or-cylinder-length"))
        _positive("volume", volume)
        length = (volume - 2.0 * head.volume) / bore
        if length < -1e-9 * inside_diameter:
            raise ShellError(
                "volume",
                volume,
                said("at-least-volume-of-heads", volume=f"{2.0 * head.volume:.4g}"),
            )
        length = max(length, 0.0)
    else:
        length = cylinder_length
        if not (math.isfinite(length) and length >= 0.0):
            raise ShellError("cylinder_length", length, said("zero-or-above"))
    head_mass = head.metal_volume * density
    return ShellGeometry(
        volume=bore * length + 2.0 * head.volume,
        outer_surface=cylinder_surface(inside_diameter, wall) * length + 2.0 * head.outer_surface,
        metal_mass=cylinder_metal(inside_diameter, wall) * length * density + 2.0 * head_mass,
        cylinder_length=length,
        head_volume=head.volume,
        head_outer_surface=head.outer_surface,
        head_metal_mass=head_mass,
        overall_length=length + 2.0 * (head.depth + t_head),
    )


def pipe_geometry(
    inside_diameter: float, wall: float, length: float, *, density: float = 7850.0
) -> ShellGeometry:
    """Geometry and mass of a length of pipe, ends not counted.

    Parameters
    ----------
    inside_diameter : float
        Inside diameter [m].
    wall : float
        Wall thickness [m].
    length : float
        Length [m].
    density : float
        Density of the metal [kg/m3].

    Returns
    -------
    ShellGeometry
        With heads of nothing.

    Raises
    ------
    ShellError
        A number is not above 0.
    """
    for field, value in (
        ("inside_diameter", inside_diameter),
        ("wall_thickness", wall),
        ("length", length),
    ):
        _positive(field, value)
    return ShellGeometry(
        volume=bore_area(inside_diameter) * length,
        outer_surface=cylinder_surface(inside_diameter, wall) * length,
        metal_mass=cylinder_metal(inside_diameter, wall) * length * density,
        cylinder_length=length,
        head_volume=0.0,
        head_outer_surface=0.0,
        head_metal_mass=0.0,
        overall_length=length,
    )


def effective_wall(wall: float, measured: bool, product: str = "plate") -> float:
    """Wall to reckon with: as measured, or the nominal wall less the usual minus tolerance.

    Parameters
    ----------
    wall : float
        Thickness as given [m].
    measured : bool
        Whether it is the thinnest measured one.
    product : str
        "plate" (less 0.3 mm, but not more than a tenth) or "pipe" (less 12.5 %).

    Returns
    -------
    float
        Thickness [m].

    Raises
    ------
    ShellError
        Unknown product.

    Source
    ------
    EN 10029 class B as EN 10028-1 asks for plate; EN 10216-1, EN 10217-1 and ASTM A106 for
    pipe; all from memory. The tenth, for thin strip, is judgement.
    """
    if product not in ("plate", "pipe"):
        raise ShellError("product", product, said("plate-or-pipe"))
    if measured:
        return wall
    if product == "pipe":
        return wall * (1.0 - PIPE_MINUS_TOLERANCE)
    return wall - min(PLATE_MINUS_TOLERANCE, 0.1 * wall)


def cylinder_stress_factor(
    inside_diameter: float, wall: float, formula: str = "mean diameter", yield_ratio: float = 1.0
) -> float:
    """Burst pressure of a cylinder over the strength of its metal.

    Parameters
    ----------
    inside_diameter : float
        Inside diameter [m].
    wall : float
        Wall thickness [m].
    formula : str
        "mean diameter": 2 t / (D + t); "thick wall": ln(Do/Di), fully plastic after Tresca;
        "Faupel": 2/sqrt(3) q (2 - q) ln(Do/Di).
    yield_ratio : float
        q, cold yield over tensile strength, for Faupel on a tensile-like strength; 1 for a
        strength that stands for yielding, which gives the fully plastic pressure after Mises.

    Returns
    -------
    float
        Factor.

    Raises
    ------
    ShellError
        Unknown formula, or a number not above 0.

    Source
    ------
    Mean diameter: EN 13445-3 7.4 with allowable stress replaced by strength; Faupel (1956),
    Trans. ASME 78, 1031; thick wall: fully plastic cylinder, Tresca.
    """
    _positive("inside_diameter", inside_diameter)
    _positive("wall_thickness", wall)
    if formula == "mean diameter":
        return 2.0 * wall / (inside_diameter + wall)
    log_ratio = math.log1p(2.0 * wall / inside_diameter)
    if formula == "thick wall":
        return log_ratio
    if formula == "Faupel":
        q = min(yield_ratio, 1.0)
        return 2.0 / math.sqrt(3.0) * q * (2.0 - q) * log_ratio
    raise ShellError("burst_formula", formula, said("one-of", words=", ".join(BURST_FORMULAS)))


def head_stress_factor(
    inside_diameter: float,
    wall: float,
    heads: str,
    formula: str = "mean diameter",
    yield_ratio: float = 1.0,
) -> float:
    """Burst pressure of a head over the strength of its metal.

    Parameters
    ----------
    inside_diameter : float
        Inside diameter [m].
    wall : float
        Head thickness [m].
    heads : str
        Kind of head.
    formula, yield_ratio : str, float
        As in ``cylinder_stress_factor``.

    Returns
    -------
    float
        Factor: sphere = twice the cylinder formula's; ellipsoidal 1.0 and torispherical 0.8
        times the cylinder's with the head's wall (judgement); flat 6 (t/D)^2.

    Raises
    ------
    ShellError
        Unknown head or formula.
    """
    if heads == "flat":
        _positive("inside_diameter", inside_diameter)
        _positive("head_thickness", wall)
        return FLAT_PLATE * (wall / inside_diameter) ** 2
    cylinder = cylinder_stress_factor(inside_diameter, wall, formula, yield_ratio)
    if heads == "hemispherical":
        # Mises and Tresca agree in a sphere, so the 2/sqrt(3) of the cylinder falls away
        return 2.0 * cylinder * (0.5 * math.sqrt(3.0) if formula == "Faupel" else 1.0)
    if heads == "ellipsoidal":
        return ELLIPSOIDAL_SHARE * cylinder
    if heads == "torispherical":
        return TORISPHERICAL_SHARE * cylinder
    raise ShellError("heads", heads, said("one-of", words=", ".join(HEADS)))


def burst_stress_factor(
    inside_diameter: float,
    wall: float,
    *,
    formula: str = "mean diameter",
    heads: str | None = None,
    head_wall: float | None = None,
    weld_factor: float = 1.0,
    yield_ratio: float = 1.0,
    head_strength: float = 1.0,
) -> float:
    """Gauge burst pressure over strength: the least of shell and heads, times weld factor.

    Parameters
    ----------
    inside_diameter : float
        Inside diameter [m].
    wall : float
        Thickness of the cylinder to reckon with [m].
    formula : str
        See ``cylinder_stress_factor``.
    heads : str
        Kind of head; left out for a pipe.
    head_wall : float
        Thickness of the heads to reckon with [m]; left out: ``wall``.
    weld_factor : float
        Strength of the welds over that of the plate.
    yield_ratio : float
        See ``cylinder_stress_factor``.
    head_strength : float
        Strength of the heads' metal over that of the cylinder's, which thickness may part.

    Returns
    -------
    float
        Factor; burst pressure above the atmosphere = strength x factor.

    Raises
    ------
    ShellError
        A number that cannot be, unknown head or formula.
    """
    _positive("weld_factor", weld_factor)
    factor = cylinder_stress_factor(inside_diameter, wall, formula, yield_ratio)
    if heads is not None:
        t_head = wall if head_wall is None else head_wall
        head = head_stress_factor(inside_diameter, t_head, heads, formula, yield_ratio)
        factor = min(factor, head * head_strength)
    return factor * weld_factor


def burst_pressure(
    inside_diameter: float,
    wall: float,
    strength: float,
    *,
    formula: str = "mean diameter",
    heads: str | None = None,
    head_wall: float | None = None,
    weld_factor: float = 1.0,
    yield_ratio: float = 1.0,
) -> float:
    """Pressure above the atmosphere at which a vessel or pipe gives way.

    Parameters
    ----------
    inside_diameter, wall : float
        Inside diameter and thickness [m].
    strength : float
        Strength of the metal at its temperature [Pa].
    formula, heads, head_wall, weld_factor, yield_ratio
        As in ``burst_stress_factor``.

    Returns
    -------
    float
        Gauge pressure [Pa].

    Raises
    ------
    ShellError
        A number that cannot be, unknown head or formula.
    """
    return strength * burst_stress_factor(
        inside_diameter,
        wall,
        formula=formula,
        heads=heads,
        head_wall=head_wall,
        weld_factor=weld_factor,
        yield_ratio=yield_ratio,
    )
