"""Edits that change only their own place in the text of a system file.

The text is the document. A change of a value replaces that value; adding puts a block behind the
last one of its kind; removing takes the block with the comment lines directly above it. All
else, comments, spacing, line ends and order, stays byte for byte. Two things follow an edit: a
field that is given or left out is no longer ``offered``, and a file of an older format gets the
present number with the first field that its own format did not have.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

from airrisk.installation.decoding import decode, parse_toml
from airrisk.installation.fields import (
    FIELDS,
    KINDS_SINCE,
    OFFERING,
    REPEATED,
    SINGLE,
    WITH_ID,
    FieldSpec,
    kind_name,
)
from airrisk.installation.layout import Entry, Layout, LayoutError, Path, Table
from airrisk.installation.literals import key_text, literal, typed_value
from airrisk.installation.migration import is_older, migrate
from airrisk.installation.problems import SystemFileErrors
from airrisk.installation.references import Reference, naming, renamed_member, tables_of
from airrisk.installation.rows import Rows
from airrisk.installation.values import fold, id_mistake
from airrisk.messages import listed as joined
from airrisk.messages import said, told_of

Part = str | tuple[str, int]
Field = str | tuple[str, ...]
Change = tuple[int, int, str]  # from one byte to another, and what stands there then
_TABLE_KINDS = ("notes", "shares")


def _as_written(kind: str, fields: Mapping[str, Any]) -> dict[str, str]:
    """The fields of a new table as TOML, in the order of their declaration."""
    specs = {one.key: one for one in FIELDS[kind]}
    order = [*(key for key in specs if key in fields), *(k for k in fields if k not in specs)]
    return {
        key: literal(typed_value(specs.get(key), fields[key]))
        for key in order
        if fields[key] is not None
    }


class EditError(ValueError):
    """An edit that cannot be made; the text is as it was."""


class DependentsError(EditError):
    """A part that others name cannot be removed alone.

    Parameters
    ----------
    part : str
        The id.
    dependents : tuple of Reference
        The places that name it.
    """

    def __init__(self, part: str, dependents: tuple[Reference, ...]) -> None:
        self.part, self.dependents = part, dependents
        listed = joined([one.told for one in dependents], "; ")
        super().__init__(said("part-named-by", part=part, listed=listed))


class SystemText:
    """The text of a system file; every edit gives a new one.

    Parts are named by their id, tables that stand once by their name ("" is the top of the
    file), and any table by its kind and its place among that kind, for example
    ``("inspection", 0)``. Fields inside a table value are written with a dot or as a tuple, for
    example ``"notes.volume"``.

    Parameters
    ----------
    text : str or bytes
        The whole file; line ends and byte order mark are kept.

    Raises
    ------
    SystemFileErrors
        Bytes that are not UTF-8, or too many.
    """

    def __init__(self, text: str | bytes) -> None:
        self.text = decode(text) if isinstance(text, bytes) else text

    def __eq__(self, other: object) -> bool:
        return isinstance(other, SystemText) and other.text == self.text

    def __hash__(self) -> int:
        return hash(self.text)

    @cached_property
    def data(self) -> bytes:
        """The text as it is written to the disk."""
        return self.text.encode("utf-8", "replace")

    @cached_property
    def raw(self) -> dict[str, Any]:
        """What the text says as plain TOML."""
        try:
            return parse_toml(self.text)
        except SystemFileErrors as error:
            raise EditError(said("text-to-be-mended", error=told_of(error))) from None

    @cached_property
    def layout(self) -> Layout:
        """Where everything stands."""
        self.raw  # noqa: B018  asks for the error message of the grammar first
        try:
            return Layout(self.data)
        except LayoutError as error:
            raise EditError(str(error)) from None

    @cached_property
    def rows(self) -> Rows:
        """The lines of the text."""
        return Rows(self.layout)

    # What is there

    def up_to_date(self) -> SystemText:
        """The text in the present format; itself when it is. Keep a copy when saving it.

        Raises
        ------
        EditError
            The text is not TOML.
        """
        found = self.raw.get("format")
        return SystemText(migrate(self.text, self.raw["format"])) if is_older(found) else self

    def ids(self) -> dict[str, str]:
        """Every id with the kind of its table, in the order of the kinds."""
        return {
            table["id"]: kind
            for kind in WITH_ID
            for table in tables_of(self.raw, kind)
            if isinstance(table.get("id"), str)
        }

    def address(self, part: Part) -> tuple[str, int | None]:
        """Kind of a table and its place among that kind, None for tables that stand once.

        Raises
        ------
        EditError
            There is no such table.
        """
        if isinstance(part, tuple):
            kind, index = part
            if kind in REPEATED and 0 <= index < len(tables_of(self.raw, kind)):
                return kind, index
            raise EditError(said("no-table-to-edit", kind=kind_name(kind), index=index + 1))
        if part in SINGLE:
            return part, None
        for kind in WITH_ID:
            for index, table in enumerate(tables_of(self.raw, kind)):
                name = table.get("id")
                if isinstance(name, str) and fold(name) == fold(part):
                    return kind, index
        raise EditError(said("no-part-to-edit", part=repr(part)))

    def value(self, part: Part, field: Field) -> Any:
        """What a field says, as plain TOML; None when it is left out.

        Raises
        ------
        EditError
            There is no such part.
        """
        found: Any = self.raw
        for key in self._path(part, field):
            try:
                found = found[key]
            except (KeyError, IndexError, TypeError):
                return None
        return found

    def source(self, part: Part, field: Field) -> str | None:
        """A field's value as it is written in the text; None when it is left out."""
        entry = self.layout.entries.get(self._path(part, field))
        return None if entry is None else self._slice(entry.value_start, entry.value_end)

    def line(self, part: Part, field: Field = ()) -> int | None:
        """Line of a field, or of its table when it is left out."""
        return self.layout.line(self._path(part, field))

    def naming(self, part: str) -> tuple[Reference, ...]:
        """Every place that names a part."""
        return naming(self.raw, part)

    # Edits of fields

    def set(self, part: Part, field: Field, value: Any) -> SystemText:
        """Give a field a value.

        Parameters
        ----------
        part : str or tuple
            Id, name of a table, or kind and place.
        field : str or tuple
            Key.
        value : object
            A text as typed, or a bool, number, date, list or mapping. None unsets the field.

        Raises
        ------
        EditError
            There is no such part, or the text is not TOML.
        """
        if value is None:
            return self.unset(part, field)
        path = self._path(part, field)
        kind = self.address(part)[0]
        spec = self._spec(kind, path)
        written = literal(typed_value(spec, value))
        text = self._fit_for(kind, () if spec is None else (spec.key,))
        return text._set(path, written, kind)._no_longer_offered(path)

    def set_all(self, edits: Iterable[tuple[Part, Field, Any]]) -> SystemText:
        """Give fields values, with the same text as ``set`` one after the other.

        As many as leave each other alone are written in one go: each reading of a text takes a
        while.

        Raises
        ------
        EditError
            There is no such part, or the text is not TOML.
        """
        text, left = self, list(edits)
        while left:
            changes = text._apart(left)
            if len(changes) > 1:
                text = text._with(tuple(changes.values()))
                left = [edit for place, edit in enumerate(left) if place not in changes]
            else:
                text, left = text.set(*left[0]), left[1:]
        return text

    def unset(self, part: Part, field: Field) -> SystemText:
        """Leave a field out; no change when it is not there.

        Raises
        ------
        EditError
            There is no such part, or the text is not TOML.
        """
        path = self._path(part, field)
        return self._drop(path)._no_longer_offered(path)

    def confirm(self, part: Part, *fields: str) -> SystemText:
        """Take the names of fields off those that are only offered; their values stay.

        Parameters
        ----------
        part : str or tuple
            Id, or kind and place.
        fields : str
            Keys; none: every offered field of the part.

        Raises
        ------
        EditError
            There is no such part, or the text is not TOML.
        """
        kind, index = self.address(part)
        if kind not in OFFERING or index is None:
            return self
        return self._confirmed((kind, index), fields or tuple(self._offered(kind, index)))

    def confirm_each(self, fields: Mapping[str, Iterable[str]]) -> SystemText:
        """Take fields of many parts off those that are only offered, with the text of ``confirm``.

        Lists that go as a whole are taken out in one go: each reading of a text takes a while.

        Parameters
        ----------
        fields : mapping
            Id to keys; a part without keys stays as it is.

        Raises
        ------
        EditError
            There is no such part, or the text is not TOML.
        """
        going, left = [], []
        for part, given in fields.items():
            kind, index = self.address(part)
            keys = tuple(given)
            if kind not in OFFERING or index is None or not keys:
                continue
            entry = self.layout.entries.get((kind, index, "offered"))
            whole = set(map(str, self._offered(kind, index))) <= set(keys)
            if entry is not None and entry.holder == "table" and whole:
                going.append((*self.rows.lines(entry.start, entry.end), ""))
            else:
                left.append((part, keys))
        text = self._with(going) if going else self
        for part, keys in left:
            text = text.confirm(part, *keys)
        return text

    # Edits of tables

    def add(self, kind: str, fields: Mapping[str, Any]) -> SystemText:
        """Add a table behind the last one of its kind.

        Parameters
        ----------
        kind : str
            A kind of table that may stand several times, for example "vessel".
        fields : mapping
            Key to value, as in ``set``; written in the order of the declaration.

        Raises
        ------
        EditError
            No such kind, the id is taken, or the text is not TOML.
        """
        return self.add_all(kind, (fields,))

    def add_all(self, kind: str, several: Sequence[Mapping[str, Any]]) -> SystemText:
        """Add tables of one kind behind the last one, in their order, as ``add`` adds one.

        Raises
        ------
        EditError
            No such kind, an id is taken, or the text is not TOML.
        """
        if kind not in REPEATED:
            raise EditError(
                said(
                    "no-kind-of-part",
                    kind=repr(kind),
                    kinds=", ".join(REPEATED),
                )
            )
        for fields in several:
            if "id" in fields:
                self._free(str(fields["id"]))
        fit = self._fit_for(kind, {key for fields in several for key in fields})
        if fit is not self:
            return fit.add_all(kind, several)
        written = [_as_written(kind, fields) for fields in several]
        inline = self.layout.entries.get((kind,))
        if inline is not None and inline.node_type == "array":
            pairs = ", ".join(f"{key_text(key)} = {text}" for key, text in written[0].items())
            one = self._insert_item(inline, f"{{ {pairs} }}" if pairs else "{}")
            return one.add_all(kind, several[1:]) if several[1:] else one
        lines: list[str] = []
        for pieces in written:
            lines += ["", f"[[{kind}]]", *(f"{key_text(key)} = {x}" for key, x in pieces.items())]
        return self._insert_block(lines[1:], self._last_before(kind))

    def remove(self, part: Part, *, with_dependents: bool = False) -> SystemText:
        """Remove a table and the comment lines directly above it.

        Parameters
        ----------
        part : str or tuple
            Id, or kind and place.
        with_dependents : bool
            Also remove what cannot be without it, and take its id out of lists.

        Raises
        ------
        DependentsError
            Others name it and ``with_dependents`` is not set; they are listed.
        EditError
            There is no such part, or the text is not TOML.
        """
        kind, index = self.address(part)
        if index is None:
            raise EditError(said("table-cannot-be-removed"))
        name = tables_of(self.raw, kind)[index].get("id")
        text = self
        if isinstance(name, str) and kind in WITH_ID:
            found = self.naming(name)
            if found and not with_dependents:
                raise DependentsError(name, found)
            text = text._without_dependents(name, frozenset({fold(name)}))
            kind, index = text.address(name)
        return text._drop((kind, index or 0))

    def _without_dependents(self, name: str, going: frozenset[str]) -> SystemText:
        """The text without what names a part that goes; what is ``going`` too is left to that."""
        text = self
        while found := [one for one in text.naming(name) if fold(one.id or "") not in going]:
            text = text._let_go(found[0], going)
        return text

    def dependents(self, part: str) -> tuple[Reference, ...]:
        """Everything that ``remove`` with dependents would remove or change, in that order."""
        gone: dict[Path, Reference] = {}
        names = [part]
        for name in names:
            for found in self.naming(name):
                if found.path in gone:
                    continue
                if not found.needed and found.field == "reaches":
                    reached = self.value((found.kind, found.index), found.field)
                    needed = {fold(one) for one in reached} <= {fold(one) for one in names}
                    found = replace(found, needed=needed)
                gone[found.path] = found
                if found.needed and found.id and fold(found.id) not in map(fold, names):
                    names.append(found.id)
        return tuple(gone.values())

    def rename(self, part: str, new_id: str) -> SystemText:
        """Change an id, and every place that names it.

        Parameters
        ----------
        part : str
            The id now.
        new_id : str
            The id wanted.

        Raises
        ------
        EditError
            There is no such part, the new id is taken or cannot be an id.
        """
        kind, index = self.address(part)
        if index is None or kind not in WITH_ID:
            raise EditError(said("part-without-id", part=repr(part)))
        if fold(new_id) != fold(part):
            self._free(new_id)
        elif id_mistake(new_id):
            raise EditError(
                said(
                    "cannot-be-an-id",
                    name=repr(new_id),
                    mistake=id_mistake(new_id),
                )
            )
        entries = self.layout.entries
        own = entries[kind, index, "id"]
        changes = [(own.value_start, own.value_end, literal(new_id))]
        for found in self.naming(part):
            if found.is_key:
                changes += [(a, b, key_text(new_id)) for a, b in self._key_places(found.path)]
            else:
                entry = entries[found.path]
                changes.append((entry.value_start, entry.value_end, literal(new_id)))
        for at, action in enumerate(tables_of(self.raw, "action")):
            written = action.get("section")
            if isinstance(written, str) and (new := renamed_member(written, part, new_id)):
                entry = entries["action", at, "section"]
                changes.append((entry.value_start, entry.value_end, literal(new)))
        return self._with(changes)

    def block(self, part: Part) -> dict[str, Any]:
        """All fields of a table as plain TOML, fit for ``add``; to copy and paste."""
        kind, index = self.address(part)
        if index is None:
            return dict(self.raw.get(kind, {})) if kind else {}
        return dict(tables_of(self.raw, kind)[index])

    def free_id(self, like: str) -> str:
        """An id that is not taken, made from another one by counting up."""
        taken = {fold(name) for name in self.ids()}
        stem = like.rstrip("0123456789")
        number = int(like[len(stem) :] or 1) if len(like) - len(stem) < 9 else 1
        while True:
            name = f"{stem[: 40 - len(str(number))]}{number}"
            if fold(name) not in taken and not id_mistake(name):
                return name
            number += 1

    # How it is done

    def _path(self, part: Part, field: Field) -> Path:
        kind, index = self.address(part)
        base: Path = () if not kind else (kind,) if index is None else (kind, index)
        if isinstance(field, tuple):
            return (*base, *field)
        if kind == "spread":
            return (*base, *field.rsplit(".", 1))
        head, dot, tail = field.partition(".")
        known = {one.key: one for one in FIELDS[kind]}
        if dot and head in known and known[head].kind in _TABLE_KINDS:
            return (*base, head, tail)
        return (*base, field)

    def _spec(self, kind: str, path: Path) -> FieldSpec | None:
        keys = [key for key in path if isinstance(key, str)][1 if kind else 0 :]
        for one in FIELDS[kind]:
            if keys and one.key == keys[0]:
                if len(keys) == 1:
                    return one
                return FieldSpec("", "", "shares") if one.kind == "shares" else None
        return None

    def _free(self, name: str) -> None:
        if id_mistake(name):
            raise EditError(said("cannot-be-an-id", name=repr(name), mistake=id_mistake(name)))
        for known, kind in self.ids().items():
            if fold(known) == fold(name):
                raise EditError(
                    said(
                        "already-an-id",
                        name=repr(name),
                        kind=kind_name(kind),
                        known=known,
                    )
                )

    def _let_go(self, found: Reference, going: frozenset[str]) -> SystemText:
        if found.needed and found.id:
            text = self._without_dependents(found.id, going | {fold(found.id)})
            kind, index = text.address(found.id)
            return text._drop((kind, index or 0))
        if found.needed:
            return self._drop((found.kind, found.index))
        return self._drop(found.path)._no_longer_offered(found.path)

    def _fit_for(self, kind: str, keys: Iterable[str]) -> SystemText:
        """The text in a format that has a kind of table and these fields of it."""
        since = {one.key: one.since for one in FIELDS[kind]}
        needed = max([KINDS_SINCE.get(kind, 1), *(since.get(key, 1) for key in keys)])
        found = self.raw.get("format")
        older = is_older(found) and isinstance(found, int) and found < needed
        return self.up_to_date() if older else self

    def _offered(self, kind: str, index: int) -> list[Any]:
        tables = tables_of(self.raw, kind)
        found = tables[index].get("offered") if index < len(tables) else None
        return found if isinstance(found, list) else []

    def _no_longer_offered(self, path: Path) -> SystemText:
        """The text after the value at a path was given or left out by a person."""
        if len(path) < 3 or path[0] not in OFFERING:
            return self
        return self._confirmed((str(path[0]), int(path[1])), (str(path[2]),))

    def _confirmed(self, place: tuple[str, int], keys: Sequence[str]) -> SystemText:
        text = self
        while True:
            found = text._offered(*place)
            left = [at for at, key in enumerate(found) if key in keys]
            if not left:
                return text
            path: Path = (*place, "offered")
            text = text._drop((*path, left[-1]) if len(found) > 1 else path)

    def _apart(self, edits: Sequence[tuple[Part, Field, Any]]) -> dict[int, Change]:
        """What the first edits change that leave each other alone, by their place in the list.

        Of one table any values that stand there, and one line more: what comes later in it waits.
        """
        changes: dict[int, Change] = {}
        taken: set[tuple[Path, Path]] = set()  # table and field, or no field for a new line
        for place, (part, field, value) in enumerate(edits):
            path = self._path(part, field)
            change = None if value is None else self._alone(part, path, value)
            if change is None:
                break
            table = path[:1] if self.address(part)[1] is None else path[:2]
            mine = {(table, path), *([(table, ())] if change[0] == change[1] else [])}
            if taken.isdisjoint(mine):
                changes[place] = change
            taken |= mine
        return changes

    def _alone(self, part: Part, path: Path, value: Any) -> Change | None:
        """The one place that a new value of a field changes; None: more follows from it."""
        kind, index = self.address(part)
        spec = self._spec(kind, path)
        if self._fit_for(kind, () if spec is None else (spec.key,)) is not self:
            return None
        plain = len(path) == (bool(kind) + (index is not None) + 1)
        if not plain or path[-1] in ("id", "offered", "format"):
            return None
        if index is not None and path[2] in self._offered(kind, index):
            return None
        written = literal(typed_value(spec, value))
        entry = self.layout.entries.get(path)
        there = "" if entry is None else self._slice(entry.value_start, entry.value_end)
        if "\n" in written or "\n" in there:  # the next new line may stand beside another row
            return None
        if entry is not None:
            return entry.value_start, entry.value_end, written
        table = self.layout.header(path[:-1])
        if table is None or self._is_there(path):
            return None
        return self._new_line(table, str(path[-1]), written, kind)

    def _set(self, path: Path, written: str, kind: str) -> SystemText:
        entries = self.layout.entries
        if path in entries:
            entry = entries[path]
            return self._with([(entry.value_start, entry.value_end, written)])
        if self._is_there(path):  # a table written with a header or dotted keys
            return self._drop(path)._set(path, written, kind)
        above, key = path[:-1], str(path[-1])
        holder = entries.get(above)
        if holder is not None and holder.node_type == "inline_table":
            return self._insert_pair(holder, f"{key_text(key)} = {written}")
        table = self.layout.header(above)
        if table is not None or not above:
            return self._with([self._new_line(table, key, written, kind)])
        size = len(above)
        dotted = [
            one
            for known, one in entries.items()
            if known[:size] == above and len(known) - len(one.keys) < size
        ]
        if dotted:
            return self._insert_dotted(dotted[-1], (*above, key), written)
        if len(above) == 1 and kind in SINGLE:
            return self._insert_block(
                [f"[{kind}]", f"{key_text(key)} = {written}"], self._singles()
            )
        if len(above) == 2 and kind == "spread":
            header = f"[spread.{key_text(str(above[1]))}]"
            return self._insert_block([header, f"{key_text(key)} = {written}"], self._singles())
        return self._set(above, f"{{ {key_text(key)} = {written} }}", kind)

    def _is_there(self, path: Path) -> bool:
        below = len(path)
        return any(known[:below] == path for known in self.layout.entries) or any(
            table.path[:below] == path for table in self.layout.tables
        )

    def _drop(self, path: Path) -> SystemText:
        entry = self.layout.entries.get(path)
        if entry is not None:
            if entry.holder == "table":
                return self._with([(*self.rows.lines(entry.start, entry.end), "")])
            if entry.holder == "inline" and self._is_alone(entry) and len(path) > 2:
                return self._drop(path[:-1])
            return self._with([(*self.rows.item_span(entry), "")])
        below = len(path)
        blocks = [self.rows.block_span(table) for table in self.layout.tables_below(path)]
        covered = [(start, end) for start, end in blocks]
        lone = [
            self.rows.lines(one.start, one.end)
            for known, one in self.layout.entries.items()
            if known[:below] == path
            and one.holder == "table"
            and not any(start <= one.start < end for start, end in covered)
        ]
        inline = [
            self.rows.item_span(one)
            for known, one in self.layout.entries.items()
            if known[:below] == path
            and len(known) > below
            and one.holder == "inline"
            and len(known) - len(one.keys) < below
        ]
        return self._with([(start, end, "") for start, end in sorted({*blocks, *lone, *inline})])

    def _with(self, changes: Sequence[Change]) -> SystemText:
        data = self.data
        for start, end, new in sorted(changes, reverse=True):
            data = data[:start] + new.encode("utf-8", "replace") + data[end:]
        edited = SystemText(data.decode("utf-8"))
        try:
            edited.raw  # noqa: B018  an edit must never leave a text that cannot be read
        except EditError:
            raise EditError(said("spelling-only-as-text")) from None
        return edited

    def _slice(self, start: int, end: int) -> str:
        return self.data[start:end].decode("utf-8")

    def _is_alone(self, entry: Entry) -> bool:
        """Whether a pair is the only one in the braces of remarks or shares."""
        above = entry.path[:-1]
        spec = next(
            (one for one in FIELDS.get(str(entry.path[0]), ()) if one.key == above[-1]), None
        )
        if spec is None or spec.kind not in _TABLE_KINDS:
            return False
        return sum(known[: len(above)] == above for known in self.layout.entries) == 2

    def _new_line(self, table: Table | None, key: str, written: str, kind: str) -> Change:
        """Where the line of a new field goes; no table: to the top."""
        pairs = self.layout.top if table is None else table.pairs
        order = [one.key for one in FIELDS[kind]]
        rank = order.index(key) if key in order and kind != "spread" else len(order)
        before = [
            one for one in pairs if one.keys[0][0] in order and order.index(one.keys[0][0]) < rank
        ] or (pairs[-1:] if rank == len(order) else [])
        if before or table is not None:
            anchor = before[-1].end if before else table.header_end if table else 0
            row = self.rows.row(anchor)
            line = self.rows.row_bytes(row)
            indent = line[: len(line) - len(line.lstrip(b" \t"))].decode() if before else ""
            return self._behind_row(row, [f"{indent}{key_text(key)} = {written}"])
        start = self.rows.row_start(0)
        return start, start, f"{key_text(key)} = {written}{self.rows.newline(0)}"

    def _insert_dotted(self, near: Entry, path: Path, written: str) -> SystemText:
        """Beside a pair with a dotted key that leads into the same table."""
        names = path[len(near.path) - len(near.keys) :]
        dotted = ".".join(key_text(str(name)) for name in names)
        if near.holder == "inline":
            return self._with([(near.end, near.end, f", {dotted} = {written}")])
        return self._after_row(self.rows.row(near.end), [f"{dotted} = {written}"])

    def _after_row(self, row: int, lines: list[str]) -> SystemText:
        return self._with([self._behind_row(row, lines)])

    def _behind_row(self, row: int, lines: list[str]) -> Change:
        newline = self.rows.newline(row)
        place = self.rows.row_start(row + 1)
        new = "".join(line + newline for line in lines)
        if place == len(self.data) and not self.data.endswith(b"\n"):
            new = newline + new.removesuffix(newline)
        return place, place, new

    def _insert_block(self, lines: list[str], tables: list[Table]) -> SystemText:
        if tables:
            row = max(self.rows.block_rows(table)[1] for table in tables) - 1
        elif self.layout.top:
            row = self.rows.row(self.layout.top[-1].end)
        else:
            row = self.rows.row_count - 1
        if row < 0:
            return self._with([(self.rows.row_start(0),) * 2 + ("".join(f"{x}\n" for x in lines),)])
        follows = row + 1 < self.rows.row_count and not self.rows.is_blank(row + 1)
        return self._after_row(row, ["", *lines, *([""] if follows else [])])

    def _last_before(self, kind: str) -> list[Table]:
        """The headers that a new table of a kind comes after."""
        kinds = REPEATED[: REPEATED.index(kind) + 1]
        for one in reversed(kinds):
            count = len(tables_of(self.raw, one))
            if count and (found := self.layout.tables_below((one, count - 1))):
                return found
        return self._singles()

    def _singles(self) -> list[Table]:
        return [table for table in self.layout.tables if table.path[0] in SINGLE]

    def _key_places(self, path: Path) -> list[tuple[int, int]]:
        """Every place where the last key of a path is written."""
        number = sum(isinstance(key, str) for key in path) - 1
        places = set()
        written: list[Entry | Table] = [*self.layout.entries.values(), *self.layout.tables]
        for one in written:
            if one.path[: len(path)] != path or not one.keys:
                continue
            place = number - (sum(isinstance(key, str) for key in one.path) - len(one.keys))
            if place >= 0:
                places.add(one.keys[place][1:])
        return sorted(places)

    def _insert_pair(self, holder: Entry, pair: str) -> SystemText:
        inside = self._slice(holder.value_start + 1, holder.value_end - 1)
        if not inside.strip():
            return self._with([(holder.value_start, holder.value_end, f"{{ {pair} }}")])
        place = holder.value_start + 1 + len(inside.rstrip().encode())
        return self._with([(place, place, f", {pair}")])

    def _insert_item(self, holder: Entry, item: str) -> SystemText:
        items = [
            one for known, one in self.layout.entries.items()
            if known[:-1] == holder.path and one.holder == "array"
        ]  # fmt: skip
        if not items:
            return self._with([(holder.value_start, holder.value_end, f"[{item}]")])
        return self._with([(items[-1].end, items[-1].end, f", {item}")])
