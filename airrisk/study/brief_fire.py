"""Quick answers about one fire for values that change many times a second."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from typing import Literal

from airrisk.firetest.run import Workspace
from airrisk.firetest.run import run as run_fire
from airrisk.installation.model import Installation
from airrisk.study.exposures import Exposure, exposures
from airrisk.study.fire_cures import search_bores
from airrisk.study.fire_outcomes import FireStudy, Setting, answer_of, fire_record
from airrisk.study.records import FireRecord
from airrisk.study.steam import judge

CREDITS: tuple[Literal["as fitted", "none"], ...] = ("as fitted", "none")


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
    """The fire of a full record again with changed values, at the setting that ruled there.

    Parameters
    ----------
    installation
        With the changed values.
    part
        Id of the vessel or line.
    like
        Full record whose start pressure and inner radiation are kept.
    on
        Date that decides which plugs are credited.
    should_stop
        Asked at least every 50 ms.

    Returns
    -------
    FireRecord or None
        What two runs do not tell (other basis, smallest bores, cures, balance) is empty; None
        when no fire reaches the part.

    Raises
    ------
    FireCaseError
        The section cannot be run.
    """
    exposure = exposure_like(installation, part, like.id)
    if exposure is None:
        return None
    study = FireStudy(installation, exposure, on, should_stop)
    basis = installation.choices.strength_basis
    setting = Setting(like.start, like.inner_radiation, basis)
    # one after the other: handing them to threads takes longer than running them
    space = Workspace()
    run, bare = (
        run_fire(study.case(setting, credit), workspace=space, should_stop=should_stop)
        for credit in CREDITS
    )
    verdict = judge(installation, run)
    return replace(
        like,
        **answer_of(installation, exposure, run, verdict, bare, brief=True),
        smallest_bore_m={},
        by_basis={basis: verdict.outcome},
        balance=None,
        bores={},
        cures=(),
        outcome_if_plugs_work=None,
        convection_doubt={},
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
    record = fire_record(installation, exposure, on, bores=False, should_stop=should_stop)
    if record.outcome == "not converged" or exposure.default_case not in (None, "a"):
        return record
    study = FireStudy(installation, exposure, on, should_stop)
    setting = Setting(record.start, record.inner_radiation, installation.choices.strength_basis)
    found = search_bores(study, setting, extras=False)
    smallest = {plug: search.exact_m for plug, search in found.items()}
    return replace(record, bores=found, smallest_bore_m=smallest)
