"""The pages beside the program: their links lead somewhere, the README stays short."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from airrisk.window.help_pages import glossary
from tests.docs.answer_tables import ANSWER_TABLES
from tests.docs.checks_table import CHECKS_TABLES
from tests.docs.formula_table import FORMULA_TABLE
from tests.docs.marked_block import DOCS

ROOT = DOCS.parent
PAGES = (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(DOCS.glob("*.md")))
LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
HEADING = re.compile(r"^#+ (.+)$", re.M)


def prose(page: Path) -> str:
    """The text of a page without its blocks of code and its marked words."""
    text = re.sub(r"^```.*?^```", "", page.read_text(encoding="utf-8"), flags=re.S | re.M)
    return re.sub(r"`[^`\n]*`", "", text)


def places(page: Path) -> set[str]:
    """What a link may name behind its #: a heading as it is made into a name, or a mark."""
    text = page.read_text(encoding="utf-8")
    found = set(re.findall(r'<a id="([^"]+)">', text))
    for heading in HEADING.findall(text):
        kept = re.sub(r"[^\w\- ]", "", heading.lower())
        found.add(kept.replace(" ", "-"))
    return found


def links(page: Path) -> list[str]:
    """Targets of the links of a page that stay in the repository."""
    return [target for target in LINK.findall(prose(page)) if "://" not in target]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_to_a_page_and_a_place(page: Path):
    wrong = []
    for target in links(page):
        name, _, place = target.partition("#")
        other = (page.parent / name).resolve() if name else page
        if not other.is_file() or (place and place not in places(other)):
            wrong.append(target)
    assert wrong == []


def test_the_readme_leads_to_every_page():
    reached = {(ROOT / target.partition("#")[0]).resolve() for target in links(ROOT / "README.md")}
    assert set(PAGES) - {ROOT / "README.md"} <= reached


def test_what_the_readme_links_to_is_in_the_source_package():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    included = project["tool"]["hatch"]["build"]["targets"]["sdist"]["include"]
    assert {Path(target).parts[0] for target in links(ROOT / "README.md")} <= set(included)


def test_the_readme_is_short():
    assert len((ROOT / "README.md").read_bytes()) <= 12_000


@pytest.mark.parametrize("mark", ["start", "tests"])
def test_the_commands_of_the_readme_stand_where_tools_look_for_them(mark: str):
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    (command,) = re.findall(rf"<!-- {mark}: debian -->\n```sh\n([^\n]+)\n```\n", text)
    assert command.startswith("$(command -v sudo) apt-get update")


def test_the_method_lists_every_formula_of_the_report():
    """``python -m tests.docs.formula_table --write`` brings it up to date."""
    assert FORMULA_TABLE.text() == FORMULA_TABLE.up_to_date()


def test_the_glossary_explains_every_word_that_the_window_explains():
    page = (DOCS / "glossary.md").read_text(encoding="utf-8")
    explained = {
        word.strip().lower()
        for entry in re.findall(r"^\*\*(.+?)\.\*\*", page, re.M)
        for word in re.split(r",| and |\(|\)", entry)
    }
    asked = {
        word.strip().lower()
        for entry in re.findall(r"<b>(.*?)</b>", glossary())
        for word in entry.split(",")
    }
    assert len(asked) > 15
    assert asked - explained == set()


def test_the_tables_of_checks_are_those_of_the_rows():
    assert CHECKS_TABLES.text() == CHECKS_TABLES.up_to_date()


def test_the_page_on_the_answer_describes_what_its_schema_does():
    """``python -m tests.docs.answer_tables --write`` brings it up to date."""
    assert ANSWER_TABLES.text() == ANSWER_TABLES.up_to_date()
