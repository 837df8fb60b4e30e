"""Quick answers about one fire for values that change many times a second."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace

from airrisk.firetest.run import Workspace
from airrisk.firetest.run import run as run_fire
from airrisk.installation.model import Installation
from airrisk.study.exposures import Exposure, exposures
from airrisk.study.fire_outcomes import answer_of, record_of
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
    like: FireRecord,
    on: dt.date,
    *,
    should_stop: Callable[[], bool] | None = None,
) -> FireRecord | None:
    """The fire of a full record again as stated, with changed values.

    Parameters
    ----------
    installation
        With the changed values.
    part
        Id of the vessel or line.
    like
        Full record whose inner radiation is kept.
    on
        Date that decides which plugs are credited.
    should_stop
        Asked at least every 50 ms.

    Returns
    -------
    FireRecord or None
        What two runs do not tell (the envelope, other basis, smallest bores, cures, balance) is
        empty, and ``safe`` is never true; None when no fire reaches the part.

    Raises
    ------
    FireCaseError
        The section cannot be run.
    """
    exposure = exposure_like(installation, part, like.id)
    if exposure is None:
        return None
    study = FireStudy(fire_slice(installation, exposure, on), should_stop)
    case = study.case(Corner(radiation=like.inner_radiation))
    # one after the other: handing them to threads takes longer than running them
    space = Workspace()
    run, shut = (
        run_fire(one, workspace=space, should_stop=should_stop)
        for one in (case, case.without_devices())
    )
    verdict = study.judge(run)
    return replace(
        like,
        **answer_of(study, run, verdict, shut, brief=True),
        safe=None if verdict.safe else False,
        sure=None,
        envelope=None,
        doubts=(),
        smallest_bore_m={},
        by_basis={study.basis: verdict.outcome},
        balance=None,
        bores={},
        cures=(),
        no_cure=None,
        uncredited={one.device: one.uncredited for one in study.cut.credits if one.uncredited},
        unconfirmed=study.cut.unconfirmed,
    )


def settled_fire_record(
    installation: Installation,
    part: str,
    fire_id: str,
    on: dt.date,
    *,
    should_stop: Callable[[], bool] | None = None,
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
    return record_of(fire_slice(installation, exposure, on), cures=False, should_stop=should_stop)
