"""Menus and keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QApplication, QLineEdit, QMenu, QMenuBar, QPlainTextEdit, QTextEdit

from airrisk.window.facts.row import with_mnemonics
from airrisk.window.places import chosen_language, settings, stored_word
from airrisk.window.theme import TEXT_SIZES, THEMES, text_size
from airrisk.wording import languages
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.stage import Stage


class Menus(QObject):
    """All actions of the window; ``refresh`` enables what is possible now."""

    def __init__(self, stage: Stage, bar: QMenuBar) -> None:
        super().__init__(bar)
        self._stage = stage
        self._window = bar.window()
        self.actions: dict[str, QAction] = {}
        self._file(bar.addMenu(tr("&File")))
        self._edit(bar.addMenu(tr("&Edit")))
        self._view(bar.addMenu(tr("&View")))
        self._help(bar.addMenu(tr("&Help")))

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
        self._add(menu, "new", tr("&New"), files.new, keys.New)
        self._add(menu, "open", tr("&Open…"), files.ask_and_open, keys.Open)
        self._add(
            menu, "review", tr("Open for &review…"), files.ask_and_review, "Ctrl+Shift+O"
        ).setStatusTip(tr("Only remarks, inspections and what is to be done may change"))
        menu.addSeparator()
        self._add(menu, "save", tr("&Save"), files.save, keys.Save)
        self._add(menu, "save as", tr("Save &as…"), files.save_as, "Ctrl+Shift+S")
        menu.addSeparator()
        self._add(menu, "compare", tr("Co&mpare with an older file…"), self._compare, "Ctrl+K")
        menu.addSeparator()
        self._add(menu, "close", tr("&Close the file"), files.close_file, keys.Close)
        self._add(menu, "quit", tr("&Quit"), self._stage.close, "Ctrl+Q")

    def _edit(self, menu: QMenu) -> None:
        keys = QKeySequence.StandardKey
        self._add(menu, "undo", tr("&Undo"), self._undo, keys.Undo)
        self._add(menu, "redo", tr("&Redo"), self._redo, "Ctrl+Shift+Z")
        menu.addSeparator()
        self._add(menu, "cut", tr("Cu&t"), self._cut, keys.Cut)
        self._add(menu, "copy", tr("&Copy"), self._copy, keys.Copy)
        self._add(menu, "paste", tr("&Paste"), self._paste, keys.Paste)
        self._add(menu, "duplicate", tr("&Duplicate"), self._duplicate, "Ctrl+D")
        self._add(menu, "delete", tr("De&lete"), self._delete, keys.Delete)
        menu.addSeparator()
        self._add(menu, "add", tr("&Add a part…"), self._add_part, "Ctrl+B")
        self._add(menu, "type", tr("T&ype a part"), self._type_part, "Ctrl+T")
        self._add(menu, "entry", tr("&Enter parts as a table…"), self._entry, "Ctrl+Shift+T")
        self._add(menu, "connect", tr("Co&nnect parts"), self._connect, "Ctrl+L")
        self._add(menu, "usual", tr("Usual si&zes…"), self._usual, "Ctrl+U")
        self._add(
            menu, "confirm", tr("Confirm &offered values…"), self._confirm, "Ctrl+Shift+C"
        ).setStatusTip(tr("All values that the program filled in, to be read and ticked"))
        menu.addSeparator()
        self._add(menu, "find", tr("&Find a part…"), self._find, keys.Find)
        self._add(menu, "inspection", tr("Add an in&spection…"), self._inspection, "Ctrl+Shift+I")
        self._add(menu, "decide", tr("Decide about a findin&g…"), self._decide, "Ctrl+Shift+A")
        self._add(
            menu, "installation", tr("Data of the &installation"), self._installation, "Ctrl+I"
        )

    def _view(self, menu: QMenu) -> None:
        stage = self._stage
        group = QActionGroup(self)
        chosen = stored_word("theme", THEMES, "system")
        for key, text in (
            ("light", tr("&Light")), ("dark", tr("&Dark")), ("system", tr("As the des&ktop")),
        ):  # fmt: skip
            action = self._add(menu, f"theme {key}", text, self._theme_chosen)
            action.setData(key)
            action.setCheckable(True)
            action.setChecked(key == chosen)
            group.addAction(action)
        menu.addSeparator()
        sizes = menu.addMenu(tr("&Text size"))
        percents = QActionGroup(self)
        shown = with_mnemonics([f"{percent} %" for percent in TEXT_SIZES])
        for percent, name in zip(TEXT_SIZES, shown, strict=True):
            action = self._add(sizes, f"text {percent}", name, self._text_size_chosen)
            action.setData(percent)
            action.setCheckable(True)
            action.setChecked(percent == text_size())
            percents.addAction(action)
        self._languages(menu.addMenu(tr("La&nguage")))
        menu.addSeparator()
        self._add(menu, "fit", tr("&Fit the layout"), stage.work.plan.view.fit, "Ctrl+0")
        plan = stage.work.plan
        self._add(menu, "mode", tr("Sc&hematic or site plan"), plan.switch_mode, "Ctrl+M")
        self._add(menu, "lay out", tr("Lay out the schematic a&gain"), plan.lay_out_again)
        self._add(menu, "map", tr("Where a fire may &stand"), stage.go_to_map)
        pictures = menu.addMenu(tr("&Picture of the site"))
        pictures.addActions(plan.pictures.actions)
        plan.pictures.plan_asked.connect(self._show_layout)
        self._add(menu, "cure", tr("Try the &cheapest cure"), stage.try_cheapest, "Ctrl+Shift+E")

    def _languages(self, menu: QMenu) -> None:
        group = QActionGroup(self)
        chosen = chosen_language()
        system = tr("As the &system")
        letter = system.partition("&")[2][:1]
        own = with_mnemonics([one.name for one in languages.LANGUAGES.values()], letter)
        names = {"": system} | dict(zip(languages.LANGUAGES, own, strict=True))
        for code, name in names.items():
            action = self._add(menu, f"language {code}", name, self._language_chosen)
            action.setData(code)
            action.setCheckable(True)
            action.setChecked(code == chosen)
            action.setEnabled(not code or languages.is_there(code))
            group.addAction(action)

    def _help(self, menu: QMenu) -> None:
        self._add(menu, "help", tr("&How it works"), self._help_pages, "F1")
        self._add(menu, "keys", tr("&Keys"), self._help_keys)
        self._add(menu, "commands", tr("All &commands…"), self._stage.show_commands, "F4")
        menu.addSeparator()
        self._add(menu, "about", tr("&About"), self._about)

    def _show_layout(self) -> None:
        self._stage.show_view("work")

    # -- what they do ------------------------------------------------------------

    def refresh(self) -> None:
        """Enable what is possible now and name what undo would take back."""
        document = self._stage.session.document
        is_open = document is not None
        for key in (
            "save", "save as", "close", "cut", "copy", "paste", "duplicate", "delete",
            "add", "type", "entry", "usual", "confirm", "connect", "find", "inspection", "decide",
            "installation",
            "fit", "map", "cure", "compare",
        ):  # fmt: skip
            self.actions[key].setEnabled(is_open)
        undo = document.undo_label if document else None
        redo = document.redo_label if document else None
        self.actions["undo"].setEnabled(undo is not None)
        self.actions["undo"].setText(
            tr("&Undo") if undo is None else tr("&Undo: {what}").format(what=undo)
        )
        self.actions["redo"].setEnabled(redo is not None)
        self.actions["redo"].setText(
            tr("&Redo") if redo is None else tr("&Redo: {what}").format(what=redo)
        )

    def _undo(self) -> None:
        self._stage.session.take_typed()
        document = self._stage.session.document
        if document is not None and document.undo():
            self._stage.status.say(tr("Taken back: {what}").format(what=document.redo_label))

    def _redo(self) -> None:
        self._stage.session.take_typed()
        document = self._stage.session.document
        if document is not None and document.redo():
            self._stage.status.say(tr("Done again: {what}").format(what=document.undo_label))

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
            self._stage.edits.cut(self._names())

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

    def _add_part(self) -> None:
        self._stage.show_view("work")
        self._stage.work.plan.open_add_menu()

    def _type_part(self) -> None:
        self._stage.show_view("work")
        self._stage.work.plan.typing.begin()

    def _entry(self) -> None:
        from airrisk.window.entry_dialog import ask_for_table

        ask_for_table(self._stage.session, self._stage.edits, self._window)

    def _usual(self) -> None:
        from airrisk.window.usual_sizes_dialog import ask_for_size

        told = ask_for_size(self._stage.session, self._stage.edits, self._window)
        if told:
            self._stage.status.refuse(told)

    def _confirm(self) -> None:
        from airrisk.window.offered_dialog import ask_what_to_confirm, nothing_to_confirm

        stage = self._stage
        if stage.work.facts.form.has_unfinished():
            stage.show_view("work")
            stage.work.facts.tabs.setCurrentIndex(0)
            stage.work.facts.form.finish_first()
            return
        told = nothing_to_confirm(stage.session)
        if told:
            stage.status.refuse(told)
            return
        asked = ask_what_to_confirm(stage.session, stage.edits, self._window)
        if asked is not None:
            stage.go_to_field(asked)

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

    def _compare(self) -> None:
        from airrisk.window.comparison import ask_and_compare

        told = ask_and_compare(self._stage.session, self._window)
        if told:
            self._stage.status.refuse(told)

    def _decide(self) -> None:
        self._stage.decide()

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

    def _language_chosen(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            settings().setValue("language", str(action.data()))
            self._stage.status.say(tr("The language changes when airrisk is started again."))

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
