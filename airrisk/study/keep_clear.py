"""How far a pool that can burn must stay from a vessel, so that the vessel is safe in its fire."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from airrisk.installation.model import FireSource, Installation, Vessel
from airrisk.installation.sections import Section, section_of, shut_in
from airrisk.study.envelope import envelope, run_corners
from airrisk.study.exposures import Exposure
from airrisk.study.fire_runs import STATED, Corner, FireStudy, StopTest
from airrisk.study.outlines import touching
from airrisk.study.side_by_side import side_by_side
from airrisk.study.slices import Slicer
from airrisk.study.source_flames import diameter_of
from airrisk.study.standing_fires import source_fire
from airrisk.verdict.rule import is_safe

FARTHEST = 100.0  # m between the pool's edge and the shell
STEP = 0.25  # m, the answer is rounded up to it


def keep_clear(
    installation: Installation,
    source: FireSource,
    slicer: Slicer,
    should_stop: StopTest | None = None,
) -> Mapping[str, float | None]:
    """Least distance between a pool's edge and each vessel's shell that leaves the vessel safe.

    The pool is moved along the line between their middles and heats that vessel alone, shut in
    with all that valves leave with it; every run of the envelope must be safe. Nearer than the
    answer it is not, beyond it the flux only falls.

    Parameters
    ----------
    installation
        With the places of its vessels.
    source
        The pool, as large as it is.
    slicer
        Of the installation.
    should_stop
        Asked at least every 50 ms.

    Returns
    -------
    mapping of str to float or None
        m, 0: safe with the pool beside it, not over it; None: not even at ``FARTHEST``. Vessels
        without a place are missing.

    Raises
    ------
    Cancelled
        ``should_stop`` said so.
    FireCaseError
        A section cannot be run.
    """
    sections = shut_in(installation)

    def ask(vessel: Vessel) -> float | None:
        section = section_of(sections, vessel.id)
        return _nearest(_holding(installation, source, vessel, section, slicer, should_stop))

    placed = [vessel for vessel in installation.vessels if vessel.at is not None]
    return dict(zip((one.id for one in placed), side_by_side(ask, placed), strict=True))


def _holding(
    installation: Installation,
    source: FireSource,
    vessel: Vessel,
    section: Section,
    slicer: Slicer,
    should_stop: StopTest | None,
) -> Callable[[float], bool]:
    """Whether a vessel is safe with the pool so far from it, m from edge to shell."""
    at = vessel.at or (0.0, 0.0)
    x, y = source.at[0] - at[0], source.at[1] - at[1]
    away = math.hypot(x, y)
    along = (x / away, y / away) if away > 0.0 else (1.0, 0.0)
    together = touching(vessel, source.at, 0.5 * diameter_of(source))

    # asked first: most that fail do so as stated, or where the one before it failed
    hard: list[Corner] = [STATED]

    def holds(gap: float) -> bool:
        distance = together + gap
        moved = replace(source, at=(at[0] + distance * along[0], at[1] + distance * along[1]))
        burning = source_fire(installation, moved)
        fire = burning.fire
        if vessel.id not in burning.struck:
            return True
        only = replace(
            fire,
            reaches=(vessel.id,),
            exposed_share=((vessel.id, fire.share(vessel.id)),),
            plugs_in_fire=(),
        )
        exposure = Exposure(only, section, "stated", ((vessel.id, burning.struck[vessel.id]),))
        study = FireStudy(slicer.fire(exposure), should_stop)
        if any(not is_safe(run_corners(study, [one])[one].outcome) for one in hard):
            return False
        whole = envelope(study)
        if not whole.safe and whole.isothermal is None:
            hard.append(whole.corner)
        return whole.safe

    return holds


def _nearest(holds: Callable[[float], bool]) -> float | None:
    """The least multiple of ``STEP`` that holds; doubled until one does, then halved."""
    if holds(0.0):
        return 0.0
    fails, tried = 0, 4
    while not holds(tried * STEP):
        fails = tried
        if tried * STEP >= FARTHEST:
            return None
        tried = min(2 * tried, round(FARTHEST / STEP))
    while tried - fails > 1:
        middle = (tried + fails) // 2
        if holds(middle * STEP):
            tried = middle
        else:
            fails = middle
    return tried * STEP
