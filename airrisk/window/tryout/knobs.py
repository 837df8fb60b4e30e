"""Which values of a part can be turned, and the row that turns one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QSlider, QWidget

from airrisk import quantities
from airrisk.installation.fields import FieldSpec, spec
from airrisk.installation.inputs import inputs_of, kind_of
from airrisk.messages import told_of
from airrisk.physics.alloys import alloys
from airrisk.wording.translation import tr
from airrisk.wording.units import with_decimals

if TYPE_CHECKING:
    from airrisk.installation.model import Installation

STEPS = 300
SPAN = 4.0  # a knob reaches from a quarter to four times the present value


@dataclass(frozen=True)
class Knob:
    """One value that can be turned: where it stands in the file, and between which bounds.

    ``words``: the knob steps through these texts instead of turning a number.
    """

    part: str
    spec: FieldSpec
    label: str
    value: float  # SI; for words the index
    low: float
    high: float
    offset: float = 0.0  # ambient pressure, for gauge pressures
    words: tuple[str, ...] = ()

    def at(self, step: int) -> float:
        """The SI value at a slider position; equal steps are equal ratios."""
        low, high = self.low - self.offset, self.high - self.offset
        return self.offset + low * (high / low) ** (step / STEPS)

    def step_of(self, value: float) -> int:
        """The slider position of an SI value."""
        low, high = self.low - self.offset, self.high - self.offset
        share = math.log(max(value - self.offset, 1e-30) / low) / math.log(high / low)
        return round(min(max(share, 0.0), 1.0) * STEPS)

    def allows(self, value: float) -> bool:
        """Whether the file takes this SI value."""
        low, high, bare = self.spec.low, self.spec.high, value - self.offset
        return (low is None or bare >= low) and (high is None or bare <= high)

    def text(self, value: float, unit_set: str) -> str:
        """The value as it is typed into the file."""
        if not self.spec.is_quantity:
            return f"{value:.3g}"
        unit = self.spec.unit_in(unit_set)
        return quantities.format_quantity(
            value, self.spec.kind, unit, digits=3, ambient_pressure=self.offset or None
        )


def knobs_of(installation: Installation, part: str, fire_id: str) -> tuple[Knob, ...]:
    """The knobs of one vessel or line, its plugs and the chosen fire."""
    record: Any = installation.find(part)
    ambient = installation.site.ambient_pressure
    found = _number_knobs(kind_of(installation, part), record, ambient)
    for plug in installation.plugs:
        if plug.on.casefold() == record.id.casefold():
            found += [*_number_knobs("plug", plug, ambient), _alloy_knob(plug.id, plug.alloy)]
    fire = next((f for f in installation.fires if f.id == fire_id), None)
    if fire is not None:
        for one in inputs_of("fire"):
            if one.knob and one.each_part:  # of the part alone, not of all that the fire reaches
                label = f"{fire.id}: {tr(one.spec.label)}"
                found.append(Knob(fire.id, one.spec, label, fire.share(record.id), 0.02, 1.0))
        found += _number_knobs("fire", fire, ambient)
    return tuple(found)


def _number_knobs(kind: str, record: Any, ambient: float) -> list[Knob]:
    """The knobs of one table of the file that have a value there, as the register says."""
    values = [
        (one.spec, getattr(record, one.spec.attr))
        for one in inputs_of(kind)
        if one.knob and not one.each_part
    ]
    return [
        _number_knob(record.id, field, value, ambient)
        for field, value in values
        if value is not None
    ]


def _number_knob(part: str, field: FieldSpec, value: float, ambient: float) -> Knob:
    offset = ambient if field.kind == "pressure" else 0.0
    bare = value - offset
    low, high = bare / SPAN, bare * SPAN
    if field.low is not None:
        low = max(low, field.low)
    if field.high is not None:
        high = min(high, field.high)
    return Knob(
        part, field, f"{part}: {tr(field.label)}", value, low + offset, high + offset, offset
    )


def _alloy_knob(part: str, alloy: str | None) -> Knob:
    names = tuple(one.key for one in sorted(alloys(), key=lambda one: one.liquidus))
    field = spec("plug", "alloy")
    index = names.index(alloy) if alloy in names else 0
    label = tr("{plug}: alloy, by melting point").format(plug=part)
    return Knob(part, field, label, float(index), 0.0, float(len(names) - 1), words=names)


class KnobRow(QWidget):
    """A slider with a line to type into; tells the text for the file as it turns.

    Keeping a value can change what there is to turn while the row still handles the key: a row
    takes another knob and is never deleted for it.
    """

    turned = Signal(object, str)  # knob, text
    rested = Signal()

    def __init__(self, knob: Knob, unit_set: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._said = ""  # what the line said last of itself
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.line = QLineEdit()
        self.error = QLabel()
        self.error.setProperty("tone", "danger")
        self.error.setWordWrap(True)
        self._label = QLabel()
        self._label.setBuddy(self.slider)
        self._label.setWordWrap(True)
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 0, 0, 2)
        layout.setVerticalSpacing(0)
        layout.addWidget(self._label, 0, 0)
        layout.addWidget(self.line, 0, 1)
        layout.addWidget(self.slider, 1, 0, 1, 2)
        layout.addWidget(self.error, 2, 0, 1, 2)
        layout.setColumnStretch(0, 3)
        layout.setColumnStretch(1, 2)
        self.show_knob(knob, unit_set)
        self.slider.valueChanged.connect(self._slid)
        self.slider.sliderReleased.connect(self.rested)
        self.line.returnPressed.connect(self._typed)
        self.line.editingFinished.connect(self.take_typed)

    def show_knob(self, knob: Knob, unit_set: str) -> None:
        """Turn this value from now on, beginning at what stands in the file."""
        self.knob = knob
        self._unit_set = unit_set
        self._label.setText(knob.label)
        self.slider.setAccessibleName(knob.label)
        self.slider.blockSignals(True)
        self.slider.setRange(0, len(knob.words) - 1 if knob.words else STEPS)
        self.slider.setPageStep(1 if knob.words else STEPS // 20)
        self.slider.blockSignals(False)
        self.line.setAccessibleName(knob.label)
        self.line.setReadOnly(bool(knob.words))
        self.line.setToolTip(tr(knob.spec.help))
        self.put_back()

    def _present_text(self) -> str:
        if self.knob.words:
            return self.knob.words[int(self.knob.value)]
        return self.knob.text(self.knob.value, self._unit_set)

    def _slid(self, step: int) -> None:
        knob = self.knob
        text = knob.words[step] if knob.words else knob.text(knob.at(step), self._unit_set)
        self._say(self._shown(text))
        self.turned.emit(knob, text)

    def _typed(self) -> None:
        """Take a typed value in any unit; the slider follows."""
        knob, text = self.knob, self.line.text().strip()
        try:
            value = self._value_of(text)
        except quantities.QuantityError as error:
            self._refuse(tr(told_of(error)))
            return
        if not knob.allows(value):
            valid = with_decimals(tr(knob.spec.range_text(self._unit_set)))
            self._refuse(
                tr("{text} is out of range; valid: {valid}").format(text=text, valid=valid)
            )
            return
        self._say(text)
        self._slide_to(knob.step_of(value))
        self.turned.emit(knob, text)
        self.rested.emit()

    def _value_of(self, text: str) -> float:
        knob = self.knob
        if knob.spec.is_quantity:
            return quantities.parse(text, knob.spec.kind, ambient_pressure=knob.offset or None)
        return quantities.parse(text, "number")

    def _slide_to(self, step: int) -> None:
        self.slider.blockSignals(True)
        self.slider.setValue(step)
        self.slider.blockSignals(False)

    def show_tried(self, text: str) -> None:
        """Show a value that was tried before, as it was told then."""
        knob = self.knob
        self._say(self._shown(text))
        self._slide_to(knob.words.index(text) if knob.words else knob.step_of(self._value_of(text)))

    def _shown(self, text: str) -> str:
        """A text for the file as the reader writes its numbers; names stay as they are."""
        return text if self.knob.words else with_decimals(text)

    def take_typed(self) -> bool:
        """Take what is typed and not told yet; False when it is no value for the file."""
        if not self.knob.words and self.line.text() != self._said:
            self._typed()
        return self.error.isHidden()

    def _say(self, text: str) -> None:
        self._said = text
        self.line.setText(text)
        self.error.hide()

    def _refuse(self, reason: str) -> None:
        self.error.setText(reason)
        self.error.show()

    def put_back(self) -> None:
        """Show the file's own value again."""
        knob = self.knob
        self._slide_to(int(knob.value) if knob.words else knob.step_of(knob.value))
        self._say(self._shown(self._present_text()))
