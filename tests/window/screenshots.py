"""Pictures of the window: every view of sample systems, or the steps of the three journeys."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

SIZES = ((1280, 800), (1920, 1080), (1024, 700))


JOURNEY_SIZES = (
    ("light", 1280, 800),
    ("dark", 1920, 1080),
    ("dark", 1280, 800),
    ("light", 1024, 700),
)


def settle(frame, seconds: float = 300.0) -> None:
    """Run the event loop until the answer belongs to the text."""
    from PySide6.QtCore import QDeadlineTimer, QEventLoop
    from PySide6.QtWidgets import QApplication

    deadline = QDeadlineTimer(int(seconds * 1000))
    while not deadline.hasExpired():
        QApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 20)
        session = frame.session
        waiting = session.installation is not None and not session.is_current
        if not session.dispatcher.busy() and (not waiting or session.failure is not None):
            break
    for _ in range(5):
        QApplication.processEvents()


def engineer(frame) -> Iterator[str]:
    """A first vessel, a thinner wall, a second plug; yields the name of each step."""
    questions = frame.welcome.first_vessel
    questions.volume.setText("2000 L")
    questions.pressure.setText("116 psig")
    yield "1-questions"
    questions.make()
    settle(frame)
    yield "2-answer"
    frame.edits.add("plug")
    settle(frame)
    yield "3-second-plug"
    frame.session.choose("R1")
    document = frame.session.document
    document.replace("wall", document.system_text.set("R1", "wall_thickness", "12,5 mm").text)
    settle(frame)
    yield "4-thicker-wall"
    frame.work.facts.tabs.setCurrentIndex(1)
    frame.work.answers.show_chart(3)
    yield "5-numbers"
    frame.work.facts.tabs.setCurrentIndex(0)
    frame.work.answers.show_chart(0)
    frame.show_view("paper")
    settle(frame)
    yield "6-paper"
    frame.show_view("work")


def auditor(frame) -> Iterator[str]:
    """The ferry: finding, part, source; round and inspection; reach."""
    from airrisk.tables import sample_path

    frame.files.open_name(str(sample_path("river-ferry.toml")), review=True)
    settle(frame)
    yield "1-open"
    first = frame.work.strip.findings.cards[0]
    first.chosen.emit(first.card.key)
    yield "2-part"
    mine = frame.work.facts.findings.cards[0]
    mine.chosen.emit(mine.card.key)
    settle(frame)
    yield "3-source"
    frame.session.choose("FP1")
    frame.work.facts.tabs.setCurrentIndex(3)
    yield "4-inspections"
    frame.show_view("round")
    settle(frame)
    yield "5-round"
    frame.show_view("reach")
    settle(frame)
    yield "6-reach"
    frame.show_view("work")
    frame.session.choose(None)
    frame.work.facts.tabs.setCurrentIndex(0)
    yield "7-installation"
    first = frame.work.strip.findings.cards[0]
    first.chosen.emit(first.card.key)
    mine = frame.work.facts.findings.cards[0]
    mine.chosen.emit(mine.card.key)


def student(frame) -> Iterator[str]:
    """Try-out of the school vessel: guess, a thinner wall, two pinned cases."""
    from PySide6.QtCore import QEventLoop
    from PySide6.QtWidgets import QApplication

    from airrisk.tables import sample_path

    frame.files.open_sample(str(sample_path("school-laboratory.toml")))
    settle(frame)
    frame.show_view("tryout")
    view = frame.pages["tryout"]
    settle(frame)
    yield "1-begin"
    view.guess.switch.setChecked(True)
    settle(frame)
    yield "2-hidden"
    view.guess.choice.setCurrentIndex(0)
    view.guess.button.click()
    yield "3-guessed"
    view.guess.switch.setChecked(False)
    view.pin_button.click()
    wall = next(row for row in view.rows if row.knob.spec.key == "wall_thickness")
    for value in range(150, 40, -10):
        wall.slider.setValue(value)
        settle(frame)
    while view.answer is None or not view.answer.complete:  # the knob's rest comes first
        QApplication.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
    view.pin_button.click()
    settle(frame)
    yield "4-compared"


JOURNEYS = {"engineer": engineer, "auditor": auditor, "student": student}


def take_journeys(frame, folder: Path, last_only: bool) -> None:
    """Walk the three journeys and save pictures of the steps, or of the last one only."""
    looks = JOURNEY_SIZES[:1] if last_only else JOURNEY_SIZES
    for name, journey in JOURNEYS.items():
        for step in journey(frame):
            if last_only:
                continue
            for look, width, height in looks:
                take(frame, folder / f"{name}-{step}-{look}-{width}.png", look, width, height)
        if last_only:
            take(frame, folder / f"{name}.png", *looks[0], small=True)
        frame.session.set_document(None)


def take(frame, file: Path, look: str, width: int, height: int, small: bool = False) -> None:
    """Save one picture of the window in this look and size; ``small`` with 256 colours."""
    import numpy as np
    from PySide6.QtCore import Qt
    from PySide6.QtGui import QImage

    if frame.is_dark != (look == "dark"):
        frame.set_theme(look)
    frame.resize(width, height)
    settle(frame)
    image = frame.grab().toImage()
    if small:
        image = image.convertToFormat(QImage.Format.Format_RGB32)
        pixels = np.frombuffer(image.constBits(), np.uint32)
        found, counts = np.unique(pixels, return_counts=True)
        table = [int(colour) for colour in found[np.argsort(-counts)][:256]]
        plain = Qt.ImageConversionFlag.ThresholdDither | Qt.ImageConversionFlag.AvoidDither
        image = image.convertToFormat(QImage.Format.Format_Indexed8, table, plain)
    image.save(str(file))


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.window.screenshots", description=__doc__)
    task = parser.add_mutually_exclusive_group()
    task.add_argument(
        "--journeys",
        action="store_true",
        help="every step of the journeys of engineer, auditor and student instead of the views",
    )
    task.add_argument(
        "--readme", action="store_true", help="only the last step of each journey, for the README"
    )
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="where the pictures go")
    parser.add_argument(
        "samples",
        nargs="*",
        metavar="SAMPLE",
        help="sample systems, e.g. river-ferry; all when left out; not with a journey",
    )
    return parser


def main(words: list[str]) -> int:
    """Make the pictures."""
    from airrisk.tables import sample_names

    parser = _parser()
    asked = parser.parse_args(words)
    known = [Path(name).stem for name in sample_names()]
    if (asked.journeys or asked.readme) and asked.samples:
        parser.error("the journeys choose their own sample systems")
    for sample in asked.samples:
        if sample not in known:
            parser.error(f"no sample system {sample!r}; there are {', '.join(known)}")
    asked.folder.mkdir(parents=True, exist_ok=True)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")  # before Qt is imported
    os.environ.setdefault("QT_SCALE_FACTOR", "1")
    with tempfile.TemporaryDirectory() as own:
        os.environ["XDG_CONFIG_HOME"] = f"{own}/config"
        os.environ["XDG_STATE_HOME"] = f"{own}/state"
        if asked.journeys or asked.readme:
            return _take((), asked.folder, journeys=True, last_only=asked.readme)
        return _take(asked.samples or known, asked.folder)


def _take(
    samples: Sequence[str], folder: Path, journeys: bool = False, last_only: bool = False
) -> int:
    from airrisk.tables import sample_names, sample_path
    from airrisk.window.frame import Frame
    from airrisk.window.start import make_application
    from airrisk.window.views import VIEWS

    application = make_application(["airrisk"])
    frame = Frame(None)
    frame.show()
    if journeys:
        take_journeys(frame, folder, last_only)
        frame.session.set_document(None)
        frame.close()
        application.processEvents()
        return 0
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
                    if view == "doubt" and not frame.pages[view].is_current:
                        frame.pages[view].ask()
                        settle(frame)
                    frame.grab().save(str(folder / f"{sample}-{view}-{look}-{width}.png"))
        frame.show_view("work")
    frame.session.set_document(None)
    frame.close()
    application.processEvents()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
