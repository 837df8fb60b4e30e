"""The report as a PDF file: vector charts, bookmarks, page numbers, the same bytes every time."""

from __future__ import annotations

import functools
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Spacer,
    TableStyle,
)

from airrisk.installation.model import Installation
from airrisk.report import blocks
from airrisk.report.content import units_for
from airrisk.report.lines import with_line_numbers
from airrisk.report.pdf_canvas import (
    GREY,
    MARGIN,
    Chapter,
    Contents,
    Document,
    PageOf,
    PagesCanvas,
)
from airrisk.report.pdf_cells import Cell, NumberCell, ProofCell
from airrisk.report.pdf_figures import FigureFlowable
from airrisk.report.pdf_structure import TableTags
from airrisk.report.pdf_tagged import ChapterTitle, GridTable, Shown, Subheading, Text, Title
from airrisk.report.plotting import draw
from airrisk.report.short_report import build_whole_report
from airrisk.report.text_width import BOLD, REGULAR, register_fonts, text_width
from airrisk.study.records import Assessment
from airrisk.wording.translation import tr
from airrisk.wording.units import Units

SHORT_TABLE = 12  # rows; such a table is not broken across pages
SHORT_TEXT = 1400  # letters of a table that is kept on one page
PAPERS = {"A4": A4, "Letter": LETTER}
FOOT = 40.0
TOP = 40.0
LEAST = 1 / 3  # of a page: less is no page
ROW = 30.0  # of a table, its height as a rule [pt]
SHARES = (1.0, 0.95, 0.9, 0.85, 0.8, 0.75)  # of the size of print; less cannot be read
INK = HexColor("#1c1c1c")
TINTS = {"bad": HexColor("#fbe6e8"), "doubt": HexColor("#fdf3d5")}


def _style(name: str, size: float, lead: float, **more: Any) -> ParagraphStyle:
    values = {"fontName": REGULAR, "textColor": INK, "splitLongWords": 1, **more}
    return ParagraphStyle(name, fontSize=size, leading=lead, **values)


STYLES = {
    "title": _style("title", 19, 24, fontName=BOLD, spaceAfter=2),
    "subtitle": _style("subtitle", 11.5, 15, textColor=GREY, spaceAfter=8),
    "chapter": _style("chapter", 13.5, 17, fontName=BOLD, spaceBefore=14, spaceAfter=6),
    "heading": _style("heading", 10, 13, fontName=BOLD, spaceBefore=8, spaceAfter=3),
    "tight heading": _style("tight heading", 10, 13, fontName=BOLD, spaceBefore=4, spaceAfter=2),
    "formula": _style("formula", 8.4, 11.4, fontName=BOLD, spaceBefore=5, spaceAfter=1),
    "normal": _style("normal", 8.8, 12.2, spaceAfter=5),
    "item": _style(
        "item", 8.8, 12.2, spaceAfter=5, leftIndent=14, bulletIndent=3, bulletFontName=REGULAR,
        bulletFontSize=8.0,
    ),
    "lead": _style("lead", 10, 14, spaceAfter=6),
    "strong": _style("strong", 8.8, 12.2, fontName=BOLD, spaceAfter=5),
    "small": _style("small", 7.4, 10, textColor=GREY, spaceBefore=2, spaceAfter=5),
    "caution": _style(
        "caution", 8.8, 12.2, spaceAfter=7, backColor=HexColor("#f0f0f0"), borderPadding=5,
        leftIndent=5, rightIndent=5, spaceBefore=6,
    ),
    "alarm": _style(
        "alarm", 11.5, 15, fontName=BOLD, spaceAfter=9, backColor=HexColor("#9b1c2e"),
        textColor=HexColor("#ffffff"), borderPadding=7, leftIndent=7, rightIndent=7, spaceBefore=8,
    ),
    "cell": _style("cell", 7.2, 9.2),
    "cell strong": _style("cell strong", 7.2, 9.2, fontName=BOLD),
    "cell right": _style("cell right", 7.2, 9.2, alignment=TA_RIGHT),
    "cell number": _style("cell number", 6.2, 9.2, alignment=TA_RIGHT, textColor=GREY),
    "cell proof": _style("cell proof", 6.6, 9.2, textColor=HexColor("#1f4e8c")),
    "line": _style("line", 8.4, 11.4),
}  # fmt: skip


