"""The bytes of a system file to plain TOML: size, encoding and grammar, and the file's hash."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from airrisk.installation.fields import all_fields, kind_name, named_place
from airrisk.installation.problems import SHOWN_VALUE, Problem, SystemFileErrors, shortened
from airrisk.messages import said

MAX_BYTES = 2_000_000
MAX_DEPTH = 12  # names in one key, and brackets inside each other; the deepest need has 4
MAX_TABLES = 5_000
MAX_VALUES = 50_000


def read_file(path: str | Path) -> bytes:
    """The bytes of a file that is not too large.

    Parameters
    ----------
    path : str or Path
        A system file.

    Raises
    ------
    OSError
        The file cannot be read.
    SystemFileErrors
        The file is too large or no regular file; it was not read.
    """
    return read_with_status(path)[0]


def read_with_status(path: str | Path) -> tuple[bytes, os.stat_result]:
    """The bytes of a file that is not too large, and its status when they were read.

    Parameters
    ----------
    path : str or Path
        A system file; a pipe or a device, which may never end, is not opened.

    Raises
    ------
    OSError
        The file cannot be read.
    SystemFileErrors
        The file is too large or no regular file; it was not read.
    """
    _refuse_all_but_files(path, os.stat(path))
    # what became a pipe in between must not be waited for
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    with open(path, "rb", opener=lambda name, _: os.open(name, flags)) as file:
        status = os.fstat(file.fileno())
        _refuse_all_but_files(path, status)
        data = file.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        raise SystemFileErrors([too_large(str(path))])
    return data, status


def _refuse_all_but_files(path: str | Path, status: os.stat_result) -> None:
    if stat.S_ISDIR(status.st_mode):
        what = "a folder"
    elif stat.S_ISREG(status.st_mode):
        return
    else:
        what = said("pipe-or-device-not-file")
    raise SystemFileErrors([of_file(str(path), what, said("name-of-system-file"))])


def decode(data: bytes, name: str = "") -> str:
    """The text of a file, line ends and byte order mark kept.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        File name for messages.

    Raises
    ------
    SystemFileErrors
        Too large, or not a text file in UTF-8.
    """
    if len(data) > MAX_BYTES:
        raise SystemFileErrors([too_large(name)])
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise SystemFileErrors([of_file(name, said("saved-as-utf16"), said("text-saved-as-utf8"))])
    place = data.find(b"\0")
    if place < 0:
        try:
            return data.decode("utf-8")
        except UnicodeDecodeError as error:
            place = error.start
    line = data.count(b"\n", 0, place) + 1
    raise SystemFileErrors(
        [
            of_file(
                name,
                said("no-text-at-byte", place=place + 1),
                said("text-saved-as-utf8"),
                line,
            )
        ]
    )


def parse_toml(text: str, name: str = "") -> dict[str, Any]:
    """What a text says as plain TOML.

    Parameters
    ----------
    text : str
        A system file; a byte order mark is allowed.
    name : str
        File name for messages.

    Raises
    ------
    SystemFileErrors
        The text is not TOML, nested too deep or too crowded; the line is named.
    """
    deep = _too_deep(text)
    if deep is None:
        raw = _loaded(text, name)
        _refuse_crowds(raw, name)
        return raw
    line = text.count("\n", 0, deep) + 1
    try:
        _loaded(text[:deep], name)
    except SystemFileErrors as error:  # what is wrong before the deep place is told first
        if (error.problems[0].line or line) < line and not _AT_END.search(str(error)):
            raise
    raise SystemFileErrors(
        [
            of_file(
                name,
                said("names-too-deep"),
                said(
                    "depth-up-to",
                    most=MAX_DEPTH,
                ),
                line,
            )
        ]
    )


def _too_deep(text: str) -> int | None:
    """Where brackets or the names of a key are nested too deep; None when they are nowhere.

    The grammar's own reader takes time that grows with the square of the depth.
    """
    depth = names = 0
    for found in _MARK.finditer(text):
        mark = found[0]
        if mark == ".":
            names += 1
        elif mark in "[{":
            depth += 1
            names = 0
        elif mark in "]}":
            depth = max(depth - 1, 0)
            names = 0
        elif mark in _CLOSES_NO_QUOTES:
            return None  # the grammar's reader stops here as well
        elif mark[0] in "=,\n#":
            names = 0
        if depth > MAX_DEPTH or names >= MAX_DEPTH:
            return found.start()
    return None


def _refuse_crowds(raw: dict[str, Any], name: str) -> None:
    """Refuse more tables or values than a person can have meant."""
    tables = values = 0
    ahead: list[Any] = [raw]
    while ahead:
        found = ahead.pop()
        if isinstance(found, dict):
            tables += 1
            ahead += found.values()
        elif isinstance(found, list):
            ahead += found
        else:
            values += 1
    for count, most, what in (
        (tables, MAX_TABLES, said("tables")),
        (values, MAX_VALUES, said("values")),
    ):
        if count > most:
            message, valid = (
                said("too-many-in-file", most=most, what=what),
                said("number-up-to", most=most, what=what),
            )
            raise SystemFileErrors([of_file(name, message, valid)])


def _loaded(text: str, name: str) -> dict[str, Any]:
    """What a text of limited depth says."""
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        found = re.match(r"(.*?) \(at (?:line (\d+), column (\d+)|end of document)\)", str(error))
        reason = found[1] if found else str(error)
        at_end = found is None or found[2] is None
        number = int(found[2]) if found and found[2] else text.count("\n") + 1
        if "\0" in text:
            reason = said("no-text-file")
        meaning = _SYNTAX.get(reason, shortened(reason[:1].lower() + reason[1:], SHOWN_REASON))
        if meaning in _ABOUT_VALUE and not at_end:
            slip = _usual_slip(name, text, number)
            if slip is not None:
                raise SystemFileErrors([slip]) from None
        again = _TWICE.fullmatch(reason)
        if again:
            table = shortened(".".join(re.findall(r"'([^']*)'", again[1])), SHOWN_VALUE)
            meaning = said("table-twice", table=table)
        if at_end:
            meaning = said("file-ends-too-early", meaning=meaning)
        raise SystemFileErrors(
            [
                of_file(
                    name,
                    said("not-toml", reason=meaning),
                    said("lines-of-toml"),
                    number,
                )
            ]
        ) from None
    except RecursionError:
        raise SystemFileErrors(
            [
                of_file(
                    name,
                    said("brackets-too-deep"),
                    said("plain-lists-and-tables"),
                )
            ]
        ) from None
    except ValueError as error:  # numbers of thousands of digits
        raise SystemFileErrors(
            [of_file(name, said("not-toml", reason=str(error)), said("shorter-numbers"))]
        ) from None


def _usual_slip(name: str, text: str, number: int) -> Problem | None:
    """The mistake of a line as one writes it who does not know TOML; None if it is another."""
    lines = text.split("\n")
    if len(lines[number - 1]) > LONGEST_SLIP:
        return None
    found = _VALUE_LINE.match(lines[number - 1])
    if found is None:
        return None
    key, value = found[1], found[2].strip()
    if len(value) > SHOWN_VALUE or not value.isprintable():
        return None
    specs = [one for _, one in all_fields() if one.key == key]
    message, valid = said("text-without-quotes"), f'{key} = "{value}"'
    if value[0] in _CURLY:
        message, valid = (
            said("curly-quotes"),
            said("straight-quotes", key=key, value=value.strip(_CURLY)),
        )
    elif '"' in value:
        return None
    elif _DATE_LIKE.fullmatch(value):
        message, valid = _NO_DATE, said("date-as-year-month-day")
    elif specs and specs[0].kind == "references":
        ids = ", ".join(f'"{one.strip()}"' for one in value.strip("[]").split(",") if one.strip())
        message, valid = said("no-list-of-ids"), f"{key} = [{ids}]"
    elif specs and specs[0].kind in _UNQUOTED:
        message, valid = said("unreadable"), specs[0].valid_text()
    elif value[0] == "[":
        return None
    message = said("not-toml", reason=message)
    return Problem(name, number, _table_around(lines, number), key, value, message, valid)


def _table_around(lines: list[str], number: int) -> str:
    """The table that a line stands in, in words; empty at the top of the file."""
    for start in range(number - 2, -1, -1):
        header = _HEADER.match(lines[start])
        if header:
            break
    else:
        return ""
    for line in lines[start + 1 : number - 1]:
        own = _ID_LINE.match(line)
        if own:
            return named_place(header[1], own[1], 0)
    return kind_name(header[1])


SHOWN_REASON = 200  # characters of the grammar's own words repeated in a message
LONGEST_SLIP = 300  # characters of a line that is looked at for a usual slip
# What nests, and what hides it: texts in quotes and remarks. Quotes that close nowhere stand alone.
_MARK = re.compile(
    r'''"""(?:[^"\\]++|\\.|"(?!""))*+""""{0,2}|"(?!"")(?:[^"\\\n]++|\\[^\n])*+"'''
    r"""|'''(?:[^']++|'(?!''))*+''''{0,2}|'(?!'')[^'\n]*+'"""
    r"""|\#[^\n]*+\n*+|[][{}.]|[=,\n]++|["']""",
    re.DOTALL,
)
_CLOSES_NO_QUOTES = ('"', "'")
_AT_END = re.compile("the file ends too early|not closed")
_HEADER = re.compile(r"\s*\[+\s*([\w.-]+)\s*\]")
_ID_LINE = re.compile(r"""\s*id\s*=\s*["']([^"']{1,40})["']""")
_VALUE_LINE = re.compile(r"\s*([\w-]+)\s*=\s*(\[?[^#'\[\]{}=\s][^#'\[\]{}=]*\]?)\s*(#.*)?$")
_DATE_LIKE = re.compile(r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}")
_CURLY = "\u201c\u201d\u201e"
_TWICE = re.compile(r"Cannot declare (.*) twice")
_UNQUOTED = ("number", "share", "integer", "flag", "date", "point", "path", "cell")
_MORE_ON_LINE = said("more-than-one-value")
_UNREADABLE = said("value-unreadable")
_NO_DATE = said("no-such-date")
_ABOUT_VALUE = (_MORE_ON_LINE, _UNREADABLE, _NO_DATE)

_SYNTAX = {
    "Invalid date or datetime": _NO_DATE,
    "Cannot overwrite a value": said("key-given-twice"),
    "Cannot declare twice": said("table-given-twice"),
    "Invalid statement": said("no-statement"),
    "Unescaped '\\' in a string": said("backslash-not-doubled"),
    "Expected '=' after a key in a key/value pair": said("equals-sign-missing"),
    "Expected newline or end of document after a statement": _MORE_ON_LINE,
    "Illegal character '\\n'": said("quotes-not-closed-on-line"),
    "Unterminated string": said("quotes-not-closed"),
    "Invalid value": _UNREADABLE,
    "Unclosed array": said("list-not-closed"),
    "Unclosed inline table": said("braces-not-closed"),
}


def of_file(name: str, message: str, valid: str, line: int | None = None) -> Problem:
    """A mistake of the file as a whole."""
    return Problem(name, line, "", "", "", message, valid)


def too_large(name: str) -> Problem:
    """The mistake of being too large."""
    return of_file(name, said("file-larger-than-2-mb"), said("system-file-up-to-2-mb"))
