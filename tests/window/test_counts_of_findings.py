"""The bottom line counts findings; it never states that there is no danger."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from airrisk.tables import sample_path
from airrisk.window.frame import Frame
from tests.window.conftest import ANSWER_MS


def test_beside_a_rupture_the_counts_stand_with_the_verdict(
    qtbot: QtBot, frame: Frame, no_bores: None
) -> None:
    frame.files.open_sample(str(sample_path("slate-quarry.toml")))
    session = frame.session
    qtbot.waitUntil(
        lambda: session.is_current and session.assessment is not None, timeout=ANSWER_MS
    )
    told = frame.status.findings.text()
    assert told.startswith("✖ 2 of 2 not safe   ◆ 0 dangers   ▲ 1 warning   ○ ")
    assert told.endswith("1 accepted")
    assert " no " not in told


def test_of_an_empty_file_nothing_is_counted(qtbot: QtBot, frame: Frame, no_bores: None) -> None:
    frame.files.start_with("format = 1\n")
    session = frame.session
    qtbot.waitUntil(
        lambda: session.is_current and session.assessment is not None, timeout=ANSWER_MS
    )
    assert frame.status.findings.isHidden(), frame.status.findings.text()
