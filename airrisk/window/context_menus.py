"""The menu of what is under the pointer in the drawing, or chosen when the menu key asks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPoint
from PySide6.QtWidgets import QMenu, QWidget

from airrisk.editing.raw_values import kind_in_text
from airrisk.editing.usual_sizes import usual_sizes
from airrisk.window.plan.panel import add_actions
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.menus import Menus
    from airrisk.window.stage import Stage

# What can be added where something of a kind is chosen.
FITS: dict[str, tuple[str, ...]] = {
    "vessel": ("plug", "relief_valve", "bursting_disc", "reading", "line", "fire"),
    "line": ("valve", "plug", "relief_valve", "bursting_disc", "reading", "fire"),
    "compressor": ("line",), "junction": ("line",), "consumer": ("line",),
    "plug": ("valve",), "relief_valve": ("valve",), "bursting_disc": ("valve",),
}  # fmt: skip
JOINED = ("vessel", "compressor", "junction", "consumer")


class ContextMenus(QObject):
    """One menu that is filled anew each time; its actions are those of the menu bar."""

    def __init__(self, stage: Stage, menus: Menus, parent: QWidget) -> None:
        super().__init__(parent)
        self._stage = stage
        self._menus = menus
        self.menu = QMenu(parent)
        self.adding = QMenu(tr("&Add"), parent)
        self.add_actions = add_actions(self.adding)
        self.adding.triggered.connect(self._add)

    def show(self, name: object, place: QPoint) -> None:
        """Open the menu for a part, or for the drawing when none is meant."""
        self.fill(name if isinstance(name, str) else "")
        self.menu.popup(place)

    def fill(self, name: str) -> None:
        """The actions that make sense for a part, or for the drawing."""
        document = self._stage.session.document
        kind = kind_in_text(document.text, name) if document is not None and name else None
        self.menu.clear()
        for action in self.add_actions:
            action.setVisible(kind is None or action.data() in FITS.get(kind, ()))
        if kind is None or kind in FITS:
            self.menu.addMenu(self.adding)
        keys = ["type", "entry", "", "paste", "fit", "map"]
        if kind is not None:
            keys = [
                *(["connect"] if kind in JOINED else []),
                *(["usual"] if usual_sizes(kind) else []),
                "inspection", "", "duplicate", "copy", "cut", "delete",
            ]  # fmt: skip
        for key in keys:
            if key:
                self.menu.addAction(self._menus.actions[key])
            else:
                self.menu.addSeparator()

    def _add(self, action: object) -> None:
        self._stage.edits.add(str(action.data()))  # type: ignore[attr-defined]