@functools.cache
def _sized(name: str, share: float) -> ParagraphStyle:
    """A style at a share of its size."""
    style = STYLES[name]
    sizes = ("fontSize", "leading", "spaceBefore", "spaceAfter", "bulletFontSize")
    smaller = {key: share * getattr(style, key) for key in sizes}
    return style if share == 1.0 else ParagraphStyle(f"{name} {share}", parent=style, **smaller)


def _cell(text: str, align: str, strong: bool, share: float) -> Cell:
    name = "cell strong" if strong else "cell right" if align == "right" else "cell"
    return Cell(text, _sized(name, share))


def _widths(table: blocks.Table, room: float, share: float) -> list[float]:
    """Column widths: as wished, but every column holds its longest word where possible."""
    wishes = table.widths or tuple([1.0] * len(table.columns))
    least, size = [], _sized("cell", share).fontSize
    for index, head in enumerate(table.columns):
        words = [w for row in table.rows for w in row[index].split(" ") if len(w) < 28]
        longest = max((text_width(w, size, table.strong_first) for w in words), default=0.0)
        heads = max((text_width(w, size, True) for w in head.split(" ")), default=0.0)
        least.append(max(longest, heads) + 8.0)
    total = sum(least)
    if total >= room:
        return [room * wide / total for wide in least]
    widths = [room * wish / sum(wishes) for wish in wishes]
    # Grow what is too narrow and take the room from what has more than it needs.
    for _ in range(8):
        short = [max(0.0, need - width) for need, width in zip(least, widths, strict=True)]
        spare = [max(0.0, width - need) for need, width in zip(least, widths, strict=True)]
        if sum(short) < 0.5:
            break
        give = min(1.0, sum(short) / sum(spare)) if sum(spare) else 0.0
        widths = [
            width + lack - give * left
            for width, lack, left in zip(widths, short, spare, strict=True)
        ]
    return [width * room / sum(widths) for width in widths]


def _rows(table: blocks.Table, linked: frozenset[str], share: float) -> list[list[Cell]]:
    """The cells of a table, its head first; the first column may be the numbers of its lines."""
    align = table.align or tuple(["left"] * len(table.columns))
    first = 1 if table.label else 0
    rows = [[_cell(name, align[i], True, share) for i, name in enumerate(table.columns)]]
    if first:
        head = table.label if table.label in linked else ""
        rows[0][0] = NumberCell(table.label, _sized("cell number", share), head)
    for number, texts in enumerate(table.rows, start=1):
        cells: list[Cell] = [
            _cell(text, align[i], table.strong_first and i == first, share)
            for i, text in enumerate(texts)
        ]
        if first:
            label = f"{table.label}.{number}"
            target = label if label in linked else ""
            cells[0] = NumberCell(texts[0], _sized("cell number", share), target)
        if table.proof >= 0:
            cells[table.proof] = ProofCell(texts[table.proof], _sized("cell proof", share), linked)
        rows.append(cells)
    _tag(rows, table, first)
    return rows


def _tag(rows: list[list[Cell]], table: blocks.Table, first: int) -> None:
    """Say of each cell where it stands, and of which row or column it is the head."""
    tags = TableTags()
    for number, cells in enumerate(rows):
        for place, cell in enumerate(cells):
            cell.table, cell.row = tags, number
            if number == 0:
                cell.scope = "Column"
            elif table.strong_first and place == first:
                cell.scope = "Row"


@dataclass(frozen=True)
class _Page:
    """What every block needs to know: the units, and the labels that are pointed to."""

    units: Units
    linked: frozenset[str]
    report: blocks.Report
    tight: bool = False  # less room around cells and headings
    share: float = 1.0  # of the size of print


