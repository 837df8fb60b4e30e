"""The look of the whole program: put on once, and not again while nothing of it changes."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from airrisk.window.theme import FONT_POINTS, apply_theme, set_text_size

KINDS = (QEvent.Type.StyleChange, QEvent.Type.PaletteChange, QEvent.Type.FontChange)


class Noting(QObject):
    """Notes how often a widget is dressed."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: list[QEvent.Type] = []

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() in KINDS:
            self.seen.append(event.type())
        return False


@pytest.fixture
def label(qtbot: QtBot, qapp: QApplication) -> Iterator[QLabel]:
    label = QLabel("8 bar(g)")
    qtbot.addWidget(label)
    label.show()
    qapp.processEvents()
    yield label
    set_text_size(100)
    apply_theme(qapp, dark=False)


def test_the_same_look_dresses_nothing_again(qapp: QApplication, label: QLabel) -> None:
    """A large window took more than a second for it."""
    noting = Noting()
    label.installEventFilter(noting)
    assert not apply_theme(qapp, dark=False).dark
    qapp.processEvents()
    assert not noting.seen
    assert apply_theme(qapp, dark=True).dark
    qapp.processEvents()
    assert QEvent.Type.PaletteChange in noting.seen
    assert noting.seen.count(QEvent.Type.StyleChange) == 1


@pytest.mark.parametrize("percent", [125, 200])
def test_another_size_of_text_reaches_what_is_shown(
    qapp: QApplication, label: QLabel, percent: int
) -> None:
    set_text_size(percent)
    apply_theme(qapp, dark=False)
    qapp.processEvents()
    assert label.font().pointSizeF() == pytest.approx(FONT_POINTS * percent / 100)
