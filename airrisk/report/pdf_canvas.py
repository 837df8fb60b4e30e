"""The pages of a PDF as they are drawn: numbers at the foot, bookmarks, links, contents."""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable

from airrisk.report.pdf_structure import ARTIFACT, END, Element, write_structure
from airrisk.report.pdf_tagged import ChapterTitle
from airrisk.report.text_width import REGULAR
from airrisk.wording.translation import tr

GREY = HexColor("#555555")
MARGIN = 46.0
FOOT_SIZE = 7.0


class Chapter(ChapterTitle):
    """A chapter heading that leaves a bookmark.

    Parameters
    ----------
    text : str
        With its number or letter.
    key : str
        Of the section.
    label : str
        By which other places point to it; empty: none does.
    style : ParagraphStyle
        Of the heading.
    """

    def __init__(self, text: str, key: str, label: str, style: ParagraphStyle) -> None:
        super().__init__(escape(text), style)
        self.title, self.key, self.label = text, key, label


class Contents(Flowable):
    """The chapters with their pages, which are known when all of them are drawn.

    Parameters
    ----------
    entries : sequence of (title, key)
        In their order.
    size, leading : float
        Of the text [pt].
    """

    def __init__(self, entries: Sequence[tuple[str, str]], size: float, leading: float) -> None:
        super().__init__()
        self.entries, self.size, self.leading = entries, size, leading

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """The room it takes [pt]."""
        self.width, self.height = width, self.leading * len(self.entries) + 6.0
        return self.width, self.height

    def draw(self) -> None:
        """From the top down; the page numbers are left to the canvas."""
        y = self.height - self.size
        for title, key in self.entries:
            self.canv.setFont(REGULAR, self.size)
            with self.canv.marked(self.canv.told.child("P")):
                self.canv.drawString(0, y, title)
            self.canv.linkRect(title, key, (0, y - 2.0, self.width, y + self.size), relative=1)
            self.canv.write_page_of(key, self.width, y, self.size)
            y -= self.leading


class PageOf(Flowable):
    """Some words, the chapter that they lead to, and its page.

    Parameters
    ----------
    text, title : str
        The words, and the heading of the chapter.
    key : str
        Of the chapter.
    style : ParagraphStyle
        Font, size and leading.
    """

    def __init__(self, text: str, title: str, key: str, style: ParagraphStyle) -> None:
        super().__init__()
        self.words = tr("{text} chapter {title}, page").format(text=text, title=title)
        self.key, self.style = key, style
        self.spaceBefore, self.spaceAfter = style.spaceBefore, style.spaceAfter

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """The room it takes [pt]."""
        self.width, self.height = width, self.style.leading
        return self.width, self.height

    def getSpaceBefore(self) -> float:
        """Room above it [pt]."""
        return float(self.style.spaceBefore)

    def getSpaceAfter(self) -> float:
        """Room below it [pt]."""
        return float(self.style.spaceAfter)

    def draw(self) -> None:
        """The words; the number is left to the canvas."""
        style, y = self.style, self.height - self.style.fontSize
        self.canv.setFont(style.fontName, style.fontSize)
        self.canv.setFillColor(style.textColor)
        with self.canv.marked(self.canv.told.child("P")):
            self.canv.drawString(0, y, self.words)
        wide = self.canv.stringWidth(f"{self.words} ", style.fontName, style.fontSize)
        box = (0, y - 2.0, wide + style.fontSize, y + style.fontSize)
        self.canv.linkRect(self.words, self.key, box, relative=1)
        self.canv.write_page_of(self.key, wide, y, style.fontSize, after=True)


class PagesCanvas(Canvas):
    """Keeps the pages until all are drawn, and then writes what needs all of them.

    The library ties a bookmark to the page that is being written. Pages are written at the end
    here, so each keeps its bookmarks until then.
    """

    foot_left = ""
    day: dt.date | None = None

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        if self.day is not None:  # the library writes 1 January 2000 where bytes must repeat
            stamp = self._doc._timeStamp
            stamp.t = float(calendar.timegm(self.day.timetuple()))
            stamp.lt = self.day.timetuple()
            stamp.YMDhms = tuple(stamp.lt)[:6]
        self._pages: list[dict[str, Any]] = []
        self._page_of: dict[str, int] = {}
        self._marks: list[tuple[str, dict[str, Any]]] = []
        self._awaited: list[tuple[str, float, float, float, bool]] = []
        self.told = Element("Document")
        self._marks_of_page: list[Element] = []
        self._writing = False

    @contextmanager
    def marked(self, element: Element) -> Iterator[None]:
        """What is drawn now belongs to an element."""
        mark = len(self._marks_of_page)
        self._marks_of_page.append(element)
        element.kids.append((self._pageNumber - 1, mark))
        self._code.append(f"/{element.tag} <</MCID {mark}>> BDC")
        yield
        self._code.append(END)

    @contextmanager
    def artifact(self) -> Iterator[None]:
        """What is drawn now is no content."""
        self._code.append(ARTIFACT)
        yield
        self._code.append(END)

    def bookmarkPage(self, key: str, *args: Any, **more: Any) -> Any:
        """Remember a place of this page; it is tied to the page when that is written."""
        if self._writing:
            return super().bookmarkPage(key, *args, **more)
        self._page_of[key] = self._pageNumber
        self._marks.append((key, more))
        return None

    def write_page_of(self, key: str, x: float, y: float, size: float, after: bool = False) -> None:
        """Have the page of a bookmark written before a place, or after it, once it is known."""
        left, low = self.absolutePosition(x, y)
        scale = self.absolutePosition(x + 1.0, y)[0] - left  # of what is printed smaller
        self._awaited.append((key, left, low, size * scale, after))

    def showPage(self) -> None:
        """Keep the page for later."""
        self._pages.append(dict(self.__dict__))
        self._startPage()
        self._marks, self._awaited, self._marks_of_page = [], [], []

    def save(self) -> None:
        """Put the foot on every page and write the file."""
        pages = self._pages
        for page in pages:
            self.__dict__.update(page)
            self._writing = True
            for key, more in self._marks:
                self.bookmarkPage(key, **more)
            self.setFillColor(GREY)
            with self.artifact():
                self._write_foot(len(pages))
            super().showPage()
        write_structure(self._doc, self.told, [page["_marks_of_page"] for page in pages])
        super().save()

    def _write_foot(self, total: int) -> None:
        """The numbers of other pages that are known now, and the line below the page."""
        for key, x, y, size, after in self._awaited:
            self.setFont(REGULAR, size)
            write = self.drawString if after else self.drawRightString
            write(x, y, str(self._page_of[key]))
        self.setFont(REGULAR, FOOT_SIZE)
        self.drawString(MARGIN, 24, self.foot_left)
        self.drawRightString(
            self._pagesize[0] - MARGIN, 24,
            tr("page {number} of {total}").format(number=self._pageNumber, total=total),
        )  # fmt: skip


class Document(BaseDocTemplate):
    """Leaves a bookmark at every chapter."""

    def afterFlowable(self, flowable: Flowable) -> None:
        """Called by the library after each flowable."""
        if isinstance(flowable, Chapter):
            self.canv.bookmarkPage(flowable.key)
            if flowable.label:
                self.canv.bookmarkPage(flowable.label)
            self.canv.addOutlineEntry(flowable.title, flowable.key, 0, False)
