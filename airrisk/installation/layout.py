"""Where each table, key and value stands in the text of a system file, in bytes.

The meaning of the text comes from ``tomllib``; this module only knows places, and is asked only
about texts that ``tomllib`` has accepted.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any, Literal

import tree_sitter
import tree_sitter_toml

from airrisk.messages import said

Path = tuple[str | int, ...]
Holder = Literal["table", "inline", "array"]


@dataclass(frozen=True)
class Entry:
    """One value: a key with its value, or an item of an array."""

    path: Path
    holder: Holder
    key_start: int
    key_end: int
    value_start: int
    value_end: int
    line: int  # from 1, where the key (or the item) starts
    keys: tuple[tuple[str, int, int], ...] = ()  # each key of a dotted key with its place
    node_type: str = ""

    @property
    def start(self) -> int:
        """Where the key starts, or the item of an array."""
        return self.key_start

    @property
    def end(self) -> int:
        """Just behind the value."""
        return self.value_end


@dataclass(frozen=True)
class Table:
    """A table header in brackets and the pairs below it."""

    path: Path
    repeated: bool  # [[ ]] instead of [ ]
    header_start: int
    header_end: int
    line: int
    keys: tuple[tuple[str, int, int], ...]
    pairs: list[Entry] = field(default_factory=list)

    @property
    def end(self) -> int:
        """Just behind the last value, or behind the header."""
        return self.pairs[-1].end if self.pairs else self.header_end


class LayoutError(ValueError):
    """The places of a text could not be found, although its meaning could."""


@lru_cache(maxsize=1)
def _parser() -> tree_sitter.Parser:
    return tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))


class Layout:
    """The places of all tables, keys and values of one text.

    Parameters
    ----------
    data : bytes
        UTF-8 text that ``tomllib`` accepts; a byte order mark is allowed.

    Raises
    ------
    LayoutError
        The text is not TOML.
    """

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.entries: dict[Path, Entry] = {}
        self.tables: list[Table] = []
        self.top: list[Entry] = []
        self.comment_lines: set[int] = set()  # lines, from 0, that hold only a comment
        self._counts: dict[Path, int] = {}
        self._header_lines: dict[Path, int] = {}
        # The grammar wants every line ended; the added one changes no place.
        root = _parser().parse(data + b"\n").root_node
        if root.has_error:
            raise LayoutError(said("text-is-not-toml"))
        for node in root.children:
            if node.type == "pair":
                self.top.append(self._pair(node, (), "table"))
            elif node.type == "comment":
                self._comment(node)
            elif node.type in {"table", "table_array_element"}:
                self._table(node)

    def line(self, path: Path) -> int | None:
        """Line of a key, an item or a table; of what holds it when it is not in the text."""
        while path:
            if path in self._header_lines:
                return self._header_lines[path]
            if path in self.entries:
                return self.entries[path].line
            if path in self._first_lines:
                return self._first_lines[path]
            path = path[:-1]
        return None

    @cached_property
    def _first_lines(self) -> dict[Path, int]:
        """The first line of all that stands in a table which may have no line of its own."""
        lines = [*self._header_lines.items(), *((k, one.line) for k, one in self.entries.items())]
        first: dict[Path, int] = {}
        for known, line in lines:
            for size in range(1, len(known)):
                above = known[:size]
                first[above] = min(line, first.get(above, line))
        return first

    def tables_below(self, path: Path) -> list[Table]:
        """Headers of this table and of the tables inside it."""
        return [table for table in self.tables if table.path[: len(path)] == path]

    def header(self, path: Path) -> Table | None:
        """The header of exactly this table."""
        return next((table for table in self.tables if table.path == path), None)

    def _table(self, node: tree_sitter.Node) -> None:
        repeated = node.type == "table_array_element"
        children = node.children
        keys = self._keys(children[1])
        path: Path = ()
        for name, _, _ in keys[:-1]:
            path = (*path, name)
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
        path = (*path, keys[-1][0])
        if repeated:
            index = self._counts.get(path, 0)
            self._counts[path] = index + 1
            path = (*path, index)
        table = Table(
            path, repeated, node.start_byte, children[2].end_byte, node.start_point[0] + 1, keys
        )
        self.tables.append(table)
        self._header_lines.setdefault(path, table.line)
        for child in children[3:]:
            if child.type == "pair":
                table.pairs.append(self._pair(child, path, "table"))
            elif child.type == "comment":
                self._comment(child)

    def _comment(self, node: tree_sitter.Node) -> None:
        start = self.data.rfind(b"\n", 0, node.start_byte) + 1
        if not self.data[start : node.start_byte].strip(b" \t\xef\xbb\xbf"):
            self.comment_lines.add(node.start_point[0])

    def _pair(self, node: tree_sitter.Node, above: Path, holder: Holder) -> Entry:
        key, value = node.children[0], node.children[2]
        keys = self._keys(key)
        path = (*above, *(name for name, _, _ in keys))
        entry = Entry(
            path, holder, key.start_byte, key.end_byte, value.start_byte, value.end_byte,
            node.start_point[0] + 1, keys, value.type,
        )  # fmt: skip
        self.entries[path] = entry
        self._inside(value, path)
        return entry

    def _inside(self, value: tree_sitter.Node, path: Path) -> None:
        if value.type == "inline_table":
            for child in value.children:
                if child.type == "pair":
                    self._pair(child, path, "inline")
        elif value.type == "array":
            items = [c for c in value.children if c.type not in {"[", "]", ",", "comment"}]
            for index, child in enumerate(items):
                item = (*path, index)
                self.entries[item] = Entry(
                    item, "array", child.start_byte, child.end_byte, child.start_byte,
                    child.end_byte, child.start_point[0] + 1, (), child.type,
                )  # fmt: skip
                self._inside(child, item)

    def _keys(self, node: tree_sitter.Node) -> tuple[tuple[str, int, int], ...]:
        if node.type == "dotted_key":
            return tuple(
                found for child in node.children if child.type != "." for found in self._keys(child)
            )
        raw = self.data[node.start_byte : node.end_byte].decode()
        name = raw if node.type == "bare_key" else _unquoted(raw)
        return ((name, node.start_byte, node.end_byte),)


def _unquoted(key: str) -> str:
    read: dict[str, Any] = tomllib.loads(f"{key} = 0")
    return next(iter(read))
