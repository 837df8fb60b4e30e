"""What the worker runs for the map of fires; everything heavy is imported in its thread."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from airrisk.window.calculations import audit_day

if TYPE_CHECKING:
    from airrisk.installation.model import FireSource, Installation
    from airrisk.study.fire_map_records import FireMap, Stage
    from airrisk.study.plug_sides import SidesOfVessel
    from airrisk.study.records import FireRecord
    from airrisk.window.dispatcher import Report


@dataclass(frozen=True)
class DrawMap:
    """A source moved over the plan; the map is handed over as it grows."""

    installation: Installation
    source: FireSource
    # a more urgent question interrupts it: what it has is kept until it is started again
    kept: dict[str, Any] = field(default_factory=dict)

    def __call__(self, report: Report) -> FireMap:
        """Run it in the worker."""
        from airrisk.study.fire_map import MapWatcher, fire_map

        def tell(share: float, stage: Stage) -> None:
            report.progress(share, stage)

        def partial(seen: FireMap) -> None:
            report.partial(seen.stage, seen)

        return fire_map(
            self.installation,
            self.source,
            audit_day(self.installation),
            watcher=MapWatcher(tell, report.should_stop, partial),
            kept=self.kept,
        )


@dataclass(frozen=True)
class AskSides:
    """What a plug at each place of each vessel answers, for one pool or goods."""

    installation: Installation
    source: FireSource

    def __call__(self, report: Report) -> tuple[SidesOfVessel, ...]:
        """Run it in the worker."""
        from airrisk.study.plug_sides import plug_sides

        return plug_sides(
            self.installation,
            self.source,
            audit_day(self.installation),
            progress=report.progress,
            should_stop=report.should_stop,
        )


@dataclass(frozen=True)
class AskPlace:
    """Every run of the full answer for a source that stands at one place."""

    installation: Installation
    source: FireSource

    def __call__(self, report: Report) -> tuple[FireRecord, ...]:
        """Run it in the worker; the worst section first."""
        from airrisk.fire.case import FireCaseError
        from airrisk.messages import told_of
        from airrisk.study.exposures import exposures
        from airrisk.study.fire_outcomes import failed_record, record_of
        from airrisk.study.slices import Slicer
        from airrisk.study.verdicts import record_rank

        there = replace(self.installation, fires=(), fire_sources=(self.source,))
        slicer = Slicer(there, audit_day(there))
        found = []
        for exposure in exposures(there):
            if exposure.source_kind is None:
                continue
            report.progress(0.5, exposure.section.id)
            try:
                record = record_of(
                    slicer.fire(exposure), bores=False, should_stop=report.should_stop
                )
            except FireCaseError as error:
                record = failed_record(exposure, told_of(error))
            found.append(record)
        return tuple(sorted(found, key=record_rank, reverse=True))
