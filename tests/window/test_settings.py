"""Settings, the state folder and the screen: none of them may stop the program."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from airrisk.tables import sample_path
from airrisk.window.frame import Frame
from airrisk.window.places import recent_files, settings, stored_word
from airrisk.window.start import make_application
from airrisk.window.theme import text_size
from tests.editing.systems import SMALL
from tests.window.processes import run

NOT_THEIRS = ("nonsense", "", "1,2,@Point(1 2)", "@Invalid()", "@ByteArray(\\x1\\xd9)",
              "@Rect(0 0 9999999 3)", "@Variant(\\0\\0\\0\\x7f)", "9" * 5000, "a\\x0b, /",
              "@Size(1", '"', "\u0663", "[")  # fmt: skip
KEYS = ("geometry", "split", "middle", "units", "theme", "text size", "recent")


def write_settings(folder: Path, value: str) -> None:
    file = folder / "config" / "airrisk" / "window.ini"
    file.parent.mkdir(parents=True, exist_ok=True)
    lines = [f"{key.replace(' ', '%20')}={value}" for key in KEYS]
    file.write_text("\n".join(["[General]", *lines, ""]), encoding="utf-8")


def start(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """The program, opened and closed."""
    return run(folder, "-m", "airrisk", *words, "--open-and-close")


@pytest.mark.qt_log_ignore("unknown user type")
@pytest.mark.parametrize("value", NOT_THEIRS)
def test_a_setting_that_is_none_counts_as_not_set(
    quick: None, tmp_path: Path, make_frame: Callable[[], Frame], value: str
) -> None:
    write_settings(tmp_path, value)
    make_application(["airrisk"])
    frame = make_frame()
    assert text_size() == 100
    assert frame.session.units.name == "metric"
    assert recent_files() == []
    frame.files.start_with(SMALL)
    assert frame.work.isVisible()


def test_the_program_starts_and_mends_settings_that_do_not_parse(tmp_path: Path) -> None:
    write_settings(tmp_path, "1,2,@Point(1 2)")
    first = start(tmp_path)
    assert (first.returncode, first.stderr) == (0, "")
    stored = (tmp_path / "config" / "airrisk" / "window.ini").read_text(encoding="utf-8")
    assert "geometry=@ByteArray" in stored


@pytest.mark.parametrize("what", ["file", "folder"])
def test_the_program_starts_where_settings_cannot_be_kept(tmp_path: Path, what: str) -> None:
    if what == "file":
        (tmp_path / "config").write_text("in the way", encoding="utf-8")
    else:
        (tmp_path / "config" / "airrisk" / "window.ini").mkdir(parents=True)
    found = start(tmp_path, str(sample_path("school-laboratory.toml")))
    assert (found.returncode, found.stderr) == (0, "")


def test_what_was_set_is_there_again(qapp: object) -> None:
    settings().setValue("text size", 150)
    settings().setValue("theme", "dark")
    assert stored_word("text size", ("100", "150"), "100") == "150"
    assert stored_word("theme", ("light", "dark"), "light") == "dark"


def test_without_a_state_folder_every_file_opens_and_the_window_says_what_is_missing(
    quick: None, qtbot: object, frame: Frame, tmp_path: Path
) -> None:
    in_the_way = tmp_path / "no folder"
    in_the_way.write_text("in the way", encoding="utf-8")
    frame.session.journal_folder = in_the_way / "journals"
    file = tmp_path / "system.toml"
    file.write_text(SMALL, encoding="utf-8")
    assert frame.files.open_name(str(file))
    assert "No recovery copy" in frame.status.message.text()
    assert "no folder" in frame.status.message.text()
    frame.edits.add("vessel")
    assert frame.files.save()
    assert "R3" in file.read_text(encoding="utf-8")
    frame.files.start_with(SMALL)
    frame.files.open_sample(str(sample_path("school-laboratory.toml")))
    assert frame.session.document is not None
    assert frame.session.document.suggested_name == "school-laboratory.toml"


def test_the_program_starts_where_no_state_folder_can_be_made(tmp_path: Path) -> None:
    (tmp_path / "state").write_text("in the way", encoding="utf-8")
    for words in ((), (str(sample_path("school-laboratory.toml")),)):
        found = start(tmp_path, *words)
        assert (found.returncode, found.stderr) == (0, "")


# -- the size of the window ------------------------------------------------------------


TWO_WINDOWS = """
from PySide6.QtCore import QSize
from airrisk.window.frame import Frame
from airrisk.window.start import make_application

application = make_application(["airrisk"])
for size in (QSize(4000, 3000), QSize(1000, 600), QSize(1000, 600)):
    frame = Frame(None)
    room = frame.screen().availableGeometry()
    print(frame.width(), frame.height(), room.contains(frame.geometry()))
    frame.show()
    application.processEvents()
    frame.resize(size)
    application.processEvents()
    frame.close()
"""


@pytest.mark.parametrize("screen", [(1280, 800), (1024, 700), (1920, 1080), (2560, 1440)])
def test_the_first_window_takes_most_of_the_screen_and_later_ones_stay_on_it(
    tmp_path: Path, screen: tuple[int, int]
) -> None:
    wide, high = screen
    one = {"name": "one", "x": 0, "y": 0, "width": wide, "height": high, "dpr": 1,
           "logicalDpi": 96, "logicalBaseDpi": 96}  # fmt: skip
    described = tmp_path / "screen.json"
    described.write_text(json.dumps({"screens": [one]}), encoding="utf-8")
    found = run(tmp_path, "-c", TWO_WINDOWS, platform=f"offscreen:configfile={described}")
    assert (found.returncode, found.stderr) == (0, "")
    first, too_large, kept = (line.split() for line in found.stdout.splitlines())
    assert int(first[0]) == max(round(0.85 * wide), 940)  # the least that the window can be
    assert int(first[1]) == round(0.85 * high)
    assert 0.95 * wide <= int(too_large[0]) <= wide
    assert 0.9 * high <= int(too_large[1]) <= high
    assert (kept[0], kept[1]) == ("1000", "600")
    assert first[2] == too_large[2] == kept[2] == "True"
