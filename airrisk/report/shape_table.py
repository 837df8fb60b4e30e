"""Shape and surfaces of the vessel that decides: what the formulas take from its drawing."""

from __future__ import annotations

from airrisk.installation.geometry import (
    inner_surface,
    part_geometry,
    reckoned_head_wall,
    reckoned_wall,
    wetted_surface,
)
from airrisk.installation.model import Vessel
from airrisk.physics.metal import material
from airrisk.physics.shells import CROWN_RADIUS, KNUCKLE_RADIUS, TORISPHERICAL_SHARE
from airrisk.report.blocks import Table, table_of
from airrisk.wording.formulas import calculator_number
from airrisk.wording.translation import tr

METRE, SQUARE, CUBIC = "m", "m²", "m³"


def shape_table(vessel: Vessel, share: float | None) -> Table:
    """Radii, surfaces and factors of a vessel, SI, each with how it comes about.

    Parameters
    ----------
    vessel : Vessel
        That is worked out.
    share : float or None
        Of its outer surface in the fire that is followed; None: none is followed.
    """
    shape = part_geometry(vessel)
    wall, head = reckoned_wall(vessel), reckoned_head_wall(vessel)
    outside = vessel.inside_diameter + 2.0 * wall
    outer, density = shape.outer_surface, material(vessel.material).density
    rows = [
        (tr("Outside diameter D_o"), outside, METRE, tr("inside diameter and twice the wall")),
        (tr("Length between tangent lines L"), shape.cylinder_length, METRE,
         tr("typed, or what the volume leaves for it")),
        (tr("Volume of a head V_h"), shape.head_volume, CUBIC, _head_shape(vessel)),
        (tr("Outer surface of a head"), shape.head_outer_surface, SQUARE,
         tr("the inside, offset by the wall of the head, turned about its axis")),
        (tr("Metal of a head B_h"), shape.head_metal_mass / density, CUBIC,
         tr("surface in the middle of its wall, times the wall")),
        (tr("Outer surface"), outer, SQUARE,
         tr("π D_o L and both heads")),
        (tr("Inner surface A_i"), inner_surface(vessel), SQUARE,
         tr("π D L and both heads, scaled down to their inside")),
    ]  # fmt: skip
    if vessel.heads == "torispherical":
        rows[1:1] = [
            (tr("Crown radius of a head"), CROWN_RADIUS * outside, METRE,
             tr("{number} of the outside diameter, inside").format(
                 number=calculator_number(CROWN_RADIUS))),
            (tr("Knuckle radius of a head"), KNUCKLE_RADIUS * outside, METRE,
             tr("{number} of the outside diameter, inside").format(
                 number=calculator_number(KNUCKLE_RADIUS))),
            (tr("Factor of the head"), TORISPHERICAL_SHARE, "",
             tr("burst pressure of the head over that of a cylinder of its wall, judgement")),
        ]  # fmt: skip
    if head != wall:
        rows.insert(1, (tr("Wall of a head that counts"), head, METRE, tr("as typed, or measured")))
    if share is not None:
        rows.append(
            (tr("Surface in the fire"), share * outer, SQUARE,
             tr("{share} of the outer surface").format(share=calculator_number(share)))
        )  # fmt: skip
    if vessel.condensate > 0.0:
        rows.append(
            (tr("Surface wetted by the condensate"), wetted_surface(vessel), SQUARE,
             tr("outer surface over the water, in the lowest place"))
        )  # fmt: skip
    return table_of(
        [tr("Quantity"), tr("Value"), tr("How it comes about")],
        [[name, f"{calculator_number(value)} {unit}".strip(), how]
         for name, value, unit, how in rows],
        [2.0, 1.2, 4.0],
        (1,),
        strong_first=True,
    )  # fmt: skip


def _head_shape(vessel: Vessel) -> str:
    if vessel.heads == "torispherical":
        return tr("crown and knuckle with these radii, turned about its axis")
    if vessel.heads == "ellipsoidal":
        return tr("half of a spheroid, a quarter of the inside diameter deep")
    if vessel.heads == "hemispherical":
        return tr("half of a sphere")
    return tr("flat: none")
