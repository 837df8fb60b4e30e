"""The tone of a verdict, and how a label takes one; words and shapes say the same."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from airrisk.verdict.rule import SAFE_OUTCOMES


def verdict_tone(safe: bool | None, sure: bool | None, outcome: str | None) -> str:
    """The tone that goes with a verdict; that of what is safe for nothing else.

    Parameters
    ----------
    safe
        Whether every run is safe; None: they have not all been made.
    sure
        Of a safe one: whether no doubt turns it.
    outcome
        None: there is no verdict.
    """
    if outcome is None or (safe is None and outcome in SAFE_OUTCOMES):
        return "quiet"
    if safe:
        return "sound" if sure else "note"
    return "warning" if outcome == "passes the limit" else "danger"


def set_tone(widget: QWidget, tone: str) -> None:
    """Give a widget a tone of the theme's sheet."""
    if widget.property("tone") != tone:
        widget.setProperty("tone", tone)
        widget.style().unpolish(widget)
        widget.style().polish(widget)
