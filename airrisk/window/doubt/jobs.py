"""What the worker runs for the Doubt view; everything heavy is imported in the worker's thread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from airrisk.window.calculations import audit_day

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.study.what_if import Chosen
    from airrisk.study.what_if_records import Subject, VariedInput, WhatIf
    from airrisk.window.dispatcher import Report


@dataclass(frozen=True)
class KnownInput:
    """One input of the ruling run; ``varied`` is None where it has no spread."""

    key: str
    kind: str
    present: float
    varied: VariedInput | None
    lowest: float | None  # what its field allows
    highest: float | None


@dataclass(frozen=True)
class Listed:
    """One fire on one section, with its name for people."""

    fire: str
    section: str
    title: str


@dataclass(frozen=True)
class Known:
    """What can be asked about one fire."""

    subject: Subject
    fires: tuple[Listed, ...]  # everything that can be asked about
    inputs: tuple[KnownInput, ...]


@dataclass(frozen=True)
class ListInputs:
    """Which run rules, and which of its inputs can be varied."""

    installation: Installation
    fire: str | None
    section: str | None

    def __call__(self, report: Report) -> Known:
        """Run it in the worker."""
        from airrisk.fire.variants import variable_inputs
        from airrisk.study.exposures import exposures
        from airrisk.study.what_if import choose
        from airrisk.study.what_if_inputs import bounds, recorded, varied_inputs
        from airrisk.wording.fire_names import exposure_title

        system = self.installation
        chosen: Chosen = choose(
            system, audit_day(system), self.fire, self.section, report.should_stop
        )
        variable = variable_inputs(chosen.case)
        spreads = {
            item.key: recorded(system, item)
            for item in varied_inputs(system, variable, chosen.case.uncredited)
        }
        inputs = tuple(
            KnownInput(key, kind, present, spreads.get(key), *bounds(system, key))
            for key, (present, kind) in variable.items()
        )
        fires = dict.fromkeys(
            Listed(one.fire.id, one.section.id, exposure_title(one)) for one in exposures(system)
        )
        return Known(chosen.subject(), tuple(fires), inputs)


@dataclass(frozen=True)
class Asked:
    """One question to the study: which fire, which inputs, what sweep, how many samples."""

    fire: str | None
    section: str | None
    vary: tuple[str, ...]
    sweeps: tuple[str, ...]
    samples: int
    method: str
    seed: int


@dataclass(frozen=True)
class AskWhatIf:
    """The study itself, with progress and cancel."""

    installation: Installation
    asked: Asked

    def __call__(self, report: Report) -> WhatIf:
        """Run it in the worker."""
        from airrisk.study.what_if import Questions, growing_what_if

        asked = self.asked
        questions = Questions(asked.vary, asked.sweeps, asked.samples, asked.method, asked.seed)
        found: WhatIf | None = None
        for grown in growing_what_if(
            self.installation,
            audit_day(self.installation),
            questions,
            fire=asked.fire,
            section=asked.section,
            progress=report.progress,
            should_stop=report.should_stop,
        ):
            report.partial("so far", grown)  # shown at once, and kept when the rest is stopped
            found = grown
        assert found is not None
        return found
