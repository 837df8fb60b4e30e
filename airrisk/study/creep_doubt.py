"""The doubt about how fast hot metal creeps: a safe fire with its damage counted by another law.

The verdict counts the lower bound of the rupture tests. The creep rate of the Omega method is
another way to the same number, from other tests: where it passes the limit of the damage the
verdict is not sure. The middle of the rupture tests is the optimistic edge and turns nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from airrisk.fire.creep_edges import by_omega, creep_edges
from airrisk.fire.outcome import classify
from airrisk.fire.run import FireRun
from airrisk.study.envelope import CREEP_RATE, Doubt, Envelope
from airrisk.study.fire_runs import STATED, Ending, FireStudy
from airrisk.study.records import CreepOtherwise

# damage from where the run that creeps most is looked at: a law would have to count fifty times
# as much to pass the limit, and none does where this much is used up
WORTH_ASKING = 0.01


def creep_otherwise(run: FireRun) -> CreepOtherwise | None:
    """The damage of the worst vessel by the middle of the tests and by the creep rate."""
    edges = creep_edges(run)
    deciding = [run.case.names[index] for index in run.case.vessel_indices]
    found = [edges[name] for name in deciding if name in edges]
    if not found:
        return None
    return CreepOtherwise(
        float(max(one.mean[-1] for one in found)), float(max(one.omega[-1] for one in found))
    )


def creep_doubt(
    study: FireStudy, whole: Envelope, runs: Mapping[str, Sequence[FireRun]]
) -> Doubt | None:
    """A safe fire with its creep damage counted by the creep rate.

    Parameters
    ----------
    study
        The fire.
    whole
        Its envelope, with the corner that creeps most.
    runs
        The runs as "stated" and the "worst" one.

    Returns
    -------
    Doubt or None
        The worst of those runs and of the one that creeps most; None: nothing to speak of.
    """
    asked = dict(runs)
    corner, damage = whole.most_crept
    if damage >= WORTH_ASKING and corner not in (STATED, whole.corner):
        asked["most creep"] = study.run([study.case(corner)])
    found: list[Doubt] = []
    for place, those in asked.items():
        for run in those:
            other = by_omega(run)
            if other is None:
                continue
            verdict = classify(other)
            if verdict.creep_damage >= WORTH_ASKING:
                ending = Ending(
                    verdict.outcome,
                    float(verdict.peak_use),
                    verdict.rupture_time,
                    verdict.limit,
                    verdict.creep_damage,
                )
                found.append(Doubt(CREEP_RATE, place, ending))  # type: ignore[arg-type]
    return max(found, key=lambda doubt: doubt.ending.rank(), default=None)