def _table(table: blocks.Table, room: float, page: _Page) -> list[Flowable]:
    table = with_line_numbers(table)
    rows = _rows(table, page.linked, page.share)
    over, under, after = (1.0, 1.6, 2.0) if page.tight else (2.2, 3.0, 6.0)
    heights: list[float | None] | None = None
    if table.row_height:
        heights = [None]
        widths = _widths(table, room, page.share)
        for row in rows[1:]:
            tall = max(
                cell.wrap(width - 7.0, 1000.0)[1] for cell, width in zip(row, widths, strict=True)
            )
            heights.append(max(table.row_height, tall + 6.0))
    flowable = GridTable(
        rows,
        colWidths=_widths(table, room, page.share),
        rowHeights=heights,
        repeatRows=1,
        hAlign="LEFT",
    )
    flowable.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.35, HexColor("#aaaaaa")),
                ("BACKGROUND", (0, 0), (-1, 0), HexColor("#ececec")),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 3.5),
                ("RIGHTPADDING", (0, 0), (-1, -1), 3.5),
                ("TOPPADDING", (0, 0), (-1, -1), over),
                ("BOTTOMPADDING", (0, 0), (-1, -1), under),
                *_tints(table.tones),
                *_unsplit(len(rows)),
            ]
        )
    )
    out: list[Flowable] = [flowable]
    if table.caption:
        out.append(Text(escape(table.caption), _sized("small", page.share)))
    out.append(Spacer(1, after))
    return out


def _tints(tones: Sequence[Sequence[str]]) -> list[tuple[Any, ...]]:
    return [
        ("BACKGROUND", (column, row), (column, row), TINTS[tone])
        for row, cells in enumerate(tones, start=1)
        for column, tone in enumerate(cells)
        if tone
    ]


def _unsplit(rows: int) -> list[tuple[Any, ...]]:
    """No page ends after the head or the first row of a table, none begins with the last row."""
    if rows < 2 * KEPT_ROWS:
        return [("NOSPLIT", (0, 0), (-1, -1))] if rows <= KEPT_ROWS else []
    return [("NOSPLIT", (0, 0), (-1, KEPT_ROWS - 1)), ("NOSPLIT", (0, 1 - KEPT_ROWS), (-1, -1))]


def _formula(block: blocks.Formula) -> list[Flowable]:
    worked = block.worked
    title = f"{block.label} {worked.title}" if block.label else worked.title
    symbols = "; ".join(
        f"{name} = {value}" + (f", {what}" if what else "") for name, what, value in worked.symbols
    )
    result = f"= {worked.result}" + (f" ({worked.shown})" if worked.shown else "")
    source = worked.source + (f" ({worked.standing})" if worked.standing else "")
    lines: list[Flowable] = [
        Subheading(escape(title), STYLES["formula"]),
        Text(escape(worked.expression), STYLES["line"]),
        Text(escape(f"= {worked.filled}"), STYLES["line"]),
        Text(escape(result), STYLES["line"]),
    ]
    if not block.brief:
        lines.append(Text(escape(f"{symbols}. {tr('Source')}: {source}"), STYLES["small"]))
    return lines


def _block(block: blocks.Block, room: float, page: _Page) -> list[Flowable]:
    if isinstance(block, blocks.Paragraph):
        return [Text(escape(block.text), _sized(block.style, page.share))]
    if isinstance(block, blocks.Proof):
        text = f"{block.text} {', '.join(block.labels)}"
        return [ProofCell(text, _sized("cell proof", page.share), page.linked), Spacer(1, 4)]
    if isinstance(block, blocks.Elsewhere):
        title = page.report.heading_of(block.key)
        return [PageOf(block.text, title, block.key, _sized("small", page.share))] if title else []
    if isinstance(block, blocks.Heading):
        style = _sized("tight heading" if page.tight else "heading", page.share)
        return [Subheading(escape(block.text), style)]
    if isinstance(block, blocks.Bullets):
        return [
            Text(escape(item), _sized("item", page.share), f"{number}" if block.numbered else "•")
            for number, item in enumerate(block.items, start=1)
        ]
    if isinstance(block, blocks.Table):
        return _table(block, room, page)
    if isinstance(block, blocks.Formula):
        return _formula(block)
    figure = draw(block.picture, page.units, block.width * room, block.height * room)
    caption = " ".join(text for text in (block.label, block.caption) if text)
    shown = " ".join(text for text in (figure.title, figure.description) if text)
    parts: list[Flowable] = [Shown(FigureFlowable(figure), shown or caption)]
    if caption:
        parts.append(Text(escape(caption), STYLES["small"]))
    return [*parts, Spacer(1, 4)]


