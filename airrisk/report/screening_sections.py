"""Chapters on parts heated shut in: order of events, energies, one calculation by hand."""

from __future__ import annotations

import math

from airrisk.report.blocks import (
    Block,
    Drawn,
    Heading,
    Paragraph,
    Section,
    Table,
    table_of,
)
from airrisk.report.oil_section import oil_blocks
from airrisk.study.records import Assessment, HeatingRecord
from airrisk.wording import labels
from airrisk.wording.charts import (
    heating_chart,
    order_ruler,
)
from airrisk.wording.energy_charts import (
    energy_rows,
)
from airrisk.wording.margins import limit_of
from airrisk.wording.sentences import (
    chosen_strength_basis,
    counts_for_verdict,
    screening_sentence,
    uncredited_plugs,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    Units,
    gauge_text,
    quantity_text,
)

MOST_VESSEL_CHARTS = 8


def controlling_vessel(assessment: Assessment) -> str | None:
    """The vessel with the smallest margin of all stated fires and of full flames; else by energy.

    Of vessels that rupture, the one that would do so first.

    Parameters
    ----------
    assessment : Assessment
        The answer.

    Returns
    -------
    str or None
        Id of a vessel; None when there is none.
    """
    vessels = {k: p for k, p in assessment.parts.items() if p.kind == "vessel"}
    worst: tuple[float, float, str] | None = None
    for fire in filter(counts_for_verdict, assessment.fires):
        seen = fire.envelope
        if seen is None or seen.controlling_part not in vessels or fire.worst_use is None:
            continue
        gap = round((limit_of(fire) or 1.0) - min(fire.worst_use, 1.0), 3)
        rupture = math.inf if seen.rupture_s is None else round(seen.rupture_s, 1)
        one = (gap, rupture, seen.controlling_part)
        worst = one if worst is None else min(worst, one)
    if worst is not None:
        return worst[2]
    if not vessels:
        return None
    return max(vessels, key=lambda k: (vessels[k].stored_energy_j.isentropic, k))


def _temperature(record: HeatingRecord, value: float | None, kind: str, units: Units) -> str:
    """A temperature of the heating; else that it lies beyond the material, or has no cause."""
    if value is not None:
        return quantity_text(value, "temperature", units)
    if not any(mark.kind == kind for mark in record.marks):
        return "–"
    top = quantity_text(record.curve.temperature_k[-1], "temperature", units, 3)
    return tr("over {temperature}").format(temperature=top)


def part_key(name: str) -> str:
    """What a row about a part heated shut in is about."""
    return f"part/{name}"


def parts_table(assessment: Assessment, units: Units, kind: str) -> Table:
    """Screening of all vessels or lines as one table."""
    rows = []
    for record in assessment.parts.values():
        if record.kind != kind:
            continue
        rows.append(
            [
                record.id,
                quantity_text(record.volume_m3, "volume", units),
                quantity_text(record.pressure_pa, "pressure", units),
                gauge_text(record.burst_pressure_cold_gauge_pa, units),
                _temperature(record, record.relief_lift_temperature_k, "relief lift", units),
                _temperature(
                    record, record.design_pressure_temperature_k, "design pressure", units
                ),
                _temperature(record, record.rupture_temperature_k, "rupture", units),
                quantity_text(record.rupture_pressure_pa, "pressure", units)
                if record.rupture_pressure_pa is not None
                else "–",
                quantity_text(record.stored_energy_j.isentropic, "energy", units),
                quantity_text(record.tnt_kg, "mass", units),
            ]
        )
    return table_of(
        [
            tr("Part"), tr("Volume"), tr("Start pressure"), tr("Bursts cold at"),
            tr("Relief lifts at"), tr("Design pressure at"), tr("Ruptures at"),
            tr("Rupture pressure"), tr("Stored energy, isentropic"), tr("TNT"),
        ],
        rows,
        [0.8, 1, 1, 1, 1, 1, 1, 1, 1, 1],
        range(1, 10),
        caption=tr("– : no relief valve on it, or no design pressure stated."),
        strong_first=True,
        keys=tuple(part_key(r.id) for r in assessment.parts.values() if r.kind == kind),
    )  # fmt: skip


