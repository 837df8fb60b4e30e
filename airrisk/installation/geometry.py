"""Geometry and burst factor of the parts that hold air, from their records."""

from __future__ import annotations

from functools import lru_cache

from airrisk.installation.model import Line, Vessel
from airrisk.physics import metal, shells


def reckoned_wall(part: Vessel | Line) -> float:
    """Wall to reckon with [m]: the thinnest measured, else nominal less the minus tolerance."""
    product = "plate" if isinstance(part, Vessel) else "pipe"
    return shells.effective_wall(part.wall_thickness, part.measured, product)


def reckoned_head_wall(vessel: Vessel) -> float:
    """Head thickness to reckon with [m]."""
    nominal = vessel.wall_thickness if vessel.head_thickness is None else vessel.head_thickness
    return shells.effective_wall(nominal, vessel.measured)


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


@lru_cache(maxsize=4096)
def burst_factor(part: Vessel | Line, formula: str, basis: str, full_wall: bool = False) -> float:
    """Gauge burst pressure of a part over the strength of its metal.

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
        study) instead of the wall to reckon with.

    Returns
    -------
    float
        Factor.
    """
    steel = metal.material(part.material)
    own = metal.resolve_basis(part.material, basis)
    ratio = 1.0 if metal.is_proof_like(own) else steel.yield_min / steel.tensile_min
    weld = 1.0 if full_wall else part.weld_factor
    wall = part.wall_thickness if full_wall else reckoned_wall(part)
    if isinstance(part, Line):
        return shells.burst_stress_factor(
            part.inside_diameter, wall, formula=formula, weld_factor=weld, yield_ratio=ratio
        )
    nominal = part.wall_thickness if part.head_thickness is None else part.head_thickness
    return shells.burst_stress_factor(
        part.inside_diameter,
        wall,
        formula=formula,
        heads=part.heads,
        head_wall=nominal if full_wall else reckoned_head_wall(part),
        weld_factor=weld,
        yield_ratio=ratio,
    )
