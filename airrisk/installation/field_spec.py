"""The declaration of one field of the system file."""

from __future__ import annotations

from dataclasses import dataclass, field

from airrisk import quantities
from airrisk.messages import either, said
from airrisk.tables import read_toml

# Kinds of fields that are texts with a unit.
QUANTITY_KINDS = frozenset(quantities.kinds()) - {"number", "share"}


WORDS = "field_words.toml"


def _words(table: str, key: str) -> dict[str, str]:
    """The words of a field: its table's own, else those that all tables share."""
    if not table:
        return {}
    texts = read_toml(WORDS)
    found: dict[str, str] = texts.get(table, {}).get(key) or texts["any"][key]
    return found


@dataclass(frozen=True)
class FieldSpec:
    """One field of one kind of table.

    Parameters
    ----------
    key : str
        Key in the file.
    attr : str
        Attribute of the record; equal to ``key`` unless that is a word of Python.
    kind : str
        A kind of ``airrisk.quantities``, or: number, share, integer, text, id, choice, flag,
        date, months, calendar, material, alloy, reference, references, end, point, notes,
        shares, points, path (places on the plan), cell (column and row in the schematic), keys
        (names of fields of the same table), fire (curve and duration), outlet (one of
        ``choices``, or a room), rule, accepted (what a fire's finding said).
    default : str or None
        What a left-out field counts as, as one would type it; None: no fixed value.
    low, high : float or None
        Bounds, inclusive, SI; for gauge pressures Pa above the atmosphere.
    choices : tuple of str
        The words allowed.
    required : bool
        Whether the field must be given.
    unit, us_unit : str
        Unit for display in the metric and in the US customary set; also of the bounds.
    absolute : bool
        Whether a pressure's bounds are absolute.
    targets : tuple of str
        Kinds of tables that a reference may point at.
    since : int
        First format of the file that has the field.
    table : str
        Kind of table that its words stand under; "": it has none.
    """

    key: str
    attr: str
    kind: str
    default: str | None = None
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    required: bool = False
    unit: str = ""
    us_unit: str = ""
    absolute: bool = False
    targets: tuple[str, ...] = ()
    since: int = 1
    table: str = field(default="", compare=False)

    @property
    def label(self) -> str:
        """Short name in forms and tables."""
        return _words(self.table, self.key).get("label", "")

    @property
    def help(self) -> str:
        """What it means, one or two sentences."""
        return _words(self.table, self.key).get("help", "")

    @property
    def source(self) -> str:
        """Where the default comes from."""
        return _words(self.table, self.key).get("source", "")

    @property
    def left_out(self) -> str:
        """What a left-out field without fixed default counts as, in words."""
        return _words(self.table, self.key).get("left_out", "")

    @property
    def is_quantity(self) -> bool:
        """Whether the file holds a text with a unit."""
        return self.kind in QUANTITY_KINDS

    @property
    def is_numeric(self) -> bool:
        """Whether the value is one number, so that it can be varied."""
        return self.is_quantity or self.kind in {"number", "share"}

    def unit_in(self, unit_set: str) -> str:
        """The unit for display.

        Parameters
        ----------
        unit_set : str
            "metric" or "US customary".
        """
        own = self.unit if unit_set == "metric" else self.us_unit
        return own or quantities.UNIT_SETS[unit_set].get(self.kind, "")

    def range_text(self, unit_set: str = "metric") -> str:
        """The valid range with its unit; empty when there are no bounds.

        Parameters
        ----------
        unit_set : str
            "metric" or "US customary".
        """
        low, high = (self._bound(value, unit_set) for value in (self.low, self.high))
        if low and high:
            return said("low-to-high", low=low, high=high)
        if low:
            return said("low-or-more", low=low)
        return said("high-or-less", high=high) if high else ""

    def example(self) -> str:
        """Accepted texts of a field with a unit, none of them out of its range."""
        if self.absolute:
            return either(('"1013 mbar(a)"', '"14.7 psia"'))
        if self.kind == "length" and self.unit == "m":
            return either(('"12 m"', '"39 ft"'))
        if self.kind == "length" and self.high is not None and self.high <= 1.0:
            return either(('"8 mm"', '"0.8 cm"', '"0.315 in"'))
        if self.kind == "area" and self.low is not None and self.low >= 0.01:
            return either(('"1.5 m2"', '"16 ft2"'))
        if self.kind == "temperature" and self.low is not None and self.low > 310.0:
            return either(('"1150 degC"', '"2100 degF"'))
        if self.kind == "volume" and self.low is not None and self.low >= 0.1:
            return either(('"150 m3"', '"5300 ft3"'))
        return quantities.example(self.kind)

    def valid_text(self) -> str:
        """What may stand in the file, as put into messages."""
        if self.kind == "outlet":
            words = " | ".join(f'"{word}"' for word in self.choices)
            return said("words-or-room", words=words)
        if self.choices and self.kind not in {"fire", "accepted"}:
            return " | ".join(self.choices)
        if self.kind == "flag":
            return "true | false"
        if self.kind in _EXAMPLES:
            return _EXAMPLES[self.kind]
        text = self.example() if self.is_quantity else said("number-without-quotes")
        bounds = self.range_text()
        return said("text-within-bounds", text=text, bounds=bounds) if bounds else text

    def _bound(self, value: float | None, unit_set: str) -> str:
        if value is None:
            return ""
        if self.kind in {"number", "integer", "share"}:
            return quantities.plain_number(value)
        gauge = self.kind == "pressure" and not self.absolute
        return quantities.format_quantity(
            value, self.kind, self.unit_in(unit_set), ambient_pressure=0.0 if gauge else None
        )


_EXAMPLES = {
    "id": said("id-form"),
    "text": said("text-in-quotes"),
    "date": said("date-without-quotes"),
    "months": said("whole-months"),
    "calendar": either(('"2 months"', '"6 weeks"', '"30 days"')),
    "point": said("two-numbers-in-metres"),
    "cell": said("two-whole-numbers"),
    "notes": said("table-of-remarks"),
    "shares": said("share-or-table-by-part"),
    "path": said("places-in-metres"),
    "points": said("pairs-of-time-and-temperature"),
    "reference": said("id-of-one-part"),
    "end": said("id-of-part-or-open-end"),
    "references": said("list-of-ids"),
    "keys": said("names-of-fields"),
    "fire": said("curve-and-duration"),
    "accepted": said("what-was-found"),
    "found": said("names-and-numbers-found"),
    "rule": said("known-rule"),
    "material": said("known-material"),
    "alloy": said("known-alloy"),
}  # fmt: skip
