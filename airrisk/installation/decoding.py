"""The bytes of a system file to plain TOML: size, encoding and grammar, and the file's hash."""

from __future__ import annotations

import hashlib
import re
import tomllib
from pathlib import Path
from typing import Any

from airrisk.installation.problems import Problem, SystemFileErrors

MAX_BYTES = 2_000_000


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
        The file is too large; it was not read.
    """
    with open(path, "rb") as file:
        data = file.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        raise SystemFileErrors([too_large(str(path))])
    return data


def inputs_digest(text: str | bytes) -> str:
    """SHA-256 of the bytes of a system file, hexadecimal.

    Parameters
    ----------
    text : str or bytes
        The whole file.
    """
    data = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    return hashlib.sha256(data).hexdigest()


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
        raise SystemFileErrors([of_file(name, "saved as UTF-16", "a text file saved as UTF-8")])
    place = data.find(b"\0")
    if place < 0:
        try:
            return data.decode("utf-8")
        except UnicodeDecodeError as error:
            place = error.start
    line = data.count(b"\n", 0, place) + 1
    raise SystemFileErrors(
        [of_file(name, f"not a text file (byte {place + 1})", "a text file saved as UTF-8", line)]
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
        The text is not TOML; the line is named.
    """
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        found = re.match(r"(.*?) \(at (?:line (\d+), column (\d+)|end of document)\)", str(error))
        reason = found[1] if found else str(error)
        at_end = found is None or found[2] is None
        number = int(found[2]) if found and found[2] else text.count("\n") + 1
        if "\0" in text:
            reason = "not a text file"
        meaning = _SYNTAX.get(reason, reason[:1].lower() + reason[1:])
        if at_end:
            meaning = f"the file ends too early: {meaning}"
        raise SystemFileErrors(
            [
                of_file(
                    name,
                    f"not valid TOML: {meaning}",
                    "lines of the form key = value, headers in [ ] or [[ ]], comments behind #",
                    number,
                )
            ]
        ) from None
    except RecursionError:
        raise SystemFileErrors(
            [of_file(name, "not valid TOML: brackets nested too deep", "plain lists and tables")]
        ) from None
    except ValueError as error:  # numbers of thousands of digits
        raise SystemFileErrors(
            [of_file(name, f"not valid TOML: {error}", "shorter numbers")]
        ) from None


_SYNTAX = {
    "Cannot overwrite a value": "this key is given twice",
    "Cannot declare twice": "this table is given twice",
    "Invalid statement": "neither a key, a table nor a comment",
    "Unescaped '\\' in a string": "a backslash inside quotes must be doubled",
    "Expected '=' after a key in a key/value pair": "'=' is missing after the key",
    "Expected newline or end of document after a statement": "more on the line than one value",
    "Illegal character '\\n'": "the quotes are not closed on this line",
    "Unterminated string": "the quotes are not closed",
    "Invalid value": "no value that can be read; texts need quotes",
    "Unclosed array": "the list is not closed with ]",
    "Unclosed inline table": "the braces are not closed with }",
}


def of_file(name: str, message: str, valid: str, line: int | None = None) -> Problem:
    """A mistake of the file as a whole."""
    return Problem(name, line, "", "", "", message, valid)


def too_large(name: str) -> Problem:
    """The mistake of being too large."""
    return of_file(name, "the file is larger than 2 MB", "a system file up to 2 MB")
