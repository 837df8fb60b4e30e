"""One value of a system file to SI, with every mistake reported where it stands."""

from __future__ import annotations

import datetime as dt
import difflib
import math
import unicodedata
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any, TypeGuard

from airrisk import quantities
from airrisk.installation.alloy_names import of_the_same_metals
from airrisk.installation.characters import hidden_in_name, hidden_in_text
from airrisk.installation.fields import (
    ALLOY_UNSTATED,
    OPEN_ENDS,
    FieldSpec,
    keys_of,
    kind_name,
)
from airrisk.installation.fields import spec as field_spec
from airrisk.installation.model import Accepted, AssumedFire, Kept
from airrisk.installation.problems import MOST_TOLD
from airrisk.messages import either, said
from airrisk.quantities import STANDARD_ATMOSPHERE, QuantityError
from airrisk.tables import read_toml

MAX_ID = 40
MAX_TEXT = 2000
MOST_OF_PATH = 200  # places
MOST_FOUND = 1e15  # SI; larger numbers no finding has
# Words that stand where an id may stand.
RESERVED_IDS = (*OPEN_ENDS, "site", "about", "choices", "spread")


class _Wrong:
    """Stands for a value that could not be read."""


WRONG = _Wrong()

# report(message, valid, sub-path below the field, value to show)
Report = Callable[..., None]


def fold(name: str) -> str:
    """An id as it is compared: without case."""
    return unicodedata.normalize("NFC", name).casefold()


@dataclass
class Surroundings:
    """What a value may need to know of the rest of the file.

    Parameters
    ----------
    ids : mapping
        Folded id to (kind, index, id as written).
    ambient_pressure : float
        Pa absolute.
    materials, alloys, rules : tuple of str
        Known names.
    questions_left : int
        How many more times the nearest known word may be looked for, which takes long.
    """

    ids: Mapping[str, tuple[str, int, str]] = field(default_factory=dict)
    ambient_pressure: float = STANDARD_ATMOSPHERE  # to read on when the site's own is wrong
    materials: tuple[str, ...] = ()
    alloys: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    questions_left: int = MOST_TOLD
    _sorted: dict[tuple[str, ...], list[str]] = field(default_factory=dict, repr=False)

    def names(self, kinds: tuple[str, ...] = ()) -> list[str]:
        """The ids of these kinds of tables (none given: all), sorted; to be looked at only."""
        if kinds not in self._sorted:
            found = [name for kind, _, name in self.ids.values() if not kinds or kind in kinds]
            self._sorted[kinds] = sorted(found, key=fold)
        return self._sorted[kinds]

    def nearest(self, name: str, known: Collection[str]) -> str:
        """A question that names the nearest known word; empty when none is near."""
        if self.questions_left <= 0:
            return ""
        self.questions_left -= 1
        return did_you_mean(name, known)


def rule_names() -> tuple[str, ...]:
    """Ids of the rules whose findings something can be decided about."""
    return tuple(read_toml("findings.toml"))


MOST_COMPARED = 300  # words, and characters of a word, that are compared letter by letter


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """A question that names the nearest known word; empty when none is near."""
    wanted = fold(name[:MOST_COMPARED])
    by_fold = {fold(word): word for word in known}
    words: Iterable[str] = by_fold
    if len(by_fold) > MOST_COMPARED:
        words = [one for one in by_fold if one[:1] == wanted[:1]][:MOST_COMPARED]
    near = difflib.get_close_matches(wanted, words, 1, 0.6)
    return said("did-you-mean-word", word=by_fold[near[0]]) if near else ""


