"""Shared fixtures: repository paths and isolated settings folders."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ["AIRRISK_LANGUAGE"] = "en"  # the sentences compared are English on any system

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session", autouse=True)
def answers_of_one_run(tmp_path_factory: pytest.TempPathFactory) -> None:
    """The processes of one run work each sample out once between them."""
    if "PYTEST_XDIST_WORKER" in os.environ:  # each has a folder of its own in that of the run
        from tests.samples.answers import share_in  # not for a run of one process

        share_in(tmp_path_factory.getbasetemp().parent / "answers")


@pytest.fixture(scope="session")
def sample_folder() -> Path:
    """The sample systems of the checkout."""
    return ROOT / "sample_systems"
