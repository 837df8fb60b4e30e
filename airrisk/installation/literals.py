"""Values as they are written into a system file."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping
from typing import Any

from airrisk.installation.fields import FieldSpec
from airrisk.quantities import QuantityError, read_number

_ESCAPES = {
    "\\": "\\\\",
    '"': '\\"',
    "\b": "\\b",
    "\t": "\\t",
    "\n": "\\n",
    "\f": "\\f",
    "\r": "\\r",
}
_LINE_ENDS = "\u2028\u2029"  # some editors break lines there
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def literal(value: Any) -> str:
    """A value as TOML, on one line.

    Parameters
    ----------
    value : bool, int, float, str, date, list, tuple or mapping
        What to write.

    Raises
    ------
    TypeError
        TOML has no such value.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(literal(item) for item in value) + "]"
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{key_text(key)} = {literal(item)}" for key, item in value.items())
        return f"{{ {pairs} }}" if pairs else "{}"
    raise TypeError(f"{type(value).__name__} cannot be written into a system file")


def key_text(name: str) -> str:
    """A key as TOML, quoted when it has to be."""
    return name if _BARE_KEY.fullmatch(name) else _quoted(name)


def typed_value(spec: FieldSpec | None, value: Any) -> Any:
    """What a text typed into a form means for a field; other values are left as they are.

    A text that does not fit stays a text, so that the reader reports it where it stands.

    Parameters
    ----------
    spec : FieldSpec or None
        Declaration of the field; None: texts stay texts.
    value : object
        A text, or a value that is already of the right kind.
    """
    if not isinstance(value, str) or spec is None:
        return value
    text = value.strip()
    if spec.kind in {"number", "share", "integer", "shares"}:
        try:
            number = read_number(text)
        except QuantityError:
            return text
        whole = re.fullmatch(r"[+-]?[0-9]+", text)
        return int(text) if whole and len(text) < 18 else number
    if spec.kind == "flag":
        return {"true": True, "yes": True, "false": False, "no": False}.get(text.casefold(), text)
    if spec.kind == "date":
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            return text
    if spec.kind in {"references", "keys"}:
        return [name.strip() for name in text.split(",") if name.strip()]
    if spec.kind in _PLACES:
        try:
            return _PLACES[spec.kind](text)
        except QuantityError:
            return text
    return value if spec.kind == "text" else text


def _point(text: str) -> list[float]:
    return [read_number(part) for part in re.split(r"\s*;\s*|\s+|,\s+", text)]


def _cell(text: str) -> list[float]:
    """Whole numbers as such, so that others are found out."""
    found = [read_number(part) for part in re.split(r"\s*;\s*|\s+|,\s*", text)]
    return [int(one) if one.is_integer() else one for one in found]


def _path(text: str) -> list[list[float]]:
    return [
        [read_number(part) for part in re.split(r"\s+|,\s+", one)]
        for one in re.split(r"\s*;\s*", text)
    ]


_PLACES: dict[str, Callable[[str], list[Any]]] = {"point": _point, "cell": _cell, "path": _path}


def _quoted(text: str) -> str:
    found = []
    for char in text:
        if char in _ESCAPES:
            found.append(_ESCAPES[char])
        elif ord(char) < 0x20 or 0x7F <= ord(char) < 0xA0 or char in _LINE_ENDS:
            found.append(f"\\u{ord(char):04X}")
        elif 0xD800 <= ord(char) <= 0xDFFF:
            found.append("\ufffd")
        else:
            found.append(char)
    return '"' + "".join(found) + '"'
