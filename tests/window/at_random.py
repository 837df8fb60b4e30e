"""Clicks, keys and changes on disk at random, as a process of its own.

``python -m tests.window.at_random ACTIONS SEED [--calculate] [--short] [--memory]
[--only SAMPLE,...]`` ends with 0 when the window has lived through all of it without an error in
any slot and without a warning from Qt. ``--memory`` tells every 500 actions how much memory is
held at rest, and ends with 1 when it has grown by more than 50 MB since the first 2,000.
``--short`` leaves out the searches of bores.
"""

from __future__ import annotations

import faulthandler
import functools
import os
import random
import sys
import tempfile
import traceback
from collections import deque
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, QTimer, qInstallMessageHandler
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QFileDialog,
    QLineEdit,
    QMessageBox,
    QPlainTextEdit,
    QWidget,
)

from airrisk.fire.stopping import Cancelled
from airrisk.study import assessment
from airrisk.tables import sample_names, sample_path
from airrisk.window import calculations
from airrisk.window.dispatcher import Report
from airrisk.window.frame import Frame
from airrisk.window.start import make_application
from airrisk.window.views import VIEWS
from tests.editing.systems import SMALL
from tests.window.memory import GROWTH, Memory

KEY, CONTROL = Qt.Key, Qt.KeyboardModifier.ControlModifier
KEYS = (
    KEY.Key_Return, KEY.Key_Tab, KEY.Key_Backtab, KEY.Key_Escape, KEY.Key_Delete, KEY.Key_Down,
    KEY.Key_Up, KEY.Key_Left, KEY.Key_Right, KEY.Key_Space, KEY.Key_Backspace, KEY.Key_Home,
    KEY.Key_PageDown, KEY.Key_Plus, KEY.Key_Minus,
)  # fmt: skip
WITH_CONTROL = (
    KEY.Key_Z, KEY.Key_Z, KEY.Key_Y, KEY.Key_C, KEY.Key_V, KEY.Key_X, KEY.Key_D, KEY.Key_L,
    KEY.Key_F, KEY.Key_I, KEY.Key_S, KEY.Key_A, KEY.Key_R, KEY.Key_N, KEY.Key_0,
)  # fmt: skip
TEXTS = (
    "R1", "N7", "8 bar(g)", "0 bar(g)", "12 mm", "1e300 m", "-3", "nan", "yes", "2026-11-01", "",
    " ", "tin", "R1, L1", "0,5", "[1, 2]", "{", "a" * 300, "100000 L", "0", "12",
)  # fmt: skip
LONGEST = 240.0  # s, of one action on a busy machine
TELL = "--tell" in sys.argv  # every action as it is begun
NEVER = ("quit", "commands")  # what ends everything, and the list that could do so


TYPED_KINDS = (
    "receiver", "plug", "line", "valve", "relief valve", "fire", "compressor", "gizmo", "room",
)  # fmt: skip
TYPED_WORDS = (
    "3 m3", "11 bar", "8 bar(g)", "10 mm", "12 m", "DN50", "60.3x2.9", "tin", "on", "near",
    "named", "clean", "5 m3/min", "232 °C", "1,2,3", "78.5 mm2", '"', "closed",
)  # fmt: skip


