"""Pictures of the window for looking at: python -m tests.window.screenshots FOLDER [SAMPLE ...]."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("QT_SCALE_FACTOR", "1")
os.environ["XDG_CONFIG_HOME"] = os.environ["XDG_STATE_HOME"] = ""

SIZES = ((1280, 800), (1920, 1080), (1024, 700))


def settle(frame, seconds: float = 60.0) -> None:
    """Run the event loop until the answer belongs to the text."""
    from PySide6.QtCore import QDeadlineTimer, QEventLoop
    from PySide6.QtWidgets import QApplication

    deadline = QDeadlineTimer(int(seconds * 1000))
    while not deadline.hasExpired():
        QApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 20)
        session = frame.session
        waiting = session.document is not None and not session.is_current
        if not session.dispatcher.busy() and (not waiting or session.failure is not None):
            break
    for _ in range(5):
        QApplication.processEvents()


def main(words: list[str]) -> int:
    """Make the pictures."""
    folder = Path(words[0])
    folder.mkdir(parents=True, exist_ok=True)
    shutil.rmtree(folder / "config", ignore_errors=True)
    os.environ["XDG_CONFIG_HOME"] = str(folder / "config")
    os.environ["XDG_STATE_HOME"] = str(folder / "state")
    from airrisk.tables import sample_names, sample_path
    from airrisk.window.frame import Frame
    from airrisk.window.start import make_application
    from airrisk.window.views import VIEWS

    application = make_application(["airrisk"])
    samples = words[1:] or [Path(n).stem for n in sample_names()]
    frame = Frame(None)
    frame.show()
    for dark in (False, True):
        frame.set_theme("dark" if dark else "light")
        for width, height in SIZES:
            frame.resize(width, height)
            settle(frame)
            frame.grab().save(str(folder / f"welcome-{'dark' if dark else 'light'}-{width}.png"))
    for sample in samples:
        name = next(n for n in sample_names() if Path(n).stem == sample)
        frame.files.open_sample(str(sample_path(name)))
        settle(frame)
        for dark in (False, True):
            look = "dark" if dark else "light"
            frame.set_theme(look)
            for width, height in SIZES if sample == samples[0] else SIZES[:1]:
                frame.resize(width, height)
                for view in VIEWS:
                    frame.show_view(view)
                    settle(frame)
                    frame.grab().save(str(folder / f"{sample}-{view}-{look}-{width}.png"))
        frame.show_view("work")
    frame.close()
    application.processEvents()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
