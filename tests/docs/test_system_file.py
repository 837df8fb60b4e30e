"""The page on the system file tells it as it is: every field, and an example that can be read."""

from __future__ import annotations

import re

from airrisk.installation.fields import all_fields
from airrisk.installation.reading import check
from tests.docs.field_tables import FIELD_TABLES, field_tables


def test_the_page_lists_every_field_as_declared():
    """``python -m tests.docs.field_tables --write`` brings it up to date."""
    assert FIELD_TABLES.text() == FIELD_TABLES.up_to_date()
    tables = field_tables()
    for kind, one in all_fields():
        if one.key not in {"id", "at", "drawn", "area", "notes"}:
            assert f"| `{one.key}` | {one.help}" in tables, (kind, one.key)


def test_the_example_of_the_page_can_be_read():
    (example,) = re.findall(r"```toml\n(.*?)```", FIELD_TABLES.text(), re.S)
    installation, problems = check(example)
    assert problems == []
    assert installation is not None
    assert [fire.reaches for fire in installation.fires] == [("R1",)]
