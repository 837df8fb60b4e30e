"""One application, settings of its own, and nothing left behind by any test."""

from __future__ import annotations

import functools
import gc
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QThread, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from airrisk.fire.stopping import Cancelled
from airrisk.window import calculations
from airrisk.window.dispatcher import Report
from airrisk.window.frame import Frame
from airrisk.window.theme import apply_theme, load_font
from airrisk.wording import translation
from airrisk.wording.languages import LANGUAGES, speak
from tests.editing.systems import SMALL
from tests.window.stale_answers import begun

# German words are longer: what must fit is asked in every language
in_every_language = pytest.mark.parametrize("language", list(LANGUAGES), indirect=True)
ANSWER_MS = 300_000  # the first answer may compile
ONE_VESSEL = SMALL.partition("[[vessel]]\nid = \"R2\"")[0] + "\n".join(
    (
        "[[plug]]", 'id = "FP1"', 'on = "R1"', 'alloy = "tin"', 'bore = "20 mm"',
        'condition = "clean"', "fitted = 2026-10-01", "", "[[fire]]", 'id = "F1"',
        'curve = "hydrocarbon"', 'reaches = ["R1"]', "",
    )
)  # fmt: skip


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A warning from Qt fails the test."""
    for item in items:
        if "tests/window" in str(item.path).replace("\\", "/"):
            item.add_marker(pytest.mark.qt_log_level_fail("WARNING"))


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Settings, journals and file dialogs of the test only."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture(scope="session", autouse=True)
def nothing_of_qt_yet() -> Iterator[None]:
    """What stands before the application is set aside: no search for what is left goes over it.

    The tests of every room and what they import are most of a million objects, and a thread, a
    timer or a window can only be younger than this.
    """
    gc.collect()
    assert not [*_made(QThread), *_made(QTimer)]
    gc.freeze()
    yield
    gc.unfreeze()


@pytest.fixture(scope="session")
def qapp_args(nothing_of_qt_yet: None) -> list[str]:
    return ["airrisk"]


@pytest.fixture(autouse=True)
def language(request: pytest.FixtureRequest) -> Iterator[str]:
    """The language that the window speaks: English, unless a test asks for every one."""
    code = getattr(request, "param", translation.ENGLISH)
    assert not speak(code)
    yield code
    speak(translation.ENGLISH)


@pytest.fixture(autouse=True)
def look(qapp: QApplication) -> None:
    """The light look with the bundled font."""
    load_font()
    apply_theme(qapp, dark=False)


@pytest.fixture(autouse=True)
def nothing_left(qapp: QApplication) -> Iterator[None]:
    """Fails when a thread, a running timer or a window outlives the test."""
    threads = set(threading.enumerate())
    yield
    for _ in range(3):
        qapp.sendPostedEvents(None, 52)  # QEvent.DeferredDelete
        qapp.processEvents()
    gc.collect()
    left = [w for w in qapp.topLevelWidgets() if w.isVisible()]
    assert not left, f"windows left open: {left}"
    running = [o for o in _made(QThread) if o.isRunning()]
    assert not running, f"threads left running: {[t.objectName() for t in running]}"
    timers = [o for o in _made(QTimer) if o.isActive()]
    assert not timers, f"timers left running: {timers}"
    extra = {
        t for t in threading.enumerate() if t not in threads and not t.name.startswith("Dummy")
    }
    assert not {t for t in extra if t.is_alive() and not t.daemon}, f"threads left: {extra}"


def _made(kind: type) -> list[Any]:
    """Living objects of a Qt class; the type is asked, since a dead weak proxy raises."""
    import shiboken6

    return [o for o in gc.get_objects() if issubclass(type(o), kind) and shiboken6.isValid(o)]


@pytest.fixture
def make_frame(qtbot: QtBot, tmp_path: Path) -> Iterator[Callable[[], Frame]]:
    """Makes main windows and closes them without questions."""
    made: list[Frame] = []

    def make() -> Frame:
        frame = Frame(tmp_path / "journals")
        frame.resize(1280, 800)
        frame.show()
        made.append(frame)
        return frame

    yield make
    for frame in made:
        frame.session.set_document(None)
        frame.close()
        frame.deleteLater()


@pytest.fixture
def frame(make_frame: Callable[[], Frame]) -> Frame:
    """One main window on the welcome page."""
    return make_frame()


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """No calculation: these tests are about editing."""

    def stop(self: calculations.Assess, report: Report) -> None:
        raise Cancelled

    monkeypatch.setattr(calculations.Assess, "__call__", stop)


@pytest.fixture
def no_bores(monkeypatch: pytest.MonkeyPatch) -> None:
    """Assessments without the search for bores and cures, where these are not the point."""
    from airrisk.study import assessment

    monkeypatch.setattr(assessment, "assess", functools.partial(assessment.assess, bores=False))


@pytest.fixture
def answered(qtbot: QtBot) -> Callable[[Frame], None]:
    """Waits until the answer belongs to the text."""

    def wait(frame: Frame) -> None:
        qtbot.waitUntil(
            lambda: frame.session.is_current or frame.session.failure is not None, timeout=ANSWER_MS
        )
        assert frame.session.failure is None, frame.session.failure.details

    return wait


@pytest.fixture
def one_vessel(frame: Frame, answered: Callable[[Frame], None]) -> Frame:
    """A window with one assessed vessel; the steps of its first answer are run once for all."""
    frame.session._memory = begun(ONE_VESSEL)
    frame.files.start_with(ONE_VESSEL)
    answered(frame)
    return frame
