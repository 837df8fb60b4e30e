"""A part made of a typed line: "receiver 3 m3 11 bar", "plug on R1 tin 10 mm".

What cannot be understood is named, and then nothing is made of the line.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from airrisk.editing import edits
from airrisk.editing.entry_table import NEITHER, key_of, message_of, new_problems
from airrisk.editing.fields import typed_text
from airrisk.editing.offered_beside import offered_beside
from airrisk.editing.typed_pieces import Piece, pieces_of
from airrisk.editing.typed_words import kind_words, longest_at
from airrisk.editing.usual_sizes import nominal_sizes, pipe_of
from airrisk.installation.fields import FIELDS, OFFERING, FieldSpec, kind_name, spec
from airrisk.installation.problems import Problem
from airrisk.installation.splice import EditError, SystemText
from airrisk.messages import listed, quoted, said, told_of
from airrisk.physics.alloys import alloys
from airrisk.quantities import (
    QuantityError,
    parse,
    plain_number,
    read_number,
    units_of,
)

if TYPE_CHECKING:
    from airrisk.installation.model import Installation

STAND_ALONE = ("compressor", "vessel", "junction", "consumer")  # an id beside them is their own
MOST_TYPED = 400  # characters
ON_PARTS = ("plug", "relief_valve", "bursting_disc", "reading")
# The field that a value without a word belongs to, where several could hold it. Lengths of lines
# are told apart by their unit.
PLAIN = {
    ("vessel", "pressure"): "design_pressure", ("vessel", "length"): "inside_diameter",
    ("compressor", "pressure"): "discharge_pressure", ("plug", "length"): "bore",
    ("fire_source", "length"): "diameter", ("line", "pressure"): "", ("fire", "temperature"): "",
    ("compressor", "temperature"): "", ("room", "length"): "",
}  # fmt: skip
SAME_MELTING, SHARP = 1.0, 1.0  # K, from what is typed, and between solidus and liquidus
MEASURED = {"reading": "thickness"}  # a field that nothing may be put into for a person
LONG_UNITS = ("m", "km", "ft", "foot", "feet")


@dataclass(frozen=True)
class Here:
    """What is chosen while somebody types: where a new part belongs if nothing else is said."""

    chosen: str = ""  # part, device or valve
    holder: str = ""  # vessel or line that it is or stands on
    today: dt.date | None = None


@dataclass
class Understood:
    """What was understood of a line; ``text`` is the new text, None while it has a mistake."""

    kind: str = ""
    name: str = ""
    fields: dict[str, Any] = field(default_factory=dict)  # typed, or said by a word
    gauge: list[str] = field(default_factory=list)  # keys whose pressure was read as gauge
    offered: dict[str, str] = field(default_factory=dict)  # filled in, see ``is_offered``
    mistakes: list[str] = field(default_factory=list)
    text: SystemText | None = None

    @property
    def is_offered(self) -> bool:
        """Whether the file can hold as offered what is filled in; else it counts as typed."""
        return self.kind in OFFERING

    def put(self, key: str, value: Any) -> None:
        """Take a value for a field that has none yet."""
        if key in self.fields and self.fields[key] != value:
            self.mistakes.append(
                said("typed-twice", field=quoted(spec(self.kind, key).label), value=str(value))
            )
        self.fields[key] = value


def understood(line: str, text: SystemText, installation: Installation | None,
               here: Here) -> Understood:  # fmt: skip
    """What a typed line makes: a part with its fields, or the mistakes that keep it from it.

    Parameters
    ----------
    line
        As it was typed.
    text
        The file that the part is to stand in; stays as it is.
    installation
        What the file says, as far as it can be read.
    here
        What is chosen.
    """
    found = Understood()
    line = line.strip()
    if len(line) > MOST_TYPED:
        found.mistakes.append(said("longer-than", most=MOST_TYPED))
        return found
    known = kind_words()
    phrase, end = longest_at(line, known)
    if not phrase:
        first = line.split(maxsplit=1)[0] if line else ""
        found.mistakes.append(said("typed-no-kind", word=first))
        return found
    found.kind = known[phrase].kind
    found.fields.update(known[phrase].fields)
    try:
        _Reader(found, text).read(pieces_of(line[end:], found.kind))
    except EditError as error:  # the file cannot be read
        found.mistakes.append(told_of(error))
    if not found.mistakes:
        _belong(found, text, installation, here)
    if not found.mistakes:
        _make(found, text)
    return found


class _Reader:
    """Takes the pieces of a line one after the other."""

    def __init__(self, found: Understood, text: SystemText) -> None:
        self._found = found
        self._ids = {name.casefold(): name for name in text.ids()}
        self._kinds = {name.casefold(): kind for name, kind in text.ids().items()}
        self._pieces: list[Piece] = []

    def read(self, pieces: tuple[Piece, ...]) -> None:
        """Take all pieces; what none can take is a mistake."""
        self._pieces = list(pieces)
        self._read_name()
        takers: dict[str, Callable[[Piece], None]] = {
            "quantity": self._quantity, "pipe": self._pipe, "nominal": self._nominal,
            "field": self._field, "choice": self._choice, "word": self._word,
        }  # fmt: skip
        while self._pieces:
            piece = self._pieces.pop(0)
            takers.get(piece.kind, self._unread)(piece)
        named, melts = self._found.fields.get("alloy"), self._found.offered.get("alloy")
        if named is not None and melts is not None and named != melts:
            label = quoted(spec(self._found.kind, "alloy").label)
            self._found.mistakes.append(said("typed-twice", field=label, value=melts))

    def _unread(self, piece: Piece) -> None:
        kind = kind_name(self._found.kind)
        new = piece.kind == "word" and piece.text.casefold() not in self._ids
        if new and not self._found.name and piece.text.isidentifier():
            told = said("typed-perhaps-name", word=piece.text, kind=kind)
        else:
            told = said("typed-not-understood", word=piece.text, kind=kind)
        self._found.mistakes.append(told)

    def _read_name(self) -> None:
        """A new id straight after the word for the kind; that of another kind is a slip."""
        first = self._pieces[0] if self._pieces else None
        if first is None or first.kind != "word":
            return
        known = self._ids.get(first.text.casefold())
        if known is not None:
            if not self._may_name(known):
                self._pieces.pop(0)
                self._found.mistakes.append(_taken(known, self._kinds[known.casefold()]))
            return
        stem = first.text.rstrip("0123456789")
        others = {one for kind, one in edits.PREFIXES.items() if kind != self._found.kind}
        if stem in others and stem != edits.PREFIXES[self._found.kind]:
            return  # told as a part that is not there
        if stem != first.text:
            self._found.name = self._pieces.pop(0).text

    def _quantity(self, piece: Piece) -> None:
        spec_of = self._plain_field(piece)
        if spec_of is not None:
            self._take_quantity(spec_of, piece)

    def _plain_field(self, piece: Piece) -> FieldSpec | None:
        """The field that a value belongs to without a word, or a mistake that asks for one."""
        kind = self._found.kind
        fitting = [one for one in FIELDS[kind] if one.is_quantity and _holds(one, piece)]
        if not fitting and kind == "plug" and self._alloy_of(piece):
            return None
        if not fitting:
            self._unread(piece)
            return None
        plain = PLAIN.get((kind, fitting[0].kind), fitting[0].key)
        if kind == "line" and fitting[0].kind == "length":
            plain = "length" if piece.unit in LONG_UNITS else "inside_diameter"
        if plain and plain not in self._found.fields:
            return next((one for one in fitting if one.key == plain), None)
        fields = listed([quoted(one.label) for one in fitting])
        self._found.mistakes.append(said("typed-say-which", value=piece.text, fields=fields))
        return None

    def _alloy_of(self, piece: Piece) -> bool:
        """The trade buys alloys by their temperature: the one that melts there, as offered.

        Others may melt there too, which nobody has listed here: a person has to confirm it.
        """
        unit = piece.unit.replace("° ", "°").replace("°", "deg")
        try:
            wanted = parse(f"{piece.number} {unit}", "temperature")
        except QuantityError:
            return False
        found = [
            one.key
            for one in alloys()
            if abs(one.liquidus - wanted) <= SAME_MELTING and one.liquidus - one.solidus <= SHARP
        ]
        if len(found) == 1:
            self._found.offered["alloy"] = found[0]
        elif found:
            names = ", ".join(found)
            self._found.mistakes.append(said("typed-say-which", value=piece.text, fields=names))
        return bool(found)

    def _take_quantity(self, spec_of: FieldSpec, piece: Piece) -> None:
        text = f"{piece.number} {piece.unit}"
        if spec_of.kind == "pressure" and piece.unit in NEITHER:
            if spec_of.absolute:
                text += "(a)"
            else:
                text += "(g)"
                self._found.gauge.append(spec_of.key)
        self._found.put(spec_of.key, text)

    def _pipe(self, piece: Piece) -> None:
        """Outer diameter and wall of a line."""
        if self._found.kind != "line":
            self._unread(piece)
            return
        try:
            outer, wall = read_number(piece.number), read_number(piece.unit)
        except QuantityError as error:
            self._found.mistakes.append(told_of(error))
            return
        self._found.put("inside_diameter", f"{plain_number(outer - 2.0 * wall)} mm")
        self._found.put("wall_thickness", f"{plain_number(wall)} mm")

    def _nominal(self, piece: Piece) -> None:
        """A nominal size says neither bore nor wall: both are offered."""
        if self._found.kind != "line":
            self._unread(piece)
            return
        size = pipe_of(int(piece.number))
        if size is None:
            valid = ", ".join(map(str, nominal_sizes()))
            self._found.mistakes.append(said("typed-no-nominal", size=piece.text, valid=valid))
        else:
            self._found.offered.update(size.fields)

    def _field(self, piece: Piece) -> None:
        """The word for a field and the value behind it."""
        assert piece.field is not None
        of = piece.field
        if of.kind in ("id", "reference", "end", "references"):
            self._reference(of)
        elif of.key == "end":
            self._near()
        elif of.kind == "point":
            self._point(of)
        elif not self._pieces:
            field_name = quoted(of.label)
            self._found.mistakes.append(said("typed-field-without-value", field=field_name))
        else:
            self._named_value(of, self._pieces.pop(0))

    def _named_value(self, of: FieldSpec, value: Piece) -> None:
        words = dict(value.says)
        if value.kind == "quantity" and of.is_quantity:
            self._take_quantity(of, value)
        elif of.key in words:
            self._found.put(of.key, words[of.key])
        elif of.kind == "flag" and value.text.casefold() in ("yes", "ja", "no", "nein"):
            self._found.put(of.key, "true" if value.text.casefold() in ("yes", "ja") else "false")
        elif value.kind == "date" and of.kind == "date":
            self._found.put(of.key, _day(value.text))
        else:
            self._found.put(of.key, typed_text(of, value.text))

    def _reference(self, of: FieldSpec) -> None:
        if of.kind == "references":
            taken = 0
            while self._pieces and self._pieces[0].text.casefold() in self._ids:
                self._refer(of.key, self._ids[self._pieces.pop(0).text.casefold()])
                taken += 1
            if taken:
                return
        if not self._pieces:
            name = quoted(of.label)
            self._found.mistakes.append(said("typed-field-without-value", field=name))
            return
        piece = self._pieces.pop(0)
        if of.kind == "id":
            self._found.name = piece.text
        elif of.kind == "end" and piece.text.casefold() in ("closed", "atmosphere"):
            self._found.put(of.key, piece.text.casefold())
        elif piece.text.casefold() in self._ids:
            self._refer(of.key, self._ids[piece.text.casefold()])
        else:
            self._found.mistakes.append(said("typed-no-such-part", name=piece.text))

    def _refer(self, key: str, name: str) -> None:
        if spec(self._found.kind, key).kind == "references":
            before = self._found.fields.get(key, [])
            self._found.fields[key] = [*before, name]
        else:
            self._found.put(key, name)

    def _near(self) -> None:
        """At which end of its line a valve stands, by the neighbour there."""
        piece = self._pieces.pop(0) if self._pieces else None
        if piece is not None and piece.text.casefold() in ("from", "to"):
            self._found.put("end", piece.text.casefold())
        elif piece is not None and piece.text.casefold() in self._ids:
            self._found.fields["near"] = self._ids[piece.text.casefold()]
        else:
            name = "" if piece is None else piece.text
            self._found.mistakes.append(said("typed-no-such-part", name=name))

    def _point(self, of: FieldSpec) -> None:
        numbers: list[str] = []
        while len(numbers) < 2 and self._pieces and self._pieces[0].kind == "number":
            numbers.append(self._pieces.pop(0).number)
        if len(numbers) != 2:
            valid = "12.5, 3"
            self._found.mistakes.append(
                said("typed-two-numbers", field=quoted(of.label), valid=valid)
            )
            return
        try:
            self._found.put(of.key, [read_number(one) for one in numbers])
        except QuantityError as error:
            self._found.mistakes.append(told_of(error))

    def _choice(self, piece: Piece) -> None:
        """A word that only one field can be; of several the first that has none yet."""
        free = [(key, word) for key, word in piece.says if key not in self._found.fields]
        if len({key for key, _word in free}) > 1:
            fields = listed([quoted(spec(self._found.kind, key).label) for key, _word in free])
            self._found.mistakes.append(said("typed-say-which", value=piece.text, fields=fields))
        else:
            key, word = (free or list(piece.says))[0]
            self._found.put(key, word)

    def _word(self, piece: Piece) -> None:
        """An id of the file goes where this kind of part needs one."""
        name = self._ids.get(piece.text.casefold())
        if name is None:
            looks_like_id = piece.text.rstrip("0123456789") in edits.PREFIXES.values()
            looks_like_id = looks_like_id and piece.text[-1:].isdigit()
            if looks_like_id and self._found.kind in STAND_ALONE and not self._found.name:
                self._found.name = piece.text
            elif looks_like_id:
                self._found.mistakes.append(said("typed-no-such-part", name=piece.text))
            else:
                self._unread(piece)
            return
        key = self._place_for(name)
        if key == "near":
            self._found.fields["near"] = name
        elif key:
            self._refer(key, name)
        else:
            self._unread(piece)

    def _may_name(self, name: str) -> bool:
        """Whether a part of this kind can stand on, begin at or reach the one with this id."""
        kind, key = self._kinds[name.casefold()], self._place_for(name)
        if key == "on":
            return kind in spec(self._found.kind, key).targets
        return kind != self._found.kind if key == "near" else bool(key)

    def _place_for(self, name: str) -> str:
        """The field that an id belongs into; "near": the end of a line; "": none."""
        kind, held = self._found.kind, self._found.fields
        target = self._kinds[name.casefold()]
        if kind == "line":
            return "from" if "from" not in held else "to" if "to" not in held else ""
        if kind == "fire":
            return "reaches" if target in ("vessel", "line") else ""
        if kind == "valve" and target not in spec("valve", "on").targets:
            return "near"
        if kind in ON_PARTS or kind == "valve":
            return "" if "on" in held else "on"
        return ""


def _taken(name: str, kind: str) -> str:
    return said("typed-id-taken-by", name=name, kind=kind_name(kind))


def _holds(one: FieldSpec, piece: Piece) -> bool:
    """Whether a field of this kind of quantity can have the unit of a value."""
    if one.kind == "pressure" and piece.unit in NEITHER:
        return True
    unit = piece.unit.replace("° ", "°").replace("°", "deg")
    return unit in units_of(one.kind)


def _day(text: str) -> Any:
    try:
        if "." in text:
            day, month, year = (int(piece) for piece in text.split("."))
            return dt.date(year, month, day)
        return dt.date.fromisoformat(text)
    except ValueError:
        return text


def _belong(found: Understood, text: SystemText, installation: Installation | None,
            here: Here) -> None:  # fmt: skip
    """Where the part belongs, if the line does not say it: to what is chosen."""
    if found.kind in ON_PARTS and "on" not in found.fields:
        if not here.holder:
            found.mistakes.append(said("typed-needs-holder"))
            return
        found.fields["on"] = here.holder
    if found.kind == "reading" and here.today is not None:
        found.fields.setdefault("date", here.today)
    measured = MEASURED.get(found.kind, "")
    if measured and measured not in found.fields:
        label = quoted(spec(found.kind, measured).label)
        found.mistakes.append(said("typed-field-without-value", field=label))
    if found.kind == "valve":
        _stand_valve(found, text, here)
    elif found.kind == "line":
        _join_line(found, here)
    elif found.kind == "fire" and "reaches" not in found.fields:
        everything = [] if installation is None else [one.id for one in installation.holders()]
        found.fields["reaches"] = [here.holder] if here.holder else everything
        if not found.fields["reaches"]:
            found.mistakes.append(said("typed-fire-reaches-nothing"))
    _stand_apart(found, here)


def _stand_apart(found: Understood, here: Here) -> None:
    """Where something stands that stands on no part; people may be told from a vessel."""
    if found.kind == "people" and not {"distance", "from"}.isdisjoint(found.fields):
        if here.holder:
            found.fields.setdefault("from", here.holder)
        return
    for key, value in edits.STANDING.get(found.kind, {}).items():
        found.fields.setdefault(key, value)


def _stand_valve(found: Understood, text: SystemText, here: Here) -> None:
    near = found.fields.pop("near", None)
    on = found.fields.setdefault("on", here.chosen) or ""
    kind = text.ids().get(on)
    if kind not in spec("valve", "on").targets:
        found.mistakes.append(said("typed-valve-needs-line"))
        return
    if kind != "line":
        return
    block = text.block(on)
    if near is None:
        found.fields.setdefault("end", "from")
        return
    ends = [key for key in ("from", "to") if str(block.get(key, "")).casefold() == near.casefold()]
    if len(ends) == 1:
        found.fields["end"] = ends[0]
    else:
        found.mistakes.append(said("typed-not-at-line", name=near, line=on))


def _join_line(found: Understood, here: Here) -> None:
    """Both ends; with one of them typed the line begins at what is chosen."""
    held = found.fields
    if "from" in held and "to" not in held and here.chosen not in ("", held["from"]):
        held["from"], held["to"] = here.chosen, held["from"]
    elif "to" in held and "from" not in held and here.chosen:
        held["from"] = here.chosen
    if "from" not in held or "to" not in held:
        found.mistakes.append(said("typed-line-needs-ends"))


def _make(found: Understood, text: SystemText) -> None:
    """The new text; what the file's own check says against it are mistakes."""
    for key, value in offered_beside(found.kind, found.fields, text).items():
        found.offered.setdefault(key, value)
    for key in found.fields:
        found.offered.pop(key, None)
    try:
        name = found.name or edits.free_id(text, found.kind)
        for known, kind in text.ids().items():
            if known.casefold() == name.casefold():
                found.mistakes.append(_taken(known, kind))
                return
        fields: dict[str, Any] = {"id": name, **found.offered, **found.fields}
        if found.kind in OFFERING and found.offered:
            fields["offered"] = list(found.offered)
        after = text.add(found.kind, fields)
        index = after.address(name)[1]
    except EditError as error:
        found.mistakes.append(told_of(error))
        return
    found.name = name
    for problem in new_problems(text, after):
        mine = problem.kind == found.kind and problem.index == index
        found.mistakes.append(_told(problem, found.kind if mine else ""))
    if not found.mistakes:
        found.text = after


def _told(problem: Problem, kind: str) -> str:
    """A mistake of the file's check, by the label of its field; of another part by its name."""
    label = next((one.label for one in FIELDS.get(kind, ()) if one.key == key_of(problem)), "")
    place = quoted(label) if label else "" if kind else problem.part
    return listed([place, message_of(problem)], ": ") if place else message_of(problem)
