"""What the worker computes while a knob is dragged, and after it has come to rest."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from airrisk.window.calculations import audit_day

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.study.exposures import Exposure
    from airrisk.study.records import FireRecord, PartRecord
    from airrisk.window.dispatcher import Report


@dataclass(frozen=True)
class TryOutAnswer:
    """Screening and fire of one part; ``settled`` when bores and all doubts are in it."""

    part: PartRecord
    fire: FireRecord | None
    settled: bool


def exposures_of(installation: Installation, part: str) -> tuple[Exposure, ...]:
    """The fires whose section holds this part and that reach it, all engulfed first."""
    from airrisk.study.exposures import exposures

    name = part.casefold()
    return tuple(
        exposure
        for exposure in exposures(installation)
        if name in {holder.casefold() for holder in exposure.section.holders}
        and exposure.fire.share(part) > 0
    )


def _same_exposure(installation: Installation, part: str, like: str) -> Exposure | None:
    """The exposure with this fire id, or the first one."""
    found = exposures_of(installation, part)
    return next((one for one in found if one.fire.id == like), found[0] if found else None)


@dataclass(frozen=True)
class SettledTryOut:
    """The full answer for one part: worst start and radiation, both bases, smallest bores."""

    installation: Installation
    part: str
    fire_id: str

    def __call__(self, report: Report) -> TryOutAnswer:
        """Run it in the worker."""
        from airrisk.study.fire_outcomes import fire_record
        from airrisk.study.screening import screen

        holder = next(h for h in self.installation.holders() if h.id == self.part)
        screened = screen(self.installation, holder)
        exposure = _same_exposure(self.installation, self.part, self.fire_id)
        if exposure is None:
            return TryOutAnswer(screened, None, True)
        day = audit_day(self.installation)
        fire = fire_record(self.installation, exposure, day, should_stop=report.should_stop)
        return TryOutAnswer(screened, fire, True)


@dataclass(frozen=True)
class DraggedTryOut:
    """The quick answer while a knob moves: two runs at the start and radiation that rule.

    ``like`` is the last full record; what the two runs do not tell (other basis, bores, cures)
    is left empty until the knob rests.
    """

    installation: Installation
    part: str
    like: FireRecord | None

    def __call__(self, report: Report) -> TryOutAnswer:
        """Run it in the worker."""
        from airrisk.study.screening import screen

        holder = next(h for h in self.installation.holders() if h.id == self.part)
        fire = None if self.like is None else self._fire(self.like, report)
        return TryOutAnswer(screen(self.installation, holder), fire, False)

    def _fire(self, like: FireRecord, report: Report) -> FireRecord | None:
        from airrisk.firetest.outcome import classify
        from airrisk.study.fire_outcomes import FireStudy, Setting, fire_curves
        from airrisk.study.records import EventRecord, Margins

        exposure = _same_exposure(self.installation, self.part, like.id)
        if exposure is None:
            return None
        day: dt.date = audit_day(self.installation)
        study = FireStudy(self.installation, exposure, day, report.should_stop)
        basis = self.installation.choices.strength_basis
        setting = Setting(like.start, like.inner_radiation, basis)
        run, bare = study.run([study.case(setting), study.case(setting, "none")])
        verdict = classify(run)
        ruptures = [event.time for event in bare.events if event.event == "rupture"]
        without = min(ruptures, default=None)
        first = run.first_vent
        return replace(
            like,
            outcome=verdict.outcome,
            reason=verdict.reason,
            kept_by=verdict.kept_by,
            safe=verdict.safe,
            events=tuple(
                EventRecord(event.time, event.event, event.part)  # type: ignore[arg-type]
                for event in run.events
            ),
            peak_pressure_pa=verdict.peak_pressure,
            peak_strength_use=verdict.peak_use,
            time_to_rupture_without_vent_s=without,
            smallest_bore_m={},
            by_basis={basis: verdict.outcome},
            balance=None,
            curves=fire_curves(run),
            bores={},
            margins=Margins(
                vent_before_rupture_s=(
                    None if without is None or first is None else without - first
                ),
                strength_use=verdict.limit - verdict.peak_use,
                strength_use_limit=verdict.limit,
                plug_temperature_at_limit_k={},
                controlling_part=verdict.controlling_part,
            ),
            cures=(),
            outcome_if_plugs_work=None,
            convection_doubt={},
            first_vent_s=first,
        )
