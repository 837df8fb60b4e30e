"""Geometry and burst factor of the parts that hold air, from their records."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import TypeVar

from airrisk.installation.model import Line, Vessel
from airrisk.physics import metal, shells
from airrisk.physics.roots import bracketed_root

# Of the volume. Water as full as that takes a fifth more room at 232 degC (its density falls from
# 998 to 825 kg/m3, IAPWS-95 tables) and squeezes the air above it, which no run reckons with.
Holder = TypeVar("Holder", Vessel, Line)

MOST_CONDENSATE = 0.5  # above it nothing is computed; judgement
MUCH_CONDENSATE = 0.2  # above it nothing is sure; judgement


def reckoned_wall(part: Vessel | Line) -> float:
    """Wall to reckon with [m]: the thinnest measured, else nominal less the minus tolerance.

    A dated reading that is thinner than that takes its place, whatever the file says of the wall.
    """
    product = "plate" if isinstance(part, Vessel) else "pipe"
    return shells.effective_wall(part.wall_thickness, part.measured, product) * (
        part.worn_to or 1.0
    )


def reckoned_head_wall(vessel: Vessel) -> float:
    """Head thickness to reckon with [m]."""
    nominal = vessel.wall_thickness if vessel.head_thickness is None else vessel.head_thickness
    return shells.effective_wall(nominal, vessel.measured) * (vessel.head_worn_to or 1.0)


def worn(part: Holder, thinnest: float) -> Holder:
    """A part with its thinnest reading as the wall to reckon with, where that is less.

    Where on the part it was read is known in words only, so that it counts for shell and heads.

    Parameters
    ----------
    part
        Without a reading.
    thinnest
        Reading [m].
    """
    shell = _less_than_all(thinnest / reckoned_wall(part))
    if isinstance(part, Vessel):
        head = _less_than_all(thinnest / reckoned_head_wall(part))
        return replace(part, worn_to=shell, head_worn_to=head)
    return replace(part, worn_to=shell)


def _less_than_all(share: float) -> float | None:
    return share if share < 1.0 else None


def condensate_share(part: Vessel | Line) -> float:
    """How much of the volume of a part its condensate fills."""
    from airrisk.installation.sections import holder_volume  # its graphs take long to load

    return part.condensate / holder_volume(part)


@lru_cache(maxsize=4096)
def part_geometry(part: Vessel | Line) -> shells.ShellGeometry:
    """Volume, surface and metal mass of a part, with the wall to reckon with.

    Raises
    ------
    ShellError
        The numbers do not make a vessel or pipe.
    """
    density = metal.material(part.material).density
    wall = reckoned_wall(part)
    if isinstance(part, Line):
        return shells.pipe_geometry(part.inside_diameter, wall, part.length, density=density)
    return shells.vessel_geometry(
        part.inside_diameter,
        wall,
        cylinder_length=part.cylinder_length,
        heads=part.heads,
        head_wall=reckoned_head_wall(part),
        density=density,
    )


def inner_surface(part: Vessel | Line) -> float:
    """Inner surface of a part with its heads, m2; that of a head is its outer one scaled down."""
    shape, bore = part_geometry(part), part.inside_diameter
    surface = math.pi * bore * shape.cylinder_length
    if isinstance(part, Line):
        return surface
    share = bore / (bore + 2.0 * reckoned_head_wall(part))
    return surface + 2.0 * shape.head_outer_surface * share**2


def wetted_surface(part: Vessel | Line) -> float:
    """Outer surface over the condensate of a part, which stands in its lowest place, m2.

    Upright: the bottom head, in part as the surface of a shallow cap over its volume, then the
    cylinder. Lying vessels and lines: the same share of the whole surface as of the
    circumference.
    """
    shape, water = part_geometry(part), part.condensate
    if isinstance(part, Line) or part.orientation == "horizontal":
        wanted = 2.0 * math.pi * min(water / shape.volume, 1.0)
        angle = bracketed_root(
            lambda a: a - math.sin(a) - wanted, 0.0, 2.0 * math.pi, tolerance=1e-6
        )
        return shape.outer_surface * angle / (2.0 * math.pi)
    if water < shape.head_volume:
        return shape.head_outer_surface * math.sqrt(water / shape.head_volume)
    above = 4.0 * (water - shape.head_volume) / part.inside_diameter
    return min(shape.head_outer_surface + above, shape.outer_surface)


def shell_grade(part: Vessel | Line) -> metal.Grade:
    """The metal of the cylinder in its thickness as ordered.

    Raises
    ------
    TooThick
        Thicker than the data of the metal reach.
    """
    return metal.grade(part.material, part.wall_thickness)


def head_grade(vessel: Vessel) -> metal.Grade:
    """The metal of the heads in their thickness as ordered; raises as ``shell_grade``."""
    nominal = vessel.wall_thickness if vessel.head_thickness is None else vessel.head_thickness
    return metal.grade(vessel.material, nominal)


def weld_share(part: Vessel | Line, basis: str, full_wall: bool = False) -> float:
    """Strength that the seams leave over that of the metal: weld factor times softened zone.

    Parameters
    ----------
    part
        Vessel or line.
    basis
        Strength basis.
    full_wall
        Whether sound welds that soften nothing are taken, as for a strong specimen.

    Returns
    -------
    float
        Share of the strength of the cylinder's metal. The weld factor is about the soundness of
        the seams and leaves the softening out, so that neither is counted twice.
    """
    if full_wall:
        return 1.0
    return part.weld_factor * shell_grade(part).weld_share(basis)


@lru_cache(maxsize=4096)
def burst_factor(
    part: Vessel | Line,
    formula: str,
    basis: str,
    full_wall: bool = False,
    metal_of: Vessel | Line | None = None,
) -> float:
    """Gauge burst pressure of a part over the strength of the metal of its cylinder.

    Parameters
    ----------
    part
        Vessel or line.
    formula
        Burst formula of the choices.
    basis
        Strength basis, which decides the yield ratio of Faupel's formula.
    full_wall
        Whether to use the stated wall and sound welds (the high strength of the consequence
        study) instead of the wall to reckon with and the weaker of metal and weld zone.
    metal_of
        The part whose thicknesses decide the grade; left out: ``part``. For walls that only
        scatter about the one that was ordered.

    Returns
    -------
    float
        Factor.

    Raises
    ------
    TooThick
        Thicker than the data of the metal reach.
    """
    ordered = part if metal_of is None else metal_of
    shell = shell_grade(ordered)
    ratio = shell.yield_ratio(basis, welded=not full_wall)
    weld = weld_share(ordered, basis, full_wall)
    wall = part.wall_thickness if full_wall else reckoned_wall(part)
    if isinstance(part, Line):
        return shells.burst_stress_factor(
            part.inside_diameter, wall, formula=formula, weld_factor=weld, yield_ratio=ratio
        )
    heads = head_grade(ordered) if isinstance(ordered, Vessel) else shell
    nominal = part.wall_thickness if part.head_thickness is None else part.head_thickness
    return shells.burst_stress_factor(
        part.inside_diameter,
        wall,
        formula=formula,
        heads=part.heads,
        head_wall=nominal if full_wall else reckoned_head_wall(part),
        weld_factor=weld,
        yield_ratio=ratio,
        head_strength=metal.strength_over(heads, shell, basis),
    )
