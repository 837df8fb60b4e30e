"""All offered values of a file in one list, to be read, ticked and confirmed as one step."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QLabel,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing.offered_list import OfferedValue, offered_list
from airrisk.editing.raw_values import is_readable
from airrisk.messages import Texts
from airrisk.window.theme import scaled
from airrisk.window.usual_sizes_dialog import STANDINGS, told_size
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import ntr, tr
from airrisk.wording.units import with_decimals

if TYPE_CHECKING:
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.session import Session

ORIGINS: Texts[dict[str, str]] = {
    "start": "the program: what a new part begins with",
    "beside": "the program: it goes with what is said of the part",
    "program": "the program, or a plan that was applied",
}
VALUE = Qt.ItemDataRole.UserRole
SIZE = (780, 520)  # px


def told_origin(value: OfferedValue) -> str:
    """Where an offered value comes from, as far as it can be told."""
    if value.size is not None:
        return tr("list of usual sizes: {size}; source: {source} ({standing})").format(
            size=told_size(value.size),
            source=tr(value.size.source),
            standing=tr(STANDINGS[value.size.standing]),
        )
    return tr(ORIGINS[value.origin])


def told_value(value: OfferedValue) -> str:
    """A value as the field shows it."""
    if value.spec.is_numeric:
        return with_decimals(value.text)
    return {"true": tr("yes"), "false": tr("no")}.get(value.text) or choice_word(value.text)


class OfferedDialog(QDialog):
    """A box for each value, none ticked; the box of a part ticks all of it."""

    def __init__(self, session: Session, edits: PartEdits, parent: QWidget | None) -> None:
        super().__init__(parent)
        self._session = session
        self._edits = edits
        self.asked: tuple[str, str] | None = None  # part and field to be shown instead
        self.setWindowTitle(tr("Confirm offered values"))
        room = None if parent is None else parent.size()
        wanted = QSize(scaled(SIZE[0]), scaled(SIZE[1]))
        self.resize(wanted if room is None else wanted.boundedTo(room))
        self.told = QLabel(
            tr(
                "The program filled these values in. Tick only what you know to be so: it then "
                "counts as typed by you, and verdicts rest on it. To type the real value instead, "
                "press Return on its row."
            )
        )
        self.told.setWordWrap(True)
        self.tree = self._make_tree()
        self.origin = QLabel()  # of the marked row, in full
        self.origin.setWordWrap(True)
        self.origin.setProperty("tone", "quiet")
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.confirm = self.buttons.addButton("", QDialogButtonBox.ButtonRole.ActionRole)
        for button in self.buttons.buttons():
            button.setAutoDefault(False)  # type: ignore[attr-defined]  # Return shows a field
        self.confirm.clicked.connect(self._confirm)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        for widget in (self.told, self.tree, self.origin, self.buttons):
            layout.addWidget(widget)
        layout.setStretchFactor(self.tree, 1)
        self.tree.currentItemChanged.connect(self._tell_origin)
        self.tree.itemChanged.connect(self._count)
        self.tree.itemActivated.connect(self._show_field)
        session.document_changed.connect(self.refresh)
        session.document_replaced.connect(self.reject)
        self.refresh()
        self.tree.setFocus(Qt.FocusReason.OtherFocusReason)

    def _make_tree(self) -> QTreeWidget:
        tree = QTreeWidget()
        tree.setAccessibleName(tr("Offered values"))
        tree.setHeaderLabels([tr("Part and field"), tr("Value"), tr("Where it comes from")])
        tree.setRootIsDecorated(False)
        tree.setItemsExpandable(False)  # what is ticked can be read
        tree.setAlternatingRowColors(True)
        tree.setAllColumnsShowFocus(True)
        header = tree.header()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)
        header.setStretchLastSection(False)
        return tree

    # -- the list ----------------------------------------------------------------

    def refresh(self) -> None:
        """List what is offered now; a value that is as it was keeps its tick."""
        document = self._session.document
        ticked = {one.key for one in self.ticked()}
        row = self._current_key()
        self.tree.blockSignals(True)
        self.tree.clear()
        values = () if document is None else offered_list(document.system_text)
        for name, group in groupby(values, key=lambda one: one.part):
            self._add_part(name, list(group), ticked)
        self.tree.expandAll()
        self.tree.blockSignals(False)
        here = next((one for one in self._rows() if one.data(0, VALUE).key == row), None)
        here = here or self.tree.topLevelItem(0)
        if here is not None:
            self.tree.setCurrentItem(here)
        self._count()
        if not values:
            self.reject()

    def _add_part(
        self, name: str, values: list[OfferedValue], ticked: set[tuple[str, str, str]]
    ) -> None:
        called = f"{labels.sentence(labels.part_kind(values[0].kind))} {name}"
        head = QTreeWidgetItem([tr("{part}: tick all of it").format(part=called)])
        head.setFlags(
            head.flags() | Qt.ItemFlag.ItemIsUserCheckable | Qt.ItemFlag.ItemIsAutoTristate
        )
        font = head.font(0)
        font.setBold(True)
        head.setFont(0, font)
        self.tree.addTopLevelItem(head)
        head.setFirstColumnSpanned(True)
        for one in values:
            texts = [tr(one.spec.label), told_value(one), told_origin(one)]
            item = QTreeWidgetItem(texts)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            on = Qt.CheckState.Checked if one.key in ticked else Qt.CheckState.Unchecked
            item.setCheckState(0, on)
            item.setData(0, VALUE, one)
            item.setToolTip(0, tr(one.spec.help))
            item.setToolTip(2, texts[2])
            said = tr("{field} of {part}").format(field=texts[0], part=called)
            item.setData(0, Qt.ItemDataRole.AccessibleTextRole, said)
            head.addChild(item)

    def _rows(self) -> Iterator[QTreeWidgetItem]:
        for number in range(self.tree.topLevelItemCount()):
            head = self.tree.topLevelItem(number)
            for place in range(0 if head is None else head.childCount()):
                item = None if head is None else head.child(place)
                if item is not None:
                    yield item

    def _current_key(self) -> tuple[str, str, str] | None:
        item = self.tree.currentItem()
        value = None if item is None else item.data(0, VALUE)
        return value.key if isinstance(value, OfferedValue) else None

    def ticked(self) -> tuple[OfferedValue, ...]:
        """The values whose boxes are ticked."""
        checked = Qt.CheckState.Checked
        return tuple(one.data(0, VALUE) for one in self._rows() if one.checkState(0) == checked)

    # -- what is done ------------------------------------------------------------

    def _count(self, *_changed: object) -> None:
        count = len(self.ticked())
        self.confirm.setEnabled(count > 0)
        told = ntr("&Confirm {count} ticked value", "&Confirm {count} ticked values", count)
        self.confirm.setText(told.format(count=count))

    def _tell_origin(self, item: QTreeWidgetItem | None) -> None:
        value = None if item is None else item.data(0, VALUE)
        told = told_origin(value) if isinstance(value, OfferedValue) else ""
        self.origin.setText(labels.sentence(told))

    def _confirm(self) -> None:
        if self._edits.confirm_values(self.ticked()):
            self.accept()

    def _show_field(self, item: QTreeWidgetItem) -> None:
        """Close and go to the field, to look at it or to type the real value."""
        value = item.data(0, VALUE)
        if isinstance(value, OfferedValue):
            self.asked = value.part, value.spec.key
            self.reject()


def nothing_to_confirm(session: Session) -> str:
    """Why there is nothing to show; empty where there is."""
    document = session.document
    if document is None or document.read_only or document.review_only:
        return tr("Nothing can be confirmed here: the values of this file are locked.")
    if not is_readable(document.text):
        return tr("The file cannot be read: mend its text first (Text, Ctrl+7).")
    if not offered_list(document.system_text):
        return tr("No value waits to be confirmed.")
    return ""


def ask_what_to_confirm(
    session: Session, edits: PartEdits, parent: QWidget
) -> tuple[str, str] | None:
    """Show the list; the part and field that somebody wants to see instead of confirming."""
    dialog = OfferedDialog(session, edits, parent)
    dialog.exec()
    asked = dialog.asked
    dialog.deleteLater()
    return asked
