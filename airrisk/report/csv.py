"""The report as CSV: every table and every chart's numbers, cells safe for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from airrisk.installation.model import Installation
from airrisk.report import blocks
from airrisk.report.content import build_report, units_for
from airrisk.study.records import Assessment
from airrisk.study.upkeep import safe_cell
from airrisk.wording.charts import (
    BarChart,
    Chart,
    Picture,
    Ruler,
    axis_numbers,
    axis_title,
    thin_out,
)
from airrisk.wording.figures import Figure
from airrisk.wording.translation import english
from airrisk.wording.units import Units, number_text

CHART_POINTS = 120


def _chart_rows(chart: Chart, units: Units) -> Iterable[list[str]]:
    yield [chart.title, axis_title(chart.x, units), axis_title(chart.y, units)]
    for series in chart.series:
        thin = thin_out(series, CHART_POINTS)
        xs = axis_numbers(thin.x, chart.x, units).tolist()
        ys = axis_numbers(thin.y, chart.y, units).tolist()
        for x, y in zip(xs, ys, strict=True):
            yield [series.label, number_text(x, 6), number_text(y, 6)]


def _picture_rows(picture: Picture | Figure, units: Units) -> Iterable[list[str]]:
    """The numbers of a picture; a drawing has none."""
    if isinstance(picture, Chart):
        yield from _chart_rows(picture, units)
    elif isinstance(picture, BarChart):
        yield [picture.title, axis_title(picture.axis, units)]
        for bar in picture.bars:
            value = float(axis_numbers(bar.value, picture.axis, units))
            yield [f"{bar.label}, {bar.note}", number_text(value, 6)]
    elif isinstance(picture, Ruler):
        yield [picture.title, axis_title(picture.axis, units)]
        for tick in (*picture.ticks, *picture.basis_ticks):
            value = float(axis_numbers(tick.value, picture.axis, units))
            yield [tick.label, number_text(value, 6)]


def _rows(block: blocks.Block, units: Units) -> Iterable[tuple[str, list[str]]]:
    if isinstance(block, (blocks.Paragraph, blocks.Heading)):
        yield ("text", [block.text])
    elif isinstance(block, blocks.Bullets):
        for item in block.items:
            yield ("text", [item])
    elif isinstance(block, blocks.Proof):
        yield ("text", [f"{block.text} {', '.join(block.labels)}"])
    elif isinstance(block, blocks.Elsewhere):
        yield ("text", [f"{block.text} {block.key}"])
    elif isinstance(block, blocks.Table):
        yield ("head", list(block.columns))
        for row in block.rows:
            yield ("row", list(row))
    elif isinstance(block, blocks.Formula):
        worked = block.worked
        yield ("formula", [worked.title, worked.expression, worked.filled, worked.result])
    else:
        for cells in _picture_rows(block.picture, units):
            yield ("chart", cells)


def render_csv(report: blocks.Report, units: Units) -> str:
    """A report as CSV text: chapter, kind of row, then the cells; lines end in CR LF.

    A text that a spreadsheet program could take for a formula gets an apostrophe in front.

    Parameters
    ----------
    report : Report
        The content.
    units : Units
        For the numbers of the charts.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["chapter", "kind", "cells"])
    writer.writerow(["title", "text", safe_cell(report.title)])
    for name, value in report.facts:
        writer.writerow(["title", "row", safe_cell(name), safe_cell(value)])
    for section in report.sections:
        for block in section.blocks:
            for kind, cells in _rows(block, units):
                writer.writerow(
                    [section.key, kind, *(_cell(cell.replace("\u00a0", " ")) for cell in cells)]
                )
    return out.getvalue()


def _cell(text: str) -> str:
    try:
        float(text)
    except ValueError:
        return safe_cell(text)
    return text  # a negative number of ours is no formula


def report_csv(assessment: Assessment, installation: Installation, unit_set: str = "metric") -> str:
    """The whole report as CSV text, in English with decimal points in any language.

    Parameters
    ----------
    assessment : Assessment
        The answer of the study.
    installation : Installation
        The same revision of the system file, read.
    unit_set : str
        "metric" or "US customary".
    """
    units = units_for(installation, unit_set)
    with english():  # data for other programs reads alike everywhere
        return render_csv(build_report(assessment, installation, unit_set), units)
