"""The one way in which a calculation ends early because the caller asked it to."""

from __future__ import annotations


class Cancelled(Exception):
    """The caller asked to stop; goes through every floor up to whoever asked."""
