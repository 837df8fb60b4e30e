"""Starting: light, fast, and nothing heavy before it is needed."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from airrisk.kernel import compiled
from airrisk.window.dispatcher import Progress
from airrisk.window.frame import Frame
from tests.window.conftest import ANSWER_MS

HEAVY = ("CoolProp", "numba", "scipy", "reportlab", "pyqtgraph", "networkx")


def test_the_first_window_imports_nothing_heavy(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from airrisk.window.start import make_application\n"
        "from airrisk.window.frame import Frame\n"
        "app = make_application(['airrisk'])\n"
        "frame = Frame(None); frame.show(); app.processEvents()\n"
        f"print([m for m in {HEAVY!r} if m in sys.modules])\n"
        "frame.close()\n"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        env=_own_folders(tmp_path),
    )  # fmt: skip
    assert result.stdout.strip() == "[]"


@pytest.mark.parametrize("with_file", [False, True])
def test_open_and_close_ends_with_zero(
    tmp_path: Path, sample_folder: Path, with_file: bool
) -> None:
    words = [str(sample_folder / "school-laboratory.toml")] if with_file else []
    result = subprocess.run(
        [sys.executable, "-m", "airrisk", *words, "--open-and-close"],
        capture_output=True, text=True, env=_own_folders(tmp_path), check=False,
    )  # fmt: skip
    assert result.returncode == 0, result.stderr
    assert result.stderr == ""


@pytest.mark.parametrize(
    "words",
    [["no-such-file.toml"], ["a.toml", "b.toml"], ["--sideways"], ["x" * 300 + ".toml"],
     ["a\x1b\nb.toml"]],
    ids=["missing", "two", "option", "too long", "control"],
)  # fmt: skip
def test_words_that_make_no_sense_end_with_two(tmp_path: Path, words: list[str]) -> None:
    result = subprocess.run(
        [sys.executable, "-c", f"from airrisk.window import main; raise SystemExit(main({words}))"],
        capture_output=True, text=True, env=_own_folders(tmp_path), check=False,
    )  # fmt: skip
    assert result.returncode == 2
    assert len(result.stderr.strip().splitlines()) == 1


def test_while_the_calculation_is_prepared_the_window_says_so(
    qtbot: QtBot, frame: Frame, sample_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    preparing = [True]
    monkeypatch.setattr(compiled, "is_preparing", lambda name="drive": preparing[0])
    frame.files.open_name(str(sample_folder / "school-laboratory.toml"))
    session = frame.session
    session.progress_changed.emit(Progress("assessment", 1, 0.2, "fires"))
    assert not session.is_current
    assert frame.status.age.text().startswith("Preparing the fire calculation")
    preparing[0] = False
    qtbot.waitUntil(lambda: session.is_current, timeout=ANSWER_MS)
    assert frame.status.age.text().startswith("Assessment up to date")


def _own_folders(folder: Path) -> dict[str, str]:
    return {
        **os.environ,
        "QT_QPA_PLATFORM": "offscreen",
        "XDG_CONFIG_HOME": str(folder / "config"),
        "XDG_STATE_HOME": str(folder / "state"),
    }


def test_what_the_first_answer_needs_is_loaded_beside_the_window(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Property: neither the charts nor the fire calculation keep the window waiting."""
    from airrisk.window.start import load_ahead

    prepared_in = []
    monkeypatch.setattr(compiled, "prepare", lambda: prepared_in.append(threading.current_thread()))
    loading = load_ahead()
    loading.join(60.0)
    assert prepared_in == [loading]
    assert loading is not threading.main_thread()
    assert "pyqtgraph" in sys.modules
