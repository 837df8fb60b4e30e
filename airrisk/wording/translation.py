"""The one door through which every text for people passes, so that it can be translated."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any, Protocol

from airrisk.messages import Message

if TYPE_CHECKING:
    import datetime as dt

ENGLISH = "en"


class Catalogue(Protocol):
    """What ``use`` needs of a catalogue: that of ``gettext.GNUTranslations``."""

    def gettext(self, message: str) -> str: ...

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str: ...

    def pgettext(self, context: str, message: str) -> str: ...


_catalogue: Catalogue | None = None
_english: ContextVar[bool] = ContextVar("english", default=False)  # of this thread, for a while
_translator: Callable[[str], str] | None = None
_language = ENGLISH
_decimal = "."
ISO_DATE = "%Y-%m-%d"
_date = ISO_DATE


def tr(text: str, context: str = "") -> str:
    """The text in the chosen language; the English text when there is no other.

    Parameters
    ----------
    text : str
        English, a literal or out of a table that the catalogue knows, or a message from below.
    context : str
        Tells two meanings of one English word apart: ``tr("open", "state of a valve")``.
    """
    if isinstance(text, Message) and text.values:
        return _filled(text)
    # the empty text is the head of a catalogue
    if _catalogue is not None and text and not _english.get():
        told = _catalogue.pgettext(context, text) if context else _catalogue.gettext(text)
        return told or text
    return _translator(text) if _translator is not None else str(text)


def ntr(one: str, many: str, count: int) -> str:
    """The form of a text that goes with a number; its place ``{count}`` is still to be filled.

    Parameters
    ----------
    one, many : str
        English for one and for any other number; a language may have more forms.
    count : int
        The number.
    """
    if _catalogue is not None and not _english.get():
        return _catalogue.ngettext(one, many, count)
    return tr(one if count == 1 else many)


def _filled(text: Message) -> str:
    values: Mapping[str, Any] = {
        key: tr(value) if isinstance(value, Message) else value
        for key, value in text.values.items()
    }
    pattern = tr(text.pattern)
    try:
        return pattern.format(**values)
    except (KeyError, IndexError, ValueError):  # of a catalogue that was never checked
        return str(text)


def set_translator(translator: Callable[[str], str] | None) -> None:
    """Choose the function that turns an English text into another language.

    Parameters
    ----------
    translator : callable or None
        Takes the English text, returns the text to show; None: back to English.
    """
    global _translator  # noqa: PLW0603 - one language per process is the intent
    _translator = translator


def use(
    catalogue: Catalogue | None,
    language: str = ENGLISH,
    decimal: str = ".",
    date: str = ISO_DATE,
) -> None:
    """Speak the language of a catalogue from now on.

    Parameters
    ----------
    catalogue : Catalogue or None
        None: English.
    language : str
        Its code, ``"de"``.
    decimal : str
        The decimal sign of numbers for people.
    date : str
        How a date is written, as for ``strftime``.
    """
    global _catalogue, _language, _decimal, _date
    _catalogue, _language, _decimal, _date = catalogue, language, decimal, date


@contextmanager
def english() -> Iterator[None]:
    """Speak English in this thread for a while: data files read alike everywhere."""
    token = _english.set(True)
    try:
        yield
    finally:
        _english.reset(token)


def language() -> str:
    """The code of the chosen language, for the ``lang`` of a document."""
    return ENGLISH if _english.get() else _language


def decimal_sign() -> str:
    """The sign between the whole number and its decimals, in texts for people."""
    return "." if _english.get() else _decimal


def date_text(day: dt.date) -> str:
    """A date as it is written in the chosen language; in English year-month-day."""
    return day.strftime(ISO_DATE if _english.get() else _date)
