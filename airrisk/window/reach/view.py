"""The Reach view: one vessel, one case, both methods; people and harms with their margins."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from airrisk.installation.model import Vessel
from airrisk.installation.people_places import unknown_from
from airrisk.study.overview import keep_away, overview
from airrisk.window.charts.view import ChartView
from airrisk.window.reach.distance_plan import DistancePlan, Ring, around_vessel
from airrisk.window.reach.fire_map_page import FireMapPage
from airrisk.window.tables import TextTable
from airrisk.wording import labels
from airrisk.wording.charts import energies_chart, overpressure_chart
from airrisk.wording.energy_charts import method_name
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    and_list,
    kept_distance,
    number_text,
    percent_text,
    quantity_text,
)

if TYPE_CHECKING:
    from airrisk.study.records import Assessment
    from airrisk.window.session import Session

METHODS = ("burst", "tnt")
CHART = 250  # px, least height of a chart with its title, legend and caption


class ReachView(QWidget):
    """Distance plan left, charts and tables right."""

    message = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.vessel = QComboBox()
        self.case = QComboBox()
        self.method = QComboBox()
        for method in METHODS:
            self.method.addItem(method_name(method), method)
        head = QHBoxLayout()
        for text, box in (
            (tr("Vesse&l"), self.vessel), (tr("&Case"), self.case), (tr("&Method"), self.method),
        ):  # fmt: skip
            label = QLabel(text)
            label.setBuddy(box)
            box.setAccessibleName(text.replace("&", ""))
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
            box.activated.connect(self._choose)
            head.addWidget(label)
            head.addWidget(box)
        head.addStretch(1)
        self.sentence = QLabel()
        self.sentence.setWordWrap(True)
        self.sentence.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.MinimumExpanding)
        self.plan = DistancePlan()
        self.plan.setAccessibleName(tr("Distance plan to scale"))
        self.blast = ChartView()
        self.energy = ChartView()
        for chart in (self.blast, self.energy):
            chart.message.connect(self.message)
            chart.setMinimumHeight(CHART)
        self.charts = QTabWidget()
        self.charts.setDocumentMode(True)
        self.charts.tabBar().setAccessibleName(tr("Charts"))
        self.charts.addTab(self.blast, tr("Overpressure and distance"))
        self.charts.addTab(self.energy, tr("Stored energy"))
        self.people = TextTable(
            tr("People"),
            (
                tr("Place"), tr("Distance"), tr("Overpressure"), tr("Other\nmethod"),
                tr("Worst harm there"), tr("Pieces\nbeyond"),
            ),
            4,
        )  # fmt: skip
        self.harms = TextTable(
            tr("Harms"),
            (tr("Harm"), tr("Overpressure"), tr("Bursting vessel"), tr("TNT"), tr("Source")),
            0,
        )
        self.pieces = TextTable(
            tr("Pieces"),
            (tr("Way of breaking"), tr("Speed"), tr("50 % within"), tr("90 % within"),
             tr("99 % within"), tr("Farthest")),
            0,
        )  # fmt: skip
        self.outlets = TextTable(
            tr("What an open device lets out"),
            (tr("Device"), tr("Rate"), tr("Empty after"), tr("Push"), tr("Noise at 1 m"),
             tr("85 dB within"), tr("Towards")),
            6,
        )  # fmt: skip
        self.tables = QTabWidget()
        self.tables.setDocumentMode(True)
        self.tables.tabBar().setAccessibleName(tr("Tables"))
        for table, name in (
            (self.people, tr("People")), (self.harms, tr("Harm by distance")),
            (self.pieces, tr("Flying pieces")), (self.outlets, tr("Open devices")),
        ):  # fmt: skip
            self.tables.addTab(table, name)
        right = QSplitter(Qt.Orientation.Vertical)
        right.setChildrenCollapsible(False)
        right.addWidget(self.charts)
        right.addWidget(self.tables)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setChildrenCollapsible(False)
        split.addWidget(self.plan)
        split.addWidget(right)
        split.setSizes([560, 700])
        right.setSizes([420, 260])
        split.setStretchFactor(0, 1)
        split.setStretchFactor(1, 1)
        self._lay_out(head, split)
        self._own_vessel: str | None = None  # asked for here
        self._own_case: str | None = None
        session.answer_changed.connect(self.refresh)
        session.chosen_changed.connect(self._follow)
        session.document_replaced.connect(self._start_again)
        session.units_changed.connect(self.refresh)

    def _lay_out(self, head: QHBoxLayout, split: QSplitter) -> None:
        """What a vessel that lets go does, and where a fire may stand."""
        distances = QWidget()
        inside = QVBoxLayout(distances)
        inside.setContentsMargins(0, 6, 0, 0)
        inside.addLayout(head)
        inside.addWidget(self.sentence)
        inside.addWidget(split, 1)
        self.fire_map = FireMapPage(self._session)
        self.fire_map.message.connect(self.message)
        self.parts = QTabWidget()
        self.parts.setDocumentMode(True)
        self.parts.tabBar().setAccessibleName(tr("Consequences"))
        self.parts.addTab(distances, tr("If a vessel lets go"))
        self.parts.addTab(self.fire_map, tr("Where a fire may stand"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 2, 8, 6)
        layout.addWidget(self.parts)

    def show_map(self, source: str | None = None) -> None:
        """Turn to the map of where a fire may stand, that of a source if it is one."""
        self.parts.setCurrentWidget(self.fire_map)
        self.fire_map.choose_source(source)
        self.fire_map.source.setFocus()

    # -- what is shown -----------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """List vessels and cases of the newest answer and draw, when the view is seen."""
        if not self.isVisible():
            return
        assessment = self._session.assessment
        consequences = {} if assessment is None else assessment.consequences
        _refill(self.vessel, [(name, name) for name in consequences], self._wanted_vessel())
        vessel = self.vessel.currentData()
        cases = consequences.get(vessel, {}) if consequences else {}
        far = None if assessment is None or vessel is None else keep_away(assessment, vessel)
        wanted = self._own_case or (None if far is None else far.case)
        _refill(self.case, [(labels.consequence_case(key), key) for key in cases], wanted)
        self._draw()

    def _wanted_vessel(self) -> str | None:
        """The one asked for here, else the one chosen elsewhere, else that of the first answer."""
        assessment = self._session.assessment
        if assessment is None:
            return self._own_vessel
        chosen = self._session.chosen_holder if self._session.is_chosen_by_person else None
        for name in (self._own_vessel, chosen):
            if name in assessment.consequences:
                return name
        far = overview(assessment).keep_away
        return None if far is None else far.vessel

    def _choose(self) -> None:
        """Keep what a person asks for here, until something is chosen elsewhere."""
        if self.sender() is self.vessel:
            self._own_vessel = self.vessel.currentData()
        if self.sender() is self.case:
            self._own_case = self.case.currentData()
        self.refresh()

    def _follow(self) -> None:
        self._own_vessel = None
        self.refresh()

    def _start_again(self) -> None:
        self._own_vessel = self._own_case = None
        self.refresh()

    def _record(self) -> Any:
        assessment = self._session.assessment
        if assessment is None:
            return None
        cases = assessment.consequences.get(self.vessel.currentData()) or {}
        return cases.get(self.case.currentData())

    def _draw(self) -> None:
        session, record = self._session, self._record()
        assessment, units = session.assessment, session.units
        name = self.vessel.currentData()
        if record is None or assessment is None:
            self.sentence.setText(self._why_not())
            self.blast.show_picture(None, units)
            self.energy.show_picture(None, units)
            self.plan.show_reach("", (0.0, 0.0), (), (), (), units)
            for table in (self.people, self.harms, self.pieces, self.outlets):
                table.show_rows((), ())
            return
        method = self.method.currentData()
        old = "" if session.is_current else " " + tr("(older than the last change)")
        self.sentence.setText(self._sentence(name, record) + old)
        self._draw_plan(assessment, name, record, method)
        distances = [
            (r.people, r.distance_m)
            for r in assessment.people_reach
            if r.vessel == name and r.case == self.case.currentData()
        ]
        chart = overpressure_chart(name, assessment.consequences[name], units, distances, method)
        self.blast.show_picture(chart, units)
        part = assessment.parts.get(name)
        self.energy.show_picture(None if part is None else energies_chart(part, units), units)
        self._fill_people(assessment, name, method)
        self._fill_harms(record)
        self._fill_pieces(record)
        self._fill_outlets(assessment)

    def _why_not(self) -> str:
        """Why there is nothing to draw."""
        session = self._session
        if session.document is not None and session.document.problems:
            return tr("Not assessed: the file has mistakes, which Layout and System file list.")
        assessment = session.assessment
        if session.is_current and assessment is not None and not assessment.consequences:
            return tr("Not assessed: no vessel.")
        return tr("Not assessed.")

    def _sentence(self, name: str, record: Any) -> str:
        units = self._session.units
        text = tr(
            "{vessel}, {case}: {pressure} at {temperature}, {energy}, the energy of {tnt} of TNT."
        ).format(
            vessel=name,
            case=labels.consequence_case(self.case.currentData()),
            pressure=quantity_text(record.pressure_pa, "pressure", units),
            temperature=quantity_text(record.temperature_k, "temperature", units),
            energy=quantity_text(record.energy_j, "energy", units, 3),
            tnt=quantity_text(record.tnt_kg, "mass", units, 3),
        )
        beyond = quantity_text(record.believe_beyond_m, "distance", units, 3)
        text += " " + tr(
            "Within {distance} rely on the bursting-vessel method: TNT overstates there."
        ).format(distance=beyond)
        text += self._kept_away(name)
        lost = self._not_known(name)
        if lost:
            text += " " + tr(
                "A plan position is not stated: the distance of {vessel} to {places} is not known."
            ).format(vessel=name, places=and_list(list(lost)))
        notes = [f"{note[:1].upper()}{note[1:]}." for note in map(tr, record.notes)]
        return " ".join([text, *notes])

    def _kept_away(self, name: str) -> str:
        """The distance that the first line of the answer tells, and where it comes from."""
        assessment, units = self._session.assessment, self._session.units
        far = None if assessment is None else keep_away(assessment, name)
        if far is None:
            return ""
        why = (
            tr("nine of ten likely pieces come down within that")
            if far.pieces_m >= far.blast_m
            else tr("walls and roofs collapse in part within that")
        )
        return " " + tr("In a fire keep {distance} away from it: {why} ({case}).").format(
            distance=kept_distance(far.farthest_m, units),
            why=why,
            case=labels.consequence_case(far.case),
        )

    def _not_known(self, name: str) -> tuple[str, ...]:
        """Places with people of which nobody knows how far they are from a vessel."""
        installation = self._session.installation or self._session.drawn
        vessel = self._session.record(name)
        if installation is None or not isinstance(vessel, Vessel):
            return ()
        return unknown_from(installation, vessel)

    def _draw_plan(self, assessment: Assessment, name: str, record: Any, method: str) -> None:
        installation = self._session.installation or self._session.drawn
        if installation is None:
            return
        rings = [
            Ring(tr(row.harm), row.distance_m)
            for row in record.methods[method].thresholds
            if row.plan and row.distance_m > 0
        ]
        reached = {
            r.people
            for r in assessment.people_reach
            if r.vessel == name and r.case == self.case.currentData() and r.reached_by_people_harm
        }
        centre, people, parts = around_vessel(installation, name, reached)
        self.plan.show_reach(
            name, centre, tuple(sorted(rings, key=lambda r: r.radius)), people, parts,
            self._session.units,
        )  # fmt: skip

    def _fill_people(self, assessment: Assessment, name: str, method: str) -> None:
        units = self._session.units
        other = next(m for m in METHODS if m != method)
        rows, keys, tones = [], [], []
        for reach in assessment.people_reach:
            if reach.vessel != name or reach.case != self.case.currentData():
                continue
            blast = reach.methods[method]
            hits = [h for h in blast.harms if h.reaches]
            worst = min(hits, key=lambda h: h.distance_m) if hits else None
            nearest = min(
                (h for h in blast.harms if not h.reaches), key=lambda h: h.margin_m, default=None
            )
            if worst is not None:
                inside = quantity_text(-worst.margin_m, "distance", units, 3)
                text = tr("◆ {harm}, {by} inside").format(harm=tr(worst.harm), by=inside)
            elif nearest is not None:
                by = quantity_text(nearest.margin_m, "distance", units, 3)
                text = tr("● none; {harm} ends {by} nearer").format(harm=tr(nearest.harm), by=by)
            else:
                text = tr("not assessed")
            farther = max(reach.beyond_share.values(), default=0.0)
            rows.append(
                (
                    reach.people,
                    quantity_text(reach.distance_m, "distance", units, 3),
                    quantity_text(blast.incident_pa, "pressure_difference", units, 3),
                    quantity_text(
                        reach.methods[other].incident_pa, "pressure_difference", units, 3
                    ),
                    text,
                    percent_text(farther, 2),
                )
            )
            keys.append(reach.people)
            tones.append("danger" if reach.reached_by_people_harm else "")
        if not rows:
            rows = [("", "", "", "", tr("No places with people in the file."), "")]
            keys, tones = [None], [""]
        self.people.show_rows(rows, keys, tones, right=(1, 2, 3, 5), toned=(4,))

    def _fill_harms(self, record: Any) -> None:
        units = self._session.units
        tnt = {row.harm: row for row in record.methods["tnt"].thresholds}
        rows = []
        for row in record.methods["burst"].thresholds:
            other = tnt.get(row.harm)
            rows.append(
                (
                    tr(row.harm),
                    quantity_text(row.incident_pa, "pressure_difference", units, 3),
                    _metres(row.distance_m, units),
                    "" if other is None else _metres(other.distance_m, units),
                    f"{tr(row.source)} ({tr(row.standing)})",
                )
            )
        self.harms.show_rows(rows, [None] * len(rows), right=(1, 2, 3))

    def _fill_pieces(self, record: Any) -> None:
        units = self._session.units
        rows = [
            (
                f"{labels.way_of_breaking(way.way)}, {tr(way.pieces)}",
                quantity_text(way.launch_speed_m_s, "speed", units, 3),
                *(
                    quantity_text(value, "distance", units, 3)
                    for value in (
                        way.range_50_m, way.range_90_m, way.range_99_m, way.longest_range_m,
                    )
                ),
            )
            for way in record.fragments.ways
        ]  # fmt: skip
        self.pieces.show_rows(rows, [None] * len(rows), right=(1, 2, 3, 4, 5))

    def _fill_outlets(self, assessment: Assessment) -> None:
        units = self._session.units
        rows = [
            (
                tr("{device} on {part}").format(device=name, part=found.on),
                quantity_text(found.flow_kg_s, "mass_flow", units, 3),
                tr("{seconds} s").format(seconds=number_text(found.empty_adiabatic_s, 3)),
                quantity_text(found.reaction_force_n, "force", units, 3),
                quantity_text(found.noise_at_1_m_db, "sound_level", units, 3),
                quantity_text(found.noise_85_db_m, "distance", units, 3),
                labels.outlet_text(found.towards, found.remark),
            )
            for name, found in assessment.discharges.items()
        ]
        self.outlets.show_rows(rows, list(assessment.discharges), right=(1, 2, 3, 4, 5))


def _metres(value: float, units: Any) -> str:
    if not value or not math.isfinite(value):
        return tr("nowhere")
    return quantity_text(value, "distance", units, 3)


def _refill(box: QComboBox, entries: list[tuple[str, str]], wanted: object) -> None:
    """Put these entries into a list and keep the wanted one chosen."""
    box.blockSignals(True)
    box.clear()
    for text, key in entries:
        box.addItem(text, key)
    index = box.findData(wanted)
    box.setCurrentIndex(index if index >= 0 else (0 if entries else -1))
    box.setEnabled(bool(entries))
    box.blockSignals(False)
