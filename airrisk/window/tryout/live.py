"""What the worker computes while a knob is dragged, and after it has come to rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from airrisk.window.calculations import audit_day

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.study.energy_map import EnergyMap
    from airrisk.study.records import FireRecord, HeatingRecord, StoredEnergy
    from airrisk.window.dispatcher import Report

ENVELOPE = "envelope"  # the partial answer of a knob at rest


@dataclass(frozen=True)
class TryOutAnswer:
    """Screening and fire of one part.

    ``settled`` when the verdict over all runs is in it, ``complete`` when the bores are too.
    ``ruptures``: rupture temperature against pressure, of a vessel whose knobs rest.
    """

    part: HeatingRecord
    energy: StoredEnergy
    fire: FireRecord | None
    settled: bool
    complete: bool
    ruptures: EnergyMap | None = None


def _shut_in(installation: Installation, part: str) -> tuple[HeatingRecord, StoredEnergy]:
    from airrisk.study.energy_compared import stored_energy
    from airrisk.study.screening import heat_shut_in

    holder = next(h for h in installation.holders() if h.id == part)
    return heat_shut_in(installation, holder), stored_energy(installation, holder)


def _ruptures(installation: Installation, part: str) -> EnergyMap | None:
    from airrisk.study.energy_map import energy_map

    vessel = next((one for one in installation.vessels if one.id == part), None)
    return None if vessel is None else energy_map(installation, vessel, ("pressure",))


@dataclass(frozen=True)
class SettledTryOut:
    """The full answer for one part: all runs, doubts, both bases; then the smallest bores."""

    installation: Installation
    part: str
    fire_id: str | None  # None: no fire that is asked about reaches the part

    def __call__(self, report: Report) -> TryOutAnswer:
        """Run it in the worker."""
        from airrisk.study.brief_fire import settled_fire_record

        heated = _shut_in(self.installation, self.part)
        ruptures = _ruptures(self.installation, self.part)

        if self.fire_id is None:
            return TryOutAnswer(*heated, None, True, True, ruptures)

        def early(fire: FireRecord) -> None:
            report.partial(ENVELOPE, TryOutAnswer(*heated, fire, True, False, ruptures))

        fire = settled_fire_record(
            self.installation,
            self.part,
            self.fire_id,
            audit_day(self.installation),
            should_stop=report.should_stop,
            early=early,
        )
        return TryOutAnswer(*heated, fire, True, True, ruptures)


@dataclass(frozen=True)
class DraggedTryOut:
    """The quick answer while a knob moves: the run as stated, and that in which nothing opens."""

    installation: Installation
    part: str
    fire_id: str | None  # None: no fire that is asked about reaches the part

    def __call__(self, report: Report) -> TryOutAnswer:
        """Run it in the worker."""
        from airrisk.study.brief_fire import brief_fire_record

        if self.fire_id is None:
            return TryOutAnswer(*_shut_in(self.installation, self.part), None, False, False)
        fire = brief_fire_record(
            self.installation,
            self.part,
            self.fire_id,
            audit_day(self.installation),
            should_stop=report.should_stop,
        )
        return TryOutAnswer(*_shut_in(self.installation, self.part), fire, False, False)
