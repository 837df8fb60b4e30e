"""Computed numbers of the chosen part; each tells its formula, values and source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor
from PySide6.QtWidgets import (
    QHeaderView,
    QLabel,
    QSizePolicy,
    QSplitter,
    QTextBrowser,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from airrisk import quantities
from airrisk.window.theme import colours
from airrisk.wording import labels
from airrisk.wording.translation import tr
from airrisk.wording.units import METRIC, keyed_text, number_text, pretty_unit

if TYPE_CHECKING:
    from airrisk.study.records import PartRecord
    from airrisk.window.session import Session

SHOWN = (
    "volume_m3", "surface_m2", "wall_mass_kg", "gas_mass_kg", "pressure_pa", "temperature_k",
    "burst_pressure_cold_gauge_pa", "design_pressure_temperature_k",
    "relief_lift_temperature_k", "rupture_temperature_k", "rupture_pressure_pa", "tnt_kg",
    "pcc2_energy_j", "pcc2_tnt_kg",
)  # fmt: skip


class Numbers(QWidget):
    """A list of results; choosing one shows where it comes from."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._keys: list[str] = []
        self.table = QTreeWidget()
        self.table.setColumnCount(2)
        self.table.setHeaderLabels([tr("Result"), tr("Value")])
        self.table.setRootIsDecorated(False)
        self.table.setWordWrap(True)
        self.table.setAccessibleName(tr("Computed numbers"))
        self.table.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.table.header().setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.table.header().setStretchLastSection(False)
        self.origin = QTextBrowser()
        self.origin.setAccessibleName(tr("Where the number comes from"))
        self.origin.setOpenExternalLinks(False)
        self._age = QLabel()
        self._age.setProperty("tone", "quiet")
        self._age.setWordWrap(True)
        self._age.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        split = QSplitter(Qt.Orientation.Vertical)
        split.addWidget(self.table)
        split.addWidget(self.origin)
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 2)
        split.setChildrenCollapsible(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 4, 6, 6)
        layout.addWidget(self._age)
        layout.addWidget(split, 1)
        self.table.currentItemChanged.connect(self._show_origin)
        session.answer_changed.connect(self.refresh)
        session.chosen_changed.connect(self.refresh)
        session.units_changed.connect(self.refresh)

    def record(self) -> PartRecord | None:
        """The screening of the vessel or line that is chosen or that the chosen device is on."""
        holder = self._session.chosen_holder
        return self._session.part_records.get(holder) if holder else None

    def refresh(self) -> None:
        """Show the newest numbers."""
        kept = self._current_key()
        self.table.clear()
        self._keys = []
        record = self.record()
        if record is None:
            self._age.setText(
                tr("Not assessed: choose a vessel, a line or a device on one of them.")
                if self._session.chosen_holder is None
                else tr("Not assessed yet.")
            )
            self.origin.clear()
            return
        current = self._session.parts_current
        self._age.setText(
            tr("{part}, heated shut in").format(part=record.id)
            if current
            else tr("{part}: these numbers are older than the last change").format(part=record.id)
        )
        units = self._session.units
        for key in SHOWN:
            value = getattr(record, key)
            if value is None:
                text = tr("never in range") if key.endswith("_k") else tr("not computed")
            elif key == "surface_m2":
                unit = "m2" if units.name == METRIC else "ft2"  # mm2 suits flow areas only
                number = quantities.convert(value, "area", unit)
                text = f"{number_text(number)}\u00a0{pretty_unit(unit)}"
            else:
                text = keyed_text(key, value, units)
            self._add(key, labels.result_name(key), text, current)
        for measure in ("brode", "isentropic", "isothermal", "availability", "isentropic_real"):
            value = getattr(record.stored_energy_j, measure)
            name = tr("Energy, {measure}").format(measure=labels.energy_measure(measure))
            name = name.replace(" (", "\n(")  # fits the narrowest window
            self._add(measure, name, keyed_text("energy_j", value, units), current)
        for basis, value in record.rupture_temperature_by_basis_k.items():
            word = labels.short_basis(basis)  # long names: below
            name = tr("Rupture, basis {basis}").format(basis=word)
            text = tr("never in range") if value is None else keyed_text("x_k", value, units)
            self._add(f"rupture by {basis}", name, text, current)
        if kept in self._keys:
            self._choose_row(self._keys.index(kept))
        elif self._keys:
            self._choose_row(0)

    def _choose_row(self, row: int) -> None:
        item = self.table.topLevelItem(row)
        if item is not None:
            self.table.setCurrentItem(item)

    def _add(self, key: str, name: str, text: str, current: bool) -> None:
        item = QTreeWidgetItem([name, text])
        item.setTextAlignment(1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        item.setToolTip(0, name)
        item.setDisabled(not current)
        item.setFlags(item.flags() | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEnabled)
        if not current:
            for column in (0, 1):
                item.setForeground(column, QBrush(QColor(colours().unknown)))
        self.table.addTopLevelItem(item)
        self._keys.append(key)

    def _current_key(self) -> str:
        item = self.table.currentItem()
        index = -1 if item is None else self.table.indexOfTopLevelItem(item)
        return self._keys[index] if 0 <= index < len(self._keys) else ""

    def _show_origin(self) -> None:
        record = self.record()
        key = self._current_key()
        if record is None or not key:
            self.origin.clear()
            return
        from airrisk.window.facts.provenance import provenance_html

        self.origin.setHtml(provenance_html(record, key, self._session))
