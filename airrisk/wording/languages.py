"""Which languages there are, which one is wanted, and how it is taken into use."""

from __future__ import annotations

import gettext
import os
import sys
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from airrisk.messages import said
from airrisk.wording import translation
from airrisk.wording.translation import ENGLISH

OPTION = "--language"
VARIABLE = "AIRRISK_LANGUAGE"
NO_DOMAIN = "messages"  # of gettext, without texts: click then says its own words
_SYSTEM = ("LC_ALL", "LC_MESSAGES", "LANG")  # the first one that is set rules (POSIX)


class Language(NamedTuple):
    """How a language calls itself, what it is in English, how it writes decimals and dates."""

    name: str
    english: str
    decimal: str = "."
    date: str = translation.ISO_DATE


# One line for each, and its texts in locale/CODE/LC_MESSAGES/airrisk.po.
LANGUAGES: dict[str, Language] = {
    ENGLISH: Language("English", "English"),
    "de": Language("Deutsch", "German", ",", "%d.%m.%Y"),
}


def speak(code: str) -> str:
    """Use a language from now on.

    Parameters
    ----------
    code : str
        One of ``LANGUAGES``.

    Returns
    -------
    str
        Empty; or one line that says why English is spoken instead.
    """
    if code == ENGLISH:
        translation.use(None)
        gettext.textdomain(NO_DOMAIN)  # another language may have been spoken before
        return ""
    from airrisk.wording.catalogue_files import CatalogueLost, load

    language = LANGUAGES[code]
    try:
        catalogue = load(code)
    except CatalogueLost as lost:
        translation.use(None)
        return f"The {language.english} texts cannot be read, so English is used: {lost}"
    translation.use(catalogue, code, language.decimal, language.date)
    return ""


def wanted(environment: Mapping[str, str] | None = None) -> str:
    """The language that the system asks for, if there are texts in it; else English.

    Parameters
    ----------
    environment : mapping, optional
        Variables; those of the process when none are given.
    """
    variables = os.environ if environment is None else environment
    told = variables.get(VARIABLE) or next(filter(None, map(variables.get, _SYSTEM)), "")
    if not told and environment is None and sys.platform == "win32":
        told = _of_windows()
    return known(told) or ENGLISH


def known(locale: str) -> str:
    """The code of a locale such as ``de_AT.UTF-8``; empty when there are no texts in it."""
    code = locale.replace("-", "_").partition("_")[0].partition(".")[0].casefold()
    return code if code in LANGUAGES and is_there(code) else ""


def is_there(code: str) -> bool:
    """Whether there are texts in a language."""
    if code == ENGLISH:
        return True
    from airrisk.wording.catalogue_places import source_path

    return source_path(code).is_file()


def _of_windows() -> str:
    import ctypes
    import locale

    try:
        number = ctypes.windll.kernel32.GetUserDefaultUILanguage()  # type: ignore[attr-defined,unused-ignore]
    except (AttributeError, OSError):
        return ""
    return locale.windows_locale.get(number, "")


class UnknownLanguage(ValueError):
    """A language that the program does not have; the text says which ones it has."""

    def __init__(self, told: str) -> None:
        super().__init__(told)
        self.told = said(
            "no-such-language",
            option=OPTION, told=repr(told), languages=", ".join(LANGUAGES),
        )  # fmt: skip

    def __str__(self) -> str:
        return str(self.told)


def taken_from(words: Sequence[str]) -> tuple[list[str], str]:
    """Words of a command line without the option for the language, and the language it names.

    Parameters
    ----------
    words : sequence of str
        What was typed behind the program's name; the option may stand anywhere.

    Returns
    -------
    tuple of list and str
        The other words, and a code; empty when the option was not given.

    Raises
    ------
    UnknownLanguage
        The option names none of the languages, or nothing.
    """
    left: list[str] = []
    found = ""
    ahead = iter(words)
    for word in ahead:
        if word == "--":
            left += [word, *ahead]
        elif word == OPTION or word.startswith(OPTION + "="):
            told = next(ahead, "") if word == OPTION else word.partition("=")[2]
            found = told.casefold()
            if found not in LANGUAGES:
                raise UnknownLanguage(told)
        else:
            left.append(word)
    return left, found
