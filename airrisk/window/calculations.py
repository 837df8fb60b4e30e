"""What the worker runs; everything heavy is imported in the worker's thread."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

ROOM = 7_000_000  # bytes, of the answers that are remembered, or two to the present file

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.study.cache import StepCache
    from airrisk.window.dispatcher import Report


def today() -> dt.date:
    """The day that the clock shows."""
    return dt.date.today()


def audit_day(installation: Installation) -> dt.date:
    """The date of the assessment: the file's own, else today."""
    return installation.choices.audit_date or today()


@dataclass
class Memory:
    """Answers of finished steps, made in the worker and kept for the next question."""

    cache: StepCache | None = None

    def steps(self) -> StepCache:
        """The cache, made when it is first needed."""
        if self.cache is None:
            from airrisk.study.cache import StepCache

            self.cache = StepCache(room=ROOM)
        return self.cache


@dataclass(frozen=True)
class Assess:
    """The whole assessment; the screening of all parts is handed over first."""

    installation: Installation
    source: bytes
    memory: Memory = field(default_factory=Memory)

    def __call__(self, report: Report) -> Any:
        """Run it in the worker."""
        from airrisk.study.assessment import Watcher, assess

        def partial(step: str, answer: Any) -> None:
            report.partial(step, answer)

        known = self.memory.steps()
        answer = assess(
            self.installation,
            audit_day(self.installation),
            source=self.source,
            watcher=Watcher(report.progress, report.should_stop, partial),
            cache=known,
        )
        known.fit(answer)
        return answer


@dataclass(frozen=True)
class Paper:
    """The report's chapters with their figures drawn as plain strokes."""

    assessment: Any
    installation: Installation
    unit_set: str

    def __call__(self, report: Report) -> Any:
        """Run it in the worker."""
        from airrisk.report.blocks import Drawn
        from airrisk.report.content import units_for
        from airrisk.report.plotting import draw
        from airrisk.report.short_report import build_whole_report

        made = build_whole_report(self.assessment, self.installation, self.unit_set)
        units = units_for(self.installation, self.unit_set)
        figures = {}
        for section in made.sections:
            for block in section.blocks:
                if isinstance(block, Drawn):
                    report.progress(0.5, section.title)
                    figures[id(block)] = draw(block.picture, units, 480.0)
        return made, figures
