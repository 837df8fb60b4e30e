"""Sizes that pipes, receivers and plugs usually come with, to be offered to the chosen part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing.raw_values import kind_in_text
from airrisk.editing.usual_sizes import UsualSize, usual_sizes
from airrisk.messages import Texts
from airrisk.wording.translation import tr
from airrisk.wording.units import with_decimals

if TYPE_CHECKING:
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.session import Session

STANDINGS: Texts[dict[str, str]] = {
    "memory": "edition not checked", "judgement": "by judgement", "read": "read",
    "arithmetic": "by arithmetic",
}  # fmt: skip


def told_size(size: UsualSize) -> str:
    """A size with the list that it is of."""
    series = tr(size.series)
    name = with_decimals(size.name)
    return tr("{size}: {series}").format(size=name, series=series) if series else name


class UsualSizesDialog(QDialog):
    """The list; Return or a double click takes a size, as an offered value."""

    def __init__(self, part: str, sizes: tuple[UsualSize, ...], parent: QWidget | None) -> None:
        super().__init__(parent)
        self._sizes = sizes
        self.setWindowTitle(tr("Usual sizes for {part}").format(part=part))
        self.setMinimumSize(460, 360)
        told = QLabel(
            tr(
                "What is taken from this list is only offered: confirm it when you have seen "
                "or measured the part."
            )
        )
        told.setWordWrap(True)
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Usual sizes"))
        for size in sizes:
            item = QListWidgetItem(told_size(size))
            item.setToolTip(self._origin(size))
            self.list.addItem(item)
        self.source = QLabel()
        self.source.setWordWrap(True)
        self.source.setProperty("tone", "quiet")
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self.list.itemActivated.connect(self.accept)
        self.list.currentRowChanged.connect(self._tell_source)
        layout = QVBoxLayout(self)
        for widget in (told, self.list, self.source, self.buttons):
            layout.addWidget(widget)
        self.list.setCurrentRow(0)
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    @staticmethod
    def _origin(size: UsualSize) -> str:
        return tr("Source: {source} ({standing}).").format(
            source=tr(size.source), standing=tr(STANDINGS[size.standing])
        )

    def _tell_source(self, row: int) -> None:
        self.source.setText(self._origin(self._sizes[row]) if row >= 0 else "")

    @property
    def size_chosen(self) -> UsualSize | None:
        """The marked size."""
        row = self.list.currentRow()
        return self._sizes[row] if row >= 0 else None


def ask_for_size(session: Session, edits: PartEdits, parent: QWidget) -> str:
    """Ask for a usual size of the chosen part; what to tell when there is none."""
    document, name = session.document, session.chosen
    kind = None if document is None or not name else kind_in_text(document.text, name)
    sizes = usual_sizes(kind or "")
    if not name or not sizes:
        return tr("Choose a line, a vessel or a fusible plug first: these come in usual sizes.")
    session.take_typed()
    dialog = UsualSizesDialog(name, sizes, parent)
    if dialog.exec() == QDialog.DialogCode.Accepted and dialog.size_chosen is not None:
        edits.take_size(name, dialog.size_chosen)
    dialog.deleteLater()
    return ""
