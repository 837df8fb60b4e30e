"""The walk of one number in the contributor's guide names files and functions that exist."""

from __future__ import annotations

import importlib
import re

import pytest

from tests.docs.marked_block import DOCS

ROOT = DOCS.parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
WALK = GUIDE.split("## The walk of one number")[1].split("\n## ")[0]
# file and names of each row of the table
ROWS = [
    (file, tuple(re.findall(r"`([^`]+)`", names)))
    for file, names in re.findall(r"^\| [^|]*\| `([^`]+)` \| ([^|]*) \|", WALK, re.M)
]


@pytest.mark.parametrize(("file", "names"), ROWS, ids=[file for file, _ in ROWS])
def test_a_row_of_the_walk_names_what_exists(file: str, names: tuple[str, ...]):
    module = importlib.import_module(file.removesuffix(".py").replace("/", "."))
    assert names
    for name in names:
        owner, _, field = name.partition(".")
        found = getattr(module, owner)
        if field:
            assert hasattr(found, field) or field in found.__dataclass_fields__, name


def test_the_walk_goes_from_the_file_to_the_report():
    rooms = [file.split("/")[1] for file, _ in ROWS]
    assert rooms[0] == "installation"
    assert rooms[-1] == "report"
    assert {"study", "fire", "physics", "verdict", "wording"} <= set(rooms)


def test_every_file_that_the_guide_names_is_there():
    """Those of the environment apart; a room may be left out: ``study/slices.py``."""
    named = [
        *re.findall(r"`((?!\.venv)[\w.-]+/[\w./*-]*?)/?`", GUIDE),
        *re.findall(r"`(\w+\.py)`", GUIDE),
    ]
    assert len(named) > 60
    rooms = (
        "",
        "airrisk",
        "airrisk/fire",
        "airrisk/kernel",
        "airrisk/study",
        "airrisk/report",
        "tests",
    )
    missing = [name for name in named if not any(list((ROOT / room).glob(name)) for room in rooms)]
    assert missing == []
