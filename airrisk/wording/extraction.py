"""The texts for people that stand in the sources, as a catalogue needs them.

Found are literals in calls of ``tr`` and ``ntr``, tables declared as ``Texts``, the messages that
are born below (``resources/messages.toml``), the choices of the fields of the system file, the
help of a command (its docstring and ``help=``), and the texts of the other tables in
``resources/``.
"""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from airrisk import messages, tables
from airrisk.installation import fields

PACKAGE = Path(__file__).resolve().parents[1]

# Keys of resources/*.toml whose texts people read; ``text`` stands for ``text_variant`` too.
TABLES: dict[str, tuple[str, ...]] = {
    "findings.toml": ("title", "meaning", "text", "cure", "stopped", "working", "otherwise",
                      "source"),
    "checks.toml": ("title", "checked", "open", "at", "differs", "scatter", "source", "standing"),
    "field_words.toml": ("label", "help", "left_out", "source"),
    "formulas.toml": ("title", "source"),
    "formulas_blast.toml": ("title", "source"),
    "inputs.toml": ("only_swept", "source"),
    "harm.toml": ("harm", "source", "standing"),
    "creep.toml": ("name",),
    "usual_sizes.toml": ("name", "source"),
    "compression_limits.toml": ("title", "source", "standing"),
}  # fmt: skip
Finder = Callable[[ast.Call], Iterator[tuple[str, str, str]]]


@dataclass(frozen=True)
class Text:
    """One text for the catalogue.

    ``plural`` is empty where there is one form only, ``context`` where there is one meaning.
    """

    text: str
    plural: str
    context: str
    file: str
    line: int


def all_texts() -> list[Text]:
    """Every text of the package and of its tables, in the order of the files."""
    found: list[Text] = []
    for path in sorted(PACKAGE.rglob("*.py")):
        place = path.relative_to(PACKAGE.parent).as_posix()
        if "_data" not in path.parts:
            found += _of_file(path.read_text(encoding="utf-8"), place)
    found += [*_of_fields(), *_of_click()]
    for name, keys in TABLES.items():
        path = tables.resource_path(name)
        found += of_toml(path.read_text(encoding="utf-8"), f"resources/{name}", keys)
    return [*found, *_of_messages()]


@cache
def _of_file(source: str, place: str) -> tuple[Text, ...]:
    """The texts of a file; who asks again, as tests and languages in a row do, need not wait."""
    return tuple(of_python(source, place))


def _of_messages() -> Iterator[Text]:
    """The messages that are born below ``wording``, by code."""
    source = tables.resource_path(messages.TABLE).read_text(encoding="utf-8")
    lines = {line.partition(" = ")[0]: number for number, line in enumerate(source.splitlines(), 1)}
    for code, text in messages.english().items():
        yield Text(text, "", "", f"resources/{messages.TABLE}", lines[code])


def _of_fields() -> Iterator[Text]:
    """The words that a field of the system file can be."""
    place = "airrisk/installation/fields.py"
    for word in fields.OPEN_ENDS:
        yield Text(word, "", "", place, 1)
    for specs in fields.FIELDS.values():
        for spec in specs:
            for word in spec.choices:
                yield Text(word, "", "", place, 1)


def _of_click() -> Iterator[Text]:
    """The words of the library that reads the command line: usage, wrong options."""
    import click

    for path in sorted(Path(click.__file__).parent.glob("*.py")):
        yield from of_python(path.read_text(encoding="utf-8"), f"click/{path.name}", _CLICK)


def of_python(
    source: str, place: str, finders: Mapping[str, Finder] | None = None
) -> Iterator[Text]:
    """The texts of one source file."""
    chosen = _FINDERS if finders is None else finders
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            finder = chosen.get(_name(node.func))
            if finder is not None:
                for text, plural, context in finder(node):
                    yield Text(text, plural, context, place, node.lineno)
        elif isinstance(node, ast.AnnAssign) and node.value:
            kind = _subscript(node)
            if kind == "Texts":
                for text in _values(node.value):
                    yield Text(text, "", "", place, node.lineno)
            elif kind == "Forms":
                for one, many in _pairs(node.value):
                    yield Text(one, many, "", place, node.lineno)
        elif isinstance(node, ast.FunctionDef) and _is_command(node):
            told = ast.get_docstring(node)
            if told:
                yield Text(told, "", "", place, node.lineno)


def _subscript(node: ast.AnnAssign) -> str:
    annotation = node.annotation
    return _name(annotation.value) if isinstance(annotation, ast.Subscript) else ""


def _name(function: ast.expr) -> str:
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


def literals(node: ast.expr) -> Iterator[str]:
    """The texts that an expression of literals can be."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from literals(node.body)
        yield from literals(node.orelse)


def _translated(node: ast.Call) -> Iterator[tuple[str, str, str]]:
    if node.args:
        context = next(literals(node.args[1]), "") if len(node.args) > 1 else ""
        for text in literals(node.args[0]):
            yield text, "", context


def _plural(node: ast.Call) -> Iterator[tuple[str, str, str]]:
    if len(node.args) > 1:
        for one, many in zip(literals(node.args[0]), literals(node.args[1]), strict=False):
            yield one, many, ""


def _values(node: ast.expr) -> Iterator[str]:
    """Every text that is a value in a table of literals."""
    if isinstance(node, ast.Dict):
        for value in node.values:
            yield from _values(value)
    elif isinstance(node, (ast.Tuple, ast.List, ast.Set)):
        for one in node.elts:
            yield from _values(one)
    elif isinstance(node, ast.Call):
        for one in node.args:
            yield from _values(one)
    else:
        yield from literals(node)


def _pairs(node: ast.expr) -> Iterator[tuple[str, str]]:
    """Every pair of texts that is a value in a table of literals."""
    for one in node.values if isinstance(node, ast.Dict) else getattr(node, "elts", ()):
        pair = tuple(_values(one))
        if len(pair) == 2:
            yield pair


def _keywords(names: tuple[str, ...]) -> Finder:
    def find(node: ast.Call) -> Iterator[tuple[str, str, str]]:
        for keyword in node.keywords:
            if keyword.arg in names:
                for text in literals(keyword.value):
                    yield text, "", ""

    return find


_CLICK: dict[str, Finder] = {"_": _translated, "ngettext": _plural}
_FINDERS: dict[str, Finder] = {
    "tr": _translated,
    "ntr": _plural,
    "option": _keywords(("help",)),
    "group": _keywords(("epilog",)),
    "command": _keywords(("short_help",)),
}


def _is_command(node: ast.FunctionDef) -> bool:
    return any(
        isinstance(one, ast.Call) and _name(one.func) in {"command", "group"}
        for one in node.decorator_list
    )


def of_toml(source: str, place: str, keys: tuple[str, ...]) -> Iterator[Text]:
    """The texts of one table: those under these keys, and under ``key_variant``."""
    lines = source.splitlines()

    def walk(node: Any, wanted: bool) -> Iterator[str]:
        if isinstance(node, dict):
            for key, value in node.items():
                if key == "symbols":  # "pressure, Pa": the unit is no text
                    yield from (one.rpartition(", ")[0] for one in value.values())
                    continue
                named = key in keys or key.startswith(tuple(f"{one}_" for one in keys))
                yield from walk(value, wanted or named)
        elif isinstance(node, list):
            for one in node:
                yield from walk(one, wanted)
        elif isinstance(node, str) and wanted and node:
            yield node

    for text in walk(tomllib.loads(source), False):
        # the line helps translators only: the first one that begins alike
        line = next((n for n, one in enumerate(lines, 1) if text[:30] in one), 1)
        yield Text(text, "", "", place, line)
