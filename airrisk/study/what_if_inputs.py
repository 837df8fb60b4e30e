"""Which inputs the what-if study varies, within which bounds, and how a sweep is written."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

import numpy as np

from airrisk import quantities
from airrisk.installation.inputs import WORKS, input_at, is_yes_or_no
from airrisk.installation.model import Installation
from airrisk.messages import said, told_of
from airrisk.physics.shells import bore_area
from airrisk.study.spreads import Array, SpreadInput, spread_inputs
from airrisk.study.what_if_records import SweptInput, VariedInput

Variable = Mapping[str, tuple[float, str]]  # key -> (present value, kind)
LINE_POINTS, MAP_POINTS = 41, 25
MOST_LINE_POINTS, MOST_MAP_POINTS = 1001, 101


class WhatIfError(ValueError):
    """The question cannot be asked like this; the message says what would be valid."""


@dataclass(frozen=True)
class SweepRange:
    """A wanted sweep: key, ends in SI and number of points (None: the usual number)."""

    key: str
    low: float
    high: float
    points: int | None


def bounds(installation: Installation, key: str) -> tuple[float | None, float | None]:
    """The lowest and highest SI value that the input of a key allows, ``None``: no bound."""
    entry = input_at(installation, key)
    if entry is None:
        return None, None
    one = entry.spec
    gauge = one.kind == "pressure" and not one.absolute
    datum = installation.site.ambient_pressure if gauge else 0.0
    low = (0.0 if gauge else None) if one.low is None else one.low
    part, _, field = key.partition(".")
    for tank in installation.vessels:
        if field == "volume" and tank.id == part:
            # a cylinder must be left between the heads
            bore = bore_area(tank.inside_diameter)
            low = tank.volume - 0.999 * bore * tank.cylinder_length
    return (
        None if low is None else low + datum,
        None if one.high is None else one.high + datum,
    )


def within_bounds(installation: Installation, values: dict[str, Array]) -> int:
    """Move values that their field does not allow to its bounds, in place; how many."""
    moved = 0
    for key, drawn in values.items():
        low, high = bounds(installation, key)
        allowed = np.clip(
            drawn, -math.inf if low is None else low, math.inf if high is None else high
        )
        moved += int(np.sum(allowed != drawn))
        values[key] = allowed
    return moved


def varied_inputs(
    installation: Installation,
    variable: Variable,
    uncredited: Iterable[str],
    only: Iterable[str] = (),
) -> tuple[SpreadInput, ...]:
    """The inputs with their spreads; a plug without credit stays without unless the file says so.

    Parameters
    ----------
    installation
        Its ``spreads`` come before the defaults.
    variable
        What the case can vary.
    uncredited
        Plugs that get no credit.
    only
        Keys; empty: every one that has a spread.

    Raises
    ------
    WhatIfError
        A key that cannot be varied, or without spread.
    """
    stated = {f"{one.part}.{one.field}".casefold() for one in installation.spreads}
    blocked = {f"{name}.{WORKS}".casefold() for name in uncredited} - stated
    wanted = [find_key(variable, key) for key in only]
    for key in wanted:
        if key.casefold() in blocked:
            raise WhatIfError(
                said(
                    "plug-without-default-chance",
                    key=key,
                )
            )
    usable = {key: item for key, item in variable.items() if key.casefold() not in blocked}
    try:
        return spread_inputs(installation, usable, wanted)
    except ValueError as error:
        raise WhatIfError(told_of(error)) from None


def unused_spreads(installation: Installation, variable: Variable) -> tuple[str, ...]:
    """Spreads that the file states and no input of the run takes, as keys."""
    used = {".".join(key.split(".")[:2]).casefold() for key in variable}
    stated = (f"{one.part}.{one.field}" for one in installation.spreads)
    return tuple(key for key in stated if key.casefold() not in used)


def recorded(installation: Installation, item: SpreadInput) -> VariedInput:
    """The input as it stands in the answer."""
    how = item.distribution
    return VariedInput(
        key=item.key,
        kind=item.kind,
        present=item.present,
        distribution=how.kind,
        parameters=dict(how.parameters),
        origin=how.origin,
        source=how.source,
        standing=how.standing,
        clipped_to=bounds(installation, item.key),
        interval=how.interval,
    )


def find_key(variable: Variable, name: str) -> str:
    """The key as the case spells it.

    Raises
    ------
    WhatIfError
        The case has no such input.
    """
    for key in variable:
        if key.casefold() == name.strip().casefold():
            return key
    near = get_close_matches(name.strip(), variable, n=1)
    hint = f" ({near[0]}?)" if near else ""
    raise WhatIfError(
        said(
            "cannot-be-varied-in-fire",
            name=repr(name.strip()),
            hint=hint,
            variable=", ".join(sorted(variable)),
        )
    )


def read_sweep(text: str, variable: Variable, installation: Installation) -> SweepRange:
    """A sweep written as ``KEY=LOW..HIGH`` or ``KEY=LOW..HIGH:N``.

    Parameters
    ----------
    text
        For example ``R1.wall_thickness=4 mm..10 mm:31``.
    variable
        What the case can vary.
    installation
        For the bounds of the field and the atmosphere of gauge pressures.

    Returns
    -------
    SweepRange

    Raises
    ------
    WhatIfError
        The text, the key, a value or the number of points is wrong.
    """
    form = said("sweep-form")
    name, equals, rest = text.partition("=")
    if not equals or not name.strip():
        raise WhatIfError(said("sweep-without-key", text=repr(text), form=form))
    key = find_key(variable, name)
    if is_yes_or_no(key):
        raise WhatIfError(said("yes-or-no-cannot-be-swept", key=key))
    ends, colon, count = rest.rpartition(":")
    if not colon:
        ends, count = rest, ""
    points: int | None = None
    if colon:
        if not (count.strip().isascii() and count.strip().isdigit() and len(count.strip()) < 6):
            raise WhatIfError(
                said(
                    "sweep-points-no-number",
                    key=key,
                    count=repr(count.strip()),
                    most=MOST_LINE_POINTS,
                )
            )
        points = int(count)
        if not 2 <= points <= MOST_LINE_POINTS:
            raise WhatIfError(
                said(
                    "sweep-points-out-of-range",
                    key=key,
                    points=points,
                    most=MOST_LINE_POINTS,
                )
            )
    pieces = ends.split("..")
    if len(pieces) != 2:
        raise WhatIfError(
            said(
                "sweep-no-range",
                key=key,
                ends=repr(ends.strip()),
                form=form,
            )
        )
    low, high = (_end(installation, key, variable[key][1], piece) for piece in pieces)
    if not low < high:
        raise WhatIfError(
            said(
                "sweep-does-not-rise",
                key=key,
                ends=repr(ends.strip()),
            )
        )
    return SweepRange(key, low, high, points)


def _end(installation: Installation, key: str, kind: str, text: str) -> float:
    kind = (
        kind if kind in ("number", "share") or kind in quantities.UNIT_SETS["metric"] else "number"
    )
    entry = input_at(installation, key)
    absolute = entry is not None and entry.spec.absolute  # nothing to count a gauge pressure from
    ambient = None if absolute else installation.site.ambient_pressure
    try:
        value = quantities.parse(text.strip(), kind, ambient_pressure=ambient)
    except quantities.QuantityError as error:
        raise WhatIfError(said("sweep-at-fault", key=key, error=told_of(error))) from None
    low, high = bounds(installation, key)
    slack = 1e-9 * abs(value)
    below = low is not None and value < low - slack
    if below or (high is not None and value > high + slack):
        valid = "" if entry is None else entry.spec.range_text()
        if below and kind == "volume" and low is not None:
            valid = said("above-volume-of-heads", low=quantities.format_quantity(low, kind, "L"))
        raise WhatIfError(
            said(
                "sweep-value-out-of-range",
                key=key,
                value=repr(text.strip()),
                valid=valid,
            )
        )
    return value


def swept(wanted: SweepRange, variable: Variable, usual: int, most: int) -> SweptInput:
    """The swept input with its values.

    Raises
    ------
    WhatIfError
        Too many points for a map.
    """
    count = wanted.points or usual
    if count > most:
        raise WhatIfError(
            said(
                "map-points-out-of-range",
                key=wanted.key,
                count=count,
                most=most,
            )
        )
    present, kind = variable[wanted.key]
    values = np.linspace(wanted.low, wanted.high, count)
    return SweptInput(wanted.key, kind, present, tuple(values.tolist()))
