"""Whoever looks for a field must find it: WCAG 2.1, 1.4.11, non-text contrast of at least 3:1."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QRect
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QDoubleSpinBox,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QStyle,
    QStyleOptionButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)
from pytestqt.qtbot import QtBot

from airrisk.window.theme import Colours, apply_theme
from tests.window.contrast import SHAPE, contrast

DEPTH = 4  # px from the edge inward in which the border must be
CONTROLS: tuple[Callable[[], QWidget], ...] = (
    QLineEdit, QComboBox, QDoubleSpinBox, QPlainTextEdit, QPushButton, QToolButton, QCheckBox,
)  # fmt: skip


def indicator(control: QWidget) -> QRect:
    """What has the border: of what is ticked, the place to tick."""
    if not isinstance(control, QCheckBox):
        return control.rect()
    option = QStyleOptionButton()
    control.initStyleOption(option)
    kind = QStyle.SubElement.SE_CheckBoxIndicator
    return control.style().subElementRect(kind, option, control)


def edges(image: QImage, box: QRect) -> dict[str, list[QColor]]:
    """The pixels from the middle of each edge inward, and what lies just outside."""
    scale = round(image.devicePixelRatio())
    box = QRect(box.topLeft() * scale, box.size() * scale)
    middle = box.center()
    steps = range(-1, DEPTH * scale)
    return {
        "left": [image.pixelColor(box.left() + n, middle.y()) for n in steps],
        "right": [image.pixelColor(box.right() - n, middle.y()) for n in steps],
        "top": [image.pixelColor(middle.x(), box.top() + n) for n in steps],
        "bottom": [image.pixelColor(middle.x(), box.bottom() - n) for n in steps],
    }


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("ground", ["window", "surface", "raised"])
@pytest.mark.parametrize("enabled", [True, False])
def test_every_control_has_a_border_that_can_be_seen_on_every_ground(
    qtbot: QtBot, qapp: QApplication, dark: bool, ground: str, enabled: bool
) -> None:
    """Pixels of the window as it is painted."""
    theme = apply_theme(qapp, dark)
    place = QWidget()
    qtbot.addWidget(place)
    place.setProperty("ground", ground)
    place.setAutoFillBackground(True)
    layout = QVBoxLayout(place)
    controls = [make() for make in CONTROLS]
    for control in controls:
        control.setEnabled(enabled)
        layout.addWidget(control)
    place.resize(200, 320)
    image = place.grab().toImage()
    faint = []
    for control in controls:
        box = indicator(control).translated(control.pos())
        for edge, (outside, *inward) in edges(image, box).items():
            assert outside.name() == getattr(theme, ground).lower()
            best = max(contrast(one, outside) for one in inward)
            if best < SHAPE:
                faint.append(f"{type(control).__name__} {edge}: {best:.2f}")
    assert not faint, faint


@pytest.mark.parametrize("dark", [False, True])
def test_the_border_of_the_theme_stands_out_from_all_its_grounds(
    qapp: QApplication, dark: bool
) -> None:
    theme: Colours = apply_theme(qapp, dark)
    for ground in (theme.window, theme.surface, theme.raised):
        assert contrast(theme.border, ground) >= SHAPE
