"""Edits of parts as a person asks for them: add, connect, duplicate, delete, move, copy, paste."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication

from airrisk.editing import copies, edits
from airrisk.editing.entry_table import new_problems
from airrisk.editing.offered_list import OfferedValue, confirmed
from airrisk.editing.typed_part import Here, Understood, understood
from airrisk.editing.usual_sizes import UsualSize, with_size
from airrisk.installation.splice import EditError, SystemText
from airrisk.messages import told_of
from airrisk.study.cure_changes import Change, ChangeImpossibleError, changed_text
from airrisk.wording import labels
from airrisk.wording.translation import ntr, tr

if TYPE_CHECKING:
    from airrisk.editing import Document
    from airrisk.installation.model import Installation
    from airrisk.window.session import Session


class PartEdits(QObject):
    """Turns what a person wants into one undoable step; says why when it cannot."""

    refused = Signal(str)
    done = Signal(str)

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._cut: tuple[Document, str] | None = None  # file and text of what was cut last

    def _ready(self) -> Document | None:
        document = self._session.document
        if document is None:
            self.refused.emit(tr("Open or start a file first."))
            return None
        if document.read_only:
            self.refused.emit(tr("This file is open for viewing only."))
            return None
        if document.review_only:
            self.refused.emit(
                tr("Open for review: only remarks, inspections and what is to be done may change.")
            )
            return None
        return document

    def _apply(self, label: str, text: Any) -> bool:
        document = self._ready()
        return document is not None and document.replace(label, text.text)

    def change_by(self, label: str, changes: Sequence[Change]) -> bool:
        """Make the changes of a cure plan as one step, each written value offered."""
        document = self._ready()
        if document is None:
            return False
        try:
            text = changed_text(document.system_text.up_to_date(), changes, as_offered=True)
        except ChangeImpossibleError as error:
            self.refused.emit(str(error))
            return False
        return self._apply(label, text)

    def describe(self, label: str, fields: Mapping[str, Any]) -> bool:
        """Write what the file says of itself as one step; None takes a field out."""
        document = self._ready()
        if document is None:
            return False
        text = document.system_text
        try:
            for key, value in fields.items():
                text = text.unset("about", key) if value is None else text.set("about", key, value)
        except EditError as error:
            self.refused.emit(tr(told_of(error)))
            return False
        return self._apply(label, text)

    def understand(self, line: str) -> Understood:
        """What a typed line would make as things stand; nothing is changed."""
        session = self._session
        document = session.document
        text = SystemText("") if document is None else document.system_text
        record = session.record()
        here = Here(
            str(getattr(record, "id", "")), self._holder_here() or "", dt.date.today()
        )  # fmt: skip
        return understood(line, text, session.installation or session.drawn, here)

    def type_part(self, line: str) -> bool:
        """Make the part that a line says, as one step; False where nothing is made."""
        if self._ready() is None:
            return False
        self._session.take_typed()
        found = self.understand(line)
        if found.text is None:
            self.refused.emit("; ".join(tr(one) for one in found.mistakes))
            return False
        kind = labels.part_kind(found.kind)
        if self._apply(tr("add {kind} {id}").format(kind=kind, id=found.name), found.text):
            self._session.choose(found.name)
            self.done.emit(tr("Added: {kind} {id}").format(kind=kind, id=found.name))
            return True
        return False

    def add_entered(self, kind: str, text: SystemText, names: Sequence[str]) -> bool:
        """Take a table of new parts into the file as one step."""
        called = f"{labels.part_kind(kind)} {', '.join(names)}"
        if self._apply(tr("add as a table: {parts}").format(parts=called), text):
            self._session.choose(names[-1])
            self.done.emit(tr("Added: {parts}").format(parts=called))
            return True
        return False

    def take_size(self, part: str, size: UsualSize) -> bool:
        """Write a usual size into a part; its values are offered until somebody confirms them."""
        document = self._ready()
        if document is None:
            return False
        try:
            text = with_size(document.system_text, part, size)
        except EditError as error:
            self.refused.emit(tr(told_of(error)))
            return False
        problems = new_problems(document.system_text, text)
        if problems:
            told = "; ".join(tr(one.told) for one in problems)
            self.refused.emit(tr("Not taken: {reason}").format(reason=told))
            return False
        label = tr("usual size {size} for {part}").format(size=size.name, part=part)
        return self._apply(label, text)

    def confirm_values(self, values: Sequence[OfferedValue]) -> bool:
        """Take these offered values as confirmed, as one step; False where nothing changes."""
        document = self._ready()
        if document is None or not values:
            return False
        try:
            text = confirmed(document.system_text, values)
        except EditError as error:
            self.refused.emit(tr(told_of(error)))
            return False
        count = len(values)
        label = ntr("confirm {count} offered value", "confirm {count} offered values", count)
        if not self._apply(label.format(count=count), text):
            return False
        parts = ", ".join(dict.fromkeys(one.part for one in values))
        told = ntr(
            "Confirmed: {count} value of {parts}", "Confirmed: {count} values of {parts}", count
        )
        self.done.emit(told.format(count=count, parts=parts))
        return True

    def _holder_here(self) -> str | None:
        """The vessel or line that is chosen, else the only vessel there is."""
        session = self._session
        installation = session.installation or session.drawn
        holder = session.chosen_holder
        if holder is None and installation is not None and len(installation.vessels) == 1:
            return str(installation.vessels[0].id)
        return holder

    def add(self, kind: str) -> str | None:
        """Add a part near what is chosen; returns its id."""
        document = self._ready()
        if document is None:
            return None
        values: dict[str, Any] = {}
        problem = self._fit_in(kind, values)
        if problem:
            self.refused.emit(problem)
            return None
        before = document.system_text
        try:
            name = edits.free_id(before, kind)
            after = edits.added(before, kind, name, values)
        except EditError as error:
            self.refused.emit(tr(told_of(error)))
            return None
        label = tr("add {kind} {id}").format(kind=labels.part_kind(kind), id=name)
        if self._apply(label, after):
            self._session.choose(name)
            return name
        return None

    def _fit_in(self, kind: str, values: dict[str, Any]) -> str:
        """Fill in where a new part belongs; what is missing when it cannot be known."""
        session = self._session
        installation = session.installation or session.drawn
        chosen = session.record()
        if kind == "reading":
            values["date"] = dt.date.today()
        if kind in ("plug", "relief_valve", "bursting_disc", "reading"):
            holder = self._holder_here()
            if holder is None:
                return tr("Choose the vessel or line first that it belongs to.")
            values["on"] = holder
        elif kind == "valve":
            name = getattr(chosen, "id", None)
            if hasattr(chosen, "from_"):
                values.update(on=str(name), end="from")
            elif hasattr(chosen, "discharge_coefficient"):
                values.update(on=str(name))
            else:
                return tr("Choose the line first that the valve stands in, or a device.")
        elif kind == "line":
            begin = self._line_begin(installation, chosen)
            if begin is None:
                return tr("Choose the part first where the line begins, or use Connect.")
            values.update({"from": begin, "to": "closed"})
        elif kind == "fire":
            holders = () if installation is None else installation.holders()
            if not holders:
                return tr("Add a vessel first: a fire reaches vessels and lines.")
            holder = session.chosen_holder
            values["reaches"] = [holder] if holder else [h.id for h in holders]
        else:
            values.update(edits.STANDING.get(kind, {}))
        return ""

    def _line_begin(self, installation: Installation | None, chosen: object) -> str | None:
        """The chosen part, the vessel of a chosen device, or the only vessel there is."""
        if installation is None:
            return None
        names = [part.id for part in installation.parts()]
        for name in (getattr(chosen, "id", None), self._session.chosen_holder):
            if name in names:
                return str(name)
        vessels = installation.vessels
        return vessels[0].id if chosen is None and len(vessels) == 1 else None

    def connect_parts(self, first: str, last: str) -> None:
        """Join two parts by a new line."""
        document = self._ready()
        if document is None:
            return
        try:
            name = edits.free_id(document.system_text, "line")
            ends = {"from": first, "to": last}
            text = edits.added(document.system_text, "line", name, ends)
        except EditError as error:
            self.refused.emit(tr(told_of(error)))
            return
        if self._apply(tr("connect {first} and {last}").format(first=first, last=last), text):
            self._session.choose(name)

    def delete(self, names: list[str]) -> None:
        """Remove parts with what hangs on them."""
        document = self._ready()
        if document is None or not names:
            return
        try:
            more = edits.dependents(document.system_text, names)
            text = edits.removed(document.system_text, names)
        except EditError as error:
            self.refused.emit(tr(told_of(error)))
            return
        label = tr("delete {names}").format(names=", ".join([*names, *more]))
        if self._apply(label, text):
            self._session.choose(None)
            self.done.emit(label[0].upper() + label[1:])

    def duplicate(self, names: list[str]) -> None:
        """Add a copy of each part, with what stands on it, under new names."""
        document = self._ready()
        if document is None or not names:
            return
        try:
            text, new = copies.duplicated(document.system_text, names)
        except EditError as error:
            self.refused.emit(tr(told_of(error)))
            return
        if self._apply(tr("duplicate {names}").format(names=", ".join(names)), text):
            self._session.choose(new[names[-1]])
            self.done.emit(
                tr("Copies: {names}. What was measured or seen on the first is not taken over.")
                .format(names=", ".join(new.values()))
            )  # fmt: skip

    def copy(self, names: list[str]) -> None:
        """Put the parts' text on the clipboard."""
        document = self._session.document
        if document is None or not names:
            return
        try:
            QGuiApplication.clipboard().setText(copies.copied(document.system_text, names))
        except EditError as error:
            self.refused.emit(tr(told_of(error)))
            return
        self.done.emit(tr("Copied {names}.").format(names=", ".join(names)))

    def cut(self, names: list[str]) -> None:
        """Put the parts' text on the clipboard and delete them; pasted here they are the same."""
        document = self._session.document
        self.copy(names)
        self._cut = None
        if document is not None and names:
            self._cut = document, QGuiApplication.clipboard().text()
        self.delete(names)

    def paste(self) -> None:
        """Add the parts whose text is on the clipboard, under new names where needed.

        What was not cut out of this file stands for other pieces, which nobody has seen.
        """
        document = self._ready()
        if document is None:
            return
        try:
            given = QGuiApplication.clipboard().text()
            moved = self._cut is not None and self._cut == (document, given)
            pasted = copies.pasted(document.system_text, given, moved=moved)
        except EditError as error:
            self.refused.emit(tr(told_of(error)))
            return
        if pasted is None:
            self.refused.emit(tr("The clipboard holds no part of a system file."))
            return
        text, names = pasted
        if self._apply(tr("paste {names}").format(names=", ".join(names)), text):
            self._session.choose(names[-1])

    def move(self, places: Mapping[str, tuple[float, float]]) -> None:
        """Write new plan positions [m]."""
        document = self._ready()
        if document is not None:
            label = tr("move {names}").format(names=", ".join(places))
            self._apply(label, edits.moved(document.system_text, places))

    def draw_at(self, cells: Mapping[str, tuple[int, int]]) -> None:
        """Write new places in the schematic, in its steps."""
        document = self._ready()
        if document is not None:
            label = tr("move {names} in the schematic").format(names=", ".join(cells))
            self._apply(label, edits.drawn_at(document.system_text, cells))

    def lay_out_again(self, names: Sequence[str]) -> None:
        """Leave the places of these parts in the schematic to the layout again."""
        document = self._ready()
        if document is not None and names:
            label = tr("lay out the schematic again")
            self._apply(label, edits.laid_out(document.system_text, names))
