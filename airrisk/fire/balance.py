"""Closure of mass and energy of a finished run, checked outside the solver."""

from __future__ import annotations

from dataclasses import dataclass

from airrisk.fire.run import FireRun
from airrisk.kernel import layout as at
from airrisk.physics.air import cv, internal_energy

MASS_TOLERANCE = 1e-6
ENERGY_TOLERANCE = 1e-5


@dataclass(frozen=True)
class Closure:
    """Inventory against flows; relative to the air and its energy at the start."""

    mass_rel: float
    energy_rel: float
    mass_out: float  # kg let out to the atmosphere
    mass_in: float  # kg from compressors
    heat: float  # J through the walls into the air

    @property
    def holds(self) -> bool:
        """Whether both are within their tolerance."""
        return self.mass_rel <= MASS_TOLERANCE and self.energy_rel <= ENERGY_TOLERANCE


def closure(run: FireRun) -> Closure:
    """Compare stored densities and temperatures with the cumulated flows of the output.

    For the section as a whole: air and energy in all its spaces, against what went to the
    atmosphere, came from compressors and passed the walls.

    Parameters
    ----------
    run
        A stored run.

    Returns
    -------
    Closure
        Relative to the start.
    """
    case = run.case
    n = len(case.spaces)
    block = int(case.integers[at.I_F_SPACE])
    volume = case.floats[block : block + n * at.S_SIZE].reshape(n, at.S_SIZE)[:, at.S_VOLUME]
    ends = run.states[[0, -1]]
    mass = ends[:, :n]
    temperature = ends[:, n : 2 * n]
    energy = mass * internal_energy(mass / volume, temperature)
    whole_mass = float(mass[0].sum())
    whole_energy = float((mass[0] * cv(mass[0] / volume, temperature[0]) * temperature[0]).sum())
    flows = run.cumulated
    mass_off = (mass[1] - mass[0]).sum() + flows.mass_out - flows.mass_in
    energy_off = (energy[1] - energy[0]).sum() + flows.energy_out - flows.energy_in - flows.heat
    return Closure(
        mass_rel=abs(float(mass_off)) / whole_mass,
        energy_rel=abs(float(energy_off)) / whole_energy,
        mass_out=flows.mass_out,
        mass_in=flows.mass_in,
        heat=flows.heat,
    )
