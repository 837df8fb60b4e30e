"""Pinned cases side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from airrisk.installation.fields import FIELDS
from airrisk.window.tables import TextTable
from airrisk.window.tones import verdict_tone
from airrisk.wording import labels
from airrisk.wording.margins import share_text, surety_text, worst_load
from airrisk.wording.sentences import outcome_text
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, quantity_text, time_text, with_decimals

if TYPE_CHECKING:
    from airrisk.study.records import FireRecord
    from airrisk.window.tryout.live import TryOutAnswer

OUTCOME = 1  # its column
Told = Callable[[float], str]


def _field_label(key: str) -> str:
    """The name of a field that has a knob."""
    return next(
        tr(one.label) for kind in ("vessel", "line", "plug", "fire") for one in FIELDS[kind]
        if one.key == key
    )  # fmt: skip


def _shown(field: str, value: str) -> str:
    return value if field == "alloy" else with_decimals(value)


def changes_text(changes: Mapping[tuple[str, str], str]) -> str:
    """What was tried, in words: "R1 wall thickness 3 mm"."""
    return ", ".join(
        f"{part} {labels.uncapitalised(_field_label(field))} {_shown(field, value)}"
        for (part, field), value in changes.items()
    )


@dataclass(frozen=True)
class Pin:
    """One kept case: its changes, its answer, and which question was asked about them.

    ``final``: the answer is whole and the one to these changes; else it is still to come.
    ``trial``: number of the tried cure that it was pinned for, whose cases are compared with each
    other; 0: none. ``cure``: the cure in words, empty in the case without it.
    """

    changes: Mapping[tuple[str, str], str]
    answer: TryOutAnswer
    question: int
    final: bool
    part: str = ""
    trial: int = 0
    cure: str = ""

    @property
    def told(self) -> str:
        """What was tried, in words."""
        return self.cure or changes_text(self.changes) or tr("as in the file")


class Pins(TextTable):
    """The table of pinned cases."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(
            tr("Pinned cases"),
            (
                tr("Case"), tr("Outcome,\nworst run"), tr("Of the\nallowed load"),
                tr("First opens,\nas stated"), tr("Ruptures,\nnothing opens"),
                tr("Highest pressure,\nas stated"), tr("Heated shut in,\nruptures at"),
                tr("Stored energy,\nisentropic"),
            ),
            0,
            parent,
        )  # fmt: skip
        self.pins: list[Pin] = []

    def add(self, pin: Pin, units: Units) -> None:
        """Pin one more case."""
        self.pins.append(pin)
        self.show_pins(units)

    def lettered(self, part: str) -> tuple[tuple[str, TryOutAnswer], ...]:
        """Letters and answers of the cases of one part."""
        return tuple(
            (letter_of(number), pin.answer)
            for number, pin in enumerate(self.pins)
            if pin.part == part
        )

    def forget(self) -> None:
        """Drop all pinned cases."""
        self.pins.clear()
        self.show_rows((), ())

    def settle(self, answer: TryOutAnswer, question: int, units: Units) -> None:
        """Cases that were pinned before the answer to this question was whole get it."""
        late = [
            number
            for number, pin in enumerate(self.pins)
            if pin.question == question and not pin.final
        ]
        for number in late:
            self.pins[number] = replace(self.pins[number], answer=answer, final=answer.complete)
        if late:
            self.show_pins(units)

    def show_pins(self, units: Units) -> None:
        """Fill the table in these units."""
        firsts: dict[tuple[str, int], Pin] = {}
        rows = [
            _row(letter_of(number), pin, firsts.setdefault((pin.part, pin.trial), pin), units)
            for number, pin in enumerate(self.pins)
        ]
        fires = [pin.answer.fire for pin in self.pins]
        tones = [
            "" if fire is None else verdict_tone(fire.safe, fire.sure, fire.worst_outcome)
            for fire in fires
        ]
        self.show_rows(rows, [None] * len(rows), tones, right=(2, 3, 4, 5, 6, 7), toned=(OUTCOME,))

    def tip_of(self, number: int, column: int) -> str:
        """The whole outcome where the cell has only a word of it."""
        fire = self.pins[number].answer.fire if number < len(self.pins) else None
        if column != OUTCOME or fire is None:
            return super().tip_of(number, column)
        told = (outcome_text(fire), surety_text(fire))
        return "; ".join(piece for piece in told if piece)

    def wanted_height(self) -> int:
        """Pixels for the heading and every row."""
        return self.horizontalHeader().sizeHint().height() + self.verticalHeader().length() + 2


