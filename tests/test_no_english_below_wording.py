"""Below wording there are codes and numbers; the English of a message stands in its table.

Exceptions that only programmers see (a wrong argument of a function) may be plain English; they
stand in physics, kernel and the tables. Elsewhere each one is named here.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from airrisk.tables import read_toml

PACKAGE = Path(__file__).resolve().parents[1] / "airrisk"
ROOMS = ("installation", "study", "fire", "verdict", "kernel", "physics", "editing")
SENTENCE = re.compile(r"(?:[A-Za-z]{2,}[,;:]? ){2,}[A-Za-z]{2,}")
MARKED = frozenset({"compile"})
FOR_PROGRAMMERS = frozenset({"physics", "kernel", "fire", "verdict"})
SCRIPTS = re.compile(r"kernel/(build|source|shipped|compiled)|physics/build_")

# Plain English that stays, by file: codes of several words, texts of libraries, programmers.
KNOWN: dict[str, frozenset[str]] = {
    "editing/disk.py": frozenset({"changed by someone else"}),
    "editing/edits.py": frozenset({" does not stand in a system file"}),
    "editing/splices.py": frozenset({"the text at  is not what the splice replaces"}),
    "installation/decoding.py": frozenset(  # what the grammar's reader says, and its pattern
        {
            "Invalid date or datetime", "Cannot declare twice", "Unclosed inline table",
            "Expected newline or end of document after a statement",
            r"(.*?) \(at (?:line (\d+), column (\d+)|end of document)\)",
        }
    ),
    "installation/fields.py": frozenset({"outdoors, nobody passes"}),  # a word of the file
    "installation/literals.py": frozenset({" cannot be written into a system file"}),
    "installation/migration.py": frozenset({"no way from format  to format "}),
    "study/discharges.py": frozenset({" has no opening"}),
    "study/envelope.py": frozenset({"flames on the plug", "metal at the plug"}),
    "study/overview.py": frozenset({"few pieces, likely"}),
    "study/pieces.py": frozenset({"few pieces, likely", "few pieces, bound", "vessel takes off"}),
    "study/protection.py": frozenset({"reachable, not heated"}),
    "study/records.py": frozenset({"half the bore"}),
    "study/rules/doubts.py": frozenset(
        {"flames on the plug", "metal at the plug", "half the bore"}
    ),
    "study/due_calendar.py": frozenset({"the time of the export needs a time zone"}),
    "study/upkeep.py": frozenset(
        {"renew every, months"}  # head of a CSV
    ),
    "fire/run.py": frozenset(
        {
            "compressor holds its pressure", "relief valve lost to heat",
            "evaluation budget spent", "time step too small", "air left the range of its table",
        }
    ),
}  # fmt: skip


@cache
def codes() -> frozenset[str]:
    """Codes of several words: the literals of types, and the harms of their table."""
    found = {row["harm"] for row in read_toml("harm.toml")["threshold"]}
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Subscript) and getattr(node.value, "id", "") == "Literal":
                inner = ast.walk(node.slice)
                found |= {str(one.value) for one in inner if isinstance(one, ast.Constant)}
    return frozenset(found)


def sentences(path: Path, raises: bool) -> Iterator[tuple[int, str]]:
    """The sentences of a file that no catalogue can find."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped: set[int] = set()
    for node in ast.walk(tree):
        if _is_known(node, raises):
            skipped.update(id(inner) for inner in ast.walk(node))
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.JoinedStr):
            text = "".join(p.value for p in node.values if isinstance(p, ast.Constant))
            skipped.update(id(inner) for inner in ast.walk(node))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        else:
            continue
        if SENTENCE.search(text):
            yield node.lineno, text


def _is_known(node: ast.AST, raises: bool) -> bool:
    """Whether what stands inside is a docstring, words of a field, a code or an exception."""
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    if isinstance(node, ast.Call):
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        return name in MARKED
    if isinstance(node, ast.AnnAssign) and isinstance(node.annotation, ast.Subscript):
        return getattr(node.annotation.value, "id", "") == "Literal"
    if isinstance(node, ast.Subscript):
        return getattr(node.value, "id", "") == "Literal"
    return (
        raises
        and isinstance(node, (ast.Raise, ast.ClassDef))
        and (
            isinstance(node, ast.Raise) or any("Error" in ast.unparse(base) for base in node.bases)
        )
    )


@pytest.mark.parametrize("room", [*ROOMS, ""])
def test_no_table_of_texts_and_no_literal_stands_for_a_code(room: str) -> None:
    found = []
    for path in sorted((PACKAGE / room).rglob("*.py") if room else PACKAGE.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.AnnAssign) and isinstance(node.annotation, ast.Subscript):
                if getattr(node.annotation.value, "id", "") in {"Texts", "Forms"}:
                    found.append((path.name, node.lineno))
            elif (
                isinstance(node, ast.Call)
                and getattr(node.func, "id", "") == "quoted"
                and isinstance(node.args[0], (ast.Constant, ast.JoinedStr, ast.IfExp))
            ):
                found.append((path.name, node.lineno))
    assert found == []


@pytest.mark.parametrize("room", ROOMS)
def test_no_sentence_is_born_unmarked(room: str) -> None:
    found: dict[str, list[tuple[int, str]]] = {}
    for path in sorted((PACKAGE / room).rglob("*.py")):
        place = path.relative_to(PACKAGE).as_posix()
        if SCRIPTS.match(place):
            continue
        told = [
            (line, text)
            for line, text in sentences(path, room in FOR_PROGRAMMERS)
            if text not in KNOWN.get(place, frozenset()) | codes()
        ]
        if told:
            found[place] = told
    assert found == {}


def test_a_plain_sentence_would_be_found(tmp_path: Path) -> None:
    path = tmp_path / "new.py"
    path.write_text(
        'def f(report):\n    """A docstring with several words."""\n'
        '    report(said("one-with-a-code"))\n    report(said("one with its English"))\n'
        '    raise ValueError(f"the value {x} is out of its range")\n',
        encoding="utf-8",
    )
    assert sorted(line for line, _ in sentences(path, raises=False)) == [4, 5]
    assert [line for line, _ in sentences(path, raises=True)] == [4]
