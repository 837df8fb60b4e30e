"""Processes of their own for tests: what ends such a process does not end the tests."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path


def run(
    folder: Path, *words: str, platform: str = "offscreen", **variables: str
) -> subprocess.CompletedProcess[str]:
    """Python with these words and with settings and a state folder of its own."""
    return subprocess.run(
        [sys.executable, "-X", "faulthandler", *words],
        capture_output=True, text=True, check=False,
        env={
            **os.environ, "QT_QPA_PLATFORM": platform,
            "XDG_CONFIG_HOME": str(folder / "config"), "XDG_STATE_HOME": str(folder / "state"),
            **variables,
        },
    )  # fmt: skip


def child(folder: Path, module: str, *words: str) -> subprocess.CompletedProcess[str]:
    """A module of the tests or of the program."""
    return run(folder, "-m", module, *words)
