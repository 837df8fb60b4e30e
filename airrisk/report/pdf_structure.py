"""What the marks on a PDF page mean: headings, paragraphs, tables with their heads, drawings.

The library writes pages, and leaves their meaning to whoever draws. Each piece of text is put
between two marks with a number of its page; a tree of elements, one for each piece, says what it
is, in the order of reading. What is in no element (rules, grounds of cells, the foot of a page,
the head of a table where it is repeated) is marked as an artifact, which readers pass over.

Source
------
ISO 32000-1, 14.7 and 14.8 (from memory, edition not checked). Links have no element of their own,
so that the files are not claimed to conform to ISO 14289.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFString

ARTIFACT = "/Artifact BMC"
END = "EMC"


@dataclass(eq=False)
class Element:
    """One element of the tree."""

    tag: str  # H1, P, Table, TR, TH, TD, Figure
    kids: list[Element | tuple[int, int]] = field(default_factory=list)  # or page and mark
    alt: str = ""  # what a drawing shows
    scope: str = ""  # of a head: "Column" or "Row"

    def child(self, tag: str, **more: str) -> Element:
        """A new element at the end of this one."""
        made = Element(tag, **more)  # type: ignore[arg-type]
        self.kids.append(made)
        return made

    def walk(self) -> Iterator[Element]:
        """It and all below it, in the order of reading."""
        yield self
        for kid in self.kids:
            if isinstance(kid, Element):
                yield from kid.walk()


@dataclass(eq=False)
class TableTags:
    """The elements of one table, made as its cells are drawn; it may go over several pages."""

    element: Element | None = None
    rows: dict[int, Element] = field(default_factory=dict)

    def cell(self, root: Element, row: int, scope: str) -> Element:
        """A new cell, in its row."""
        if self.element is None:
            self.element = root.child("Table")
        if row not in self.rows:
            self.rows[row] = self.element.child("TR")
        return self.rows[row].child("TH" if scope else "TD", scope=scope)


def write_structure(document: Any, root: Element, pages: list[list[Element]]) -> None:
    """Put the tree into the file.

    Parameters
    ----------
    document : PDFDocument
        Of the library, its pages added.
    root : Element
        The whole document.
    pages : list of lists of Element
        By page and mark: the element that the mark belongs to.
    """
    written = {id(one): PDFDictionary({}) for one in root.walk()}
    references = {key: document.Reference(one) for key, one in written.items()}
    tree = PDFDictionary({})
    top = document.Reference(tree)
    places = [document.Reference(page) for page in document.Pages.pages]
    parents = {id(kid): one for one in root.walk() for kid in one.kids}
    for one in root.walk():
        entry = written[id(one)].dict
        entry["Type"], entry["S"] = PDFName("StructElem"), PDFName(one.tag)
        entry["P"] = top if one is root else references[id(parents[id(one)])]
        entry["K"] = PDFArray([_kid(kid, references, places) for kid in one.kids])
        if one.alt:
            entry["Alt"] = PDFString(one.alt)
        if one.scope:
            entry["A"] = PDFDictionary({"O": PDFName("Table"), "Scope": PDFName(one.scope)})
    numbers: list[Any] = []
    for number, marks in enumerate(pages):
        numbers += [number, PDFArray([references[id(one)] for one in marks])]
        page = document.Pages.pages[number]
        page.StructParents = number
        page.__NoDefault__ = [*page.__NoDefault__, "StructParents"]
    tree.dict.update({
        "Type": PDFName("StructTreeRoot"), "K": references[id(root)],
        "ParentTree": PDFDictionary({"Nums": PDFArray(numbers)}), "ParentTreeNextKey": len(pages),
    })  # fmt: skip
    document.Catalog.StructTreeRoot = tree
    document.Catalog.MarkInfo = PDFDictionary({"Marked": "true"})


def _kid(kid: Element | tuple[int, int], references: dict[int, Any], places: list[Any]) -> Any:
    if isinstance(kid, Element):
        return references[id(kid)]
    page, mark = kid
    return PDFDictionary({"Type": PDFName("MCR"), "Pg": places[page], "MCID": mark})
