"""The README tells the system file as it is: every field, and an example that can be read."""

from __future__ import annotations

import re

from airrisk.installation.fields import all_fields
from airrisk.installation.reading import check
from tests.installation.readme_fields import BEGIN, END, README, with_block


def test_the_readme_lists_every_field_as_declared():
    """``python -m tests.installation.readme_fields --write`` brings it up to date."""
    text = README.read_text(encoding="utf-8")
    assert text == with_block(text)
    block = text.split(BEGIN)[1].split(END)[0]
    for kind, one in all_fields():
        if one.key not in {"id", "at", "area", "notes"}:
            assert f"| `{one.key}` | {one.help}" in block, (kind, one.key)


def test_the_example_of_the_readme_can_be_read():
    (example,) = re.findall(r"```toml\n(.*?)```", README.read_text(encoding="utf-8"), re.S)
    installation, problems = check(example)
    assert problems == []
    assert installation is not None
    assert [fire.reaches for fire in installation.fires] == [("R1",)]
