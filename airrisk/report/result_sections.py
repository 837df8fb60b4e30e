"""Chapters on distances, findings, protection, upkeep and the walk."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from airrisk.installation.model import Installation
from airrisk.report.blocks import (
    Block,
    Drawn,
    Heading,
    Paragraph,
    Section,
    table_of,
)
from airrisk.study.records import Assessment
from airrisk.wording import labels
from airrisk.wording.charts import (
    overpressure_chart,
)
from airrisk.wording.energy_charts import (
    as_mapping,
    method_name,
    threshold_rows,
)
from airrisk.wording.findings import (
    finding_cure,
    finding_source,
    finding_text,
    finding_title,
    worst_first,
)
from airrisk.wording.sentences import (
    protection_sentence,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    Units,
    keyed_text,
    quantity_text,
)
from airrisk.wording.walk import question


def people_distances(installation: Installation, vessel: str) -> list[tuple[str, float]]:
    """Distance of every place with people from a vessel's place on the plan, nearest first."""
    try:
        record = installation.find(vessel)
    except KeyError:
        return []
    at = getattr(record, "at", None)
    if at is None:
        return []
    found = [(p.id, math.dist(at, p.at)) for p in installation.people]
    return sorted(found, key=lambda item: (item[1], item[0]))


def _case_rows(cases: Mapping[str, Any], units: Units) -> list[list[str]]:
    rows = []
    for case, record in cases.items():
        for method in ("burst", "tnt"):
            for row in threshold_rows(record, method):
                rows.append(
                    [
                        labels.consequence_case(case),
                        method_name(method),
                        str(row["harm"]),
                        quantity_text(row["incident_pa"], "pressure_difference", units),
                        quantity_text(row["distance_m"], "distance", units, 3)
                        if row.get("distance_m") is not None
                        else "–",
                        str(row.get("source", "")),
                    ]
                )
    return rows


def _fragment_rows(cases: Mapping[str, Any], units: Units) -> list[list[str]]:
    rows = []
    for case, record in cases.items():
        fragments = as_mapping(as_mapping(record).get("fragments"))
        for key, value in fragments.items():
            if isinstance(value, (int, float)) and not isinstance(value, bool):
                rows.append(
                    [
                        labels.consequence_case(case),
                        labels.fragment(key),
                        keyed_text(key, value, units, 3),
                    ]
                )
    return rows


def distances_section(assessment: Assessment, installation: Installation, units: Units) -> Section:
    """Energies and distances for every vessel, people marked."""
    blocks: list[Block] = [
        Paragraph(
            tr(
                "Distances count from the vessel's centre on flat open ground. They use the high "
                "strength of the metal, because a stronger vessel lets go with more energy. The "
                "two methods are two opinions; plan with the larger distance."
            )
        )
    ]
    for name, cases in assessment.consequences.items():
        mapping = as_mapping(cases)
        if not mapping:
            continue
        blocks.append(Heading(name))
        energies = [
            [
                labels.consequence_case(case),
                quantity_text(as_mapping(record).get("energy_j"), "energy", units),
                quantity_text(as_mapping(record).get("tnt_kg"), "mass", units),
            ]
            for case, record in mapping.items()
        ]
        blocks.append(table_of([tr("Case"), tr("Energy"), tr("TNT")], energies, [2, 1, 1], (1, 2)))
        rows = _case_rows(mapping, units)
        if rows:
            blocks.append(
                table_of(
                    [tr("Case"), tr("Method"), tr("Harm"), tr("Overpressure"), tr("Distance"),
                     tr("Source")],
                    rows, [1.3, 1.0, 1.8, 0.9, 0.8, 1.4], (3, 4),
                )
            )  # fmt: skip
        fragments = _fragment_rows(mapping, units)
        if fragments:
            blocks.append(
                table_of([tr("Case"), tr("Fragments"), tr("Value")], fragments, [1.3, 2, 1], (2,))
            )
        people = people_distances(installation, name)
        chart = overpressure_chart(name, mapping, units, people)
        if chart is not None:
            blocks.append(Drawn(chart, f"{chart.title}. {chart.caption}", 1.0, 0.45))
    if len(blocks) == 1:
        blocks.append(Paragraph(tr("Distances: not assessed."), "strong"))
    return Section("distances", tr("Energy and distances"), tuple(blocks))