class Monkey:
    """Acts at random on whatever can be seen."""

    def __init__(
        self, application: QApplication, frame: Frame, seed: int, folder: Path,
        samples: Sequence[str],
    ) -> None:  # fmt: skip
        self.application = application
        self.frame = frame
        self.rng = random.Random(seed)
        self.folder = folder
        self.samples = samples
        self.file = folder / "system.toml"
        self.last: deque[str] = deque(maxlen=25)
        self._over = False
        self._acting: list[QWidget] = []  # what waits and is acted on, one within the other
        self._watch()

    def note(self, text: str) -> None:
        self.last.append(text)
        if TELL:
            print(text, file=sys.stderr, flush=True)

    # -- dialogs and menus that wait -----------------------------------------------

    def _watch(self) -> None:
        """Look again soon: each time by a timer of its own, which runs within any dialog too."""
        if not self._over:
            # the binding would keep something of each bound method
            QTimer.singleShot(15, functools.partial(Monkey._watch, self))
            self._within()

    def _within(self) -> None:
        """A menu or a dialog waits inside an action: act there, and end it soon."""
        popup, dialog = self.application.activePopupWidget(), QApplication.activeModalWidget()
        waiting = popup or dialog
        if waiting is None or waiting in self._acting:
            return
        self._acting.append(waiting)
        try:
            if popup is not None:
                key = self.rng.choice((KEY.Key_Down, KEY.Key_Up, KEY.Key_Return, KEY.Key_Escape))
                self.note(f"popup {popup.metaObject().className()} {key.name}")
                QTest.keyClick(popup, key)
            elif dialog is not None:
                self._in_dialog(dialog)
        finally:
            self._acting.remove(waiting)

    def _in_dialog(self, dialog: QWidget) -> None:
        if self.rng.random() < 0.3:
            self.note(f"close {dialog.metaObject().className()}")
            dialog.close()
        else:
            self.touch(dialog)

    # -- actions -------------------------------------------------------------------

    def widgets(self, root: QWidget) -> list[QWidget]:
        """What can be seen and used."""
        return [
            w for w in root.findChildren(QWidget)
            if w.isVisible() and w.isEnabled() and w.width() > 2 and w.height() > 2
            and w.window() is root.window()
        ]  # fmt: skip

    def touch(self, root: QWidget) -> None:
        """Click, turn, drag or type somewhere."""
        found = self.widgets(root)
        fields = [w for w in found if isinstance(w, (QLineEdit, QComboBox, QPlainTextEdit))]
        buttons = [w for w in found if isinstance(w, QAbstractButton)]
        pools = [pool for pool in (found, fields, buttons) if pool]
        if not pools:
            return
        widget = self.rng.choice(self.rng.choice(pools))
        where = QPoint(self.rng.randrange(widget.width()), self.rng.randrange(widget.height()))
        name = widget.accessibleName() or widget.metaObject().className()
        if isinstance(widget, QLineEdit) and self.rng.random() < 0.7:
            text = self.rng.choice(TEXTS)
            self.note(f"type {text!r} into {name}")
            widget.setFocus()
            widget.selectAll()
            QTest.keyClicks(widget, text)
            if self.rng.random() < 0.7:
                QTest.keyClick(widget, KEY.Key_Return)
            return
        if isinstance(widget, QPlainTextEdit) and not widget.isReadOnly():
            self.note(f"text edit {name}")
            widget.setFocus()
            cursor = widget.textCursor()
            cursor.setPosition(self.rng.randrange(max(len(widget.toPlainText()), 1)))
            widget.setTextCursor(cursor)
            widget.insertPlainText(self.rng.choice(("x", '"', "\n", "[[vessel]]\n", "= 3")))
            return
        way = self.rng.choice(("click", "click", "click", "double", "right", "drag", "wheel"))
        self.note(f"{way} {name} at {where.x()} {where.y()} of {type(widget).__name__}")
        left = Qt.MouseButton.LeftButton
        if way == "click":
            QTest.mouseClick(widget, left, pos=where)
        elif way == "double":
            QTest.mouseDClick(widget, left, pos=where)
        elif way == "right":
            QTest.mouseClick(widget, Qt.MouseButton.RightButton, pos=where)
        elif way == "drag":
            to = QPoint(self.rng.randrange(widget.width()), self.rng.randrange(widget.height()))
            QTest.mousePress(widget, left, pos=where)
            QTest.mouseMove(widget, (where + to) / 2)
            if self.rng.random() < 0.2:
                self.key()
            QTest.mouseMove(widget, to)
            QTest.mouseRelease(widget, left, pos=to)
        elif not isinstance(widget, QAbstractSpinBox):
            turn = QPoint(0, self.rng.choice((120, -120)))
            event = QWheelEvent(
                QPointF(where), QPointF(widget.mapToGlobal(where)), QPoint(), turn,
                Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
                Qt.ScrollPhase.NoScrollPhase, False,
            )  # fmt: skip
            self.application.sendEvent(widget, event)

    def key(self) -> None:
        """Press a key where the keyboard is."""
        place = self.application.focusWidget() or self.frame
        if self.rng.random() < 0.5:
            key = self.rng.choice(KEYS)
            self.note(f"key {key.name}")
            QTest.keyClick(place, key)
        else:
            key = self.rng.choice(WITH_CONTROL)
            self.note(f"ctrl {key.name}")
            QTest.keyClick(place, key, CONTROL)

    def menu(self) -> None:
        """Choose something from the menus."""
        actions = {k: a for k, a in self.frame.menus.actions.items() if k not in NEVER}
        key = self.rng.choice([k for k, a in actions.items() if a.isEnabled()])
        self.note(f"menu {key}")
        actions[key].trigger()

    def view(self) -> None:
        """Turn to another view."""
        if self.frame.session.document is not None:
            key = self.rng.choice(list(VIEWS))
            self.note(f"view {key}")
            self.frame.turn_to(key)

    def choose(self) -> None:
        """Choose a part."""
        names = [None, *self.frame.work.plan.scene.items_by_name, "F1", "nothing"]
        name = self.rng.choice(names)
        self.note(f"choose {name}")
        self.frame.session.choose(name)

    def edit(self) -> None:
        """Add, delete, duplicate, connect or move a part."""
        drawn = self.frame.session.drawn
        names = [] if drawn is None else [p.id for p in (*drawn.parts(), *drawn.devices(),
                                                         *drawn.fires, *drawn.valves)]  # fmt: skip
        what = self.rng.choice(("add", "add", "delete", "duplicate", "connect"))
        if what == "add" or not names:
            kind = self.rng.choice((
                "vessel", "compressor", "line", "junction", "consumer", "valve", "plug",
                "relief_valve", "bursting_disc", "fire", "people", "room",
            ))  # fmt: skip
            self.note(f"add {kind}")
            self.frame.edits.add(kind)
            return
        name = self.rng.choice(names)
        self.note(f"{what} {name}")
        if what == "delete":
            self.frame.edits.delete([name])
        elif what == "duplicate":
            self.frame.edits.duplicate([name])
        else:
            self.frame.edits.connect_parts(name, self.rng.choice(names))

    def type_part(self) -> None:
        """Type a part in the drawing: words that fit, and words that do not."""
        if self.frame.session.document is None:
            return
        drawn = self.frame.session.drawn
        names = [] if drawn is None else [part.id for part in drawn.parts()]
        words = [self.rng.choice(TYPED_KINDS)]
        for _word in range(self.rng.randrange(5)):
            words.append(self.rng.choice((*TYPED_WORDS, *names)))
        line = " ".join(words)
        self.note(f"type {line}")
        self.frame.show_view("work")
        typing = self.frame.work.plan.typing
        typing.begin()
        typing.setText(line)
        typing.take()

    def disk(self) -> None:
        """Somebody else deletes or changes the file."""
        document = self.frame.session.document
        if document is None or document.path is None:
            return
        what = self.rng.choice(("delete", "change", "damage", "put back"))
        self.note(f"disk {what}")
        if what == "delete":
            document.path.unlink(missing_ok=True)
        else:
            text = {"change": SMALL, "damage": "\ufffd[[", "put back": document.text}[what]
            document.path.write_text(text, encoding="utf-8")

    def size(self) -> None:
        """Another size of the window or of the text, another look, other units."""
        what = self.rng.choice(("window", "text", "look", "units"))
        self.note(f"another {what}")
        if what == "window":
            self.frame.resize(self.rng.randrange(400, 2000), self.rng.randrange(300, 1200))
        elif what == "text":
            self.frame.set_text_size(self.rng.choice((100, 125, 150, 200)))
        elif what == "look":
            self.frame.set_theme(self.rng.choice(("light", "dark")))
        else:
            self.frame.session.set_unit_set(self.rng.choice(("metric", "US customary")))

    def start(self) -> None:
        """Begin with a file: a sample, a new one, one on disk."""
        what = self.rng.choice(("sample", "file", "small", "review"))
        self.note(f"start {what}")
        name = str(sample_path(self.rng.choice(self.samples)))
        if what == "sample":
            self.frame.files.open_sample(name)
        elif what == "small":
            self.frame.files.start_with(SMALL)
        else:
            self.file.write_text(Path(name).read_text(encoding="utf-8"), encoding="utf-8")
            self.frame.files.open_name(str(self.file), review=what == "review")

    def act(self) -> None:
        """One action and what follows from it."""
        if self.frame.session.document is None and self.rng.random() < 0.7:
            self.start()
        else:
            ways: tuple[tuple[int, Callable[[], None]], ...] = (
                (40, lambda: self.touch(self.frame)), (20, self.key), (5, self.menu),
                (6, self.view), (6, self.choose), (8, self.edit), (4, self.type_part),
                (2, self.disk), (1, self.size), (1, self.start),
            )  # fmt: skip
            weights = [weight for weight, _way in ways]
            self.rng.choices([way for _weight, way in ways], weights)[0]()
        self.application.processEvents()
        self.application.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # type: ignore[arg-type]

    def rest(self) -> None:
        """Wait until nothing is calculated any more."""
        while self.frame.session.dispatcher.busy():
            QTest.qWait(10)

    def stop(self) -> None:
        self._over = True


