"""The matrix of verdicts, the fire behind a cell, and the two answers of offered values."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from airrisk.installation.model import FIRE_CLASSES
from airrisk.window import calculations
from airrisk.window.answers_panel import CREEP, MOST_ROWS, ORDER, READABLE, VERDICTS
from airrisk.window.first_vessel import vessel_file
from airrisk.window.frame import Frame
from airrisk.window.matrix import VerdictMatrix
from airrisk.window.theme import colours, scaled
from airrisk.wording.chart_kinds import Chart
from airrisk.wording.fire_charts import fire_creep_chart
from airrisk.wording.matrix import cell_of
from tests.editing.systems import SMALL

# no fire of the file reaches the second receiver
TWO_SECTIONS = SMALL.replace('reaches = ["R1", "R2"]', 'reaches = ["R1"]')


@pytest.fixture
def two_sections(frame: Frame, no_bores: None, answered: Callable[[Frame], None]) -> Frame:
    """A window with two sections, of which a stated fire reaches one."""
    frame.files.start_with(TWO_SECTIONS)
    answered(frame)
    return frame


def texts(matrix: VerdictMatrix) -> list[list[str]]:
    columns = range(matrix.columnCount())
    return [
        [matrix.item(row, column).text() for column in columns] for row in range(matrix.rowCount())
    ]


def test_the_matrix_shows_every_verdict_with_word_shape_margin_and_sureness(
    two_sections: Frame,
) -> None:
    assessment = two_sections.session.assessment
    assert assessment is not None
    matrix = two_sections.work.answers.matrix
    shown = iter(texts(matrix))
    for number in range(matrix.rowCount()):
        row = next(shown)
        verdicts = assessment.verdicts[4 * number : 4 * number + 4]
        for column, verdict in enumerate(verdicts, start=1):
            cell = cell_of(verdict)
            assert row[column].split("\n") == [cell.heading, *([cell.below] if cell.below else [])]
            said = matrix.item(number, column).data(Qt.ItemDataRole.AccessibleTextRole)
            assert cell.heading in said
            assert all(name in said for name in re.findall(r"[A-Z]\d", row[0]))
    kinds = {verdict.outcome for verdict in assessment.verdicts}
    assert {"ruptures", "outlasts the fire"} <= kinds


def test_no_fire_stated_is_never_shown_as_safe(two_sections: Frame) -> None:
    matrix = two_sections.work.answers.matrix
    unmet = [
        matrix.item(row, 1)
        for row in range(matrix.rowCount())
        if matrix.item(row, 1).text() == "– no fire stated"
    ]
    assert len(unmet) == 1
    assert unmet[0].foreground().color() == QColor(colours().quiet)


def test_a_cell_shows_the_fire_behind_it(qtbot: QtBot, two_sections: Frame) -> None:
    answers = two_sections.work.answers
    assessment = two_sections.session.assessment
    assert assessment is not None
    for verdict in assessment.verdicts:
        place = next(p for p, v in answers.matrix._verdicts.items() if v is verdict)
        middle = answers.matrix.visualItemRect(answers.matrix.item(*place)).center()
        answers.matrix.scrollToItem(answers.matrix.item(*place))
        middle = answers.matrix.visualItemRect(answers.matrix.item(*place)).center()
        qtbot.mouseClick(answers.matrix.viewport(), Qt.MouseButton.LeftButton, pos=middle)
        if verdict.fire is None:
            continue
        fire = answers.fire()
        assert fire is not None
        assert (fire.id, fire.section, fire.fire_class) == (
            verdict.fire, verdict.section, verdict.fire_class,
        )  # fmt: skip
        assert two_sections.session.chosen_holder in fire.members
        assert answers.matrix.currentIndex().row() == place[0]
        assert answers.matrix.currentIndex().column() == place[1]


def test_the_keyboard_chooses_a_cell(qtbot: QtBot, two_sections: Frame) -> None:
    answers = two_sections.work.answers
    answers.matrix.setFocus()
    answers.matrix.setCurrentCell(0, 1 + FIRE_CLASSES.index("spot"))
    qtbot.keyClick(answers.matrix, Qt.Key.Key_Return)
    fire = answers.fire()
    assert fire is not None
    assert fire.fire_class == "spot"


def test_the_list_names_every_fire_with_its_verdict(two_sections: Frame) -> None:
    box = two_sections.work.answers.fire_box
    listed = [box.itemText(number) for number in range(box.count())]
    assert [text.split(" ", 1)[1].partition(":")[0] for text in listed] == [
        "Fire F1", "All in flames", "Fire beside vessel R1", "Small spot on vessel R1",
    ]  # fmt: skip


def test_an_answer_that_is_older_than_the_text_has_no_tone(two_sections: Frame) -> None:
    document = two_sections.session.document
    assert document is not None
    document.replace("x", document.system_text.set("R1", "wall_thickness", "9 mm").text)
    answers = two_sections.work.answers
    colour = QColor(colours().quiet)
    matrix = answers.matrix
    for row in range(matrix.rowCount()):
        for column in range(1, matrix.columnCount()):
            assert matrix.item(row, column).foreground().color() == colour
    assert answers.verdict.property("tone") == "quiet"


def test_creep_damage_stands_beside_the_strength_use(two_sections: Frame) -> None:
    """Property: a run with damage is drawn, and where there is none it is said."""
    answers, units = two_sections.work.answers, two_sections.session.units
    answers.show_chart(CREEP)
    seen = set()
    for number in range(answers.fire_box.count()):
        answers.fire_box.setCurrentIndex(number)
        answers.fire_box.activated.emit(number)
        fire = answers.fire()
        assert fire is not None
        wanted, shown = fire_creep_chart(fire, units), answers.chart.picture
        seen.add(wanted is None)
        if wanted is None:
            assert shown is None
            assert answers.chart._empty.text() == "No damage by creep as stated."
        else:
            assert isinstance(shown, Chart)
            assert shown.key == wanted.key
    assert seen == {True, False}


def test_where_there_is_room_the_matrix_stands_above_every_page(two_sections: Frame) -> None:
    answers = two_sections.work.answers
    two_sections.resize(1000, 620)
    answers.show_chart(VERDICTS)
    assert answers.matrix.isVisible()
    answers.show_chart(ORDER)
    assert not answers.matrix.isVisible()
    assert answers.order.isVisible()
    two_sections.resize(1600, 1900)
    assert answers.matrix.isVisible()
    assert answers.order.isVisible()
    assert answers.chart.isVisible()


def test_a_matrix_that_grows_into_a_page_is_the_page_that_is_shown(two_sections: Frame) -> None:
    answers = two_sections.work.answers
    assessment = two_sections.session.assessment
    answers.show_chart(VERDICTS)
    answers.matrix.show_verdicts(None, False)  # as before the first answer
    high = answers.matrix.height_of(MOST_ROWS) + scaled(READABLE) + 20
    answers.resize(900, high)
    assert answers.matrix.isVisible()
    answers.matrix.show_verdicts(assessment, False)
    answers.resize(900, high + 1)
    assert high < answers.matrix.height_of(MOST_ROWS) + scaled(READABLE)
    assert answers.matrix.isVisible()
    answers.show_chart(ORDER)
    answers.resize(900, high)
    assert not answers.matrix.isVisible()


# -- offered values ------------------------------------------------------------------


@pytest.fixture
def first_vessel(frame: Frame, no_bores: None, answered: Callable[[Frame], None]) -> Frame:
    """A window with a vessel of which kind, size and pressure were asked and nothing else."""
    frame.files.start_with(vessel_file("workshop receiver", 0.5, 8e5, "8 bar(g)"))
    answered(frame)
    return frame


def test_the_first_answer_says_what_happens_without_and_with_the_offered_plug(
    first_vessel: Frame,
) -> None:
    answers = first_vessel.work.answers
    fire = answers.fire()
    assert fire is not None
    assert fire.uncredited["FP1"] == "offered"
    assert fire.safe is False
    assert answers.verdict.property("tone") == "danger"
    assert answers.offered.isVisible()
    said = answers.offered.words.text()
    assert "Without any device, vessel R1 ruptures after" in said
    assert "With plug FP1" in said
    assert "as offered: vents in time" in said
    assert "Nobody has confirmed" in said


def test_the_notice_leads_to_the_values_and_goes_when_they_are_confirmed(
    qtbot: QtBot, first_vessel: Frame, answered: Callable[[Frame], None]
) -> None:
    answers = first_vessel.work.answers
    qtbot.mouseClick(answers.offered.button, Qt.MouseButton.LeftButton)
    assert first_vessel.session.chosen == "FP1"
    document = first_vessel.session.document
    assert document is not None
    text = document.system_text
    for name in ("FP1", "RV1", "R1"):
        text = text.confirm(name)
    document.replace("confirm", text.set("FP1", "fitted", dt.date(2026, 10, 1)).text)
    answered(first_vessel)
    fire = answers.fire()
    assert fire is not None
    assert not fire.unconfirmed
    assert "offered" not in fire.uncredited.values()
    assert not answers.offered.isVisible()


def test_a_safe_verdict_on_offered_values_is_not_sure(
    two_sections: Frame, answered: Callable[[Frame], None]
) -> None:
    document = two_sections.session.document
    assert document is not None
    text = TWO_SECTIONS.replace("format = 1", "format = 2")
    offered = text.replace('id = "R1"\n', 'id = "R1"\noffered = ["wall_thickness"]\n', 1)
    document.replace("offered", offered)
    answered(two_sections)
    answers = two_sections.work.answers
    spot = next(f for f in answers._fires if f.fire_class == "spot")
    assert spot.safe
    answers.show_fire(spot)
    assert "not sure: " in answers.verdict.text()
    assert answers.verdict.property("tone") == "note"
    assert "Nobody has confirmed the values of R1" in answers.offered.words.text()


# -- the day --------------------------------------------------------------------------


def test_an_answer_of_yesterday_is_old_and_asked_for_again(
    two_sections: Frame, answered: Callable[[Frame], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A plug becomes overdue at midnight, whether anybody changes the file or not."""
    session = two_sections.session
    assert session.assessment is not None
    before: Any = session.assessment
    assert "FP1" not in before.fires[0].uncredited
    day = dt.date(2027, 12, 1)
    monkeypatch.setattr(calculations, "today", lambda: day)
    assert not session.is_current
    session.follow_the_day()
    answered(two_sections)
    assert session.assessment.on == day
    assert session.assessment.fires[0].uncredited["FP1"] == "overdue"
    assert replace(session.assessment, on=before.on) != before