KEPT_ROWS = 3  # of a table, its head among them
FOLLOWERS = (blocks.Paragraph, blocks.Drawn, blocks.Formula)


def _short(block: blocks.Block) -> bool:
    """Whether a block is a table that may stay on one page without leaving half a page empty."""
    if not isinstance(block, blocks.Table):
        return False
    letters = sum(len(text) for row in block.rows for text in row)
    return len(block.rows) <= SHORT_TABLE and letters <= SHORT_TEXT


def _together(parts: tuple[blocks.Block, ...]) -> list[list[blocks.Block]]:
    """Blocks in groups that stay on one page: a heading with its texts and first figure or
    formula, a text with the figure it leads to, a figure with the small print below it.

    The first group stands under the chapter's own heading.
    """
    groups: list[list[blocks.Block]] = [[]]
    joining = True
    for block in parts:
        if isinstance(block, blocks.Heading):
            groups.append([block])
            joining = True
        elif joining and (isinstance(block, FOLLOWERS) or _short(block)):
            groups[-1].append(block)
            joining = isinstance(block, blocks.Paragraph)
        elif _explains(block, groups[-1]) or (
            isinstance(block, blocks.Drawn) and isinstance(groups[-1][-1], blocks.Paragraph)
        ):
            groups[-1].append(block)
        else:
            groups.append([block])
            joining = False
    return [group for group in groups if group]


def _explains(block: blocks.Block, group: list[blocks.Block]) -> bool:
    """Whether a block is small print below the last figure of a group."""
    if not _is_small(block):
        return False
    last = next((one for one in reversed(group) if not _is_small(one)), None)
    return isinstance(last, blocks.Drawn)


def _is_small(block: blocks.Block) -> bool:
    return isinstance(block, blocks.Paragraph) and block.style == "small"


class _Smaller(Flowable):
    """Flowables below each other, all of them printed at a share of their size."""

    def __init__(self, made: Sequence[Flowable], share: float, room: float) -> None:
        super().__init__()
        self.made, self.share, self.room = made, share, room
        self.high = _height(made, room / share)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """The room it takes, points."""
        return self.room, self.high * self.share

    def draw(self) -> None:
        """From the top down."""
        self.canv.scale(self.share, self.share)
        at = self.high
        for flowable in self.made:
            _, high = flowable.wrapOn(self.canv, self.room / self.share, 1e5)
            at -= flowable.getSpaceBefore() + high
            flowable.drawOn(self.canv, 0.0, at)
            at -= flowable.getSpaceAfter()


def _on_one_page(section: blocks.Section, page: _Page, room: float, free: float) -> list[Flowable]:
    """The blocks of a section on one page: a little smaller, or told in less room, or both."""
    ways = (section.blocks, *section.briefer)
    tries = [(way, size) for way in range(len(ways)) for size in range(len(SHARES))]
    for way, size in sorted(tries, key=lambda one: (sum(one), one)):
        share, told = SHARES[size], replace(page, tight=way > 0)
        made = [flowable for one in ways[way] for flowable in _block(one, room / share, told)]
        if _height(made, room / share) * share <= free:
            return made if share == 1.0 else [_Smaller(made, share, room)]
    told = replace(page, tight=len(ways) > 1)
    return [flowable for one in ways[-1] for flowable in _block(one, room, told)]


def _without_a_rest(
    section: blocks.Section, page: _Page, room: float, free: tuple[float, float]
) -> _Page:
    """How to print a chapter: a little smaller where only a rest of it would go over to a page.

    ``free`` is the height below its heading on its first page, and that of the others.
    """
    first, others = free
    for share in SHARES[:4]:
        told = replace(page, share=share, tight=share < 1.0)
        made = [flowable for one in section.blocks for flowable in _block(one, room, told)]
        over = _height(made, room) - first
        # rows do not break, so that pages are left a little before they are full
        if over <= 0.0 or (over + ROW) % others > others * LEAST:
            return told
    return page


def _height(made: Sequence[Flowable], room: float) -> float:
    """Height of flowables below each other, points."""
    total = 0.0
    for flowable in made:
        total += flowable.wrapOn(None, room, 1e5)[1]  # lists ask for a canvas, or None
        total += flowable.getSpaceBefore() + flowable.getSpaceAfter()
    return total


