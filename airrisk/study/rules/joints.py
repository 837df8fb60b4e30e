"""Joints of lines that let go in a fire: told, never counted as a way out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from airrisk.installation.model import FireClass, Line
from airrisk.physics.joints import lets_go
from airrisk.study.records import Finding, FireRecord, Severity
from airrisk.study.rules.asking import all_lines, for_each
from airrisk.study.rules.context import RuleContext, finding, fire_named

TOLD: tuple[FireClass, ...] = ("stated", "whole")
SOONER = 0.99  # times the time of a stated fire; judgement


@for_each(all_lines)
def joints_that_let_go(context: RuleContext, line: Line) -> Iterator[Finding]:
    """Lines whose joints get too hot in a stated fire, or in one around all of their section.

    Of each class the fire in which it happens first; that around the section only where no stated
    one does it as soon.
    """
    limit = None if line.joints is None else lets_go(line.joints)
    if limit is None:
        return
    # where the verdict is safe for a pipe as tight as its metal, this is what it hangs on
    hangs = any(fire.safe and line.id in fire.lines_come_apart for fire in context.fires)
    severity: Severity = "warning" if hangs else "note"
    told = math.inf
    for fire_class in TOLD:
        passed = [
            (time, fire)
            for fire in context.fires
            if fire.fire_class == fire_class
            for time in [_passes(fire, line.id, limit)]
            if time is not None
        ]
        if not passed:
            continue
        time, fire = min(passed, key=lambda one: (one[0], one[1].id))
        if time >= SOONER * told:
            continue
        told = time
        yield finding(
            "joint-lets-go",
            severity,
            line.id,
            section=fire.section,
            fire_class=fire_class,
            variant="hose" if line.joints == "hose" else "joints",
            **fire_named(fire),
            joints=line.joints,
            lets_go_k=limit,
            time_s=time,
        )


def _passes(fire: FireRecord, line: str, limit: float) -> float | None:
    """When the wall of a line in the fire first is as hot as its joints bear, as stated, s."""
    if fire.curves is None or line not in fire.exposed or line not in fire.curves.parts:
        return None
    return first_above(fire.curves.time_s, fire.curves.parts[line].hot_wall_temperature_k, limit)


def first_above(times: Sequence[float], values: Sequence[float], limit: float) -> float | None:
    """When a curve of straight pieces first reaches a limit; None: never."""
    for row, value in enumerate(values):
        if value < limit:
            continue
        if row == 0:
            return times[0]
        before = values[row - 1]
        return times[row - 1] + (times[row] - times[row - 1]) * (limit - before) / (value - before)
    return None
