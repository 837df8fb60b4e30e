"""The report's blocks as rich text for the preview."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

from airrisk.report.blocks import (
    Bullets,
    Drawn,
    Formula,
    Heading,
    Paragraph,
    Proof,
    Report,
    Table,
)
from airrisk.report.lines import with_line_numbers
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from collections.abc import Mapping

    from airrisk.wording.figures import Figure

POINT = 1.25  # pixels a point, where there is room
STYLES = {
    "lead": "font-size: 12pt;", "small": "font-size: 8pt;", "strong": "font-weight: bold;",
    "caution": "background-color: #FFF3D6; color: #3A2C00;", "normal": "",
    "alarm": "background-color: #9B1C2E; color: #FFFFFF; font-weight: bold;",
}  # fmt: skip


def report_rich_text(report: Report, figures: Mapping[int, Figure], widest: int) -> str:
    """The whole report; images are named ``figure:N`` by the number of their block.

    Parameters
    ----------
    report, figures
        The chapters and their drawn figures.
    widest
        Pixels that a figure may take.
    """
    pieces = [
        f"<h1>{escape(report.title)}</h1><p>{escape(report.subtitle)}</p><table>",
        *(
            f"<tr><td>{escape(name)}&nbsp;&nbsp;</td><td>{escape(value)}</td></tr>"
            for name, value in report.facts
        ),
        "</table>",
    ]
    for place, section in enumerate(report.sections):
        pieces.append(
            f"<h2><a name='{escape(section.key)}'></a>{escape(report.heading(place))}</h2>"
        )
        for block in section.blocks:
            pieces.append(_block(block, figures, widest))
    pieces.append(f"<p><small>{escape(report.footer)}</small></p>")
    return "".join(pieces)


def _block(block: Any, figures: Mapping[int, Figure], widest: int) -> str:
    if isinstance(block, Paragraph):
        return f"<p style='{STYLES[block.style]}'>{escape(block.text)}</p>"
    if isinstance(block, Heading):
        return f"<h3>{escape(block.text)}</h3>"
    if isinstance(block, Bullets):
        tag = "ol" if block.numbered else "ul"
        return f"<{tag}>{''.join(f'<li>{escape(item)}</li>' for item in block.items)}</{tag}>"
    if isinstance(block, Proof):
        return f"<p><small>{escape(block.text)} {escape(', '.join(block.labels))}</small></p>"
    if isinstance(block, Table):
        return _table(with_line_numbers(block))
    if isinstance(block, Drawn):
        figure = figures.get(id(block))
        if figure is None:
            return ""
        told = " ".join(text for text in (block.label, block.caption) if text)
        caption = f"<p><i>{escape(told)}</i></p>" if told else ""
        scale = min(POINT, max(widest, 100) / figure.width)
        return (
            f"<p><img src='figure:{id(block)}' width='{round(figure.width * scale)}' "
            f"height='{round(figure.height * scale)}'></p>{caption}"
        )
    if isinstance(block, Formula):
        worked = block.worked
        title = " ".join(text for text in (block.label, worked.title) if text)
        shown = f" = {escape(worked.shown)}" if worked.shown else ""
        return (
            f"<p><b>{escape(title)}</b><br>{escape(worked.expression)}<br>"
            f"= {escape(worked.filled)}<br>= <b>{escape(worked.result)}</b>{shown}<br>"
            f"<small>{tr('Source')}: {escape(worked.source)} "
            f"({escape(worked.standing)})</small></p>"
        )
    return ""


def _table(block: Table) -> str:
    align = block.align or ("left",) * len(block.columns)
    names = {"left": "left", "right": "right", "centre": "center"}
    parts = block.widths or (1.0,) * len(block.columns)
    shares = [round(100 * part / sum(parts)) for part in parts]
    head = "".join(
        f"<th width='{share}%' align='{names[a]}'>{escape(c)}</th>"
        for c, a, share in zip(block.columns, align, shares, strict=False)
    )
    rows = "".join(
        "<tr>"
        + "".join(
            f"<td align='{names[a]}'>{escape(cell)}</td>"
            for cell, a in zip(row, align, strict=False)
        )
        + "</tr>"
        for row in block.rows
    )
    caption = f"<p><i>{escape(block.caption)}</i></p>" if block.caption else ""
    return (
        f"<table border='1' cellspacing='0' cellpadding='3' style='border-collapse: collapse' "
        f"width='100%'><tr>{head}</tr>{rows}</table>{caption}"
    )
