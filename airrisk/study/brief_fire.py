"""Quick answers about one fire for values that change many times a second."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from airrisk.fire.outcome import classify
from airrisk.fire.run import Workspace
from airrisk.fire.run import run as run_fire
from airrisk.installation.model import Installation
from airrisk.study.exposures import Exposure, exposures
from airrisk.study.fire_outcomes import answer_of, named_by, radiations, record_of
from airrisk.study.fire_runs import Corner, FireStudy
from airrisk.study.records import FireRecord
from airrisk.study.slices import fire_slice


def exposures_of(installation: Installation, part: str) -> tuple[Exposure, ...]:
    """The fires whose section holds this part and that reach it, all engulfed first."""
    name = part.casefold()
    return tuple(
        exposure
        for exposure in exposures(installation)
        if name in {holder.casefold() for holder in exposure.section.holders}
        and exposure.fire.share(part) > 0
    )


def exposure_like(installation: Installation, part: str, fire_id: str) -> Exposure | None:
    """The exposure of a part with this fire id, or its first one, None without any."""
    found = exposures_of(installation, part)
    return next((one for one in found if one.fire.id == fire_id), found[0] if found else None)


def brief_fire_record(
    installation: Installation,
    part: str,
    fire_id: str,
    on: dt.date,
    *,
    should_stop: Callable[[], bool] | None = None,
) -> FireRecord | None:
    """One run of a fire as stated and one in which nothing opens, and nothing else.

    Parameters
    ----------
    installation
        With the changed values.
    part
        Id of the vessel or line.
    fire_id
        Id of the fire; the first that reaches the part where it is not found.
    on
        Date that decides which plugs are credited.
    should_stop
        Asked at least every 50 ms.

    Returns
    -------
    FireRecord or None
        What two runs do not tell (the envelope, other basis, smallest bores, cures, balance) is
        empty, and ``safe`` is never true; None when no fire reaches the part. Where the inner
        radiation counts both ways the run is without it, which is practically always the worse.

    Raises
    ------
    FireCaseError
        The section cannot be run.
    """
    exposure = exposure_like(installation, part, fire_id)
    if exposure is None:
        return None
    cut = fire_slice(installation, exposure, on)
    study = FireStudy(cut, should_stop)
    radiation = radiations(study)[0]
    case = study.case(Corner(radiation=radiation))
    # one after the other: handing them to threads takes longer than running them
    space = Workspace()
    run, shut = (
        run_fire(one, workspace=space, should_stop=should_stop)
        for one in (case, case.without_devices())
    )
    verdict = classify(run)
    return FireRecord(
        **answer_of(study, run, verdict, shut, brief=True),
        **named_by(cut),
        safe=None if verdict.safe else False,
        smallest_bore_m={},
        by_basis={study.basis: verdict.outcome},
        inner_radiation=radiation,
        balance=None,
        runs=2,
    )


def settled_fire_record(
    installation: Installation,
    part: str,
    fire_id: str,
    on: dt.date,
    *,
    should_stop: Callable[[], bool] | None = None,
    early: Callable[[FireRecord], None] | None = None,
) -> FireRecord | None:
    """The whole record of a part's fire with the smallest bores, without cures.

    Parameters
    ----------
    installation
        The checked installation.
    part
        Id of the vessel or line.
    fire_id
        Id of the fire; the first that reaches the part where it is not found.
    on
        Date that decides which plugs are credited.
    should_stop
        Asked at least every 50 ms, also between the runs of a search.
    early
        Called with the record before the bores are searched, where they are.

    Returns
    -------
    FireRecord or None
        Latest melting point and thinnest wall are left out; None when no fire reaches the part.

    Raises
    ------
    FireCaseError
        The section cannot be run.
    """
    exposure = exposure_like(installation, part, fire_id)
    if exposure is None:
        return None
    cut = fire_slice(installation, exposure, on)
    return record_of(cut, cures=False, should_stop=should_stop, early=early)
