"""What the worker runs; everything heavy is imported in the worker's thread."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.window.dispatcher import Report


def audit_day(installation: Installation) -> dt.date:
    """The date of the assessment: the file's own, else today."""
    return installation.choices.audit_date or dt.date.today()


@dataclass(frozen=True)
class Assess:
    """The whole assessment; the screening of all parts comes first."""

    installation: Installation

    def __call__(self, report: Report) -> Any:
        """Run it in the worker."""
        from airrisk.study.assessment import assess
        from airrisk.study.screening import screen

        report.progress(0.0, "")
        records = {}
        for part in self.installation.holders():
            if report.should_stop():
                break
            try:
                records[part.id] = screen(self.installation, part)
            except Exception:
                continue  # the assessment lists the failure with its reason
        report.partial("screening", records)
        return assess(
            self.installation,
            audit_day(self.installation),
            progress=report.progress,
            should_stop=report.should_stop,
        )
