"""Some chapters of the report by themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from airrisk.installation.model import Installation
from airrisk.report.blocks import Report, Section
from airrisk.report.content import units_for
from airrisk.report.owners_section import owners_section
from airrisk.report.short_report import build_whole_report, pointed_to
from airrisk.study.records import Assessment
from airrisk.wording.translation import tr

# in the order of the report; "owners" is in none but this
CHAPTERS = (
    "decision", "who-does-what", "owners", "cures", "drawing", "fire-service", "summary", "inputs",
    "assumptions", "method", "screening", "hand-calculation", "fires", "sources", "distances",
    "discharges", "findings", "protection", "upkeep", "actions", "walk", "questions", "checks",
    "cautions", "sign-off",
)  # fmt: skip


class NoSuchChapters(ValueError):
    """None of the chapters has anything to tell of this installation."""


def build_chapters(
    assessment: Assessment,
    installation: Installation,
    keys: Sequence[str],
    unit_set: str = "metric",
    more: Sequence[Section] = (),
) -> Report:
    """A report of some chapters; their letters and lines are those of the whole one.

    Parameters
    ----------
    assessment, installation, unit_set
        As of the whole report.
    keys : sequence of str
        Of ``CHAPTERS``; those of which there is nothing to tell are left out.
    more : sequence of Section
        Chapters that were asked for besides.

    Raises
    ------
    NoSuchChapters
        There is nothing to tell in any of them.
    """
    whole = build_whole_report(assessment, installation, unit_set, more)
    wanted = {*keys, *(one.key for one in more)}
    made = {one.key: one for one in whole.sections}
    if "owners" in wanted:
        made["owners"] = owners_section(assessment, units_for(installation, unit_set))
    order = [*CHAPTERS, *(one.key for one in more if one.key not in CHAPTERS)]
    sections = tuple(made[key] for key in order if key in wanted and key in made)
    if not sections:
        raise NoSuchChapters(", ".join(keys))
    return replace(
        whole,
        subtitle=tr("Safety of a compressed-air installation in fire: chosen chapters"),
        sections=sections,
        linked=pointed_to(sections),
    )
