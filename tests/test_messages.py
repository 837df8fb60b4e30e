"""Every message has a code, every code its English, and both agree about the places in it."""

from __future__ import annotations

import ast
import pickle
import re
import string
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from airrisk import messages
from airrisk import tables as data
from airrisk.messages import Message, either, listed, quoted, said

PACKAGE = Path(__file__).resolve().parents[1] / "airrisk"
CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def literals(node: ast.expr) -> Iterator[str]:
    """The texts that an expression can be."""
    if isinstance(node, ast.IfExp):
        yield from literals(node.body)
        yield from literals(node.orelse)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value


@cache
def calls_in(source: str) -> list[ast.Call]:
    """The calls of ``said``."""
    return [
        node
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "said"
    ]


def calls(source: str) -> Iterator[tuple[int, list[str], frozenset[str]]]:
    """Line, codes and named places of each call of ``said``."""
    for node in calls_in(source):
        places = frozenset(str(one.arg) for one in node.keywords)
        yield node.lineno, list(literals(node.args[0])), places


def tables(source: str) -> dict[str, set[str]]:
    """The codes in each table declared as ``Codes``, by its name."""
    found = {}
    for node in ast.walk(ast.parse(source)) if "Codes[" in source else ():
        if not isinstance(node, ast.AnnAssign) or not isinstance(node.annotation, ast.Subscript):
            continue
        if ast.unparse(node.annotation.value) == "Codes" and isinstance(node.value, ast.Dict):
            codes = [code for value in node.value.values for code in literals(value)]
            found[ast.unparse(node.target)] = set(codes)
    return found


@cache
def sources() -> dict[str, str]:
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        if "_data" not in path.parts and ("said(" in source or "Codes[" in source):
            found[path.relative_to(PACKAGE).as_posix()] = source
    return found


def places_of(text: str) -> frozenset[str]:
    """The named places; a brace with a space in it belongs to an example of the file."""
    return frozenset(re.findall(r"\{(\w+)\}", text))


def test_every_code_that_is_used_has_its_english_with_the_same_places() -> None:
    english = messages.english()
    wrong = []
    for file, source in sources().items():
        for line, codes, places in calls(source):
            for code in codes:
                if code not in english or places_of(english[code]) != places:
                    wrong.append((file, line, code, sorted(places)))
    assert wrong == []


def test_a_code_comes_as_a_literal_or_out_of_a_table_of_codes() -> None:
    for file, source in sources().items():
        known = tables(source)
        for node in calls_in(source):
            code = node.args[0]
            if isinstance(code, ast.Subscript):
                assert ast.unparse(code.value) in known, (file, node.lineno)
            else:
                assert list(literals(code)), (file, node.lineno)


def test_every_row_of_the_table_is_used() -> None:
    used = {code for s in sources().values() for _, codes, _ in calls(s) for code in codes}
    for source in sources().values():
        for codes in tables(source).values():
            assert codes <= set(messages.english())
            used |= codes
    assert set(messages.english()) - used == set()


def test_a_code_is_lower_case_words_with_hyphens_and_an_english_stands_once() -> None:
    groups = data.read_toml(messages.TABLE).values()
    codes = [code for group in groups for code in group]
    assert [code for code in codes if not CODE.fullmatch(code)] == []
    assert len(codes) == len(set(codes))
    english = list(messages.english().values())
    assert sorted({text for text in english if english.count(text) > 1}) == []


def test_every_pattern_with_places_can_be_filled() -> None:
    for code, text in messages.english().items():
        places = places_of(text)
        if not places:
            continue
        assert {name for _, name, _, _ in string.Formatter().parse(text) if name} == places, code
        told = said(code, **dict.fromkeys(places, "X"))
        assert "X" in told
        assert "{" not in told, code


def test_a_message_is_its_english_and_remembers_how_it_was_made() -> None:
    told = said("id-used-twice", kind=said("relief-valve"), name="RV1", line=7)
    assert told == "also the id of relief valve RV1 in line 7"
    again = pickle.loads(pickle.dumps(told))
    assert again == told
    assert (again.pattern, again.values["line"]) == (told.pattern, 7)
    assert isinstance(again.values["kind"], Message)


def test_a_code_that_is_in_no_table_is_a_mistake_of_the_program() -> None:
    with pytest.raises(KeyError, match="no-such-code"):
        said("no-such-code")


def test_braces_of_an_example_are_no_places() -> None:
    assert said("share-or-table-by-part").endswith("{ R1 = 0.25 }")
    assert quoted("one of {these}") == "one of {these}"


def test_words_are_joined_as_in_a_sentence() -> None:
    assert either(("A", "B", "C")) == "A, B or C"
    assert either(("A",)) == listed(("A",)) == "A"
    assert either(()) == listed(()) == ""
