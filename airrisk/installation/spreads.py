"""The table ``[spread]``: how uncertain a field of a part is.

A table by part, in it a table by field::

    [spread.R1]
    wall_thickness = { distribution = "normal", mean = "8 mm", deviation = "0.3 mm" }

The middle of a distribution (mean, mode, median) may be left out: then it is the value that the
part has. A deviation may be given in percent of the middle.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from airrisk import quantities
from airrisk.installation.field_spec import FieldSpec
from airrisk.installation.fields import FIELDS
from airrisk.installation.inputs import as_one_number, input_of, inputs_of
from airrisk.installation.model import Spread
from airrisk.installation.values import WRONG, Surroundings, asking, first_of, fold, read_value
from airrisk.messages import said
from airrisk.quantities import QuantityError

if TYPE_CHECKING:
    from airrisk.installation.items import Item

# Distribution: its parameters, and which of them may be left out.
DISTRIBUTIONS: dict[str, tuple[tuple[str, ...], frozenset[str]]] = {
    "normal": (("mean", "deviation", "low", "high"), frozenset({"mean", "low", "high"})),
    "uniform": (("low", "high"), frozenset()),
    "triangular": (("low", "mode", "high"), frozenset({"mode"})),
    "lognormal": (("median", "spread_factor"), frozenset({"median"})),
    "chance": (("probability",), frozenset()),
}
MIDDLES = frozenset({"mean", "mode", "median"})
DIFFERENCES = {"temperature": "temperature_difference", "pressure": "pressure_difference"}
_PLAIN = {
    "spread_factor": FieldSpec("spread_factor", "", "number", low=1.000001, high=100.0),
    "probability": FieldSpec("probability", "", "share", low=0.0, high=1.0),
}

Report = Callable[..., None]


def spread_fields(kind: str) -> tuple[FieldSpec, ...]:
    """The fields of a kind of table that may be given a spread.

    Parameters
    ----------
    kind : str
        Kind of table, for example "vessel".
    """
    own = tuple(
        as_one_number(one) for one in FIELDS[kind] if one.is_numeric or one.kind == "shares"
    )
    return (*own, *(one.spec for one in inputs_of(kind) if not one.in_file))


def read_spreads(
    items: Mapping[str, list[Item]], around: Surroundings, report: Report
) -> tuple[Spread, ...]:
    """All spreads of the file, sorted by part and field.

    Parameters
    ----------
    items : mapping
        The tables of the file by kind, with their records.
    around : Surroundings
        Ids and ambient pressure.
    report : callable
        Called as ``report(item, key, message, valid, *sub_path, value=...)`` for each mistake.
    """
    table = items["spread"][0]
    found: dict[tuple[str, str], Spread] = {}
    for part, rows in table.raw.items():
        known = around.ids.get(fold(part))
        if fold(part) == "site":
            kind, name, owner = "site", "site", items["site"][0]
        elif known is not None:
            kind, name, owner = known[0], known[2], items[known[0]][known[1]]
        else:
            names = [*around.names()[:13], "site"]
            near = around.nearest(part, [*around.names(), "site"]) if around.questions_left else ""
            what = said("no-such-part")
            report(
                table, part, asking(what, near),
                said(
                    "spread-by-part",
                    parts=first_of(sorted(names, key=fold)),
                ),
            )  # fmt: skip
            continue
        if not isinstance(rows, dict):
            report(table, part, said("no-table-by-field"), "[spread.R1]", value=rows)
            continue
        fields = {one.key: one for one in spread_fields(kind)}
        for key, row in rows.items():
            if key not in fields:
                near = around.nearest(key, fields)
                what = said("field-cannot-be-spread")
                report(
                    table, part, asking(what, near),
                    ", ".join(fields) or said("nothing-of-part"), key, value=key,
                )  # fmt: skip
                continue
            varied = input_of(kind, key)
            chance = varied is not None and varied.is_yes_or_no
            spread = _Row(table, part, fields[key], chance, around, report).read(row, name, owner)
            if spread is not None and (name, key) in found:
                report(
                    table,
                    part,
                    said("same-spread-twice"),
                    said("one-for-each-field"),
                    key,
                    value=key,
                )
            elif spread is not None:
                found[name, key] = spread
    return tuple(found[place] for place in sorted(found))


class _Row:
    """One spread on its way."""

    def __init__(
        self,
        table: Item,
        part: str,
        one: FieldSpec,
        chance: bool,
        around: Surroundings,
        report: Report,
    ) -> None:
        self.table, self.part, self.one, self.around = table, part, one, around
        self.chance = chance  # whether it is true or not
        self._report = report
        self.wrong = False

    def report(self, message: str, valid: str, *sub: str | int, value: object = None) -> None:
        self.wrong = True
        self._report(
            self.table,
            self.part,
            said("key-and-message", key=self.one.key, message=message),
            valid,
            self.one.key,
            *sub,
            value=value,
        )

    def read(self, row: object, part: str, owner: Item) -> Spread | None:
        """The spread, or None after a report."""
        if not isinstance(row, dict):
            self.report(said("no-table"), '{ distribution = "uniform", low = ..., high = ... }',
                        value=row)  # fmt: skip
            return None
        name = row.get("distribution")
        if not isinstance(name, str) or name not in DISTRIBUTIONS:
            message = said("distribution-missing") if name is None else said("no-such-distribution")
            shown = row if name is None else name
            self.report(message, " | ".join(DISTRIBUTIONS), "distribution", value=shown)
            return None
        parameters, optional = DISTRIBUTIONS[name]
        for key in row:
            if key not in (*parameters, "distribution"):
                self.report(said("no-such-parameter"), ", ".join(parameters), key, value=key)
        nominal = self._nominal(owner)
        numbers: dict[str, float] = {}
        for key in parameters:
            if key in row:
                value = self._parameter(key, row[key], numbers, nominal)
                if value is not WRONG:
                    numbers[key] = value
            elif key in MIDDLES and nominal is not None:
                numbers[key] = nominal
            elif owner.wrong and key in MIDDLES:
                return None  # the part's own mistake is told; its value is not known
            elif key not in optional or key in MIDDLES:
                self.report(
                    said("key-missing", key=key),
                    said("distribution-parameters", name=name, parameters=", ".join(parameters)),
                    key,
                    value=row,
                )
        if not self.wrong:
            self._order(name, numbers)
        return None if self.wrong else Spread(
            part=part, field=self.one.key, distribution=name, parameters=tuple(numbers.items())
        )  # fmt: skip

    def _nominal(self, owner: Item) -> float | None:
        value = getattr(owner.record, self.one.attr, None) if self.one.attr else None
        if value is None:
            value = owner.values.get(self.one.attr)
        if self.one.key == "exposed_share" and isinstance(value, tuple):
            shares = {share for _, share in value}
            value = shares.pop() if len(shares) == 1 else None
        if value is None and self.one.kind == "number" and self.one.default:
            value = float(self.one.default)
        return float(value) if isinstance(value, (int, float)) else None

    def _parameter(
        self, key: str, value: object, numbers: Mapping[str, float], nominal: float | None
    ) -> Any:
        def told(message: str, valid: str, *sub: str | int, value: object = value) -> None:
            self.report(message, valid, key, value=value)

        one = self.one
        if key in _PLAIN:
            return read_value(_PLAIN[key], value, self.around, told)
        if key != "deviation":
            return read_value(one, value, self.around, told)
        middle = numbers.get("mean", nominal)
        if isinstance(value, str) and value.rstrip().endswith("%") and one.kind != "share":
            if middle is None or one.kind == "temperature":
                told(said("percentage-of-nothing"), said("deviation-with-unit"))
                return WRONG
            try:
                share = quantities.parse(value, "share")
            except QuantityError as error:
                told(error.reason, '"5 %"')
                return WRONG
            datum = self.around.ambient_pressure if one.kind == "pressure" else 0.0
            found: Any = share * (middle - datum)
        else:
            plain = FieldSpec(key, "", DIFFERENCES.get(one.kind, one.kind), high=one.high)
            found = read_value(plain, value, self.around, told)
        if found is not WRONG and not found > 0:
            told(said("not-above-zero"), said("deviation-above-zero"))
            return WRONG
        return found

    def _order(self, name: str, numbers: Mapping[str, float]) -> None:
        line = [numbers[key] for key in ("low", "mode", "mean", "high") if key in numbers]
        ends = numbers.get("low", -math.inf) < numbers.get("high", math.inf)
        if line != sorted(line) or not ends:
            self.report(said("not-rising"), said("low-middle-high"))
        if name == "lognormal" and not numbers["median"] > 0:
            self.report(said("median-not-above-zero"), said("median-above-zero"), "median")
        if name == "chance" and not self.chance:
            self.report(
                said("only-for-chance-of-plug"), said("another-distribution"), "distribution"
            )
