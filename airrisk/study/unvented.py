"""Runs that end well although no device has vented the vessel: broken lines, plugs out of reach.

A run goes on when a line ruptures, and its vessels empty through the break. That keeps no promise:
such a run is not safe, and a vessel that was empty before a device opened was not vented by it. Nor
is one whose air cannot flow to any device that opened.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from airrisk.firetest.outcome import KeptBy, Verdict
from airrisk.firetest.run import FireRun
from airrisk.installation.model import Installation


def first_break(run: FireRun) -> str | None:
    """The first line that ruptures in a run beside its vessels."""
    found = [(event.time, event.part) for event in run.events if event.event == "line ruptures"]
    return min(found)[1] if found else None


def with_broken_line(run: FireRun, verdict: Verdict) -> Verdict:
    """The verdict, not safe where a line ruptures in the run."""
    line = first_break(run)
    if line is None or not verdict.safe:
        return verdict
    return replace(verdict, reason=f"{line} ruptures and lets the air out", safe=False)


def with_reach(
    installation: Installation,
    run: FireRun,
    verdict: Verdict,
    vent_times: Callable[[Installation, FireRun], Mapping[str, float]],
) -> Verdict:
    """The verdict, "outlasts the fire" where no device that opened has let out a vessel's air.

    Parameters
    ----------
    installation
        The checked installation.
    run
        A finished run.
    verdict
        Its outcome.
    vent_times
        Gives the time at which the air of each part first gets out through a device [s]; asked
        only where a broken line or a non-return valve leaves a doubt.
    """
    checks = any(valve.kind == "non-return" for valve in installation.valves)
    if verdict.outcome != "vents in time" or not (checks or first_break(run)):
        return verdict
    vents = vent_times(installation, run)
    for index in run.case.vessel_indices:
        empty = float(run.empty_time[index])
        opened = vents.get(run.case.names[index], math.inf)
        if opened < (math.inf if math.isnan(empty) else empty):
            return verdict
    lifts = any(event.event == "relief valve lifts" for event in run.events)
    kept_by: KeptBy = "pressure" if lifts else "none"
    reason = "within the limit, though no plug or disc lets its air out"
    return replace(verdict, outcome="outlasts the fire", reason=reason, kept_by=kept_by)