def basis_table(assessment: Assessment, units: Units) -> Table:
    """Rupture temperature of every part on every strength basis, side by side."""
    keys = list(
        dict.fromkeys(
            key for p in assessment.parts.values() for key in p.rupture_temperature_by_basis_k
        )
    )
    rows = [
        [
            record.id,
            *(
                _temperature(record, record.rupture_temperature_by_basis_k[key], "rupture", units)
                if key in record.rupture_temperature_by_basis_k
                else "–"
                for key in keys
            ),
        ]
        for record in assessment.parts.values()
    ]
    return table_of(
        [tr("Part"), *map(labels.short_basis, keys)],
        rows, [0.8, *([1.0] * len(keys))], range(1, len(keys) + 1),
        caption=tr("Rupture temperature by strength basis, wall and air heated together."),
        strong_first=True,
    )  # fmt: skip


def energy_table(assessment: Assessment, units: Units) -> Table:
    """Stored energy of every part by all measures."""
    keys = ("brode", "isentropic", "isothermal", "availability", "isentropic_real", "pcc2")
    rows = []
    for record in assessment.parts.values():
        values = dict(energy_rows(record.stored_energy_j))
        values["pcc2"] = record.pcc2_energy_j
        rows.append([record.id, *(quantity_text(values[k], "energy", units) for k in keys)])
    return table_of(
        [tr("Part"), *(labels.energy_measure(k) for k in keys)],
        rows, [0.8, *([1.0] * len(keys))], range(1, len(keys) + 1),
        caption=tr("Stored energy at the start, counted from the surroundings."),
        strong_first=True,
    )  # fmt: skip


def screening_section(assessment: Assessment, units: Units) -> Section:
    """What heat does to each part, and what is stored in it."""
    blocks: list[Block] = [
        Paragraph(
            tr(
                "Each part is heated with its air shut in and nothing opening; wall and air have "
                "the same temperature. This shows the order of events, not their times."
            )
        )
    ]
    vessels = [p for p in assessment.parts.values() if p.kind == "vessel"]
    if vessels:
        blocks += [Heading(tr("Vessels")), parts_table(assessment, units, "vessel")]
    if any(p.kind == "line" for p in assessment.parts.values()):
        blocks += [Heading(tr("Lines")), parts_table(assessment, units, "line")]
    blocks += [basis_table(assessment, units), energy_table(assessment, units)]
    basis = chosen_strength_basis(assessment)
    for record in sorted(vessels, key=lambda p: -p.stored_energy_j.isentropic)[:MOST_VESSEL_CHARTS]:
        blocks.append(Heading(record.id))
        ruler = order_ruler(record, units)
        blocks.append(Paragraph(screening_sentence(record, units, uncredited_plugs(assessment))))
        blocks.append(Drawn(ruler, ruler.caption))
        chart = heating_chart(
            record, units, basis if basis in record.rupture_temperature_by_basis_k else None
        )
        blocks.append(Drawn(chart, chart.caption, 1.0, 0.42))
    blocks += oil_blocks(assessment, units)
    if assessment.compressors:
        blocks += [Heading(tr("Compressors")), _compressor_table(assessment, units)]
    return Section("screening", tr("Parts heated shut in"), tuple(blocks))


def _compressor_table(assessment: Assessment, units: Units) -> Table:
    return table_of(
        [tr("Compressor"), tr("Discharge temperature"), tr("Origin"), tr("Limit"),
         tr("Source of the limit")],
        [
            [
                record.id,
                quantity_text(record.discharge_temperature_k, "temperature", units),
                tr("measured") if record.measured else tr("computed"),
                quantity_text(record.limit_k, "temperature", units)
                if record.limit_k is not None
                else tr("none known"),
                tr(record.limit_source),
            ]
            for record in assessment.compressors.values()
        ],
        [1, 1.2, 0.8, 1, 3],
        (1, 3),
    )  # fmt: skip
