"""What a fire run means: outcome, whether it is safe, what kept it, how near the limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from airrisk.firetest.run import FireRun
from airrisk.firetest.stepper import EMPTIED_USE

Outcome = Literal[
    "vents in time", "vents too late", "ruptures", "outlasts the fire", "not converged"
]
KeptBy = Literal["heat", "pressure", "none"]


@dataclass(frozen=True)
class Verdict:
    """The outcome of one run."""

    outcome: Outcome
    reason: str
    kept_by: KeptBy
    safe: bool
    peak_use: float  # of the worst vessel
    peak_pressure: float  # Pa absolute, over all spaces
    controlling_part: str
    limit: float


def classify(run: FireRun, limit: float | None = None) -> Verdict:
    """Outcome of a run over all its vessels, the first that applies.

    Not converged; ruptures, when the strength use of a vessel reaches 1 before a plug or disc
    opened; vents too late, when it does so afterwards, when the limit was passed or when a
    vessel was not emptied although a plug or disc opened; vents in time; outlasts the fire,
    when none opened. A relief valve is no vent for this purpose.

    Parameters
    ----------
    run
        A finished run.
    limit
        Largest strength use that counts as safe; left out: that of the case.

    Returns
    -------
    Verdict
        ``safe`` only for "vents in time", or "outlasts the fire" within the limit.
    """
    case = run.case
    limit = case.limit if limit is None else limit
    chosen = list(case.vessel_indices)
    uses = run.peak_use[chosen]
    worst = int(np.argmax(uses))
    peak = float(uses[worst])
    part = case.names[chosen[worst]]
    opened = run.first_vent is not None
    kinds = {event.event for event in run.events}

    def verdict(outcome: Outcome, reason: str, kept_by: KeptBy, safe: bool) -> Verdict:
        return Verdict(
            outcome, reason, kept_by, safe, peak, float(run.peak_pressure.max()), part, limit
        )

    if not run.converged or not np.all(np.isfinite(run.peak_use)):
        return verdict("not converged", run.status, "none", False)
    ruptured = np.flatnonzero(np.isfinite(run.rupture_time[chosen]))
    if ruptured.size:
        part = case.names[chosen[int(ruptured[0])]]
        if opened and run.first_vent < run.rupture_time[chosen[int(ruptured[0])]]:
            return verdict("vents too late", "ruptured although a device had opened", "none", False)
        return verdict("ruptures", "ruptured before a device opened", "none", False)
    if opened:
        kept_by: KeptBy = "heat" if "plug opens" in kinds else "pressure"
        if peak > limit:
            return verdict("vents too late", "limit passed", kept_by, False)
        emptied = np.isfinite(run.empty_time[chosen]) | (run.end_use[chosen] < EMPTIED_USE)
        if not np.all(emptied):
            part = case.names[chosen[int(np.argmin(emptied))]]
            return verdict("vents too late", "not emptied", kept_by, False)
        return verdict("vents in time", "emptied within the limit", kept_by, True)
    kept_by = "pressure" if "relief valve lifts" in kinds else "none"
    if peak > limit:
        return verdict("outlasts the fire", "limit passed", kept_by, False)
    return verdict("outlasts the fire", "within the limit", kept_by, True)
