"""One assessment for a command: announced, watched, and what its exit code is."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

from airrisk.command.given import (
    EXIT_CLEAR,
    EXIT_FAILED,
    EXIT_FINDINGS,
    date_of,
    read_installation,
)
from airrisk.command.screen import complain
from airrisk.wording.translation import tr

MANY_PARTS = 10  # with fewer an assessment takes seconds


def assessed(file: Path, on: str | None, *, bores: bool) -> Any:
    """The assessment of a file on a date."""
    installation, data = read_installation(file)
    return assessed_with(installation, data, on, bores=bores)


def assessed_with(installation: Any, data: bytes, on: str | None, *, bores: bool) -> Any:
    """The assessment of a checked installation, with progress when a person watches."""
    from airrisk.command.stopping import stop_on_interrupt
    from airrisk.command.watching import watched
    from airrisk.study.assessment import Watcher
    from airrisk.study.assessment import assess as assess_installation

    day = date_of(on, installation)
    _announce(installation, day, bores)
    with watched() as progress, stop_on_interrupt() as should_stop:
        return assess_installation(
            installation,
            day,
            source=data,
            bores=bores,
            watcher=Watcher(progress, should_stop),
        )


def _announce(installation: Any, day: dt.date, bores: bool) -> None:
    """Say how long it will take, when that is long; what is wrong is told by the answer itself."""
    if len(installation.holders()) < MANY_PARTS:
        return
    from airrisk.study.workload import workload
    from airrisk.wording.workload import workload_sentence

    try:
        text = workload_sentence(workload(installation, day, bores))
    except Exception:
        return
    if text:
        complain(tr("{text} Ctrl+C ends it, nothing is written then.").format(text=text))


def exit_code(answer: Any) -> int:
    """Exit code of an assessment; what was not assessed outranks findings."""
    if (
        not answer.parts
        or answer.failures
        or any(fire.worst_outcome == "not converged" for fire in answer.fires)
    ):
        return EXIT_FAILED
    if any(finding.severity != "note" and finding.counts for finding in answer.findings):
        return EXIT_FINDINGS
    return EXIT_CLEAR
