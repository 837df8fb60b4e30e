"""The border between two widgets stays where a person has put it."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QLabel, QWidget

from airrisk.window.divided import Divided


def test_the_program_sets_the_border_until_a_person_has_moved_it(qtbot):
    holder = QWidget()
    qtbot.addWidget(holder)
    view = Divided(Qt.Orientation.Horizontal, QLabel("left"), QLabel("right"))
    view.setParent(holder)
    holder.resize(800, 200)
    view.resize(800, 200)
    holder.show()
    view.give_first(300, view.width())
    assert abs(view.sizes()[0] - 300) <= view.handleWidth()
    handle = view.handle(1)
    middle = handle.rect().center()
    qtbot.mousePress(handle, Qt.MouseButton.LeftButton, pos=middle)
    qtbot.mouseMove(handle, middle + QPoint(120, 0))
    qtbot.mouseRelease(handle, Qt.MouseButton.LeftButton, pos=middle + QPoint(120, 0))
    moved = view.sizes()[0]
    assert moved > 380
    view.give_first(300, view.width())
    assert view.sizes()[0] == moved
