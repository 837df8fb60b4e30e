"""One input to sweep and the two ends of its range."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QSizePolicy, QWidget

from airrisk import quantities
from airrisk.installation.inputs import is_yes_or_no
from airrisk.window.doubt.jobs import Known, KnownInput
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, unit_of, with_decimals
from airrisk.wording.what_if_texts import ATMOSPHERE, input_name

SPAN = 2.0  # proposed from half to twice the present value
DIGITS = 3


def ends_of(one: KnownInput, units: Units) -> tuple[str, str]:
    """A range to begin with, inside what the field allows, as text with units."""
    absolute = one.key == ATMOSPHERE
    datum = units.ambient_pressure if one.kind == "pressure" and not absolute else 0.0
    if one.kind == "temperature":
        low, high = one.present - 50.0, one.present + 50.0
    else:
        bare = one.present - datum
        low, high = datum + bare / SPAN, datum + bare * SPAN
    if one.lowest is not None:
        low = max(low, one.lowest)
    if one.highest is not None:
        high = min(high, one.highest)
    if not low < high:
        low, high = one.lowest or 0.0, one.highest if one.highest is not None else 1.0
    return _typed(low, one, units), _typed(high, one, units)


def _typed(value: float, one: KnownInput, units: Units) -> str:
    """A value as a person would type it, with its unit; that of the atmosphere is absolute."""
    kind, unit = one.kind, quantities.UNIT_SETS[units.name].get(one.kind)
    if one.key == ATMOSPHERE:
        unit = unit_of("absolute_pressure", units)
    if unit is None:
        return f"{value:.{DIGITS}g}"
    return quantities.format_quantity(
        value, kind, unit, digits=DIGITS, ambient_pressure=units.ambient_pressure
    )


class SweepRow(QWidget):
    """Which input, from where, to where; the text that the study reads."""

    changed = Signal()

    def __init__(self, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        plain = label.replace("&", "")
        self.box = QComboBox()
        self.box.setAccessibleName(plain)
        self.box.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.low, self.high = QLineEdit(), QLineEdit()
        self.low.setAccessibleName(tr("{what}, from").format(what=plain))
        self.high.setAccessibleName(tr("{what}, to").format(what=plain))
        self.name = QLabel(label)
        self.name.setBuddy(self.box)
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setVerticalSpacing(2)
        layout.addWidget(self.name, 0, 0)
        layout.addWidget(self.box, 0, 1, 1, 3)
        layout.addWidget(QLabel(tr("from")), 1, 0)
        layout.addWidget(self.low, 1, 1)
        layout.addWidget(QLabel(tr("to")), 1, 2)
        layout.addWidget(self.high, 1, 3)
        layout.setColumnStretch(1, 1)
        layout.setColumnStretch(3, 1)
        self._known: dict[str, KnownInput] = {}
        self._units = Units()
        self.box.activated.connect(self._chosen)
        for line in (self.low, self.high):
            line.textEdited.connect(self.changed)
        self._allow()

    def show_inputs(self, known: Known | None, units: Units) -> None:
        """Offer these inputs; the chosen one stays when it is still there."""
        kept, old_units = self.box.currentData(), self._units
        self._units = units
        self._known = {
            one.key: one
            for one in (() if known is None else known.inputs)
            if not is_yes_or_no(one.key)
        }
        self.box.clear()
        self.box.addItem(tr("nothing"), None)
        for key in self._known:
            self.box.addItem(input_name(key), key)
        self.box.setCurrentIndex(max(self.box.findData(kept), 0))
        if self.box.currentData() is None or old_units.name != units.name:
            self._propose()
        self._allow()

    def _chosen(self) -> None:
        self._propose()
        self._allow()
        self.changed.emit()

    def _propose(self) -> None:
        one = self._known.get(str(self.box.currentData()))
        low, high = ("", "") if one is None else ends_of(one, self._units)
        self.low.setText(with_decimals(low))
        self.high.setText(with_decimals(high))

    def _allow(self) -> None:
        for line in (self.low, self.high):
            line.setEnabled(self.box.currentData() is not None)

    def text(self) -> str:
        """The sweep as the study reads it, empty when nothing is swept."""
        key = self.box.currentData()
        return "" if key is None else f"{key}={self.low.text()}..{self.high.text()}"
