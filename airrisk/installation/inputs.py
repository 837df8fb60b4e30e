"""The register of inputs that can vary in a fire, ``resources/inputs.toml`` as records.

A key names one input of one part: "R1.wall_thickness", "F1.exposed_share.R1",
"site.ambient_pressure".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from airrisk.installation.field_spec import FieldSpec
from airrisk.installation.fields import FIELDS
from airrisk.installation.model import RECORDS, Installation
from airrisk.tables import read_toml

SITE = "site"
WORKS = "works"  # whether a plug opens; one without credit does not, unless a chance is stated
_ONLY_SPREAD = ("default", "low", "high", "unit", "us_unit")  # of what is no field of the file


@dataclass(frozen=True)
class DefaultSpread:
    """How uncertain an input is where the file says nothing.

    Parameters
    ----------
    distribution
        A kind of distribution of the system file.
    parameters
        Name to number: SI, or a multiple of the present value.
    relative, offset
        Whether the numbers multiply the present value, or are added to it.
    source, standing
        Where it comes from; P published, M from memory, J judgement.
    interval
        95 % interval of a probability that was counted; none: it was not.
    """

    distribution: str
    parameters: Mapping[str, float]
    relative: bool
    offset: bool
    source: str
    standing: str
    interval: tuple[float, float] | None = None

    def about(self, present: float) -> dict[str, float]:
        """The parameters around a present value [SI]."""
        scaled = ("low", "high", "mean", "deviation", "mode", "median")
        shifted = ("low", "high", "mean", "mode")
        scale = present if self.relative else 1.0
        shift = present if self.offset else 0.0
        return {
            name: number * (scale if name in scaled else 1.0) + (shift if name in shifted else 0.0)
            for name, number in self.parameters.items()
        }


@dataclass(frozen=True)
class Input:
    """One entry of the register for one kind of table.

    Parameters
    ----------
    of
        Kind of table, for example "vessel".
    spec
        Its key, kind of quantity and bounds [SI], as for a field of the file.
    enters
        Which numbers of a fire case follow it, in the words of the fire test.
    in_file
        Whether it is a field of the file; else it can only be given a spread.
    each_part
        Whether a fire has one for each part that it reaches.
    knob
        Whether the Try-out turns it.
    spread
        Its default spread; None: only swept.
    only_swept
        Why it has none.
    """

    of: str
    spec: FieldSpec
    enters: str
    in_file: bool
    each_part: bool
    knob: bool
    spread: DefaultSpread | None
    only_swept: str

    @property
    def field(self) -> str:
        """Its key in the system file."""
        return self.spec.key

    @property
    def kind(self) -> str:
        """Its kind of quantity."""
        return self.spec.kind

    @property
    def is_yes_or_no(self) -> bool:
        """Whether it is true or not, so that it has a chance and no range."""
        return self.spread is not None and self.spread.distribution == "chance"

    def key(self, name: str, part: str = "") -> str:
        """The key of this input of one part, device or fire."""
        return f"{name}.{self.field}.{part}" if self.each_part else f"{name}.{self.field}"


@cache
def inputs() -> tuple[Input, ...]:
    """Every entry of the register, one for each kind of table, in its order."""
    return tuple(
        _entry(row, kind) for row in read_toml("inputs.toml")["input"] for kind in row["of"]
    )


def inputs_of(kind: str) -> tuple[Input, ...]:
    """What can vary of a kind of table."""
    return tuple(one for one in inputs() if one.of == kind)


def input_of(kind: str, key: str) -> Input | None:
    """The entry behind a key such as "R1.bore" of a table of this kind; None: no such input."""
    field = key.split(".")[1] if "." in key else key
    return next((one for one in inputs_of(kind) if one.field == field), None)


def is_yes_or_no(key: str) -> bool:
    """Whether the input of a key is true or not, such as "FP1.works"."""
    field = key.split(".")[1]
    return any(one.is_yes_or_no for one in inputs() if one.field == field)


def kind_of(installation: Installation, name: str) -> str:
    """Kind of table that an id stands in; one that the file has not got is that of a fire."""
    if name.casefold() == SITE:
        return SITE
    try:
        record = installation.find(name)
    except KeyError:
        return "fire"  # one that is assumed
    return next(kind for kind, made in RECORDS.items() if type(record) is made)


def input_at(installation: Installation, key: str) -> Input | None:
    """The entry behind a key of an installation; None: no such input."""
    return input_of(kind_of(installation, key.partition(".")[0]), key)


def _entry(row: Mapping[str, Any], kind: str) -> Input:
    declared = next((one for one in FIELDS[kind] if one.key == row["field"]), None)
    if declared is None:
        more = {name: row[name] for name in _ONLY_SPREAD if name in row}
        spec = FieldSpec(row["field"], "", row["kind"], **more)
    else:
        spec = as_one_number(declared)
    return Input(
        of=kind,
        spec=spec,
        enters=row["enters"],
        in_file=declared is not None,
        each_part=row.get("each") == "part",
        knob=row.get("knob", False),
        spread=_spread(row["spread"]) if "spread" in row else None,
        only_swept=row.get("only_swept", ""),
    )


def as_one_number(declared: FieldSpec) -> FieldSpec:
    """The declaration of a field as that of one number: a share for each part is a share."""
    return replace(declared, kind="share") if declared.kind == "shares" else declared


def _spread(row: Mapping[str, Any]) -> DefaultSpread:
    return DefaultSpread(
        distribution=row["distribution"],
        parameters={
            name: float(value)
            for name, value in row.items()
            if isinstance(value, (int, float)) and not isinstance(value, bool)
        },
        relative=row.get("relative", False),
        offset=row.get("offset", False),
        source=row["source"],
        standing=row["standing"],
        interval=tuple(row["interval"]) if "interval" in row else None,
    )