def findings_section(assessment: Assessment, units: Units) -> Section:
    """All findings, worst first, with cure and source."""
    if not assessment.findings:
        return Section("findings", tr("Findings"), (Paragraph(tr("No findings.")),))
    rows = [
        [
            f"{labels.severity_shape(f.severity)} {labels.severity(f.severity)}",
            f.part,
            f"{finding_title(f)}: {finding_text(f, units)}",
            finding_cure(f, units),
            finding_source(f),
        ]
        for f in worst_first(assessment.findings)
    ]
    return Section(
        "findings",
        tr("Findings"),
        (
            table_of(
                [tr("Severity"), tr("Part"), tr("What is wrong"), tr("Cure"), tr("Source")],
                rows,
                [0.8, 0.7, 2.6, 2.2, 1.3],
            ),
        ),
    )


def protection_section(assessment: Assessment) -> Section:
    """Which part can always let its air out when it is hot."""
    rows = [[name, protection_sentence(assessment, name)] for name in assessment.protection]
    return Section(
        "protection",
        tr("Who is always open to a heated plug"),
        (
            Paragraph(tr("Over every position of the valves that people may turn.")),
            table_of([tr("Part"), tr("Protection")], rows, [0.8, 5.0], strong_first=True),
        ),
    )


def upkeep_section(assessment: Assessment) -> Section:
    """The register of the plugs and the walk sheet with blanks."""
    blocks: list[Block] = []
    if assessment.upkeep:
        rows = [
            [
                row.device,
                row.on,
                row.fitted.isoformat() if row.fitted else "–",
                row.last_renewed.isoformat() if row.last_renewed else "–",
                tr("{number} months").format(number=row.renew_every_months),
                row.due.isoformat() if row.due else "–",
                labels.upkeep_status(row.status),
                row.condition,
                row.last_inspection.isoformat() if row.last_inspection else "–",
            ]
            for row in assessment.upkeep
        ]
        blocks.append(
            table_of(
                [tr("Device"), tr("On"), tr("Fitted"), tr("Renewed"), tr("Every"), tr("Due"),
                 tr("Status"), tr("Condition"), tr("Inspected")],
                rows, [0.9, 0.8, 1, 1, 0.9, 1, 0.9, 1.1, 1], strong_first=True,
            )
        )  # fmt: skip
    else:
        blocks.append(Paragraph(tr("No fusible plug is registered.")))
    return Section("upkeep", tr("Upkeep on {date}").format(date=assessment.on.isoformat()),
                   tuple(blocks))  # fmt: skip


def walk_section(assessment: Assessment) -> Section | None:
    """The walk sheet in flow order, with blanks to write in; None without stops."""
    if not assessment.walk:
        return None
    rows = [
        [str(s.number), s.place, labels.part_kind(s.what) if s.what != "part" else s.kind, s.on,
         question(s.question_key), "", ""]
        for s in assessment.walk
    ]  # fmt: skip
    return Section(
        "walk",
        tr("Walk sheet"),
        (
            Paragraph(tr("Walked by: ______________________    Date: ________________")),
            table_of(
                [tr("No."), tr("Place"), tr("What"), tr("On"), tr("Look at"), tr("Found"),
                 tr("Sign")],
                rows, [0.4, 0.8, 1.0, 0.7, 3.4, 1.8, 0.6], row_height=22.0,
            ),
        ),
        own_page=True,
    )  # fmt: skip


EARDRUM_PA = 2.0e4  # newer 1 % line for eardrums; walls begin to collapse below it


def farthest_lines(assessment: Assessment, vessel: str) -> float | None:
    """The distance to keep from a vessel: blast of 20 kPa and likely fragments, the farther.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    vessel : str
        Id of the vessel.

    Returns
    -------
    float or None
        Metres; None when its consequences were not computed.
    """
    found: list[float] = []
    for record in as_mapping(assessment.consequences.get(vessel)).values():
        for method in ("burst", "tnt"):
            rows = [r for r in threshold_rows(record, method) if r.get("distance_m") is not None]
            found += [float(r["distance_m"]) for r in rows if r["incident_pa"] >= 0.6 * EARDRUM_PA]
        for key, value in as_mapping(as_mapping(record).get("fragments")).items():
            if "likely" in key and key.endswith("_m") and isinstance(value, (int, float)):
                found.append(float(value))
    return max(found) if found else None
