"""Chapters on findings, protection, upkeep and the walk."""

from __future__ import annotations

from airrisk.installation.model import Installation
from airrisk.report.blocks import (
    Block,
    Paragraph,
    Section,
    table_of,
)
from airrisk.report.examination_tables import examination_blocks, wear_blocks
from airrisk.study.records import Assessment, Finding
from airrisk.wording import labels
from airrisk.wording.acceptances import decision_sentences
from airrisk.wording.findings import (
    finding_cure,
    finding_place,
    finding_source,
    finding_text,
    finding_title,
    worst_first,
)
from airrisk.wording.sentences import (
    protection_text,
)
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import (
    Units,
)
from airrisk.wording.walk import file_says, question


def finding_key(finding: Finding, assessment: Assessment) -> str:
    """What a row about a finding is about: its place in the list of the answer."""
    places = (n for n, one in enumerate(assessment.findings) if one is finding)
    return f"finding/{next(places, '')}"


def findings_section(assessment: Assessment, units: Units) -> Section:
    """All findings, worst first, with cure and source."""
    if not assessment.findings:
        return Section("findings", tr("Findings"), (Paragraph(tr("No findings.")),))
    ordered = worst_first(assessment.findings)
    rows = [
        [
            f"{labels.severity_shape(f.severity)} {labels.severity(f.severity)}",
            finding_place(f),
            " ".join(
                (
                    f"{finding_title(f)}: {finding_text(f, units)}",
                    *decision_sentences(f, assessment),
                )
            ),
            finding_cure(f, units),
            finding_source(f),
        ]
        for f in ordered
    ]
    return Section(
        "findings",
        tr("Findings"),
        (
            table_of(
                [tr("Severity"), tr("Part"), tr("What is wrong"), tr("Cure"), tr("Source")],
                rows,
                [0.8, 0.7, 2.6, 2.2, 1.3],
                keys=tuple(finding_key(f, assessment) for f in ordered),
            ),
        ),
    )


def protection_section(assessment: Assessment) -> Section:
    """From which part air can always reach a heated plug."""
    alike: dict[str, list[str]] = {}
    for name in assessment.protection:
        alike.setdefault(protection_text(assessment, name), []).append(name)
    rows = [
        [labels.sentence(labels.named_all(names, assessment.kinds)), text]
        for text, names in alike.items()
    ]
    return Section(
        "protection",
        tr("Which air can always reach a heated plug"),
        (
            Paragraph(
                tr(
                    "Over every position of the valves that people may turn. A plug counts as "
                    "heated when the fire in the file that reaches the part heats it; for a part "
                    "that none reaches, when its fire area burns as a whole."
                )
            ),
            table_of([tr("Parts"), tr("Protection")], rows, [1.2, 4.6], strong_first=True),
        ),
    )


def upkeep_section(assessment: Assessment, units: Units) -> Section:
    """The register of the plugs and the walk sheet with blanks."""
    blocks: list[Block] = []
    if assessment.upkeep:
        rows = [
            [
                row.device,
                row.on,
                date_text(row.fitted) if row.fitted else "–",
                date_text(row.last_renewed) if row.last_renewed else "–",
                tr("{number} months").format(number=row.renew_every_months),
                date_text(row.due) if row.due else "–",
                labels.upkeep_status(row.status, row.uncredited),
                tr(row.condition),
                date_text(row.last_inspection) if row.last_inspection else "–",
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
    blocks += examination_blocks(assessment, units)
    blocks += wear_blocks(assessment, units)
    return Section("upkeep", tr("Upkeep on {date}").format(date=date_text(assessment.on)),
                   tuple(blocks))  # fmt: skip


def walk_section(
    assessment: Assessment, installation: Installation, units: Units
) -> Section | None:
    """The walk sheet in flow order, with blanks to write in; None without stops."""
    if not assessment.walk:
        return None
    rows = [
        [str(s.number), s.place, labels.part_kind(s.what) if s.what != "part" else tr(s.kind), s.on,
         question(s.question_key), file_says(installation, s, units), "", ""]
        for s in assessment.walk
    ]  # fmt: skip
    return Section(
        "walk",
        tr("Walk sheet"),
        (
            Paragraph(tr("Walked by: ______________________    Date: ________________")),
            table_of(
                [tr("No."), tr("Place"), tr("What"), tr("On"), tr("Look at"), tr("File says"),
                 tr("Found"), tr("Sign")],
                rows, [0.4, 0.8, 1.0, 0.7, 2.7, 1.9, 1.4, 0.6], row_height=22.0, numbered=False,
            ),
        ),
    )  # fmt: skip
