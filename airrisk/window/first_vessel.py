"""Three questions that make a complete first file: what is it, how big, what pressure."""

from __future__ import annotations

import math

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QLineEdit, QPushButton, QWidget

from airrisk import quantities
from airrisk.installation.migration import FORMAT
from airrisk.messages import Texts, told_of
from airrisk.wording.translation import tr

# kind: (volume offered, length of the shell in diameters, design over working gauge pressure)
SORT_WORDS: Texts[dict[str, str]] = {
    "workshop receiver": "workshop receiver", "small laboratory vessel": "small laboratory vessel",
    "starting-air bottle": "starting-air bottle",
}  # fmt: skip
SORTS = {
    "workshop receiver": ("500 L", 2.6, 1.1),
    "small laboratory vessel": ("50 L", 2.2, 1.1),
    "starting-air bottle": ("250 L", 5.0, 1.15),
}
STEEL_STRESS = 123e6  # Pa, membrane stress the offered wall is sized for
CORROSION = 1e-3  # m


def vessel_file(sort: str, volume: float, gauge: float, typed_pressure: str) -> str:
    """The text of a file with one vessel, its relief valve, its plug and one fire.

    Nobody has said more than kind, size and pressure: all else is offered, to be confirmed.

    Parameters
    ----------
    sort
        Key of ``SORTS``.
    volume
        m3.
    gauge
        Working pressure above the atmosphere, Pa.
    typed_pressure
        The pressure as the person typed it.
    """
    _offered, slenderness, margin = SORTS[sort]
    diameter = (volume / (math.pi / 4 * slenderness)) ** (1 / 3)
    diameter = max(round(diameter, 2), 0.1)
    design = margin * gauge
    wall = design * diameter / (2 * STEEL_STRESS) + CORROSION
    wall_mm = max(math.ceil(wall * 1000 * 2) / 2, 3.0)
    design_bar = math.ceil(design / 1e5 * 10) / 10
    bore_mm = max(8, 2 * math.ceil(2.5 * (volume * 1000) ** (1 / 3) / 2))
    return f"""format = {FORMAT}
title = "{sort.capitalize()}, first look"

[[vessel]]
id = "R1"
inside_diameter = "{diameter * 1000:.0f} mm"
volume = "{volume * 1000:g} L"
wall_thickness = "{wall_mm:g} mm"
material = "P265GH"
design_pressure = "{design_bar:g} bar(g)"
pressure = "{typed_pressure}"
at = [0.0, 0.0]
offered = ["inside_diameter", "wall_thickness", "material", "design_pressure"]

[[plug]]
id = "FP1"
on = "R1"
alloy = "tin"
bore = "{bore_mm} mm"
condition = "clean"
fitted = {_today()}
offered = ["alloy", "bore", "condition", "fitted"]

[[relief_valve]]
id = "RV1"
on = "R1"
set_pressure = "{design_bar:g} bar(g)"
area = "78.5 mm2"
offered = ["set_pressure", "area"]

[[fire]]
id = "F1"
curve = "hydrocarbon"
reaches = ["R1"]
"""


def _today() -> str:
    import datetime as dt

    return dt.date.today().isoformat()


class FirstVessel(QWidget):
    """The three questions with a button; errors stand beside the field."""

    made = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sort = QComboBox()
        self.sort.setAccessibleName(tr("What is it?"))
        for key in SORTS:
            self.sort.addItem(tr(key), key)
        self.volume = QLineEdit(next(iter(SORTS.values()))[0])
        self.volume.setAccessibleName(tr("How big? Volume with unit"))
        self.pressure = QLineEdit("8 bar(g)")
        self.pressure.setAccessibleName(tr("What pressure? With unit, gauge or absolute"))
        self.error = QLabel()
        self.error.setProperty("tone", "danger")
        self.error.setWordWrap(True)
        self.error.hide()
        self.button = QPushButton(tr("&Show the answer"))
        self.button.setDefault(True)
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.addRow(tr("&What is it?"), self.sort)
        form.addRow(tr("How &big?"), self.volume)
        form.addRow(tr("What &pressure?"), self.pressure)
        form.addRow(self.error)
        form.addRow(self.button)
        self.sort.activated.connect(self._offer_volume)
        self.button.clicked.connect(self.make)
        self.volume.returnPressed.connect(self.make)
        self.pressure.returnPressed.connect(self.make)

    def _offer_volume(self) -> None:
        self.volume.setText(SORTS[self.sort.currentData()][0])

    def make(self) -> None:
        """Check the three answers and hand over the file."""
        try:
            volume = quantities.parse(self.volume.text().strip(), "volume")
            ambient = quantities.STANDARD_ATMOSPHERE
            pressure = quantities.parse(
                self.pressure.text().strip(), "pressure", ambient_pressure=ambient
            )
        except quantities.QuantityError as error:
            self._refuse(tr(told_of(error)))
            return
        gauge = pressure - ambient
        if not 1e-3 <= volume <= 200.0:
            self._refuse(tr("The volume must lie between 1 L and 200 m3."))
        elif not 1e4 <= gauge <= 400e5:
            self._refuse(tr("The pressure must lie between 0.1 bar(g) and 400 bar(g)."))
        else:
            self.error.hide()
            text = vessel_file(self.sort.currentData(), volume, gauge, self.pressure.text().strip())
            self.made.emit(text)

    def _refuse(self, text: str) -> None:
        self.error.setText(text)
        self.error.show()
