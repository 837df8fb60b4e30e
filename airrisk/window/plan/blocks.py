"""The answer that a part carries in the drawing: shape, word and margin in a small block.

Filled: not safe. Outlined: safe, dashed where it is not sure. Hatched and grey: no answer, or one
of the file as it was before the last change.
"""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from airrisk.window.plan.lettering import name_font, name_width
from airrisk.window.theme import colours
from airrisk.window.tones import verdict_tone
from airrisk.wording.part_answers import PartAnswer
from airrisk.wording.schematic.pieces import BLOCK_AIR, LINE

ROUND = 3.0  # px, of its corners


def is_filled(answer: PartAnswer) -> bool:
    """Whether the block is filled: of an answer that counts, and is not safe."""
    return answer.safe is False and not answer.old


def is_hatched(answer: PartAnswer) -> bool:
    """Whether nothing may be read from it as of now."""
    return answer.old or answer.safe is None


def block_colours(answer: PartAnswer) -> tuple[str, str]:
    """Ground and ink of a block."""
    theme = colours()
    tone = "quiet" if answer.old else verdict_tone(answer.safe, answer.sure, answer.outcome)
    ink = str(getattr(theme, tone))
    return (ink, theme.accent_text) if is_filled(answer) else (theme.surface, ink)


def texts_of(answer: PartAnswer, name: str = "") -> list[str]:
    """The lines of a block, with the name of its part where it may stand away from it."""
    heading = f"{name} {answer.heading}" if name else answer.heading
    return [text for text in (heading, answer.margin) if text]


def block_size(texts: list[str], letters: float) -> tuple[float, float]:
    """Width and height that some lines take."""
    wide = max((name_width(text, letters) for text in texts), default=0.0)
    return wide + 2 * BLOCK_AIR, LINE * letters * len(texts) + BLOCK_AIR


def block_frame(room: QRectF, owner: QRectF, texts: list[str], letters: float) -> QRectF:
    """As much of the room as what is said takes, close to whose answer it is."""
    wide, high = block_size(texts, letters)
    frame = QRectF(room.left(), room.top(), min(wide, room.width()), min(high, room.height()))
    if room.right() <= owner.left():
        frame.moveRight(room.right())
    elif room.left() < owner.right():
        frame.moveLeft(room.center().x() - frame.width() / 2)
    if room.bottom() <= owner.center().y():  # close to the line below it
        frame.moveBottom(room.bottom())
    return frame


def paint_answer(
    painter: QPainter, frame: QRectF, answer: PartAnswer, texts: list[str], letters: float
) -> None:
    """Paint a block."""
    theme = colours()
    ground, ink = block_colours(answer)
    painter.setBrush(QColor(ground))
    pen = QPen(QColor(ink), 1.4)
    if is_hatched(answer):
        pen.setStyle(Qt.PenStyle.DotLine)
    elif answer.safe and not answer.sure:
        pen.setStyle(Qt.PenStyle.DashLine)
    painter.setPen(pen)
    frame = frame.adjusted(1, 1, -1, -1)
    painter.drawRoundedRect(frame, ROUND, ROUND)
    if is_hatched(answer):
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QBrush(QColor(theme.line), Qt.BrushStyle.BDiagPattern))
        painter.drawRoundedRect(frame, ROUND, ROUND)
    painter.setPen(QColor(ink))
    high = frame.height() / max(len(texts), 1)
    for number, text in enumerate(texts):
        painter.setFont(name_font(letters, bold=number == 0))
        place = QRectF(frame.left(), frame.top() + number * high, frame.width(), high)
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, text)