def letter_of(number: int) -> str:
    """The letter of a pinned case: A to Z, then numbers."""
    return chr(ord("A") + number) if number < 26 else str(number + 1)


def _row(letter: str, pin: Pin, first: Pin, units: Units) -> tuple[str, ...]:
    """One case; behind its numbers stands by how much they differ from the first of its part."""
    fire, part = pin.answer.fire, pin.answer.part
    beside = None if pin is first else first.answer
    other = None if beside is None else beside.fire
    name = f"{letter}: {pin.told}"
    heated = _temperature(
        part.rupture_temperature_k,
        None if beside is None else beside.part.rupture_temperature_k,
        units,
    )
    energy = _with_change(
        pin.answer.energy.energies.isentropic,
        None if beside is None else beside.energy.energies.isentropic,
        lambda value: quantity_text(value, "energy", units, 3),
    )
    if fire is None:
        return name, tr("– not assessed"), "", "", "", "", heated, energy
    told = worst_load(fire)
    load = "…" if not pin.answer.settled else "–" if told is None else share_text(*told)
    return (
        name,
        _word(fire),
        load,
        _time(fire.first_vent_s, None if other is None else other.first_vent_s),
        _time(_shut(fire), None if other is None else _shut(other)),
        _pressure(fire.peak_pressure_pa, None if other is None else other.peak_pressure_pa, units),
        heated,
        energy,
    )


def _with_change(
    value: float, before: float | None, told: Told, difference: Told | None = None
) -> str:
    """A number, and by how much it differs from another; nothing where that cannot be seen."""
    text = told(value)
    if before is None or told(before) == text:
        return text
    size = (difference or told)(abs(value - before))
    return f"{text} ({'+' if value > before else '−'}{size})"


def _temperature(value: float | None, before: float | None, units: Units) -> str:
    if value is None:
        return tr("never in range")
    return _with_change(
        value,
        before,
        lambda kelvin: quantity_text(kelvin, "temperature", units, 3),
        lambda kelvin: quantity_text(kelvin, "temperature_difference", units, 2),
    )


def _pressure(value: float | None, before: float | None, units: Units) -> str:
    if value is None:
        return quantity_text(value, "pressure", units, 3)
    return _with_change(
        value,
        before,
        lambda pascal: quantity_text(pascal, "pressure", units, 3),
        lambda pascal: quantity_text(pascal, "pressure_difference", units, 2),
    )


def _time(value: float | None, before: float | None) -> str:
    return tr("never") if value is None else _with_change(value, before, time_text)


def _shut(fire: FireRecord) -> float | None:
    """When something ruptures if nothing opens, s: a run ends with the first line that does."""
    line = fire.line_rupture_nothing_opens_s
    times = [fire.rupture_nothing_opens_s, None if line is None else line[1]]
    return min((time for time in times if time is not None), default=None)


def _word(fire: FireRecord) -> str:
    """How a fire ends, short: shape, word, and of a safe one whether that is sure."""
    outcome = labels.answer(fire.worst_outcome, fire.safe)
    text = f"{labels.answer_shape(fire.worst_outcome, fire.safe)} {outcome}"
    if not fire.safe:
        return text
    return (
        tr("{text}, sure").format(text=text)
        if fire.sure
        else tr("{text}, not sure").format(text=text)
    )


class PinnedCases(QWidget):
    """The table under a heading that opens and closes it."""

    folded = Signal()  # opened or closed by hand

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.table = Pins()
        self.heading = QPushButton()
        self.heading.setProperty("fold", True)
        self.heading.setToolTip(tr("Open or close the table of pinned cases"))
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
                tr("No pinned case yet: Pin puts the present one here, to compare.")
            )
            return
        arrow = "▾" if self._open else "▸"
        self.heading.setText(tr("{arrow} Pinned &cases: {n}").format(arrow=arrow, n=count))

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
