"""What a person who waits for a long assessment is told before it begins."""

from __future__ import annotations

import math

from airrisk.study.side_by_side import THREADS
from airrisk.study.workload import Workload
from airrisk.wording.translation import tr

LONG = 15.0  # s, from where it is worth saying
EXACT = 100  # runs, above it the number is rounded down


def workload_sentence(ahead: Workload) -> str:
    """How many fire runs an assessment is going to make and how long that is; "": not long.

    Parameters
    ----------
    ahead : Workload
        The runs ahead.
    """
    seconds = ahead.seconds / THREADS
    if seconds < LONG:
        return ""
    step = 10 ** max(len(str(ahead.runs)) - 2, 0)
    return tr(
        "At least {runs} fire runs are ahead, of up to {parts} vessels and lines together: "
        "some {minutes} min."
    ).format(
        runs=ahead.runs // step * step if ahead.runs > EXACT else ahead.runs,
        parts=ahead.largest,
        minutes=max(math.ceil(seconds / 60.0), 1),
    )
