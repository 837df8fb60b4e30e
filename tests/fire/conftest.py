"""The kernel is compiled once for the room."""

from __future__ import annotations

import pytest

from airrisk.kernel import compiled


@pytest.fixture(scope="session", autouse=True)
def kernel():
    """Compiled code, from the user's cache when it is there."""
    return compiled.compile_now()
