"""Starts the Qt application, opens the window, runs it until it is closed."""

from __future__ import annotations

import importlib
import os
import sys
import threading
import traceback
from types import TracebackType

from PySide6.QtCore import QLibraryInfo, QLocale, QTimer, QTranslator
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication

import airrisk.window.binding  # noqa: F401 - before all that is heavier
from airrisk import __version__
from airrisk.installation.characters import visible_line
from airrisk.kernel import compiled
from airrisk.tables import resource_path
from airrisk.window.frame import Frame
from airrisk.window.heap import share_one_heap
from airrisk.window.places import chosen_language, state_folder, stored_word
from airrisk.window.theme import (
    TEXT_SIZES,
    THEMES,
    apply_theme,
    load_font,
    set_text_size,
    system_prefers_dark,
)
from airrisk.wording import languages
from airrisk.wording.translation import ENGLISH, language, tr

OPEN_AND_CLOSE = "--open-and-close"
PREPARE_AFTER = 200  # ms: the window is drawn first, then the fire calculation is loaded


def make_application(words: list[str]) -> QApplication:
    """The one application object with font and look."""
    share_one_heap()
    present = QApplication.instance()
    application = present if isinstance(present, QApplication) else QApplication(words)
    application.setApplicationName("airrisk")
    application.setApplicationVersion(__version__)
    application.setDesktopFileName("airrisk")
    application.setWindowIcon(QIcon(str(resource_path("desktop/airrisk.svg"))))
    _speak_qt(application)
    load_font()
    set_text_size(int(stored_word("text size", map(str, TEXT_SIZES), "100")))
    choice = stored_word("theme", THEMES, "system")
    apply_theme(application, system_prefers_dark() if choice == "system" else choice == "dark")
    return application


def _speak_qt(application: QApplication) -> None:
    """Have Qt's own buttons and dialogs in the chosen language, where Qt has it."""
    if language() == ENGLISH:
        return
    QLocale.setDefault(QLocale(language()))
    words = QTranslator(application)
    folder = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
    if words.load(f"qtbase_{language()}", folder):
        application.installTranslator(words)


def load_ahead() -> threading.Thread:
    """Load what the first answer needs, beside the window, while its first page is read."""

    def load() -> None:
        importlib.import_module("airrisk.window.charts.plot")
        compiled.prepare()

    thread = threading.Thread(target=load, name="loading ahead", daemon=True)
    thread.start()
    return thread


def _survive(frame: Frame) -> None:
    """An error in a slot is shown in the status line and printed; the window lives on."""

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        traceback.print_exception(kind, error, trace)
        if not issubclass(kind, KeyboardInterrupt):
            frame.status.say(f"{kind.__name__}: {error}")

    sys.excepthook = hook


def run(words: list[str], wanted: str = "") -> int:
    """Open the window.

    Parameters
    ----------
    words
        Command-line words: at most one system file and ``--open-and-close``.
    wanted
        Code of the language; empty: the one chosen in the window, else the system's.

    Returns
    -------
    int
        Exit code: 0, 2 when the words make no sense or the file cannot be opened.
    """
    lost = languages.speak(wanted or chosen_language() or languages.wanted())
    brief = OPEN_AND_CLOSE in words
    names = [word for word in words if not word.startswith("--")]
    unknown = [word for word in words if word.startswith("--") and word != OPEN_AND_CLOSE]
    if unknown or len(names) > 1:
        print(
            tr("usage: airrisk [FILE]; not understood: {words}").format(
                words=" ".join(unknown or names[1:])
            ),
            file=sys.stderr,
        )
        return 2
    if names and not os.path.isfile(names[0]):
        print(tr("{file}: no such file").format(file=visible_line(names[0])), file=sys.stderr)
        return 2
    application = make_application(["airrisk", *words])
    folder = state_folder()
    frame = Frame(folder)
    if lost:
        print(lost, file=sys.stderr)
        frame.status.say(lost)
    frame.show()
    if brief:
        if names:
            frame.files.open_name(names[0], recover=False)
        QTimer.singleShot(0, frame.close)
    else:
        _survive(frame)
        QTimer.singleShot(PREPARE_AFTER, load_ahead)
        if names:
            frame.files.open_name(names[0])
            frame.files.tell_of_others(folder)
        else:
            QTimer.singleShot(0, lambda: frame.files.offer_recovery(folder))
    return application.exec()