def _contents(report: blocks.Report) -> list[Flowable]:
    """All chapters with their pages, before those that prove the others."""
    entries = [(report.heading(n), one.key) for n, one in enumerate(report.sections)]
    return [ChapterTitle(escape(tr("Contents")), STYLES["chapter"]), Contents(entries, 8.8, 13.0)]


def render_pdf(report: blocks.Report, units: Units, paper: str = "A4") -> bytes:
    """A report as the bytes of a PDF file; the same report gives the same bytes.

    Parameters
    ----------
    report : Report
        The content.
    units : Units
        For the charts.
    paper : str
        "A4" or "Letter".

    Raises
    ------
    KeyError
        Another paper.
    """
    register_fonts()
    size = PAPERS[paper]
    page = _Page(units, report.targets(), report)
    room = size[0] - 2 * MARGIN
    story: list[Flowable] = [
        Title(escape(report.title), STYLES["title"]),
        Text(escape(report.subtitle), STYLES["subtitle"]),
    ]
    if report.facts:
        lines = " · ".join(f"{name}: {value}" for name, value in report.facts)
        story.append(Text(escape(lines), STYLES["small"]))
    for number, section in enumerate(report.sections, start=1):
        if section.label and number > 1 and not report.sections[number - 2].label:
            story += _contents(report)
        if not isinstance(story[-1], PageBreak):
            story.append(PageBreak() if section.own_page and number > 1 else CondPageBreak(190))
        head: list[Flowable] = [
            Chapter(report.heading(number - 1), section.key, section.label, STYLES["chapter"])
        ]
        if section.one_page:
            above = _height([*story, *head] if number == 1 else head, room)
            free = size[1] - FOOT - TOP - above - 1.0
            story += [*head, *_on_one_page(section, page, room, free), PageBreak()]
            continue
        told = page
        if section.compact:
            below = size[1] - FOOT - TOP - _height(head, room)
            told = _without_a_rest(section, page, room, (below, size[1] - FOOT - TOP))
        groups = _together(section.blocks)
        for group, following in zip(groups, [*groups[1:], []], strict=True):
            made = [flowable for block in group for flowable in _block(block, room, told)]
            if isinstance(group[0], blocks.Heading):
                if following and isinstance(following[0], blocks.Table) and len(group) > 1:
                    story.append(CondPageBreak(170))
                elif len(group) == 1:
                    story.append(CondPageBreak(90))
            whole = (
                len(group) > 1
                or isinstance(group[0], (blocks.Drawn, blocks.Paragraph, blocks.Formula))
                or _short(group[0])
            )
            made = [*head, *made]
            head = []
            story += [KeepTogether(made)] if whole else made
        if section.own_page and number < len(report.sections):
            story.append(PageBreak())
    target = io.BytesIO()
    document = Document(
        target,
        pagesize=size,
        invariant=1,
        lang=report.language,
        title=f"{report.title} – {report.subtitle}",
        author=report.author,
        subject=report.subject,
        creator="airrisk",
        displayDocTitle=True,
    )
    frame = Frame(MARGIN, FOOT, room, size[1] - FOOT - TOP, 0, 0, 0, 0, id="text")
    document.addPageTemplates([PageTemplate(id="page", frames=[frame])])

    class Numbered(PagesCanvas):
        foot_left = f"{report.title} · {report.footer}"
        day = report.day

    document.build(story, canvasmaker=Numbered)
    return target.getvalue()


def report_pdf(
    assessment: Assessment,
    installation: Installation,
    unit_set: str = "metric",
    paper: str = "A4",
    sensitivity: Sequence[blocks.Section] = (),
) -> bytes:
    """The whole report as the bytes of a PDF file.

    Parameters
    ----------
    assessment : Assessment
        The answer of the study.
    installation : Installation
        The same revision of the system file, read.
    unit_set : str
        "metric" or "US customary".
    paper : str
        "A4" or "Letter".
    sensitivity : sequence of Section
        Chapters of a what-if study, if one was made.
    """
    units = units_for(installation, unit_set)
    report = build_whole_report(assessment, installation, unit_set, sensitivity)
    return render_pdf(report, units, paper)
