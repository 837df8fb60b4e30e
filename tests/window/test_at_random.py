"""The window used at random."""

from __future__ import annotations

from pathlib import Path

from tests.window.processes import child


def test_the_window_lives_through_clicks_keys_and_changes_at_random(tmp_path: Path) -> None:
    """Property: no error in any slot, no warning from Qt, no crash."""
    result = child(tmp_path, "tests.window.at_random", "150", "1")
    assert result.returncode == 0, result.stderr
