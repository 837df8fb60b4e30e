"""What the worker computes while a knob is dragged, and after it has come to rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from airrisk.window.calculations import audit_day

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.study.records import FireRecord, HeatingRecord
    from airrisk.window.dispatcher import Report

ENVELOPE = "envelope"  # the partial answer of a knob at rest


@dataclass(frozen=True)
class TryOutAnswer:
    """Screening and fire of one part.

    ``settled`` when the verdict over all runs is in it, ``complete`` when the bores are too.
    """

    part: HeatingRecord
    fire: FireRecord | None
    settled: bool
    complete: bool


def _heated(installation: Installation, part: str) -> HeatingRecord:
    from airrisk.study.screening import heat_shut_in

    return heat_shut_in(installation, next(h for h in installation.holders() if h.id == part))


@dataclass(frozen=True)
class SettledTryOut:
    """The full answer for one part: all runs, doubts, both bases; then the smallest bores."""

    installation: Installation
    part: str
    fire_id: str

    def __call__(self, report: Report) -> TryOutAnswer:
        """Run it in the worker."""
        from airrisk.study.brief_fire import settled_fire_record

        heated = _heated(self.installation, self.part)

        def early(fire: FireRecord) -> None:
            report.partial(ENVELOPE, TryOutAnswer(heated, fire, True, False))

        fire = settled_fire_record(
            self.installation,
            self.part,
            self.fire_id,
            audit_day(self.installation),
            should_stop=report.should_stop,
            early=early,
        )
        return TryOutAnswer(heated, fire, True, True)


@dataclass(frozen=True)
class DraggedTryOut:
    """The quick answer while a knob moves: the run as stated, and that in which nothing opens."""

    installation: Installation
    part: str
    fire_id: str

    def __call__(self, report: Report) -> TryOutAnswer:
        """Run it in the worker."""
        from airrisk.study.brief_fire import brief_fire_record

        fire = brief_fire_record(
            self.installation,
            self.part,
            self.fire_id,
            audit_day(self.installation),
            should_stop=report.should_stop,
        )
        return TryOutAnswer(_heated(self.installation, self.part), fire, False, False)
