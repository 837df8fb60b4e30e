"""The form of the chosen part's fields, or of the installation's own when nothing is chosen."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from airrisk.editing.fields import trial, words_for
from airrisk.editing.raw_values import is_readable, kind_in_text, offered_keys, table_values
from airrisk.installation.fields import FIELDS, FieldSpec
from airrisk.installation.splice import EditError
from airrisk.messages import told_of
from airrisk.quantities import format_quantity
from airrisk.window.facts.row import FieldRow, menu_letters, with_mnemonics
from airrisk.wording import labels
from airrisk.wording.cures import alloy_choices
from airrisk.wording.translation import tr
from airrisk.wording.units import quantity_text, with_decimals
from airrisk.wording.valve_ends import end_names

if TYPE_CHECKING:
    from airrisk.window.session import Session

GENERAL = ("", "about", "site", "choices")
HIDDEN = {"format", "notes", "offered"}


US_WORDS = frozenset((
    "psi", "psig", "psia", "inHg", "in", "inch", "inches", "ft", "foot", "feet", "lb", "lbf", "oz",
    "gal", "cfm", "Btu", "degF", "degR", "mph",
))  # fmt: skip


def is_us_unit(typed: str) -> bool:
    """Whether a typed quantity has a unit of the US customary set."""
    unit = typed.lstrip("+-0123456789., eE")
    return not US_WORDS.isdisjoint(re.findall("[A-Za-z]+", unit))


class _Page(QWidget):
    """The fields of one kind of part; made once, it shows one part after the other.

    An editor tells its text from inside its own key or focus event, and the window answers
    at once: nothing that hangs on the answer may delete it, so a page is never taken apart.
    """

    def __init__(self, kinds: tuple[str, ...], parent: QWidget) -> None:
        super().__init__(parent)
        self.rows: dict[tuple[str, str], FieldRow] = {}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(10, 6, 10, 10)
        layout.setSpacing(2)
        self.confirm_all = QPushButton(tr("Confirm all offered values"))
        self.confirm_all.hide()
        layout.addWidget(self.confirm_all)
        self.locked = QLabel()
        self.locked.setProperty("tone", "note")
        self.locked.setWordWrap(True)
        self.locked.hide()
        layout.addWidget(self.locked)
        several = len(kinds) > 1
        specs = [(kind, spec) for kind in kinds for spec in FIELDS[kind] if spec.key not in HIDDEN]
        names = [tr(spec.label) for _kind, spec in specs]
        marked = names if several else with_mnemonics(names, menu_letters())
        last = None
        for (kind, spec), label in zip(specs, marked, strict=True):
            if several and kind != last:
                heading = QLabel(
                    labels.sentence(labels.part_kind(kind)) if kind else tr("Installation")
                )
                heading.setProperty("tone", "title")
                layout.addSpacing(6)
                layout.addWidget(heading)
                last = kind
            row = FieldRow(spec, label, "notes" in {one.key for one in FIELDS[kind]})
            layout.addWidget(row)
            self.rows[(kind, spec.key)] = row
        self.empty = QLabel()
        self.empty.setProperty("tone", "quiet")
        self.empty.setWordWrap(True)
        self.empty.setVisible(not specs)
        layout.addWidget(self.empty)
        layout.addStretch(1)

    def show_part(self, tables: tuple[tuple[str, str], ...]) -> None:
        """The rows are about these entries of the file from now on."""
        names = dict(tables)
        for (kind, _key), row in self.rows.items():
            row.table = (kind, names[kind])

    def show_locked(self, review_only: bool, read_only: bool) -> None:
        """Say above the fields that they are locked, and what may change all the same."""
        if read_only:
            self.locked.setText(tr("Locked: this file is open for viewing only."))
        elif review_only:
            self.locked.setText(
                tr("Locked for review: remarks, inspections and actions may change, but no value.")
            )
        self.locked.setVisible(read_only or review_only)


IDLE_MS = 100  # between pages that are made ahead


class FactsForm(QScrollArea):
    """Fields with unit, origin, range, meaning and error; typing changes the document."""

    refused = Signal(str)  # why nothing was done
    lost = Signal(str)  # what was typed and goes, since something else is shown now

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._tables: tuple[tuple[str, str], ...] | None = None
        self._pages: dict[tuple[str, ...], _Page] = {}
        self._page: _Page | None = None
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        holder = QWidget()
        holder.setProperty("ground", "surface")
        self._column = QVBoxLayout(holder)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.setWidget(holder)
        self._ahead = QTimer(self)
        self._ahead.setSingleShot(True)
        self._ahead.setInterval(IDLE_MS)
        self._ahead.timeout.connect(self._prepare_page)
        session.document_changed.connect(self._ahead.start)
        session.taking_typed.connect(self._take_typed)
        session.chosen_changed.connect(self.refresh)
        session.document_changed.connect(self.refresh)
        session.units_changed.connect(self.refresh)

    @property
    def rows(self) -> dict[tuple[str, str], FieldRow]:
        """The rows that are shown, by kind of table and field."""
        return {} if self._page is None else self._page.rows

    @property
    def confirm_all(self) -> QPushButton:
        """The button above the fields of a part that holds offered values."""
        assert self._page is not None
        return self._page.confirm_all

    def refresh(self) -> None:
        """Show the chosen part's fields as they are in the document now."""
        session = self._session
        document = session.document
        tables: tuple[tuple[str, str], ...] = ()
        if document is not None and session.chosen is None:
            tables = tuple((kind, "") for kind in GENERAL)
        elif document is not None and session.chosen is not None:
            kind = kind_in_text(document.text, session.chosen)
            tables = ((kind, session.chosen),) if kind else ()
        same = tables == self._tables
        if not same:
            self._turn_to(tables)
        if document is None or not tables:
            broken = document is not None and not is_readable(document.text)
            assert self._page is not None
            self._page.empty.setText(
                tr("The file cannot be read: mend its text first (Text, Ctrl+7).")
                if broken
                else tr("Choose a part in the plan.")
            )
            return
        self._fill(keep_typed=same)

    def _turn_to(self, tables: tuple[tuple[str, str], ...]) -> None:
        """Show the page of these tables; what was typed into the last one and refused goes."""
        self._forget_typed()
        self._tables = tables
        kinds = tuple(kind for kind, _name in tables)
        page = self._page_of(kinds)
        page.show_part(tables)
        if page is not self._page:
            before, self._page = self._page, page
            if before is not None:
                before.hide()
            page.show()
            self._chain_tab_order(page)
            self.verticalScrollBar().setValue(0)

    def _page_of(self, kinds: tuple[str, ...]) -> _Page:
        page = self._pages.get(kinds)
        if page is None:
            page = _Page(kinds, self)
            page.hide()
            for row in page.rows.values():
                row.committed.connect(self._commit)
                row.withdrawn.connect(self._withdraw)
                row.remarked.connect(self._commit_remark)
                row.confirmed.connect(self._confirm)
            page.confirm_all.clicked.connect(self._confirm_all)
            self._pages[kinds] = page
            self._column.addWidget(page)
        return page

    def _next_kind(self) -> str | None:
        """A kind of part in the file whose page is not made yet."""
        document = self._session.document
        if document is None or document.installation is None:
            return None
        for kind, tables in document.system_text.raw.items():
            if (kind,) in self._pages or not isinstance(tables, list) or not tables:
                continue
            if isinstance(tables[0], dict) and "id" in tables[0]:
                return kind
        return None

    def _prepare_page(self) -> None:
        """Make a page before it is asked for: its many fields take longer than a glance."""
        kind = self._next_kind()
        if kind is not None:
            self._page_of((kind,))
            self._ahead.start()

    def _forget_typed(self) -> None:
        for row in self.rows.values():
            self._tell_lost(row)
            row.forget_typed()

    def _tell_lost(self, row: FieldRow) -> None:
        """Say what is typed in a row and goes, since the row shows something else now."""
        if row.has_typed:
            self.lost.emit(
                tr("Not taken: {text}, {field} of {part}: {reason}").format(
                    text=row.typed_text,
                    field=tr(row.spec.label),
                    part=self._called(*row.table),
                    reason=row.error.text(),
                )
            )

    def _take_typed(self) -> None:
        """Put into the document what stands in a field and was not told yet."""
        for row in self.rows.values():
            row.tell_typed()

    def _chain_tab_order(self, page: _Page) -> None:
        editors: list[QWidget] = [self, *(row.editor for row in page.rows.values())]
        for first, second in itertools.pairwise(editors):
            QWidget.setTabOrder(first, second)

    def _fill(self, keep_typed: bool) -> None:
        session = self._session
        document = session.document
        assert document is not None
        assert self._tables is not None
        page = self._page
        assert page is not None
        installation = session.installation or session.drawn
        unit_set = session.units.name
        for kind, name in self._tables:
            typed = table_values(document.text, kind, name)
            record = self._record(kind)
            notes = dict(getattr(record, "notes", ()) or ())
            offered = offered_keys(document.text, kind, name)
            locked = document.review_only or document.read_only
            page.confirm_all.setVisible(bool(offered) and not locked)
            page.show_locked(document.review_only, document.read_only)
            for spec in FIELDS[kind]:
                row = self.rows.get((kind, spec.key))
                if row is None:
                    continue
                row.show_remark(notes.get(spec.key, ""))
                if keep_typed and row.has_typed and row.stands_in_file(typed.get(spec.key)):
                    continue  # a person is typing here, and the file has not changed under it
                self._tell_lost(row)
                value = getattr(record, spec.attr, None)
                row.show_value(
                    typed.get(spec.key),
                    self._computed(spec, value),
                    words_for(spec, installation, name),
                    unit_set,
                    self._called_here(kind, spec, record),
                )
                row.show_other_unit(self._in_other_unit(spec, typed.get(spec.key), value))
                row.show_offered(spec.key in offered, not locked)
                row.lock(locked)
                row.show_error(self._problem(kind, name, spec.key))

    def _called_here(self, kind: str, spec: FieldSpec, record: Any) -> Mapping[str, str]:
        """Words of a choice that depend on what stands beside it."""
        installation = self._session.installation or self._session.drawn
        if spec.kind == "alloy":
            return alloy_choices(self._session.units)
        if (kind, spec.key) != ("valve", "end") or installation is None or record is None:
            return {}
        return end_names(installation, record.on)

    def _record(self, kind: str) -> Any:
        session = self._session
        if session.chosen is not None:
            return session.record()
        installation = session.installation or session.drawn
        return {
            "": installation,
            "about": getattr(installation, "about", None),
            "site": getattr(installation, "site", None),
            "choices": getattr(installation, "choices", None),
        }[kind]

    def _computed(self, spec: FieldSpec, value: Any) -> str:
        if isinstance(value, float) and spec.is_quantity:
            return quantity_text(value, spec.kind, self._session.units)
        return ""

    def _in_other_unit(self, spec: FieldSpec, typed: str | None, value: Any) -> str:
        """The value in the chosen unit set when it was typed in a unit of the other one."""
        if typed is None or not spec.is_quantity or not isinstance(value, float):
            return ""
        units = self._session.units
        if is_us_unit(typed) == (units.name != "metric"):
            return ""
        unit = spec.unit_in(units.name)
        shown = format_quantity(value, spec.kind, unit, ambient_pressure=units.ambient_pressure)
        return f"= {with_decimals(shown)}"

    def _problem(self, kind: str, name: str, key: str) -> str:
        """What the file's check says about this field."""
        document = self._session.document
        assert document is not None
        for problem in document.problems:
            if problem.kind == kind and problem.field.split(".")[0] == key:
                subject = problem.part.rpartition(" ")[2]
                if not name or subject.casefold() == name.casefold():
                    return f"{tr(problem.message)}; {tr('valid')}: {tr(problem.valid)}"
        return ""

    @staticmethod
    def _called(kind: str, name: str) -> str:
        return name or labels.part_kind(kind) or tr("the installation")

    def _commit(self, key: str, text: str) -> None:
        """Put a typed value into the document, or say beside the field why not."""
        row = self.sender()
        document = self._session.document
        if document is None or not isinstance(row, FieldRow):
            return
        kind, name = row.table
        spec = row.spec
        new_text, error = trial(document, kind, name, spec, text)
        row.show_error(error)
        if error:
            return
        row.taken()
        label = tr("{field} of {part}").format(field=tr(spec.label), part=self._called(kind, name))
        if key == "id" and name:
            self._follow_name(text)
        document.replace(label, new_text)
        if key == "id" and name:
            self._session.choose(text)
        self._fill(keep_typed=True)  # the text of the file, also where that is as it was

    def _follow_name(self, name: str) -> None:
        """The part that is shown is renamed: what waits in its other fields stays there."""
        self._tables = tuple((kind, name) for kind, _before in self._tables or ())
        if self._page is not None:
            self._page.show_part(self._tables)

    def _withdraw(self) -> None:
        """What the file says stands in a field again, and so what its check says of that."""
        if self._tables and self._session.document is not None:
            self._fill(keep_typed=True)

    def has_unfinished(self) -> bool:
        """Take what is typed; True where a field shows an entry that is not taken."""
        self._session.take_typed()
        return any(one.has_typed for one in self.rows.values())

    def finish_first(self) -> bool:
        """Take what is typed; where a field shows an entry that is not taken, tell it, and True.

        What is confirmed is what the file holds, so it must be what a person sees. The field that
        is told gets the keyboard.
        """
        if not self.has_unfinished():
            return False
        row = next(one for one in self.rows.values() if one.has_typed)
        self.refused.emit(
            tr(
                "Nothing was confirmed. Finish {field} of {part} first: what stands there is not "
                "taken."
            ).format(field=tr(row.spec.label), part=self._called(*row.table))
        )
        self._focus_row(row)
        return True

    def _confirm(self, key: str) -> None:
        """Take one offered value as confirmed: it stays, and counts from now on."""
        row = self.sender()
        if isinstance(row, FieldRow) and not self.finish_first():
            self._confirmed(row.table[1], tr(row.spec.label), key)

    def _confirm_all(self) -> None:
        """Take all offered values of the chosen part as confirmed."""
        if self.finish_first():
            return
        for _kind, name in self._tables or ():
            self._confirmed(name, tr("all offered values"))

    def _confirmed(self, name: str, what: str, *keys: str) -> None:
        document = self._session.document
        if document is None or not name:
            return
        try:
            after = document.system_text.confirm(name, *keys)
        except EditError:
            return  # the text was broken meanwhile, and the form says so
        label = tr("confirm {field} of {part}").format(field=what, part=name)
        document.replace(label, after.text)

    def _commit_remark(self, key: str, text: str) -> None:
        """Put a remark on a field into the document, or take it out."""
        row = self.sender()
        document = self._session.document
        if document is None or not isinstance(row, FieldRow):
            return
        kind, name = row.table
        before = document.system_text
        try:
            if text:
                after = before.set(name or kind, f"notes.{key}", text)
            else:
                after = before.unset(name or kind, f"notes.{key}")
        except EditError as error:
            row.show_error(tr(told_of(error)))
            return
        label = tr("remark on {field} of {part}").format(
            field=tr(row.spec.label), part=name or labels.part_kind(kind)
        )
        document.replace(label, after.text)

    def focus_field(self, key: str) -> None:
        """Put the keyboard into the field with this key."""
        for (_kind, known), row in self.rows.items():
            if known == key:
                self._focus_row(row)
                return

    def _focus_row(self, row: FieldRow) -> None:
        row.editor.setFocus(Qt.FocusReason.OtherFocusReason)
        self.ensureWidgetVisible(row)
