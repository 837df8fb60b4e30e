"""The content of the report: one list of chapters that every format renders."""

from __future__ import annotations

from collections.abc import Sequence

from airrisk import __version__
from airrisk.installation.model import Installation
from airrisk.report.action_tables import actions_section
from airrisk.report.blocks import Report, Section
from airrisk.report.checks_section import checks_section
from airrisk.report.cure_sections import cures_section
from airrisk.report.distance_sections import discharges_section, distances_section
from airrisk.report.fire_sections import fires_section
from airrisk.report.hand_section import hand_section
from airrisk.report.input_sections import (
    assumptions_section,
    drawing_section,
    inputs_section,
    method_section,
)
from airrisk.report.lines import labelled
from airrisk.report.result_sections import (
    findings_section,
    protection_section,
    upkeep_section,
    walk_section,
)
from airrisk.report.screening_sections import screening_section
from airrisk.report.source_sections import sources_section
from airrisk.report.summary_sections import (
    cautions_section,
    fire_service_section,
    questions_section,
    sign_off_section,
    summary_section,
)
from airrisk.study.records import Assessment
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import Units

# pages of the short report as well: they have no letter, and stand once where both are together
IN_SHORT = frozenset({"fire-service", "drawing"})


def units_for(installation: Installation, name: str = "metric") -> Units:
    """The unit set with the site's atmosphere, from which gauge pressures count."""
    return Units(name, installation.site.ambient_pressure)


def build_report(
    assessment: Assessment,
    installation: Installation,
    unit_set: str = "metric",
    sensitivity: Sequence[Section] = (),
) -> Report:
    """The whole report as chapters of paragraphs, tables and figures.

    Parameters
    ----------
    assessment : Assessment
        The answer of the study.
    installation : Installation
        The same revision of the system file, read.
    unit_set : str
        "metric" or "US customary".
    sensitivity : sequence of Section
        Chapters of a what-if study, if one was made.

    Returns
    -------
    Report
        The summary first.
    """
    units = units_for(installation, unit_set)
    chapters: list[Section | None] = [
        summary_section(assessment, units),
        fire_service_section(assessment, installation, units),
        drawing_section(assessment, installation),
        inputs_section(installation, units),
        assumptions_section(assessment),
        method_section(assessment),
        screening_section(assessment, units),
        hand_section(assessment, installation, units),
        fires_section(assessment, installation, units),
        sources_section(assessment, units),
        distances_section(assessment, installation, units),
        discharges_section(assessment, units),
        cures_section(assessment, units),
        findings_section(assessment, units),
        protection_section(assessment) if assessment.protection else None,
        upkeep_section(assessment, units),
        actions_section(assessment, units),
        walk_section(assessment, installation, units),
        *sensitivity,
        questions_section(assessment, installation, units),
        checks_section(),
        cautions_section(),
        sign_off_section(assessment, installation, __version__),
    ]
    about = installation.about
    facts = [
        (tr("Assessed on"), date_text(assessment.on)),
        (tr("Site"), about.site),
        (tr("Prepared by"), about.prepared_by),
        (tr("Checked by"), about.checked_by),
        (tr("Revision"), about.revision),
        (tr("System file"), f"SHA-256 {assessment.inputs_sha256[:16]}…"),
    ]
    return Report(
        title=assessment.title or tr("Compressed-air installation"),
        subtitle=tr("Safety of a compressed-air installation in fire"),
        facts=tuple((name, value) for name, value in facts if value),
        sections=labelled([one for one in chapters if one is not None], IN_SHORT),
        footer=" · ".join(
            (f"airrisk {__version__}", assessment.inputs_sha256[:12], date_text(assessment.on))
        ),
        author=about.prepared_by or "airrisk",
        subject=tr("Fusible plugs, relief, rupture, stored energy"),
        day=assessment.on,
    )
