"""Plugs that work by a chance that was counted: its interval, and the plug's own inspections."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.inspected import FAULTS, inspections_of
from airrisk.installation.model import Installation
from airrisk.study.spreads import Array, SpreadInput
from airrisk.study.what_if_records import PlugInspections, ShareAtEnds


def counted(inputs: Sequence[SpreadInput]) -> list[SpreadInput]:
    """The inputs that are true by a chance with an interval."""
    return [
        one
        for one in inputs
        if one.distribution.kind == "chance" and one.distribution.interval is not None
    ]


def share_at_ends(
    inputs: Sequence[SpreadInput], values: Mapping[str, Array], acted: NDArray[np.bool_]
) -> ShareAtEnds | None:
    """How often the plug acts first, were the chance at either end of its interval.

    The samples are taken together by which plugs work in them; each such group counts with the
    chance that it would then have. The chances of several plugs are moved together: they come from
    one count.

    Parameters
    ----------
    inputs
        What was drawn.
    values
        The samples by key.
    acted
        The samples in which the plug acts first.

    Returns
    -------
    ShareAtEnds or None
        None where no chance has an interval.
    """
    chances = counted(inputs)
    if not chances:
        return None
    first = chances[0].distribution
    assert first.interval is not None
    working = np.column_stack([values[one.key] > 0.5 for one in chances])
    groups, member = np.unique(working, axis=0, return_inverse=True)
    member = member.ravel()
    shares = np.bincount(member, weights=acted) / np.bincount(member)
    found = []
    for end in first.interval:
        weights = np.prod(np.where(groups, end, 1.0 - end), axis=1)
        found.append(float(np.sum(weights * shares) / np.sum(weights)))
    return ShareAtEnds(first.interval, (found[0], found[1]))


def plug_inspections(
    installation: Installation, on: dt.date, inputs: Sequence[SpreadInput]
) -> tuple[PlugInspections, ...]:
    """What the register says about the plugs whose chance was counted.

    Parameters
    ----------
    installation
        With the register.
    on
        Later entries are not known yet.
    inputs
        What was drawn.
    """
    names = [one.key.partition(".")[0] for one in counted(inputs)]
    plugs = [plug for plug in installation.plugs if plug.id in names]
    found = []
    for plug in plugs:
        history = [
            entry
            for entry in inspections_of(installation, plug.id, on)
            if plug.fitted is None or entry.date >= plug.fitted
        ]
        last = history[-1] if history else None
        found.append(
            PlugInspections(
                plug=plug.id,
                inspections=len(history),
                faults=sum(entry.condition in FAULTS for entry in history),
                last=None if last is None else last.date,
                last_condition=None if last is None else last.condition,
            )
        )
    return tuple(found)
