"""The one door through which every text for people passes, so that it can be translated."""

from __future__ import annotations

from collections.abc import Callable


def _same(text: str) -> str:
    return text


_translator: Callable[[str], str] = _same


def tr(text: str) -> str:
    """The text in the chosen language; the English text when no translator is set."""
    return _translator(text)


def set_translator(translator: Callable[[str], str] | None) -> None:
    """Choose the function that turns an English text into another language.

    Parameters
    ----------
    translator : callable or None
        Takes the English text, returns the text to show; None: back to English.
    """
    global _translator  # noqa: PLW0603 - one language per process is the intent
    _translator = translator if translator is not None else _same
