"""The pressure that a wall carries cold at the design stress."""

from __future__ import annotations

from airrisk.installation.geometry import burst_factor, shell_grade
from airrisk.installation.model import Line, Vessel

TENSILE_SAFETY = 2.4  # EN 13445-3, ferritic steel
PROOF_SAFETY = 1.5


def design_stress(part: Vessel | Line) -> float:
    """Allowable stress of a cylinder when cold, Pa: the lower of Rm/2.4 and Re/1.5.

    Of the zone beside the welds where welding softens the metal.

    Source
    ------
    EN 13445-3 clause 6, from memory.
    """
    steel = shell_grade(part)
    return min(steel.weld_tensile / TENSILE_SAFETY, steel.weld_yield / PROOF_SAFETY)


def carried_pressure(part: Vessel | Line) -> float:
    """Pressure above the atmosphere that shell and heads carry at the design stress, Pa."""
    steel = shell_grade(part)
    return min(
        cold / safety * burst_factor(part, "mean diameter", basis)
        for cold, safety, basis in (
            (steel.tensile_min, TENSILE_SAFETY, "tensile"),
            (steel.yield_min, PROOF_SAFETY, "yield"),
        )
    )
