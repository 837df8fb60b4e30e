"""The screen of a command: every line in signs that it has, and its own failures told apart.

What cannot be written ends a command with a code of its own, so that nobody takes a torn answer
for a whole one, or the failure of a terminal for findings.
"""

from __future__ import annotations

import codecs
import contextlib
import io
import os
import sys
from typing import TextIO

import click

from airrisk.installation.characters import visible, visible_line
from airrisk.wording.translation import tr

BROKEN_PIPE = 141  # as a shell counts a program that nobody listens to any more
NOT_WRITTEN = 2

# Signs of the program's own sentences, for terminals that have only letters.
_PLAIN = {
    "°": "deg", "–": "-", "—": "-", "−": "-", "·": ".", "⋅": ".", "×": "x", "±": "+/-", "…": "...",
    "²": "^2", "³": "^3", "⁶": "^6", "≤": "<=", "≥": ">=", "≈": "~", "→": "->", "µ": "u", "μ": "u",
    "“": '"', "”": '"', "‘": "'", "’": "'", "•": "*", "▲": "!!", "△": "!", "◆": "*", "○": "o",
    "●": "(o)", "■": "#", "✖": "X", "\u00a0": " ",
}  # fmt: skip


def _plain(error: UnicodeError) -> tuple[str, int]:
    """Signs in letters, and letters by their code, so that two names never look alike."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    return "".join(_PLAIN.get(char) or _code(char) for char in lacking), error.end


def _code(char: str) -> str:
    code = ord(char)
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _escaped(error: UnicodeError) -> tuple[str, int]:
    """Signs as JSON spells them."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    pairs = error.object[error.start : error.end].encode("utf-16-be", "surrogatepass")
    units = (pairs[place : place + 2].hex() for place in range(0, len(pairs), 2))
    return "".join(f"\\u{unit}" for unit in units), error.end


codecs.register_error("airrisk-plain", _plain)
codecs.register_error("airrisk-json", _escaped)


class ScreenLost(Exception):
    """The screen took not all of an answer.

    Parameters
    ----------
    reason : OSError or None
        Why; None: there is no screen.
    """

    def __init__(self, reason: OSError | None) -> None:
        super().__init__(reason)
        self.reason = reason

    def end(self) -> int:
        """Say so, unless nobody listens any more; returns the exit code."""
        _let_go_of_screen()
        if isinstance(self.reason, BrokenPipeError):
            return BROKEN_PIPE
        why = tr("it is closed")
        if self.reason is not None:
            why = self.reason.strerror or str(self.reason)
        complain(tr("Error: the answer could not be written to the screen: {why}").format(why=why))
        return NOT_WRITTEN


def prepare() -> None:
    """Take the places of closed standard streams, which the next files opened would get."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            with contextlib.suppress(OSError):
                os.open(os.devnull, os.O_RDWR)  # gets the lowest free number, this one


def say(text: str = "") -> None:
    """Print one line, whatever stands in the texts that it repeats.

    Plain spaces, so that a person can search for what is shown.

    Raises
    ------
    ScreenLost
        The screen does not take it.
    """
    _write(visible_line(text.replace("\u00a0", " ")) + "\n", "airrisk-plain")


def say_json(text: str) -> None:
    """Print a JSON text; signs that the screen lacks are escaped as JSON allows.

    Raises
    ------
    ScreenLost
        The screen does not take it.
    """
    _write(text.rstrip("\n") + "\n", "airrisk-json")


def _write(text: str, errors: str) -> None:
    stream = sys.stdout
    if stream is None:
        raise ScreenLost(None)
    try:
        stream.write(_in_signs_of(stream, text, errors))
    except OSError as error:
        raise ScreenLost(error) from None
    except ValueError:  # closed by somebody in this process
        raise ScreenLost(None) from None


def flush() -> None:
    """Have all that was said taken by the screen.

    Raises
    ------
    ScreenLost
        It does not take it.
    """
    if sys.stdout is None:
        return
    try:
        sys.stdout.flush()
    except OSError as error:
        raise ScreenLost(error) from None
    except ValueError:
        raise ScreenLost(None) from None


def complain(text: str) -> None:
    """Print to the stream of errors; nothing happens when there is none."""
    stream = sys.stderr
    if stream is None:
        return
    with contextlib.suppress(OSError, ValueError):
        stream.write(_in_signs_of(stream, visible(text), "airrisk-plain") + "\n")
        stream.flush()


def message_of(error: click.ClickException) -> str:
    """What click would print about an error."""
    shown = io.StringIO()
    error.show(file=shown)
    return shown.getvalue().rstrip("\n")


def is_screen(path: str | os.PathLike[str]) -> bool:
    """Whether a file is the one that the screen's text goes to."""
    try:
        wanted = os.stat(path)
        return any(os.path.samestat(wanted, os.fstat(number)) for number in (1, 2))
    except (OSError, ValueError):
        return False


def _in_signs_of(stream: TextIO, text: str, errors: str) -> str:
    encoding = getattr(stream, "encoding", None) or "utf-8"
    return text.encode(encoding, errors).decode(encoding)


def _let_go_of_screen() -> None:
    """What is still held back is dropped, or the end of the program would fail on it again."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, sys.stdout.fileno())
        finally:
            os.close(nowhere)
