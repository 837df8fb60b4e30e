"""A line below the drawing in which parts are typed: what it understands stands above it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QRect, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QWidget

from airrisk.installation.fields import spec
from airrisk.window.tones import set_tone
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr
from airrisk.wording.units import with_decimals
from airrisk.wording.valve_ends import end_names

if TYPE_CHECKING:
    from airrisk.editing.typed_part import Understood
    from airrisk.installation.model import Installation
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.session import Session

MOST_KEPT = 50  # lines that the up key brings back
GAP = 6  # px
SETTLED = 80  # ms after the last letter


def value_told(value: object) -> str:
    """A value of a field as it was typed or chosen."""
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return choice_word(with_decimals(str(value)) if str(value)[:1].isdigit() else str(value))


def _fields_told(kind: str, fields: Mapping[str, object], ends: Mapping[str, str]) -> str:
    pieces = []
    for key, value in fields.items():
        label = labels.uncapitalised(tr(spec(kind, key).label))
        if (kind, key) == ("valve", "end"):
            pieces.append(ends.get(str(value), str(value)))
        else:
            pieces.append(f"{label} {value_told(value)}")
    return ", ".join(pieces)


def told_part(found: Understood, installation: Installation | None) -> str:
    """What a line makes, in whole sentences: what was said, what was assumed, what is offered."""
    kind = f"{labels.sentence(labels.part_kind(found.kind))} {found.name}"
    on = str(found.fields.get("on", ""))
    ends = {} if installation is None else end_names(installation, on)
    said = _fields_told(found.kind, found.fields, ends)
    told = [tr("{part}: {values}.").format(part=kind, values=said) if said else f"{kind}."]
    if found.gauge:
        told.append(tr("A pressure that says neither gauge nor absolute is read as gauge."))
    if found.offered:
        filled = _fields_told(found.kind, found.offered, ends)
        if found.is_offered:
            told.append(tr("Offered, not confirmed: {values}.").format(values=filled))
        else:
            told.append(
                tr("Assumed, and counts as typed: {values}. Change what is not so.").format(
                    values=filled
                )
            )
    return " ".join(told)


class TypingLine(QLineEdit):
    """Return makes the part, Esc goes back to the drawing, up brings the last line back."""

    left = Signal()  # the keyboard goes back to the drawing

    def __init__(self, session: Session, edits: PartEdits, parent: QWidget) -> None:
        super().__init__(parent)
        self._session = session
        self._edits = edits
        self._lines: list[str] = []
        self._back = 0  # how far up in the lines
        self.setAccessibleName(tr("Type a part"))
        self.setPlaceholderText(tr("Type a part: receiver 3 m3 11 bar"))
        self.setToolTip(
            tr(
                "A kind of part and what is known of it, for example: receiver 3 m3 11 bar; "
                "line R1 R2 12 m DN50; plug on R1 tin 10 mm. Return adds it (Ctrl+T)"
            )
        )
        self.setClearButtonEnabled(True)
        self.told = QLabel(parent)
        self.told.setWordWrap(True)
        self.told.setTextFormat(Qt.TextFormat.PlainText)
        self.told.setProperty("frame", "told")
        self.told.setAutoFillBackground(True)
        self.told.setContentsMargins(GAP, 3, GAP, 3)
        self.told.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.told.hide()
        parent.installEventFilter(self)
        self._settled = QTimer(self)
        self._settled.setSingleShot(True)
        self._settled.setInterval(SETTLED)
        self._settled.timeout.connect(self.refresh)
        self.textChanged.connect(self._typed)
        self.returnPressed.connect(self.take)
        session.chosen_changed.connect(self.refresh)
        session.document_changed.connect(self.refresh)

    def _typed(self, text: str) -> None:
        """A large file takes longer to look at than the next letter to come."""
        if text.strip():
            self._settled.start()
        else:
            self.refresh()

    def begin(self, text: str = "") -> None:
        """Put the keyboard here, with the first letter that was typed elsewhere."""
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        if text:
            self.setText(self.text() + text)

    def take(self) -> None:
        """Make the part; what has a mistake stays as it was typed."""
        line = self.text().strip()
        if not line or not self._edits.type_part(line):
            self.refresh()
            return
        self._lines = [*self._lines[-MOST_KEPT:], line]
        self._back = 0
        self.clear()

    def refresh(self) -> None:
        """Say what the line would make, or what is not understood."""
        self._settled.stop()
        document = self._session.document
        locked = document is None or document.read_only or document.review_only
        self.setEnabled(not locked)
        line = self.text().strip()
        self.told.setVisible(bool(line) and not locked)
        if not line or locked:
            return
        found = self._edits.understand(line)
        if found.mistakes:
            self._say("✖ " + "; ".join(tr(one) for one in found.mistakes), "danger")
        else:
            drawn = self._session.installation or self._session.drawn
            self._say(tr("{told} Return adds it.").format(told=told_part(found, drawn)), "")

    def _say(self, text: str, tone: str) -> None:
        self.told.setText(text)
        self.setAccessibleDescription(text)
        set_tone(self.told, tone)
        self._place()

    def _place(self) -> None:
        """Above the line, over the drawing, which so keeps its place while somebody types."""
        holder = self.parentWidget()
        if holder is None:
            return
        width = holder.width() - 2 * GAP
        height = self.told.heightForWidth(width)
        self.told.setGeometry(QRect(GAP, self.y() - height - 2, width, height))
        self.told.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() in (QEvent.Type.Resize, QEvent.Type.LayoutRequest):
            self._place()
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.clear()
            self.left.emit()
        elif event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down) and self._lines:
            step = 1 if event.key() == Qt.Key.Key_Up else -1
            self._back = min(max(self._back + step, 0), len(self._lines))
            self.setText(self._lines[-self._back] if self._back else "")
        else:
            super().keyPressEvent(event)
            return
        event.accept()