def replace_questions(monkey: Monkey) -> None:
    """Questions and file dialogs are answered at once and at random."""
    rng = monkey.rng
    boxes: Any = QMessageBox
    boxes.exec = lambda box: 0
    boxes.clickedButton = lambda box: rng.choice(box.buttons())
    boxes.warning = lambda *_a, **_k: QMessageBox.StandardButton.Ok
    names = ("", "out.pdf", "out.html", "out.csv", "out.svg", "system.toml", "no/such/folder.csv")
    dialogs: Any = QFileDialog

    def name(*_a: Any, **_k: Any) -> tuple[str, str]:
        chosen = rng.choice(names)
        return (str(monkey.folder / chosen) if chosen else "", "")

    dialogs.getSaveFileName = dialogs.getOpenFileName = name


def samples_in(words: list[str]) -> Sequence[str]:
    """The samples that are opened: all, or those that were named."""
    return words[words.index("--only") + 1].split(",") if "--only" in words else sample_names()


def main(words: list[str]) -> int:
    """Act so often; say the last actions when something goes wrong."""
    actions, seed = int(words[0]), int(words[1])
    memory = Memory() if "--memory" in words else None
    if "--calculate" not in words:

        def stop(self: calculations.Assess, report: Report) -> None:
            raise Cancelled

        calculations.Assess.__call__ = stop  # type: ignore[method-assign]
    if "--short" in words:
        assessment.assess = functools.partial(assessment.assess, bores=False)
    wrong: list[str] = []
    sys.excepthook = lambda *what: wrong.append("".join(traceback.format_exception(*what)))

    def told_by_qt(_kind: object, _where: object, text: str) -> None:
        if TELL:
            print(text, file=sys.stderr, flush=True)
        if not text.startswith("This plugin does not support"):  # the one without a screen
            wrong.append(f"Qt: {text}")

    qInstallMessageHandler(told_by_qt)
    application = make_application(["airrisk"])
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        frame = Frame(folder / "journals")
        frame.resize(1280, 800)
        frame.show()
        monkey = Monkey(application, frame, seed, folder, samples_in(words))
        replace_questions(monkey)
        frame.session.failed.connect(lambda failure: wrong.append(failure.details))
        done = 0
        try:
            while done < actions and not wrong:
                # a window that waits for ever says where, and ends
                faulthandler.dump_traceback_later(LONGEST, exit=True)
                monkey.act()
                done += 1
                if memory is not None:
                    memory.look(done, monkey.rest)
        finally:
            faulthandler.cancel_dump_traceback_later()
            monkey.stop()
            frame.session.set_document(None)
            frame.close()
            application.processEvents()
    if wrong:
        print("\n".join([*monkey.last, "", *wrong]), file=sys.stderr)
        print(f"after {done} actions with seed {seed}", file=sys.stderr)
        return 1
    print(f"{done} actions")
    if memory is not None and memory.grown > GROWTH:
        print(f"grew by {memory.grown:.0f} MB, allowed {GROWTH:.0f} MB", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    raise SystemExit(main(sys.argv[1:]))
