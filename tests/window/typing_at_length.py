"""Types into the form of the facts for a long time, as a process of its own.

``python -m tests.window.typing_at_length STEPS SEED`` ends with 0 when the window has lived
through all of it and the file, the form and the keyboard were in step after every action.
"""

from __future__ import annotations

import random
import sys
import tomllib
import traceback
from typing import Any

from PySide6.QtCore import QEvent, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from airrisk.editing.raw_values import kind_in_text, table_values
from airrisk.fire.stopping import Cancelled
from airrisk.window import calculations
from airrisk.window.dispatcher import Report
from airrisk.window.facts.editors import ChoiceEditor, TextEditor
from airrisk.window.facts.row import FieldRow
from airrisk.window.frame import Frame
from airrisk.window.start import make_application
from tests.editing.systems import SMALL

KEY = Qt.Key
WAYS = ("return", "tab", "backtab", "escape", "click", "focus", "undo", "choose")
NUMBERS = {
    "pressure": ("7 bar(g)", "95 psi(g)", "8 bar", "much"),
    "wall_thickness": ("4,5 mm", "6 mm", "-1 mm"),
    "length": ("3 m", "12 ft", "nothing"),
    "bore": ("15 mm", "0"),
    "set_pressure": ("10.5 bar(g)", "12"),
    "weld_factor": ("0,85", " ", "7"),
}


