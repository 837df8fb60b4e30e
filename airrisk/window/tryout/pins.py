"""Pinned cases side by side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from airrisk.installation.fields import FIELDS
from airrisk.window.tables import TextTable
from airrisk.wording import labels
from airrisk.wording.sentences import outcome_text
from airrisk.wording.units import Units, number_text, quantity_text, time_text

if TYPE_CHECKING:
    from airrisk.window.tryout.live import TryOutAnswer


def _tr(text: str) -> str:
    return QCoreApplication.translate("TryOut", text)


def _field_label(key: str) -> str:
    """The name of a field that has a knob."""
    return next(
        one.label for kind in ("vessel", "line", "plug", "fire") for one in FIELDS[kind]
        if one.key == key
    )  # fmt: skip


def changes_text(changes: Mapping[tuple[str, str], str]) -> str:
    """What was tried, in words: "R1 wall thickness 3 mm"."""
    return ", ".join(
        f"{part} {_field_label(field).casefold()} {value}"
        for (part, field), value in changes.items()
    )


@dataclass(frozen=True)
class Pin:
    """One kept case: its changes and its answer."""

    changes: Mapping[tuple[str, str], str]
    answer: TryOutAnswer


class Pins(TextTable):
    """The table of pinned cases."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(
            _tr("Pinned cases"),
            (
                _tr("Case"), _tr("Outcome"), _tr("First opens"), _tr("Ruptures without"),
                _tr("Highest use"), _tr("Highest pressure"), _tr("Rupture at"),
            ),
            0,
            parent,
        )  # fmt: skip
        self.pins: list[Pin] = []

    def add(self, pin: Pin, units: Units) -> None:
        """Pin one more case."""
        self.pins.append(pin)
        self.show_pins(units)

    def forget(self) -> None:
        """Drop all pinned cases."""
        self.pins.clear()
        self.show_rows((), ())

    def show_pins(self, units: Units) -> None:
        """Fill the table in these units."""
        rows, tones = [], []
        for pin in self.pins:
            fire, part = pin.answer.fire, pin.answer.part
            name = changes_text(pin.changes)
            if fire is None:
                outcome, tone = _tr("– not assessed"), ""
                first = without = use = pressure = ""
            else:
                shape = labels.answer_shape(fire.outcome, fire.safe)
                outcome = f"{shape} {outcome_text(fire)}"
                tone = "sound" if fire.safe else "danger"
                first = _tr("never") if fire.first_vent_s is None else time_text(fire.first_vent_s)
                bare = fire.time_to_rupture_without_vent_s
                without = _tr("never") if bare is None else time_text(bare)
                use = (
                    "" if fire.peak_strength_use is None else number_text(fire.peak_strength_use, 3)
                )
                pressure = quantity_text(fire.peak_pressure_pa, "pressure", units, 3)
            rupture = (
                _tr("never in range")
                if part.rupture_temperature_k is None
                else quantity_text(part.rupture_temperature_k, "temperature", units, 3)
            )
            rows.append(
                (name or _tr("as in the file"), outcome, first, without, use, pressure, rupture)
            )
            tones.append(tone)
        self.show_rows(rows, [None] * len(rows), tones, right=(2, 3, 4, 5, 6), toned=(1,))

    def wanted_height(self) -> int:
        """Pixels for the heading and every row."""
        return self.horizontalHeader().sizeHint().height() + self.verticalHeader().length() + 2


class PinnedCases(QWidget):
    """The table under a heading that opens and closes it."""

    folded = Signal()  # opened or closed by hand

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.table = Pins()
        self.heading = QPushButton()
        self.heading.setProperty("fold", True)
        self.heading.setToolTip(_tr("Open or close the table of pinned cases"))
        self.heading.clicked.connect(self._clicked)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 4, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self.heading)
        layout.addWidget(self.table, 1)
        self._open = True
        self.refresh()

    @property
    def is_open(self) -> bool:
        """Whether the table is shown, once there is a case in it."""
        return self._open

    def set_open(self, is_open: bool) -> None:
        """Show the table under its heading, or the heading only."""
        self._open = is_open
        self.refresh()

    def _clicked(self) -> None:
        self.set_open(not self._open)
        self.folded.emit()

    def refresh(self) -> None:
        """Name the cases; while there are none say how to get one."""
        count = len(self.table.pins)
        self.table.setVisible(self._open and count > 0)
        self.heading.setEnabled(count > 0)
        if count == 0:
            self.heading.setText(
                _tr("No pinned case yet: Pin puts the present one here, to compare.")
            )
            return
        arrow = "▾" if self._open else "▸"
        self.heading.setText(_tr("{arrow} Pinned &cases: {n}").format(arrow=arrow, n=count))

    def add(self, pin: Pin, units: Units) -> None:
        """Pin one more case; the newest row is in sight."""
        self.table.add(pin, units)
        self.refresh()
        self.table.scrollToBottom()

    def forget(self) -> None:
        """Drop all pinned cases."""
        self.table.forget()
        self.refresh()

    def wanted_height(self) -> int:
        """Pixels for all of it, as far as it is open."""
        layout = self.layout()
        assert layout is not None
        margins = layout.contentsMargins()
        need = self.heading.sizeHint().height() + margins.top() + margins.bottom()
        if self._open and self.table.pins:
            need += layout.spacing() + self.table.wanted_height()
        return need
