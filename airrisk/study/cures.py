"""Causes and cure plans of an assessed system file: the doors to ``causes`` and ``cure_plan``."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TypeVar

from airrisk.installation.model import Installation
from airrisk.installation.splice import SystemText
from airrisk.messages import said
from airrisk.study.assessment import NOBODY, Watcher
from airrisk.study.cache import StepCache
from airrisk.study.causes import causes_of
from airrisk.study.costs import usual_costs
from airrisk.study.cure_candidates import Candidates
from airrisk.study.cure_plan import find_plans, get_ready
from airrisk.study.cure_trials import Bench
from airrisk.study.records import Assessment
from airrisk.study.section_cures import SectionCures
from airrisk.study.side_by_side import side_by_side

Answer = TypeVar("Answer")
HALF_WAY = 15  # trials after which progress stands at a half


def with_cures(
    answer: Assessment,
    installation: Installation,
    text: str | bytes,
    *,
    cache: StepCache | None = None,
    costs: Mapping[str, float] | None = None,
    plans: bool = True,
    watcher: Watcher = NOBODY,
) -> Assessment:
    """An assessment with its causes, and with plans that make it safe.

    Parameters
    ----------
    answer
        Of the installation.
    installation
        Read from the text.
    text
        The system file.
    cache
        Answers of steps of the assessment; without it they are computed again.
    costs
        By kind of change, see ``costs``; None: the usual ones.
    plans
        Whether to search plans too.
    watcher
        Who waits for it.

    Raises
    ------
    Cancelled
        The caller asked to stop.
    """

    def told(count: int) -> None:
        if watcher.progress is not None:  # nobody knows how many there will be
            watcher.progress(count / (count + HALF_WAY), said("trying-changes", count=count))

    bench = Bench(
        SystemText(text).up_to_date(),
        installation,
        answer.on,
        answer,
        StepCache() if cache is None else cache,
        watcher.should_stop,
        told,
    )
    costs = usual_costs() if costs is None else costs
    tried = Candidates(bench, costs)
    changes = _beside(get_ready, tried.all) if plans and bench.cells else tried.all()
    sections = SectionCures(bench, costs, changes)
    found = replace(answer, causes=causes_of(bench, changes, sections))
    if not plans:
        return found
    if watcher.partial is not None:
        watcher.partial("causes", found)
    return replace(found, plans=find_plans(bench, changes, sections=sections))


def _beside(first: Callable[[], object], ask: Callable[[], Answer]) -> Answer:
    """An answer, while something else is made ready on another thread."""
    found: list[Answer] = []
    side_by_side(lambda one: one(), (first, lambda: found.append(ask())))
    return found[0]
