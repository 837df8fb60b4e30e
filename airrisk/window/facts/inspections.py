"""The inspections of the chosen device, valve or part, and the small form for one of them."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing.fields import words_for
from airrisk.editing.inspections import KIND, Entry, entries_about, with_entry, without_entry
from airrisk.installation.fields import FIELDS
from airrisk.installation.splice import EditError
from airrisk.window.cards import Card, CardList
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.session import Session

SPECS = {spec.key: spec for spec in FIELDS[KIND]}


def can_be_inspected(session: Session) -> tuple[str, ...]:
    """Ids of everything an inspection may be about, devices first."""
    return words_for(SPECS["on"], session.installation or session.drawn, "")


def not_counted(session: Session, date: str) -> str:
    """That an inspection of this day comes after the audit date of the file; empty if not."""
    installation = session.installation or session.drawn
    audit = None if installation is None else installation.choices.audit_date
    if audit is None or date <= audit.isoformat():
        return ""
    return tr("After the audit date of the file, {day}: not counted yet").format(
        day=audit.isoformat()
    )


class InspectionDialog(QDialog):
    """What was inspected, when, by whom, and what was found; saving is one undoable step."""

    def __init__(
        self, session: Session, on: str, entry: Entry | None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._entry = entry
        self.setWindowTitle(tr("Inspection"))
        self.setMinimumWidth(420)
        self.on = QComboBox()
        self.on.addItems(list(can_be_inspected(session)))
        self.on.setCurrentText(entry.on if entry else on)
        self.date = QLineEdit(entry.date if entry else dt.date.today().isoformat())
        self.date.setPlaceholderText(tr("year-month-day"))
        self.by = QLineEdit(entry.by if entry else "")
        self.condition = QComboBox()
        self.condition.addItem(tr("not stated"), "")
        for word in SPECS["condition"].choices:
            self.condition.addItem(choice_word(word), word)
        self.condition.setCurrentIndex(
            max(self.condition.findData(entry.condition if entry else ""), 0)
        )
        self.renewed = QCheckBox(tr("Re&newed on that day"))
        self.renewed.setChecked(bool(entry and entry.renewed))
        self.note = QLineEdit(entry.note if entry else "")
        self.error = QLabel()
        self.error.setProperty("tone", "danger")
        self.error.setWordWrap(True)
        self.error.hide()
        form = QFormLayout()
        rows: tuple[tuple[str, QWidget], ...] = (
            (tr("&Of"), self.on), (tr("&Date, year-month-day"), self.date),
            (tr("&By"), self.by), (tr("&Condition found"), self.condition),
            ("", self.renewed), (tr("&Remark"), self.note),
        )  # fmt: skip
        for text, widget in rows:
            form.addRow(text, widget)
            if text:
                widget.setAccessibleName(text.replace("&", ""))
        self.late = QLabel()
        self.late.setProperty("tone", "warning")
        self.late.setWordWrap(True)
        self.date.textChanged.connect(self._say_late)
        self._say_late()
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        if entry is not None:
            remove = self.buttons.addButton(
                tr("Remove"), QDialogButtonBox.ButtonRole.DestructiveRole
            )
            remove.clicked.connect(self.remove)
        self.buttons.accepted.connect(self.save)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        layout.addWidget(self.late)
        layout.addWidget(self.error)
        layout.addWidget(self.buttons)
        (self.by if entry is None else self.date).setFocus()

    def _say_late(self) -> None:
        text = not_counted(self._session, self.date.text().strip())
        self.late.setText(text)
        self.late.setVisible(bool(text))

    def values(self) -> dict[str, Any]:
        """What was typed, field by field."""
        return {
            "on": self.on.currentText(),
            "date": self.date.text().strip(),
            "by": self.by.text().strip(),
            "condition": self.condition.currentData(),
            "renewed": self.renewed.isChecked(),
            "note": self.note.text().strip(),
        }

    def save(self) -> None:
        """Put the entry into the document, or say what is wrong with it."""
        document = self._session.document
        if document is None:
            return
        place = None if self._entry is None else self._entry.place
        text, mistakes = with_entry(document.system_text, self.values(), place)
        if mistakes:
            self.error.setText(
                "\n".join(
                    f"{tr(SPECS[key].label)}: {tr(said)}" if key in SPECS else tr(said)
                    for key, said in mistakes.items()
                )
            )
            self.error.show()
            return
        document.replace(tr("inspection of {part}").format(part=self.on.currentText()), text.text)
        self.accept()

    def remove(self) -> None:
        """Take the entry out of the document."""
        document = self._session.document
        if document is None or self._entry is None:
            return
        text = without_entry(document.system_text, self._entry.place)
        document.replace(
            tr("remove an inspection of {part}").format(part=self._entry.on), text.text
        )
        self.accept()


class InspectionsPage(QWidget):
    """The history of the chosen device as cards; a card opens its form."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._entries: tuple[Entry, ...] = ()
        self.add_button = QPushButton(tr("Add an inspection…"))
        self.add_button.clicked.connect(self.add)
        self.cards = CardList(tr("Inspections"), tr("No inspection is entered yet."))
        self.cards.chosen.connect(self._open)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 6, 6, 0)
        layout.addWidget(self.add_button)
        layout.addWidget(self.cards, 1)

    @property
    def count(self) -> int:
        """How many inspections are shown."""
        return len(self._entries)

    def refresh(self) -> None:
        """Show the inspections of what is chosen now."""
        session = self._session
        document, name = session.document, session.chosen
        possible = document is not None and name in can_be_inspected(session)
        self.add_button.setEnabled(possible and document is not None and not document.read_only)
        self._entries = ()
        if document is not None and name is not None and possible:
            try:
                self._entries = entries_about(document.system_text, name)
            except EditError:
                self._entries = ()
        cards = tuple(
            self._card(session, number, entry) for number, entry in enumerate(self._entries)
        )
        empty = "" if possible else tr("Choose a device, a valve or a part.")
        self.cards.show_cards(cards, False, empty)

    @staticmethod
    def _card(session: Session, number: int, entry: Entry) -> Card:
        found = [tr(entry.condition) or tr("condition not stated")]
        if entry.renewed:
            found.append(tr("renewed"))
        by = tr("by {name}").format(name=entry.by) if entry.by else ""
        if late := not_counted(session, entry.date):
            by = f"{by}. {late}" if by else late
        return Card(
            str(number),
            f"{entry.date}, {', '.join(found)}",
            text=entry.note,
            small=by,
            tip=tr("Change or remove this entry"),
        )

    def add(self) -> None:
        """Ask for a new inspection of what is chosen."""
        ask_for_inspection(self._session, self._session.chosen or "", None, self)

    def _open(self, key: str) -> None:
        if key.isdigit() and int(key) < len(self._entries):
            entry = self._entries[int(key)]
            ask_for_inspection(self._session, entry.on, entry, self)


def ask_for_inspection(session: Session, on: str, entry: Entry | None, parent: QWidget) -> None:
    """Open the form for a new or a present inspection."""
    dialog = InspectionDialog(session, on, entry, parent)
    dialog.exec()
    dialog.deleteLater()
