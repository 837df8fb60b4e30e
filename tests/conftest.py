"""Shared fixtures: repository paths and isolated settings folders."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ["AIRRISK_LANGUAGE"] = "en"  # the sentences compared are English on any system

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def sample_folder() -> Path:
    """The sample systems of the checkout."""
    return ROOT / "sample_systems"