class Typist:
    """One person at the keyboard; every action is drawn from ``rng``."""

    def __init__(self, application: QApplication, frame: Frame, seed: int) -> None:
        self.application = application
        self.frame = frame
        self.rng = random.Random(seed)
        self.number = 0
        self.seen: dict[str, int] = {}

    @property
    def document(self) -> Any:
        return self.frame.session.document

    @property
    def rows(self) -> dict[tuple[str, str], FieldRow]:
        return self.frame.work.facts.form.rows

    def settle(self) -> None:
        """Let everything happen that waits, deletions too."""
        self.application.processEvents()
        self.application.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # type: ignore[arg-type]

    # -- actions -----------------------------------------------------------------

    def switch(self) -> None:
        """Go to another part: by its name, by the plan's keys, or to the installation."""
        tables = tomllib.loads(self.document.text).values()
        names = [entry["id"] for table in tables if isinstance(table, list) for entry in table]
        way = self.rng.choice(("name", "name", "plan", "none"))
        if way == "name":
            self.frame.session.choose(self.rng.choice(names))
        elif way == "plan":
            self.frame.work.plan.view.setFocus()
            QTest.keyClick(
                self.frame.work.plan.view,
                self.rng.choice((KEY.Key_Left, KEY.Key_Right, KEY.Key_Up, KEY.Key_Down)),
            )
        else:
            QTest.keyClick(self.frame, KEY.Key_I, Qt.KeyboardModifier.ControlModifier)

    def rename(self) -> None:
        """Type another id."""
        editor = next((r.editor for (_k, key), r in self.rows.items() if key == "id"), None)
        if isinstance(editor, TextEditor):
            self.number += 1
            word = self.rng.choice((f"N{self.number}", f"N{self.number}", "R1", "a b", ""))
            self.type_into(editor, word)

    def retype(self) -> None:
        """Type another value, right or wrong."""
        fitting = [(key, r) for (_k, key), r in self.rows.items() if key in NUMBERS]
        if fitting:
            key, row = self.rng.choice(fitting)
            assert isinstance(row.editor, TextEditor)
            self.type_into(row.editor, self.rng.choice(NUMBERS[key]))

    def choose_word(self) -> None:
        """Step through a list of words."""
        lists = [r.editor for r in self.rows.values() if isinstance(r.editor, ChoiceEditor)]
        if lists:
            editor = self.rng.choice(lists)
            editor.setFocus()
            QTest.keyClick(editor, self.rng.choice((KEY.Key_Down, KEY.Key_Up)))

    def remark(self) -> None:
        """Write a remark under a field."""
        row = self.rng.choice(list(self.rows.values()))
        if row.remark_button.isVisible():
            row.edit_remark()
            self.type_into(row.remark_line, self.rng.choice(("seen", "measured twice", "")))

    def undo(self) -> None:
        """Take back or do again."""
        key = self.rng.choice((KEY.Key_Z, KEY.Key_Z, KEY.Key_Y))
        modifier = Qt.KeyboardModifier.ControlModifier
        if key == KEY.Key_Y:
            key, modifier = KEY.Key_Z, modifier | Qt.KeyboardModifier.ShiftModifier
        QTest.keyClick(self.application.focusWidget() or self.frame, key, modifier)

    def type_into(self, editor: TextEditor, text: str) -> None:
        """Replace the text and leave the field in one of the ways there are."""
        editor.setFocus()
        editor.selectAll()
        QTest.keyClick(editor, KEY.Key_Backspace)
        QTest.keyClicks(editor, text)
        way = self.rng.choice(WAYS)
        self.seen[way] = self.seen.get(way, 0) + 1
        if way == "return":
            QTest.keyClick(editor, KEY.Key_Return)
        elif way == "tab":
            QTest.keyClick(editor, KEY.Key_Tab)
        elif way == "backtab":
            QTest.keyClick(editor, KEY.Key_Backtab, Qt.KeyboardModifier.ShiftModifier)
        elif way == "escape":
            QTest.keyClick(editor, KEY.Key_Escape)
        elif way == "click":
            self.click(self.frame.work.plan.view.viewport())
        elif way == "focus":
            self.rng.choice(list(self.rows.values())).editor.setFocus()
        elif way == "undo":
            QTest.keyClick(editor, KEY.Key_Return)
            focus = self.application.focusWidget() or self.frame
            QTest.keyClick(focus, KEY.Key_Z, Qt.KeyboardModifier.ControlModifier)
        else:
            self.switch()

    @staticmethod
    def click(widget: QWidget) -> None:
        """One click in the middle."""
        QTest.mouseClick(widget, Qt.MouseButton.LeftButton)

    # -- what must hold ----------------------------------------------------------

    def check(self) -> None:
        """File, form and choice are in step; a chosen part stays chosen under its new name."""
        chosen = self.frame.session.chosen
        shown = {row.table for row in self.rows.values()}
        if chosen is None:
            assert ("", "") in shown, shown
        else:
            assert kind_in_text(self.document.text, chosen), f"{chosen} is not in the file"
            assert {name for _kind, name in shown} == {chosen}, (chosen, shown)
        for (_kind, key), row in self.rows.items():
            typed = table_values(self.document.text, *row.table).get(key, "")
            if isinstance(row.editor, TextEditor) and row.editor.text() != typed:
                wrong = row.error.isVisible()
                assert wrong or row.editor.hasFocus(), (row.table, key, row.editor.text(), typed)

    def work(self, steps: int) -> None:
        """Act, settle, check, until so many fields have been typed into."""
        actions = (self.switch, self.rename, self.rename, self.rename, self.retype, self.retype,
                   self.choose_word, self.remark, self.undo)  # fmt: skip
        while sum(self.seen.values()) < steps:
            self.rng.choice(actions)()
            self.settle()
            self.check()


def main(words: list[str]) -> int:
    """Run it and say what was done."""
    steps, seed = int(words[0]), int(words[1])

    def stop(self: calculations.Assess, report: Report) -> None:
        raise Cancelled

    calculations.Assess.__call__ = stop  # type: ignore[method-assign]
    errors: list[str] = []
    sys.excepthook = lambda *what: errors.append("".join(traceback.format_exception(*what)))
    application = make_application(["airrisk"])
    frame = Frame(None)
    frame.resize(1280, 800)
    frame.show()
    frame.files.start_with(SMALL)
    typist = Typist(application, frame, seed)
    try:
        typist.settle()
        typist.work(steps)
    finally:
        frame.session.set_document(None)
        frame.close()
        typist.settle()
    assert not errors, errors
    assert steps < 100 or (len(typist.seen) == len(WAYS) and min(typist.seen.values()) > 4)
    print(typist.number, typist.seen)
    return 0


if __name__ == "__main__":
    try:
        code = main(sys.argv[1:])
    except Exception:
        traceback.print_exc()
        code = 1
    raise SystemExit(code)
