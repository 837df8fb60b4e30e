"""The window (Qt). Everything heavy is imported when it is first needed."""

from __future__ import annotations


def main(words: list[str] | str | None = None, language: str = "") -> int:
    """Open the window and run it until it is closed; returns the exit code.

    Parameters
    ----------
    words
        Command-line words: at most one system file and ``--open-and-close``.
    language
        Code of the language; empty: the one that was chosen in the window, else the system's.
    """
    from airrisk.window.start import run

    return run([words] if isinstance(words, str) else list(words or []), language)
