"""Characters that cannot be seen, or that turn the order in which others are seen.

A text with them reads other than it is: in a list, on a terminal, on paper. Texts of a system
file are refused with them; names from elsewhere (files, keys) are shown with them written out.
"""

from __future__ import annotations

import re
import unicodedata

from airrisk.messages import said

# Joiners that several scripts need to be spelt, and Arabic and Syriac signs that are seen.
_WANTED = "\u200c\u200d\u0600-\u0605\u06dd\u070f\u0890\u0891\u08e2\U000110bd\U000110cd"
# Format characters (general category Cf) in the ranges of the Unicode character database.
_FORMAT = (
    "\u00ad\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\U00013430-\U0001345f\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e007f"
)
_CONTROL = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff"
_HIDDEN = re.compile(f"(?![{_WANTED}])[{_CONTROL}{_FORMAT}]")
# Also blank, though they count as letters, marks or signs.
_BLANK = re.compile(
    "[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2065\u2800\u3164\ufe00-\ufe0f\uffa0"
    "\U000e0100-\U000e01ef]"
)
_UNSAFE = re.compile(f"[{_CONTROL}\r{_FORMAT}]")


def hidden_in_text(text: str) -> str:
    """The first character of a free text that cannot be seen, by code and name; empty if none.

    Line ends and tabs are no such characters.

    Parameters
    ----------
    text : str
        Free text, for example a remark.
    """
    found = _HIDDEN.search(text)
    return _named(found[0]) if found else ""


def hidden_in_name(text: str) -> str:
    """The first character of a name that cannot be seen, by code and name; empty if none.

    Parameters
    ----------
    text : str
        A name on one line, for example an id.
    """
    for char in text:
        if not char.isprintable() or _BLANK.match(char):
            return _named(char)
    return ""


def visible(text: str) -> str:
    """A text with every character that cannot be seen written out, for example ``\\u202e``.

    Parameters
    ----------
    text : str
        Any text; line feeds and tabs stay.
    """
    return _UNSAFE.sub(lambda found: _escape(found[0]), text)


def visible_line(text: str) -> str:
    """A text as ``visible`` gives it, on one line: line feeds and tabs are written out as well."""
    return visible(text).replace("\n", "\\n").replace("\t", "\\t")


def spelt(text: str) -> str:
    """A text with all but letters, signs and plain spaces written out."""
    return "".join(char if char.isprintable() else _escape(char) for char in text)


def _escape(char: str) -> str:
    code = ord(char)
    if 0xDC80 <= code <= 0xDCFF:  # a byte of a file name that is no UTF-8
        return f"\\x{code - 0xDC00:02x}"
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else (
        f"\\U{code:08x}"
    )  # fmt: skip


def _named(char: str) -> str:
    name = unicodedata.name(char, "").lower() or said("control-character")
    return f"U+{ord(char):04X} ({name})"