def read_value(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    """The SI value or record value of one field; ``WRONG`` after a report.

    Parameters
    ----------
    spec : FieldSpec
        Declaration of the field.
    value : object
        As ``tomllib`` gave it.
    around : Surroundings
        Ids, ambient pressure and known names.
    report : callable
        Called as ``report(message, valid, *sub_path, value=...)`` for each mistake.
    """
    reader = _READERS.get(spec.kind)
    if reader is not None:
        return reader(spec, value, around, report)
    return _quantity(spec, value, around, report)


def _quantity(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        report(said("number-without-unit"), spec.valid_text())
        return WRONG
    if not isinstance(value, str):
        report(said("no-text-with-unit"), spec.valid_text())
        return WRONG
    ambient = None if spec.absolute else around.ambient_pressure
    try:
        found = quantities.parse(value, spec.kind, ambient_pressure=ambient)
    except QuantityError as error:
        # A field's own example knows its range, and that some pressures are absolute only.
        own = spec.absolute or error.valid == quantities.example(spec.kind)
        valid, bounds = spec.example() if own else error.valid, spec.range_text()
        report(
            error.reason,
            said("valid-within-bounds", valid=valid, bounds=bounds) if bounds else valid,
        )
        return WRONG
    datum = around.ambient_pressure if spec.kind == "pressure" and not spec.absolute else 0.0
    return _bounded(spec, found, report, datum)


def _bounded(spec: FieldSpec, value: float, report: Report, datum: float = 0.0) -> Any:
    # A bound typed in another unit may miss by rounding; that is not a mistake.
    slack = 1e-9 * max(abs(value), abs(datum))
    low = -math.inf if spec.low is None else spec.low + datum - slack
    high = math.inf if spec.high is None else spec.high + datum + slack
    if low <= value <= high:
        return value
    if spec.kind == "pressure" and not spec.absolute and value < datum:
        report(said("below-ambient-pressure"), spec.range_text())
    elif value < 0 <= (spec.low or 0.0) and spec.kind != "temperature":
        report(said("negative"), spec.range_text())
    else:
        report(said("out-of-range"), spec.range_text())
    return WRONG


def _number(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if isinstance(value, str) and spec.kind == "share":
        try:
            return _bounded(spec, quantities.parse(value, "share"), report)
        except QuantityError as error:
            report(error.reason, spec.valid_text())
            return WRONG
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        quoted = isinstance(value, str)
        report(
            said("number-in-quotes") if quoted else said("not-a-number"),
            spec.valid_text(),
        )
        return WRONG
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        report(said("not-finite"), spec.valid_text())
        return WRONG
    return _bounded(spec, number, report)


def _integer(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if isinstance(value, bool) or not isinstance(value, int):
        report(said("no-whole-number"), spec.valid_text())
        return WRONG
    found = _number(spec, value, around, report)
    return found if found is WRONG else int(found)


def _text(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if not isinstance(value, str):
        report(said("no-text-in-quotes"), spec.valid_text())
    elif len(value) > MAX_TEXT:
        report(said("longer-than", most=MAX_TEXT), spec.valid_text())
    elif hidden := hidden_in_text(value):
        report(_holds(hidden), WITHOUT_HIDDEN)
    elif spec.key == "area" and _is_quantity(value, "area"):
        report(
            said("area-is-no-measure"),
            said("area-by-name"),
        )
    else:
        return value
    return WRONG


def _is_quantity(text: str, kind: str) -> bool:
    try:
        quantities.parse(text, kind)
    except QuantityError:
        return False
    return True


def _id(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    reason = id_mistake(value)
    if reason:
        report(reason, spec.valid_text())
        return WRONG
    return value


WITHOUT_HIDDEN = said("visible-text-in-quotes")


def _holds(hidden: str) -> str:
    return said("holds-what-cannot-be-seen", hidden=hidden)


def id_mistake(value: object) -> str:
    """Why a value cannot be an id; empty when it can."""
    if not isinstance(value, str):
        return said("no-text-in-quotes")
    if not value.strip():
        return said("empty")
    if len(value) > MAX_ID:
        return said("length-in-characters", count=len(value))
    if value != value.strip():
        return said("space-at-an-end")
    if hidden := hidden_in_name(value):
        return _holds(hidden)
    if fold(value) in RESERVED_IDS:
        return said("word-with-other-meaning")
    return ""


def _choice(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if isinstance(value, str) and value in spec.choices:
        return value
    near = around.nearest(value, spec.choices) if isinstance(value, str) else ""
    report(asking(said("no-word-allowed"), near), spec.valid_text())
    return WRONG


def _flag(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if isinstance(value, bool):
        return value
    report(said("neither-true-nor-false"), spec.valid_text())
    return WRONG


def _date(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        if 1900 <= value.year <= 2200:
            return value
        report(said("out-of-range"), said("year-1900-to-2200"))
        return WRONG
    quoted = isinstance(value, str)
    report(said("date-in-quotes") if quoted else said("no-date"), spec.valid_text())
    return WRONG


def _months(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if not isinstance(value, str):
        report(said("no-text-with-unit"), spec.valid_text())
        return WRONG
    try:
        months, days = quantities.calendar_step(value)
    except QuantityError as error:
        report(error.reason, spec.valid_text())
        return WRONG
    if spec.kind == "calendar":
        return value
    if days:
        report(said("no-whole-months"), spec.valid_text())
        return WRONG
    if not (spec.low or 1) <= months <= (spec.high or math.inf):
        report(said("out-of-range"), said("months-up-to", high=f"{spec.high:g}"))
        return WRONG
    return months


def known_names(spec: FieldSpec, around: Surroundings) -> tuple[str, ...]:
    """The names that a field takes from the program's tables; empty for other fields."""
    if spec.kind == "material":
        return around.materials
    if spec.kind == "rule":
        return around.rules
    return (*around.alloys, ALLOY_UNSTATED) if spec.kind == "alloy" else ()


def _named(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    known = known_names(spec, around)
    if spec.kind == "alloy" and value == ALLOY_UNSTATED:
        return None
    by_fold = {fold(name): name for name in known}
    if isinstance(value, str) and fold(value) in by_fold:
        return by_fold[fold(value)]
    near = ""
    if isinstance(value, str):
        alike = of_the_same_metals(value, known)
        near = _one_of(alike) if alike else around.nearest(value, known)
    report(asking(said("no-such-kind-of-name", kind=spec.kind), near), " | ".join(known))
    return WRONG


def _one_of(names: tuple[str, ...]) -> str:
    quoted = [f'"{name}"' for name in names]
    return said("did-you-mean", words=either(quoted))


def _find(spec: FieldSpec, value: object, around: Surroundings, report: Report, *sub: Any) -> Any:
    wanted = _any_of(spec.targets)
    if not isinstance(value, str):
        report(
            said("no-id-in-quotes"),
            said("id-of", wanted=wanted),
            *sub,
            value=value,
        )
        return WRONG
    found = around.ids.get(fold(value))
    if found is None:
        names = around.names(spec.targets)
        report(
            asking(said("no-such-part"), around.nearest(value, names)),
            _list_of(names, wanted), *sub, value=value,
        )  # fmt: skip
        return WRONG
    kind, _, name = found
    if kind not in spec.targets:
        names = around.names(spec.targets)
        report(
            said(
                "id-of-an-kind" if kind == "action" else "id-of-a-kind",
                kind=kind_name(kind),
            ),
            _list_of(names, wanted),
            *sub,
            value=value,
        )
        return WRONG
    return name


def _any_of(kinds: tuple[str, ...]) -> str:
    names = [kind_name(kind) for kind in kinds]
    return either(names)


def _list_of(names: list[str], wanted: str) -> str:
    if not names:
        return said("id-of-none-in-file", wanted=wanted)
    return said("id-of-these", wanted=wanted, names=first_of(names))


def first_of(names: Sequence[str]) -> str:
    """The first dozen of some names as a list, which needs no words."""
    return ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")


def _reference(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    return _find(spec, value, around, report)


def _end(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if isinstance(value, str) and fold(value) in OPEN_ENDS:
        return fold(value)

    def told(message: str, valid: str, *sub: Any, **more: Any) -> None:
        wanted = said("valid-or-open-end", valid=valid)
        report(message, wanted, *sub, **more)

    return _find(spec, value, around, told)


def _references(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if not isinstance(value, list):
        report(said("no-list"), spec.valid_text())
        return WRONG
    if not value and spec.required:
        report(said("empty-list"), said("at-least-one", targets=_any_of(spec.targets)))
        return WRONG
    found: list[Any] = []
    seen: set[str] = set()
    for index, item in enumerate(value):
        one = _find(spec, item, around, report, index)
        if one is not WRONG and one in seen:
            report(said("named-twice"), said("each-id-once"), index, value=item)
            one = WRONG
        elif one is not WRONG:
            seen.add(one)
        found.append(one)
    return WRONG if WRONG in found else tuple(found)


def _point(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    good = (
        isinstance(value, list)
        and len(value) == 2
        and all(isinstance(x, (int, float)) and not isinstance(x, bool) for x in value)
    )
    if not good:
        report(said("no-position"), spec.valid_text())
        return WRONG
    assert isinstance(value, list)
    if not all(abs(x) <= (spec.high or math.inf) for x in value):  # refuses nan as well
        report(said("out-of-range"), said("place-within-100-km"))
        return WRONG
    return (float(value[0]), float(value[1]))


def _cell(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    good = (
        isinstance(value, list)
        and len(value) == 2
        and all(isinstance(x, int) and not isinstance(x, bool) for x in value)
    )
    if not good:
        report(said("no-drawn-place"), spec.valid_text())
        return WRONG
    assert isinstance(value, list)
    if not all((spec.low or 0.0) <= x <= (spec.high or 0.0) for x in value):
        report(said("out-of-range"), spec.valid_text())
        return WRONG
    return (value[0], value[1])


def _notes_for(kind: str) -> Callable[[FieldSpec, object, Surroundings, Report], Any]:
    known = keys_of(kind)

    def read(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
        if not isinstance(value, dict):
            report(said("no-table"), spec.valid_text())
            return WRONG
        wrong = False
        for key, remark in value.items():
            if key not in known:
                near = around.nearest(key, known)
                report(asking(said("no-such-field"), near), ", ".join(known), key, value=key)
                wrong = True
            elif not isinstance(remark, str) or len(remark) > MAX_TEXT:
                report(
                    said("no-text-in-quotes"),
                    said("characters-up-to", most=MAX_TEXT),
                    key,
                    value=remark,
                )
                wrong = True
            elif hidden := hidden_in_text(remark):
                report(_holds(hidden), WITHOUT_HIDDEN, key, value=remark)
                wrong = True
        return WRONG if wrong else tuple(sorted(value.items()))

    return read


def read_notes(
    kind: str, spec: FieldSpec, value: object, around: Surroundings, report: Report
) -> Any:
    """The remarks of one part of a kind, sorted by field; ``WRONG`` after a report."""
    return _notes_for(kind)(spec, value, around, report)


_NEVER_OFFERED = frozenset({"id", "notes", "offered"})


def read_keys(
    kind: str, table: Mapping[str, Any], value: object, around: Surroundings, report: Report
) -> Any:
    """The keys listed in a table of a kind, in the order of the list; ``WRONG`` after a report.

    Parameters
    ----------
    kind : str
        Kind of table.
    table : mapping
        The table as it stands in the file: a field that is left out holds no value to name.
    value : object
        The list.
    around, report : Surroundings and callable
        As for ``read_value``.
    """
    known = [key for key in keys_of(kind) if key not in _NEVER_OFFERED]
    if not isinstance(value, list):
        wanted = said("list-of-field-names", key=known[0])
        report(said("no-list"), wanted)
        return WRONG
    given = [key for key in known if key in table]
    seen: set[str] = set()
    wrong = False
    for index, name in enumerate(value):
        if not isinstance(name, str) or name not in known:
            near = around.nearest(name, known) if isinstance(name, str) else ""
            report(asking(said("no-such-field"), near), ", ".join(known), index, value=name)
        elif name not in table:
            report(
                said("no-value-to-confirm", name=name),
                ", ".join(given) or said("list-without-names"), index, value=name,
            )  # fmt: skip
        elif name in seen:
            report(said("named-twice"), said("each-field-once"), index, value=name)
        else:
            seen.add(name)
            continue
        wrong = True
    return WRONG if wrong else tuple(value)


def _fire(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    """Curve and duration of the assumed fire."""
    inner = (
        FieldSpec("curve", "curve", "choice", choices=spec.choices, required=True),
        field_spec("fire", "duration"),
    )
    found = _inner_table(spec, value, inner, around, report)
    return WRONG if found is WRONG else AssumedFire(**found)


def _accepted(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    """What a fire did when its finding was accepted; a calculation that failed cannot be."""
    known = tuple(word for word in spec.choices if word != "not converged")
    inner = (
        FieldSpec("outcome", "outcome", "choice", choices=known, required=True),
        FieldSpec("use", "use", "number", low=0.0, high=1000.0, required=True),
        FieldSpec("rupture_after", "rupture_after", "time", low=0.0, high=172800.0, unit="min"),
    )
    found = _inner_table(spec, value, inner, around, report)
    return WRONG if found is WRONG else Accepted(**found)


def _found(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    """What was found when a finding was accepted, by key; the finding's rule knows its keys."""
    if not isinstance(value, dict):
        report(said("no-table"), spec.valid_text())
        return WRONG
    found: list[tuple[str, Kept]] = []
    for key, one in value.items():
        if isinstance(one, list) and all(isinstance(name, str) for name in one):
            found.append((key, tuple(one)))
        elif isinstance(one, dict) and all(_is_number(number) for number in one.values()):
            found.append((key, tuple((name, float(number)) for name, number in one.items())))
        elif _is_number(one):
            found.append((key, float(one)))
        else:
            report(said("no-names-and-no-number"), spec.valid_text(), key, value=one)
            return WRONG
    return tuple(found)


def _is_number(value: object) -> TypeGuard[float]:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return False
    return abs(value) <= MOST_FOUND


def _inner_table(
    spec: FieldSpec,
    value: object,
    fields: tuple[FieldSpec, ...],
    around: Surroundings,
    report: Report,
) -> Any:
    """The values of a small table inside a field, by key; ``WRONG`` after a report."""
    if not isinstance(value, dict):
        report(said("no-table"), spec.valid_text())
        return WRONG
    inner = {one.key: one for one in fields}
    found: dict[str, Any] = {}
    for key in value:
        if key not in inner:
            near = around.nearest(key, inner)
            report(asking(said("no-such-field"), near), ", ".join(inner), key, value=key)
            found[key] = WRONG
    for key, one in inner.items():

        def told(message: str, valid: str, *, at: str = key) -> None:
            report(message, valid, at, value=value[at])

        if key in value:
            found[key] = read_value(one, value[key], around, told)
        elif one.required:
            report(
                said("key-missing", key=key),
                said("key-with-value", key=key, valid=one.valid_text()),
            )
            found[key] = WRONG
    return WRONG if WRONG in found.values() else found


def _outlet(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    """One of the words for a place, or the id of a room."""
    known = around.ids.get(fold(value)) if isinstance(value, str) else None
    if isinstance(value, str) and value in spec.choices:
        if known is None:
            return value
        report(
            said(
                "place-and-also-an-id",
                kind=kind_name(known[0]),
                name=known[2],
            ),
            said("another-id"),
        )
        return WRONG
    if known is not None and known[0] in spec.targets:
        return known[2]
    rooms = around.names(spec.targets)
    words = " | ".join(f'"{word}"' for word in spec.choices)
    if rooms:
        valid = said("words-or-room-of", words=words, rooms=first_of(rooms))
    else:
        valid = said("words-or-room-none-in-file", words=words)
    if not isinstance(value, str):
        report(said("no-text-in-quotes"), valid)
    elif known is not None:
        report(said("id-of-a-kind", kind=kind_name(known[0])), valid)
    else:
        near = around.nearest(value, [*spec.choices, *rooms])
        report(asking(said("no-place-and-no-room"), near), valid)
    return WRONG


def _shares(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if not isinstance(value, dict):
        return _share(spec, value, report)
    found: dict[str, Any] = {}
    wrong = False
    for key, item in value.items():
        known = around.ids.get(fold(key))
        if known is None or known[0] not in {"vessel", "line"}:
            names = around.names(("vessel", "line"))
            report(
                asking(said("no-such-vessel-or-line"), around.nearest(key, names)),
                _list_of(names, said("vessel-or-line")), key, value=key,
            )  # fmt: skip
            wrong = True
            continue
        share = _share(spec, item, report, key)
        if known[2] in found:
            report(said("named-twice"), said("each-part-once"), key, value=key)
            share = WRONG
        wrong = wrong or share is WRONG
        found[known[2]] = share
    return WRONG if wrong else found


def _share(spec: FieldSpec, value: object, report: Report, *sub: Any) -> Any:
    def told(message: str, valid: str) -> None:
        report(message, valid, *sub, value=value)

    plain = FieldSpec("", "", "share", low=spec.low, high=spec.high)
    return _number(plain, value, Surroundings(), told)


def _path(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    least = 2 if spec.required else 1
    if not isinstance(value, list) or not least <= len(value) <= MOST_OF_PATH:
        report(
            said("no-list-of-places", least=least, most=MOST_OF_PATH),
            spec.valid_text(),
        )
        return WRONG
    found = []
    for index, place in enumerate(value):

        def told(message: str, valid: str, *, at: int = index) -> None:
            report(message, valid, at, value=value[at])

        found.append(_point(replace(spec, kind="point"), place, around, told))
    if WRONG in found:
        return WRONG
    for index, (one, other) in enumerate(pairwise(found)):
        if one == other:
            report(said("same-place-twice"), said("places-apart"), index + 1, value=other)
            return WRONG
    return tuple(found)


def _points(spec: FieldSpec, value: object, around: Surroundings, report: Report) -> Any:
    if not isinstance(value, list) or len(value) < 2:
        report(said("no-list-of-pairs"), spec.valid_text())
        return WRONG
    time = FieldSpec("", "", "time", low=0.0, high=86400.0, unit="min")
    heat = FieldSpec("", "", "temperature", low=173.15, high=2273.15, unit="degC")
    found: list[tuple[float, float]] = []
    wrong = False
    for index, pair in enumerate(value):
        if not isinstance(pair, list) or len(pair) != 2:
            report(said("no-pair"), spec.valid_text(), index, value=pair)
            wrong = True
            continue
        numbers = []
        for place, one in enumerate((time, heat)):

            def told(message: str, valid: str, *, at: tuple[int, int] = (index, place)) -> None:
                report(message, valid, *at, value=pair[at[1]])  # noqa: B023

            numbers.append(_quantity(one, pair[place], around, told))
        if WRONG in numbers:
            wrong = True
            continue
        if found and numbers[0] <= found[-1][0]:
            report(
                said("not-later-than-before"),
                said("times-that-rise"),
                index,
                value=pair[0],
            )
            wrong = True
        elif not found and index == 0 and numbers[0] != 0:
            report(said("first-point-not-at-zero"), '"0 min" first', index, value=pair[0])
            wrong = True
        found.append((numbers[0], numbers[1]))
    return WRONG if wrong else tuple(found)


def asking(message: str, question: str) -> str:
    """What is wrong, with a question behind it if there is one."""
    return said("message-and-question", message=message, question=question) if question else message


_READERS: dict[str, Callable[[FieldSpec, object, Surroundings, Report], Any]] = {
    "number": _number,
    "share": _number,
    "integer": _integer,
    "text": _text,
    "id": _id,
    "choice": _choice,
    "flag": _flag,
    "date": _date,
    "months": _months,
    "calendar": _months,
    "material": _named,
    "alloy": _named,
    "rule": _named,
    "reference": _reference,
    "end": _end,
    "references": _references,
    "point": _point,
    "cell": _cell,
    "shares": _shares,
    "path": _path,
    "points": _points,
    "fire": _fire,
    "accepted": _accepted,
    "found": _found,
    "outlet": _outlet,
}
