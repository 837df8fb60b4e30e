"""Descriptions of the charts of stored energy and of overpressure against distance."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from airrisk.messages import Texts
from airrisk.quantities import GRAVITY, convert
from airrisk.study.consequence_records import CaseRecord, OverpressureRow
from airrisk.study.records import CAR_MASS, FALL, EnergiesRecord, PartRecord, StoredEnergy
from airrisk.wording import labels
from airrisk.wording.chart_kinds import (
    DASHES,
    ORDER,
    Axis,
    Bar,
    BarChart,
    Chart,
    Guide,
    Series,
    line_of,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import US_CUSTOMARY, Units, number_text, quantity_text

MEASURES = ("brode", "isentropic", "isothermal", "availability", "isentropic_real")
_METHODS: Texts[dict[str, str]] = {"tnt": "TNT of the same energy", "burst": "bursting vessel"}


FALLING_MASS = 1000.0  # kg, for a comparison that everybody can picture


def method_name(key: str) -> str:
    """The name of a blast method."""
    return tr(_METHODS.get(key, key.replace("_", " ")))


def energy_rows(record: EnergiesRecord) -> list[tuple[str, float]]:
    """The five measures with their keys, in the fixed order."""
    return [(key, float(getattr(record, key))) for key in MEASURES]


def energies_chart(record: PartRecord, units: Units) -> BarChart:
    """Stored energy of one part now and at rupture by every measure."""
    bars = [
        Bar(labels.energy_measure(key), value, "first", tr("now"))
        for key, value in energy_rows(record.stored_energy_j)
    ]
    bars.append(Bar(labels.energy_measure("pcc2"), record.pcc2_energy_j, "third", tr("now")))
    if record.rupture_energy_j is not None:
        bars += [
            Bar(labels.energy_measure(key), value, "second", tr("at rupture"))
            for key, value in energy_rows(record.rupture_energy_j)
        ]
    return BarChart(
        key=f"energies-{record.id}",
        title=tr("{part}: stored energy").format(part=record.id),
        axis=Axis(tr("Energy"), "energy", low=0.0),
        bars=tuple(bars),
        caption=tr(
            "Isentropic, ideal gas: {energy}, as much as {tnt} of TNT, or {mass} falling {height}."
        ).format(
            energy=quantity_text(record.stored_energy_j.isentropic, "energy", units),
            tnt=quantity_text(record.tnt_kg, "mass", units),
            mass=quantity_text(FALLING_MASS, "mass", units, 3),
            height=quantity_text(
                record.stored_energy_j.isentropic / (FALLING_MASS * GRAVITY), "distance", units, 3
            ),
        ),
    )


def energy_sentence(found: StoredEnergy, units: Units) -> str:
    """What the stored energy is as much as, in things that people know."""
    energy = found.energies.isentropic
    return tr(
        "Stored energy {energy} (isentropic): as much as {mass} falling {height}, or a car of "
        "{car} at {speed}."
    ).format(
        energy=quantity_text(energy, "energy", units, 3),
        mass=quantity_text(found.falling_mass_kg, "mass", units, 2),
        height=quantity_text(FALL, "distance", units, 2),
        car=quantity_text(CAR_MASS, "mass", units, 2),
        speed=speed_text(found.car_speed_m_s, units),
    )


def speed_text(speed: float, units: Units) -> str:
    """A speed as a road sign gives it."""
    unit = "mph" if units.name == US_CUSTOMARY else "km/h"
    return f"{number_text(convert(speed, 'speed', unit), 2)}\u00a0{unit}"


def stored_energy_chart(
    part: str, found: StoredEnergy, units: Units, before: StoredEnergy | None = None
) -> BarChart:
    """Stored energy of one part by every measure; ``before``: the same of the file."""
    old = found if before is None else before
    marks = (*energy_rows(old.energies), ("p V", old.pressure_times_volume_j))
    bars = []
    for (key, value), (_, mark) in zip(
        (*energy_rows(found.energies), ("p V", found.pressure_times_volume_j)), marks, strict=True
    ):
        is_energy = key != "p V"
        name = labels.energy_measure(key) if is_energy else tr("gauge pressure × volume")
        stroke = None if before is None else mark
        bars.append(Bar(name, value, "first" if is_energy else "third", mark=stroke))
    told = [
        tr(
            "Five measures, because the energy depends on how the air expands. Pressure times "
            "volume is no energy that can be had: it is shown to compare."
        )
    ]
    if before is not None:
        told.append(tr("Upright stroke: as in the file."))
    return BarChart(
        key=f"stored-energy-{part}",
        title=tr("{part}: stored energy").format(part=part),
        axis=Axis(tr("Energy"), "energy", low=0.0),
        bars=tuple(bars),
        caption=" ".join(told),
    )


def _rows(case: CaseRecord, method: str) -> tuple[OverpressureRow, ...]:
    found = case.methods.get(method)
    return found.overpressure if found is not None else ()


def overpressure_chart(
    part: str,
    cases: Mapping[str, CaseRecord],
    units: Units,
    people: Sequence[tuple[str, float]] = (),
    method: str = "burst",
) -> Chart | None:
    """Incident overpressure against distance for every case of one vessel, log-log.

    Parameters
    ----------
    part : str
        The vessel.
    cases : mapping
        The vessel's entry of the assessment's consequences: case -> record.
    units : Units
        For the caption.
    people : sequence of (name, distance in m)
        Places with people, drawn as upright lines.
    method : str
        "burst" or "tnt"; the other method of the first case is added thin for comparison.

    Returns
    -------
    Chart or None
        None when no case has distances.
    """
    series: list[Series] = []
    index = 0
    for case, record in cases.items():
        rows = _rows(record, method)
        if not rows:
            continue
        series.append(
            line_of(
                f"{case} {method}",
                f"{labels.consequence_case(case)}",
                [row.distance_m for row in rows],
                [row.incident_pa for row in rows],
                ORDER[index % 6],
                1.5,
            )
        )
        index += 1
    other = "tnt" if method == "burst" else "burst"
    for case, record in cases.items():
        rows = _rows(record, other)
        if rows:
            series.append(
                line_of(
                    f"{case} {other}",
                    f"{labels.consequence_case(case)}, {method_name(other)}",
                    [row.distance_m for row in rows],
                    [row.incident_pa for row in rows],
                    "ghost",
                )
            )
            break
    series = [s for s in series if s.x.size]
    if not series:
        return None
    guides = tuple(
        Guide("x", distance, name, "neutral", DASHES["limit"]) for name, distance in people
    )
    return Chart(
        key=f"overpressure-{part}",
        title=tr("{part}: overpressure if it bursts").format(part=part),
        x=Axis(tr("Distance from the vessel's centre"), "distance", scale="log"),
        y=Axis(tr("Incident overpressure"), "pressure_difference", scale="log"),
        series=tuple(series),
        guides=guides,
        caption=tr("Method: {method}. Flat ground, nothing in between.").format(
            method=method_name(method)
        ),
    )
