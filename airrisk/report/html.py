"""The report as one HTML file: no script, no outside resource, charts as inline SVG."""

from __future__ import annotations

import functools
from collections.abc import Sequence

import jinja2
from markupsafe import Markup

from airrisk.installation.model import Installation
from airrisk.report.blocks import Block, Drawn, Report, Section
from airrisk.report.content import units_for
from airrisk.report.lines import with_line_numbers
from airrisk.report.plotting import draw
from airrisk.report.short_report import build_whole_report
from airrisk.report.svg import figure_svg
from airrisk.study.records import Assessment
from airrisk.tables import resource_path
from airrisk.wording.translation import tr
from airrisk.wording.units import Units

TEXT_WIDTH = 500.0  # points


@functools.cache
def _template() -> jinja2.Template:
    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True
    )
    return environment.from_string(resource_path("report/report.html").read_text("utf-8"))


def _kind_of(block: Block) -> str:
    return type(block).__name__


def render_html(report: Report, units: Units) -> str:
    """A report as HTML text; every text of the user is escaped.

    Parameters
    ----------
    report : Report
        The content.
    units : Units
        For the charts.
    """
    count = 0
    known = report.targets()

    def draw_block(block: Drawn) -> Markup:
        nonlocal count
        count += 1
        width = block.width * TEXT_WIDTH
        figure = draw(block.picture, units, width, block.height * TEXT_WIDTH)
        return Markup(figure_svg(figure, f"figure{count}"))

    def links(names: Sequence[str]) -> Markup:
        link = Markup('<a href="#{0}">{0}</a>')
        return Markup(", ").join(link.format(name) if name in known else name for name in names)

    return _template().render(
        report=report,
        links=links,
        numbered=with_line_numbers,
        draw=draw_block,
        kind_of=_kind_of,
        words={
            "contents": tr("Contents"),
            "source": tr("Source"),
            "skip": tr("To the report"),
        },
    )


def report_html(
    assessment: Assessment,
    installation: Installation,
    unit_set: str = "metric",
    sensitivity: Sequence[Section] = (),
) -> str:
    """The whole report as HTML text.

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
    """
    units = units_for(installation, unit_set)
    return render_html(build_whole_report(assessment, installation, unit_set, sensitivity), units)
