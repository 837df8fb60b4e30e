"""Menus and keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QCoreApplication, QObject
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QApplication, QLineEdit, QMenu, QMenuBar, QPlainTextEdit, QTextEdit

from airrisk.window.places import stored_word
from airrisk.window.theme import TEXT_SIZES, THEMES, text_size

if TYPE_CHECKING:
    from airrisk.window.stage import Stage


def _tr(text: str) -> str:
    return QCoreApplication.translate("Menus", text)


class Menus(QObject):
    """All actions of the window; ``refresh`` enables what is possible now."""

    def __init__(self, stage: Stage, bar: QMenuBar) -> None:
        super().__init__(bar)
        self._stage = stage
        self._window = bar.window()
        self.actions: dict[str, QAction] = {}
        self._file(bar.addMenu(_tr("&File")))
        self._edit(bar.addMenu(_tr("&Edit")))
        self._view(bar.addMenu(_tr("&View")))
        self._help(bar.addMenu(_tr("&Help")))

    def _add(
        self,
        menu: QMenu,
        key: str,
        text: str,
        what: Callable[..., Any],
        shortcut: QKeySequence | QKeySequence.StandardKey | str | None = None,
    ) -> QAction:
        action = QAction(text, self)
        if shortcut is not None:
            action.setShortcut(QKeySequence(shortcut))
        action.triggered.connect(what)
        menu.addAction(action)
        self.actions[key] = action
        return action

    def _file(self, menu: QMenu) -> None:
        files = self._stage.files
        keys = QKeySequence.StandardKey
        self._add(menu, "new", _tr("&New"), files.new, keys.New)
        self._add(menu, "open", _tr("&Open…"), files.ask_and_open, keys.Open)
        self._add(
            menu, "review", _tr("Open for &review…"), files.ask_and_review, "Ctrl+Shift+O"
        ).setStatusTip(_tr("Only remarks and inspections may change"))
        menu.addSeparator()
        self._add(menu, "save", _tr("&Save"), files.save, keys.Save)
        self._add(menu, "save as", _tr("Save &as…"), files.save_as, "Ctrl+Shift+S")
        menu.addSeparator()
        self._add(menu, "close", _tr("&Close the file"), files.close_file, keys.Close)
        self._add(menu, "quit", _tr("&Quit"), self._stage.close, "Ctrl+Q")

    def _edit(self, menu: QMenu) -> None:
        keys = QKeySequence.StandardKey
        self._add(menu, "undo", _tr("&Undo"), self._undo, keys.Undo)
        self._add(menu, "redo", _tr("&Redo"), self._redo, "Ctrl+Shift+Z")
        menu.addSeparator()
        self._add(menu, "cut", _tr("Cu&t"), self._cut, keys.Cut)
        self._add(menu, "copy", _tr("&Copy"), self._copy, keys.Copy)
        self._add(menu, "paste", _tr("&Paste"), self._paste, keys.Paste)
        self._add(menu, "duplicate", _tr("&Duplicate"), self._duplicate, "Ctrl+D")
        self._add(menu, "delete", _tr("De&lete"), self._delete, keys.Delete)
        menu.addSeparator()
        self._add(menu, "connect", _tr("Co&nnect parts"), self._connect, "Ctrl+L")
        self._add(menu, "find", _tr("&Find a part…"), self._find, keys.Find)
        self._add(menu, "inspection", _tr("Add an in&spection…"), self._inspection, "Ctrl+Shift+I")
        self._add(
            menu, "installation", _tr("Facts of the &installation"), self._installation, "Ctrl+I"
        )

    def _view(self, menu: QMenu) -> None:
        stage = self._stage
        group = QActionGroup(self)
        chosen = stored_word("theme", THEMES, "system")
        for key, text in (
            ("light", _tr("&Light")), ("dark", _tr("&Dark")), ("system", _tr("As the &desktop")),
        ):  # fmt: skip
            action = self._add(menu, f"theme {key}", text, self._theme_chosen)
            action.setData(key)
            action.setCheckable(True)
            action.setChecked(key == chosen)
            group.addAction(action)
        menu.addSeparator()
        sizes = menu.addMenu(_tr("&Text size"))
        percents = QActionGroup(self)
        for percent in TEXT_SIZES:
            action = self._add(sizes, f"text {percent}", f"{percent} %", self._text_size_chosen)
            action.setData(percent)
            action.setCheckable(True)
            action.setChecked(percent == text_size())
            percents.addAction(action)
        menu.addSeparator()
        self._add(menu, "fit", _tr("&Fit the plan"), stage.work.plan.view.fit, "Ctrl+0")

    def _help(self, menu: QMenu) -> None:
        self._add(menu, "help", _tr("&How it works"), self._help_pages, "F1")
        self._add(menu, "keys", _tr("&Keys"), self._help_keys)
        menu.addSeparator()
        self._add(menu, "about", _tr("&About"), self._about)

    # -- what they do ------------------------------------------------------------

    def refresh(self) -> None:
        """Enable what is possible now and name what undo would take back."""
        document = self._stage.session.document
        is_open = document is not None
        for key in (
            "save", "save as", "close", "cut", "copy", "paste", "duplicate", "delete",
            "connect", "find", "inspection", "installation",
            "fit",
        ):  # fmt: skip
            self.actions[key].setEnabled(is_open)
        undo = document.undo_label if document else None
        redo = document.redo_label if document else None
        self.actions["undo"].setEnabled(undo is not None)
        self.actions["undo"].setText(
            _tr("&Undo") if undo is None else _tr("&Undo: {what}").format(what=undo)
        )
        self.actions["redo"].setEnabled(redo is not None)
        self.actions["redo"].setText(
            _tr("&Redo") if redo is None else _tr("&Redo: {what}").format(what=redo)
        )

    def _undo(self) -> None:
        self._stage.session.take_typed()
        document = self._stage.session.document
        if document is not None and document.undo():
            self._stage.status.say(_tr("Taken back: {what}").format(what=document.redo_label))

    def _redo(self) -> None:
        self._stage.session.take_typed()
        document = self._stage.session.document
        if document is not None and document.redo():
            self._stage.status.say(_tr("Done again: {what}").format(what=document.undo_label))

    @staticmethod
    def _text_with_focus() -> QLineEdit | QPlainTextEdit | QTextEdit | None:
        """The text that the keyboard is in: cut, copy, paste and delete are its own there."""
        widget = QApplication.focusWidget()
        return widget if isinstance(widget, (QLineEdit, QPlainTextEdit, QTextEdit)) else None

    def _names(self) -> list[str]:
        names = self._stage.work.plan.view.chosen_names()
        chosen = self._stage.session.chosen
        return names or ([chosen] if chosen else [])

    def _copy(self) -> None:
        place = self._text_with_focus()
        if place is not None:
            place.copy()
        else:
            self._stage.edits.copy(self._names())

    def _cut(self) -> None:
        place = self._text_with_focus()
        if place is not None:
            place.cut()
        else:
            self._stage.edits.copy(self._names())
            self._stage.edits.delete(self._names())

    def _paste(self) -> None:
        place = self._text_with_focus()
        if place is not None:
            place.paste()
        else:
            self._stage.edits.paste()

    def _duplicate(self) -> None:
        self._stage.edits.duplicate(self._names())

    def _delete(self) -> None:
        place = self._text_with_focus()
        if place is not None:
            if isinstance(place, QLineEdit):
                place.del_()
            elif not place.isReadOnly():
                place.textCursor().deleteChar()
        else:
            self._stage.edits.delete(self._names())

    def _connect(self) -> None:
        self._stage.show_view("work")
        self._stage.work.plan.view.setFocus()
        self._stage.work.plan.view.start_connecting()

    def _find(self) -> None:
        from airrisk.window.find import FindPart

        dialog = FindPart(self._stage.session, self._window)
        dialog.exec()
        dialog.deleteLater()

    def _inspection(self) -> None:
        from airrisk.window.facts.inspections import ask_for_inspection

        session = self._stage.session
        ask_for_inspection(session, session.chosen or "", None, self._window)

    def _installation(self) -> None:
        self._stage.show_view("work")
        self._stage.session.choose(None)

    def _theme_chosen(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            self._stage.set_theme(str(action.data()))

    def _text_size_chosen(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            self._stage.set_text_size(int(action.data()))

    def _help_pages(self) -> None:
        self._open_help(0)

    def _help_keys(self) -> None:
        self._open_help(4)

    def _open_help(self, page: int) -> None:
        from airrisk.window.help_pages import Help

        dialog = Help(self._window, page)
        dialog.exec()
        dialog.deleteLater()

    def _about(self) -> None:
        from airrisk.window.about import show_about

        show_about(self._window)
