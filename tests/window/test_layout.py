"""No visible text is cut off or overlapped, in both looks and at all window sizes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QObject, QPoint, QRect, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QStyle,
    QStyleOptionComboBox,
    QTabBar,
    QToolButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from airrisk.window.answers_panel import ENERGY, TEMPERATURES
from airrisk.window.frame import Frame
from airrisk.window.theme import DARK, LIGHT, _sheet, set_text_size
from airrisk.window.views import VIEWS
from tests.window.conftest import ONE_VESSEL, in_every_language
from tests.window.processes import run

INSIDE = 4  # px of a field beside its text
SIZES = ((960, 540), (1024, 700), (1280, 800), (1920, 1080))


def texts_on_screen(frame: QWidget) -> Iterator[tuple[QWidget, str]]:
    """Every label and button that can be seen, with its text."""
    for widget in frame.findChildren(QWidget):
        if not isinstance(widget, (QLabel, QAbstractButton)) or not widget.isVisible():
            continue
        text = widget.text().replace("&", "")
        if text.strip() and widget.visibleRegion().boundingRect().height() > 0:
            yield widget, text


def cut_off(widget: QWidget, text: str) -> str:
    """Why a text does not fit into its widget; empty when it does."""
    if isinstance(widget, QPushButton) and widget.width() < widget.sizeHint().width() - 1:
        return f"needs {widget.sizeHint().width()} px with its margins, has {widget.width()}"
    metrics = widget.fontMetrics()
    area = widget.contentsRect()
    if isinstance(widget, QLabel) and widget.wordWrap():
        need = metrics.boundingRect(
            QRect(0, 0, area.width(), 10_000), int(Qt.TextFlag.TextWordWrap), text
        )
        if need.height() > area.height() + 2:
            return f"needs {need.height()} px of height, has {area.height()}"
        return ""
    room = area.width() - (4 if isinstance(widget, (QPushButton, QToolButton)) else 0)
    need_width = max(metrics.horizontalAdvance(line) for line in text.splitlines())
    return f"needs {need_width} px, has {room}" if need_width > room + 1 else ""


def cut_heads(frame: QWidget) -> Iterator[str]:
    """Heads of columns of which a word does not fit into its column."""
    for header in frame.findChildren(QHeaderView):
        model = header.model()
        if header.orientation() != Qt.Orientation.Horizontal or not header.isVisible() or not model:
            continue
        wide = header.fontMetrics().horizontalAdvance
        for column in range(header.count()):
            text = str(model.headerData(column, Qt.Orientation.Horizontal) or "")
            need = max((wide(word) for word in text.split()), default=0)
            if not header.isSectionHidden(column) and need > header.sectionSize(column) - 2:
                yield f"head {text!r} needs {need} px, has {header.sectionSize(column)}"


def cut_choices(frame: QWidget) -> Iterator[str]:
    """What is chosen, would be typed or can be turned to, and is not to be read in full."""
    for box in frame.findChildren(QComboBox):
        if box.isVisible() and box.lineEdit() is None:
            option = QStyleOptionComboBox()
            box.initStyleOption(option)
            part = QStyle.SubControl.SC_ComboBoxEditField
            kind = QStyle.ComplexControl.CC_ComboBox
            room = box.style().subControlRect(kind, option, part, box).width()
            need = box.fontMetrics().horizontalAdvance(box.currentText())
            if need > room:
                yield f"choice {box.currentText()!r} needs {need} px, has {room}"
    for field in frame.findChildren(QLineEdit):
        if field.isVisible() and field.placeholderText() and not field.text():
            room = field.contentsRect().width() - INSIDE
            need = field.fontMetrics().horizontalAdvance(field.placeholderText())
            if need > room:
                yield f"field {field.placeholderText()!r} needs {need} px, has {room}"
    for bar in frame.findChildren(QTabBar):
        if bar.isVisible() and bar.sizeHint().width() > bar.width():
            yield f"tabs {bar.tabText(0)!r} need {bar.sizeHint().width()} px, have {bar.width()}"


def overlapping(frame: QWidget) -> list[str]:
    """Pairs of sibling texts or inputs that stand on one another."""
    found = []
    kinds = (QLabel, QAbstractButton, QLineEdit, QComboBox)
    by_parent: dict[QWidget, list[QWidget]] = {}
    for widget in frame.findChildren(QWidget):
        if isinstance(widget, kinds) and widget.isVisible() and not widget.size().isEmpty():
            parent = widget.parentWidget()
            if parent is not None and not isinstance(parent, kinds):
                by_parent.setdefault(parent, []).append(widget)
    for siblings in by_parent.values():
        for number, first in enumerate(siblings):
            for second in siblings[number + 1 :]:
                if first.geometry().adjusted(1, 1, -1, -1).intersects(second.geometry()):
                    found.append(f"{first} {second}")
    return found


def test_every_text_fits_on_a_screen_of_twice_as_many_points(tmp_path: Path) -> None:
    """As a process of its own, since the scale of the screen is read once; English is enough."""
    name = f"{__file__}::test_every_text_fits_in_every_view_and_size[en]"
    quietly = ("-q", "-n", "0", "-p", "no:cacheprovider")
    found = run(tmp_path, "-m", "pytest", *quietly, name, QT_SCALE_FACTOR="2")
    assert found.returncode == 0, found.stdout
    assert "1 passed" in found.stdout


def test_the_two_looks_differ_in_their_colours_only() -> None:
    """What fits in one look fits in the other, so that one of them is measured."""
    light, dark = (re.sub(r"#[0-9A-Fa-f]{6}", "colour", _sheet(one)) for one in (LIGHT, DARK))
    assert light == dark


@in_every_language
def test_every_text_fits_in_every_view_and_size(
    qtbot: QtBot, qapp: QApplication, make_frame: Callable[[], Frame],
    answered: Callable[[Frame], None],
) -> None:  # fmt: skip
    frame = make_frame()
    problems = []
    for stage in ("welcome", *VIEWS):
        if stage == "work":
            frame.files.start_with(ONE_VESSEL)
            answered(frame)
        if stage != "welcome":
            frame.show_view(stage)
        for width, height in SIZES:
            frame.resize(width, height)
            qtbot.waitUntil(lambda w=width, h=height: (frame.width(), frame.height()) == (w, h))
            for _ in range(3):
                qapp.processEvents()
            for widget, text in texts_on_screen(frame):
                why = cut_off(widget, text)
                if why:
                    problems.append(f"{stage} {width}x{height}: {text[:60]!r} {why}")
            problems += [f"{stage} {width}x{height}: {pair}" for pair in overlapping(frame)]
            problems += [f"{stage} {width}x{height}: {head}" for head in cut_heads(frame)]
            problems += [f"{stage} {width}x{height}: {text}" for text in cut_choices(frame)]
    assert not problems, "\n".join(problems)


@in_every_language
def test_the_window_fits_a_small_screen(frame: Frame) -> None:
    frame.resize(960, 540)  # full HD at 200 %
    assert (frame.width(), frame.height()) == (960, 540)
    assert frame.mapToGlobal(QPoint(0, 0)).y() >= 0


@in_every_language
def test_every_input_has_a_name_that_can_be_read_out(one_vessel: Frame) -> None:
    nameless = []
    for view in VIEWS:
        one_vessel.show_view(view)
    for widget in one_vessel.findChildren(QWidget):
        if isinstance(widget, (QLineEdit, QComboBox)):
            inside = isinstance(widget.parentWidget(), QComboBox)
            if not widget.accessibleName() and not inside:
                nameless.append(f"{widget} in {widget.parentWidget()}")
    assert not nameless, "\n".join(nameless)


@in_every_language
def test_every_field_has_a_buddy_with_a_key_and_its_unit(one_vessel: Frame) -> None:
    rows = one_vessel.work.facts.form.rows
    assert rows
    keys = [row.label.text() for row in rows.values()]
    assert sum("&" in text for text in keys) >= 12
    for row in rows.values():
        assert row.label.buddy() is row.editor
    assert "bar(g)" in rows[("vessel", "pressure")].editor.accessibleName()


def test_the_tab_key_goes_through_the_fields_in_their_order(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    rows = list(one_vessel.work.facts.form.rows.values())
    rows[0].editor.setFocus()
    for row in rows[1:6]:
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        assert QApplication.focusWidget() is row.editor


@in_every_language
@pytest.mark.parametrize("view", ["welcome", "round", "reach", "tryout", "doubt", "paper"])
def test_no_two_things_of_a_view_answer_the_same_key(frame: Frame, view: str, quick: None) -> None:
    """Property: a key with Alt leads to one thing, also beside the menus."""
    if view != "welcome":
        frame.files.start_with(ONE_VESSEL)
        frame.show_view(view)
    page = frame.welcome if view == "welcome" else frame.pages[view]
    texts = [action.text() for action in frame.menuBar().actions()]
    texts += [label.text() for label in page.findChildren(QLabel) if label.buddy() is not None]
    texts += [button.text() for button in page.findChildren(QAbstractButton)]
    keys: dict[str, str] = {}
    for text in texts:
        key = QKeySequence.mnemonic(text).toString()
        assert not key or key not in keys, f"{key}: {keys[key]} and {text}"
        if key:
            keys[key] = text


@in_every_language
def test_the_answers_of_a_first_vessel_fit_a_small_window(
    qtbot: QtBot, frame: Frame, answered: Callable[[Frame], None]
) -> None:
    frame.resize(1024, 700)
    frame.welcome.first_vessel.volume.setText("2000 L")
    frame.welcome.first_vessel.make()
    answered(frame)
    answers = frame.work.answers
    for ruler in (answers.ruler, answers.times):
        qtbot.waitUntil(lambda ruler=ruler: ruler.height() >= ruler.minimumSizeHint().height())
    answers.show_chart(TEMPERATURES)
    qtbot.waitUntil(lambda: answers.chart.height() >= 220)
    answers.show_chart(ENERGY)
    bars = answers.chart._bars
    qtbot.waitUntil(lambda: bars.height() >= bars.minimumSizeHint().height())


def test_the_keyboard_begins_at_the_first_question(frame: Frame) -> None:
    frame.activateWindow()
    assert QApplication.focusWidget() is frame.welcome.first_vessel.sort


def test_the_tab_key_leads_from_the_form_into_its_fields(one_vessel: Frame) -> None:
    form = one_vessel.work.facts.form
    place: QWidget = form
    for _ in range(4):  # the page of the form does not take the keyboard
        place = place.nextInFocusChain()
        if place is form.rows[("vessel", "id")].editor:
            return
    pytest.fail("the fields are not next to the form")


def test_no_view_shows_a_window_of_its_own_while_it_is_made(
    quick: None, qtbot: QtBot, frame: Frame
) -> None:
    frame.files.start_with(ONE_VESSEL)
    shown: list[QWidget] = []

    class Watch(QObject):
        def eventFilter(self, watched: QObject, event: QEvent) -> bool:
            if event.type() == QEvent.Type.Show and isinstance(watched, QWidget):
                shown.extend([watched] if watched.isWindow() else [])
            return False

    watch = Watch()
    QApplication.instance().installEventFilter(watch)  # type: ignore[union-attr]
    try:
        for view in VIEWS:
            frame.show_view(view)
    finally:
        QApplication.instance().removeEventFilter(watch)  # type: ignore[union-attr]
    assert not shown


@in_every_language
@pytest.mark.parametrize(("percent", "width", "height"), [(150, 1440, 900), (200, 1920, 1080)])
def test_every_text_fits_when_it_is_written_larger(
    qtbot: QtBot, qapp: QApplication, one_vessel: Frame, percent: int, width: int, height: int
) -> None:
    frame = one_vessel
    try:
        frame.menus.actions[f"text {percent}"].trigger()
        assert qapp.font().pointSizeF() == pytest.approx(9.0 * percent / 100)
        problems = []
        for view in VIEWS:
            frame.show_view(view)
            frame.resize(width, height)
            qtbot.waitUntil(lambda: (frame.width(), frame.height()) == (width, height))
            for _ in range(3):
                qapp.processEvents()
            for widget, text in texts_on_screen(frame):
                why = cut_off(widget, text)
                if why:
                    problems.append(f"{view}: {text[:60]!r} {why}")
            problems += [f"{view}: {pair}" for pair in overlapping(frame)]
            problems += [f"{view}: {text}" for text in cut_choices(frame)]
        assert not problems, "\n".join(problems)
    finally:
        set_text_size(100)


@pytest.mark.parametrize("view", list(VIEWS))
def test_the_keyboard_goes_into_a_view_that_is_turned_to(
    qtbot: QtBot, one_vessel: Frame, view: str
) -> None:
    frame = one_vessel
    frame.activateWindow()
    frame.show_view("text" if view != "text" else "work")
    number = list(VIEWS).index(view) + 1
    qtbot.keyClick(frame, getattr(Qt.Key, f"Key_{number}"), Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: frame.stack.currentWidget() is frame.pages.get(view))
    page = frame.pages[view]
    qtbot.waitUntil(lambda: page.isAncestorOf(QApplication.focusWidget()))


@in_every_language
def test_the_plan_shows_people_who_stand_near_in_full(quick: None, frame: Frame) -> None:
    people = '\n[[people]]\nid = "Bench"\nkind = "work place"\nat = [6.0, 0.0]\n'
    frame.files.start_with(ONE_VESSEL + people)
    frame.resize(1280, 800)
    frame.work.plan.show_mode("site plan")
    plan = frame.work.plan.view
    item = plan.plan.items_by_name["Bench"]
    seen = plan.mapToScene(plan.viewport().rect()).boundingRect()
    assert seen.contains(item.sceneBoundingRect())
