"""Findings wherever they are shown: sorted, filtered, and a second click opens their source."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox
from pytestqt.qtbot import QtBot

from airrisk.window.facts.editors import TextEditor
from airrisk.window.frame import Frame
from airrisk.window.round_view import RoundView
from airrisk.wording.finding_order import PART, RULE, SEVERITY


def round_of(frame: Frame) -> RoundView:
    """The inspection round with its table of findings in front."""
    frame.show_view("round")
    view = frame.pages["round"]
    assert isinstance(view, RoundView)
    view.registers.setCurrentWidget(view.findings)
    return view


def choose(box: QComboBox, number: int) -> str:
    box.setCurrentIndex(number)
    box.activated.emit(number)
    return str(box.currentData())


def test_the_table_holds_every_finding_and_each_choice_takes_the_others_out(
    no_bores: None, one_vessel: Frame
) -> None:
    page = round_of(one_vessel).findings
    assessment = one_vessel.session.assessment
    assert assessment is not None
    everything = len(assessment.findings)
    assert page.table.rowCount() == everything
    for way, column in ((SEVERITY, 0), (PART, 1), (RULE, 2)):
        box = page.choices[way]
        seen = 0
        for number in range(1, box.count()):
            word = choose(box, number)
            seen += page.table.rowCount()
            cells = [page.table.item(row, column) for row in range(page.table.rowCount())]
            assert all(cell is not None and cell.text().endswith(word) for cell in cells)
        assert seen == everything
        choose(box, 0)
    page.filter.setText("nothing holds these words")
    assert page.table.rowCount() == 0
    assert str(everything) in page.title.text()
    page.filter.clear()


def test_a_second_click_on_a_row_opens_the_source(
    no_bores: None, qtbot: QtBot, one_vessel: Frame
) -> None:
    page = round_of(one_vessel).findings
    page.table.cellActivated.emit(0, 0)
    finding = page.table.current_key() or page._chosen
    assert one_vessel.session.chosen == (page._chosen.part or None)  # type: ignore[union-attr]
    assert one_vessel.stack.currentWidget() is one_vessel.pages["round"]
    page.table.cellActivated.emit(0, 0)
    facts = one_vessel.work.facts
    assert one_vessel.stack.currentWidget() is one_vessel.work
    assert facts.source.isVisible()
    assert finding is not None
    assert page._chosen.rule in facts.source.toPlainText()  # type: ignore[union-attr]


def test_a_second_click_on_a_card_opens_the_source(
    no_bores: None, qtbot: QtBot, one_vessel: Frame
) -> None:
    cards, facts = one_vessel.work.strip.findings.cards, one_vessel.work.facts
    qtbot.mouseClick(cards[0], Qt.MouseButton.LeftButton)
    assert not facts.source.isVisible()
    qtbot.mouseClick(cards[0], Qt.MouseButton.LeftButton)
    assert facts.source.isVisible()
    qtbot.mouseClick(cards[1], Qt.MouseButton.LeftButton)  # another finding, a first click
    one_vessel.session.choose(None)
    assert not facts.source.isVisible()


def test_the_strip_shows_the_findings_in_the_order_that_is_asked_for(
    no_bores: None, one_vessel: Frame
) -> None:
    strip = one_vessel.work.strip
    before = [card.card.heading for card in strip.findings.cards if card.isVisible()]
    next(one for one in strip.orders.actions() if one.data() == RULE).trigger()
    titles = [one.rule for one in strip._findings]
    after = [card.card.heading for card in strip.findings.cards if card.isVisible()]
    assert sorted(before) == sorted(after)
    assert len(titles) == len(after)
    assert strip.order.toolTip()
    next(one for one in strip.orders.actions() if one.data() == SEVERITY).trigger()
    assert [card.card.heading for card in strip.findings.cards if card.isVisible()] == before


def test_the_register_shows_the_last_renewal_and_sorts_by_it(
    no_bores: None, one_vessel: Frame
) -> None:
    view = round_of(one_vessel)
    view.registers.setCurrentIndex(0)
    heads = [view.register.horizontalHeaderItem(n).text() for n in range(9)]  # type: ignore[union-attr]
    column = heads.index("Last renewal")
    assessment = one_vessel.session.assessment
    assert assessment is not None
    assert assessment.upkeep[0].last_renewed is not None
    cell = view.register.item(0, column)
    assert cell is not None
    assert cell.text() == "2026-10-01"
    view.register.sort_by(column)
    assert view.register.rowCount() == len(assessment.upkeep)


@pytest.mark.parametrize("lock", ["review_only", "read_only"])
def test_locked_fields_look_locked_and_say_so(no_bores: None, one_vessel: Frame, lock: str) -> None:
    document, form = one_vessel.session.document, one_vessel.work.facts.form
    assert document is not None
    one_vessel.session.choose("R1")
    row = form.rows[("vessel", "wall_thickness")]
    assert not row.editor.property("locked")
    setattr(document, lock, True)
    form.refresh()
    form.refresh()  # once more does not say it twice
    assert row.editor.property("locked")
    assert isinstance(row.editor, TextEditor)
    assert row.editor.isReadOnly()
    assert row.origin.text().count("locked") == 1
    assert row.editor.accessibleDescription().startswith("Locked")
    page = form._page
    assert page is not None
    assert page.locked.isVisibleTo(page)
    assert page.locked.text()
    setattr(document, lock, False)
    form.refresh()
    assert not row.editor.property("locked")
    assert not row.origin.text().endswith("locked")
    assert not page.locked.isVisibleTo(page)
