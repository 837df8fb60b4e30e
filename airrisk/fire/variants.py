"""Which inputs of the register a fire case has, and what many values of them make of its numbers.

Keys are those of the system file, "ID.field" in SI units; a ``volume`` lengthens or shortens the
cylinder. How each input enters stands in ``entering``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import FireCase
from airrisk.fire.entering import NODES, Change, Varied, lose_insulation, rule_of, wet_again
from airrisk.fire.line_inputs import pipes
from airrisk.installation.inputs import SITE, inputs, inputs_of
from airrisk.installation.model import Vessel
from airrisk.kernel import layout as at
from airrisk.messages import said

Floats = NDArray[np.float64]

PIPE = "pipe"  # the rule of what a line has, gas space or not


class UnknownInput(KeyError):
    """No input of the case has this key."""

    def __init__(self, name: str, known: tuple[str, ...]) -> None:
        self.name = name
        self.known = known
        super().__init__(name)

    def __str__(self) -> str:
        return said(
            "unknown-input",
            name=repr(self.name),
            known=", ".join(self.known),
        )

    def __reduce__(self) -> tuple[type[UnknownInput], tuple[str, tuple[str, ...]]]:
        return type(self), (self.name, self.known)


def inputs_in(case: FireCase) -> dict[str, tuple[Varied, float]]:
    """Every input that a case has, by its key, with its present value [SI].

    In the order of the register, part after part.
    """
    found = {}
    for varied in _every(case):
        rule, number = rule_of(varied.entry)
        present = rule.present(case, varied, number)
        if present is not None:
            found[varied.key] = (varied, present)
    return found


def variable_inputs(case: FireCase) -> dict[str, tuple[float, str]]:
    """Every input that can be varied in a case: its present value [SI] and kind of quantity."""
    return {key: (present, varied.entry.kind) for key, (varied, present) in inputs_in(case).items()}


def with_every_plug(case: FireCase) -> FireCase:
    """The case in which every plug with an alloy may open; its ``works`` says whether it does."""
    block = int(case.integers[at.I_I_PLUG])
    return case.changed(
        integers={
            block + number * at.PI_SIZE + at.PI_ENABLED: 1
            for number, name in enumerate(case.plugs)
            if name in case.bodies
        }
    )


def _every(case: FireCase) -> Iterator[Varied]:
    """The entries of the register for everything in a case, whether it has them or not."""
    of_parts = [one for one in inputs() if one.each_part]
    for name, part in case.parts.items():
        for one in inputs_of("vessel" if isinstance(part, Vessel) else "line"):
            if one.enters != PIPE:
                yield Varied(one, name, one.key(name))
        for one in of_parts:
            yield Varied(one, name, one.key(case.fire.id, name))
    groups: tuple[tuple[str, tuple[str, ...]], ...] = (
        ("plug", tuple(case.bodies)),
        ("relief_valve", case.relief_valves),
        ("bursting_disc", case.discs),
        ("line", pipes(case)),
        ("compressor", case.feeds),
        ("fire", (case.fire.id,)),
        (SITE, (SITE,)),
    )
    for kind, names in groups:
        for name in names:
            for one in inputs_of(kind):
                if not one.each_part and (kind != "line" or one.enters == PIPE):
                    yield Varied(one, name, one.key(name))


def check_lengths(variants: Mapping[str, NDArray[np.float64]]) -> int:
    """Common length of the arrays of a batch.

    Raises
    ------
    ValueError
        They are not one-dimensional or differ in length.
    """
    shapes = {np.shape(values) for values in variants.values()}
    if len(shapes) != 1 or len(next(iter(shapes))) != 1:
        raise ValueError(said("variants-of-one-length"))
    return int(next(iter(shapes))[0])


def bounds_of(
    variants: Mapping[str, NDArray[np.float64]],
) -> dict[str, tuple[float, float]] | None:
    """Least and largest value of every input, when there are enough to interpolate between."""
    if check_lengths(variants) <= 4 * NODES:
        return None
    return {name: (float(np.min(v)), float(np.max(v))) for name, v in variants.items()}


def columns(
    case: FireCase,
    variants: Mapping[str, NDArray[np.float64]],
    bounds: Mapping[str, tuple[float, float]] | None = None,
) -> dict[int, Floats]:
    """Places in the case's floats and the values to put there.

    Parameters
    ----------
    case
        The base case.
    variants
        Values by key, all of one length, SI units; see ``variable_inputs``.
    bounds
        Range of each input over the whole batch that these are a part of (``bounds_of``);
        left out: every wall is reckoned exactly.

    Returns
    -------
    dict
        One array for each place.

    Raises
    ------
    UnknownInput
        A key that the case has not got.
    ValueError
        Arrays of different lengths; a volume smaller than the heads of its vessel; a line without
        length or bore.
    """
    given = {name: np.asarray(values, dtype=float) for name, values in variants.items()}
    check_lengths(given)
    known = inputs_in(case)
    for name in given:
        if name not in known:
            raise UnknownInput(name, tuple(known))
    change = Change(case, given, bounds)
    wanted = [varied for key, (varied, _) in known.items() if key in given]
    for after in (False, True):
        for varied in wanted:
            rule, number = rule_of(varied.entry)
            if rule.after == after:
                rule.enter(change, varied, number, given[varied.key])
    wet_again(change)
    lose_insulation(change)
    return change.found
