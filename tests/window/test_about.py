"""The page about the program names every library that it comes with."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from airrisk.window.about import PARTS, licence_rows

PROJECT = Path(__file__).parents[2] / "pyproject.toml"


def test_every_library_is_named_with_its_licence() -> None:
    asked = tomllib.loads(PROJECT.read_text(encoding="utf-8"))["project"]["dependencies"]
    names = {re.split(r"[<>=;\s]", one)[0].casefold() for one in asked}
    assert {one.casefold() for one in PARTS} == names
    assert [name for name, version, licence in licence_rows() if not version or not licence] == []
    assert len(licence_rows()) == len(PARTS)
