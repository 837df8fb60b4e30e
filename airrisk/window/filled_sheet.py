"""A walk sheet that somebody has filled in: looked at before it is taken over."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QLabel,
    QMessageBox,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing.filled_sheet import FilledRow, deeds, new_rows, read_filled, taken_over
from airrisk.installation.splice import EditError
from airrisk.messages import told_of
from airrisk.window.tables import TextTable
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import date_text, tr
from airrisk.wording.walk import found_words

if TYPE_CHECKING:
    from airrisk.window.session import Session


class SheetDialog(QDialog):
    """What a sheet says that the file does not: it is taken over as one undoable step."""

    def __init__(self, rows: tuple[FilledRow, ...], parent: QWidget | None) -> None:
        super().__init__(parent)
        self.rows = rows
        self.setWindowTitle(tr("Filled walk sheet"))
        self.setMinimumSize(640, 320)
        told = QLabel(
            tr("These inspections are new. Taking them over is one step that can be undone.")
        )
        told.setWordWrap(True)
        self.table = TextTable(
            tr("New inspections"), (tr("Place"), tr("Date"), tr("By"), tr("Found"), tr("Remark")), 4
        )
        self.table.show_rows(
            [
                (
                    row.on,
                    date_text(row.date),
                    row.by,
                    choice_word(row.condition) if row.condition else "–",
                    row.note,
                )
                for row in rows
            ],
            [row.on for row in rows],
            ["warning" if row.faulty else "" for row in rows],
            toned=(3,),
        )
        self.with_actions = QCheckBox(tr("Note an &action about each fault"))
        self.with_actions.setChecked(True)
        self.with_actions.setVisible(any(row.faulty for row in rows))
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.take = self.buttons.addButton(tr("&Take over"), QDialogButtonBox.ButtonRole.AcceptRole)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        for widget in (told, self.table, self.with_actions, self.buttons):
            layout.addWidget(widget)


def ask_and_take_over(session: Session, parent: QWidget, told: Callable[[str], None]) -> None:
    """Ask for a sheet, show what is new in it, and take it over if the person says so."""
    document, installation = session.document, session.installation
    if document is None or installation is None or document.read_only:
        told(tr("Open a file without mistakes first, and one that may be changed."))
        return
    title = tr("Read a filled walk sheet")
    name, _filter = QFileDialog.getOpenFileName(
        parent, title, "", tr("Tables (*.csv);;All files (*)")
    )
    if not name:
        return
    try:
        sheet = read_filled(Path(name).read_bytes(), installation, found_words())
    except OSError as error:
        QMessageBox.warning(parent, title, tr("Cannot be read: {reason}").format(
            reason=error.strerror or error
        ))  # fmt: skip
        return
    if sheet.problems:
        QMessageBox.warning(parent, title, "\n".join(tr(one) for one in sheet.problems))
        return
    rows = new_rows(sheet.rows, installation)
    if not rows:
        told(tr("The file has all of the sheet already."))
        return
    dialog = SheetDialog(rows, parent)
    accepted = dialog.exec() == QDialog.DialogCode.Accepted
    dialog.deleteLater()
    if not accepted:
        return
    deed = deeds(rows) if dialog.with_actions.isChecked() else {}
    try:
        text = taken_over(document.system_text, rows, deed)
    except EditError as error:
        told(tr(told_of(error)))
        return
    document.replace(tr("inspections of a walk"), text.text)
    told(tr("New inspections: {count}").format(count=len(rows)))
