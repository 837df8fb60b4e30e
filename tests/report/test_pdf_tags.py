"""A reader for people who cannot see is told what each piece of a page is."""

import io
import re
from collections import Counter

import pytest
from pypdf import PdfReader

from airrisk.report.blocks import Drawn, Table
from airrisk.report.pdf import report_pdf
from airrisk.report.short_report import build_whole_report
from tests.report import hand_made


@pytest.fixture(scope="module")
def reader() -> PdfReader:
    return PdfReader(io.BytesIO(report_pdf(hand_made.assessment(), hand_made.installation())))


def elements(one):
    """All elements of the tree, in the order of reading."""
    one = one.get_object()
    yield one
    for kid in one["/K"]:
        if kid.get_object().get("/S"):
            yield from elements(kid)


@pytest.fixture(scope="module")
def tree(reader):
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"] == True  # noqa: E712 - of the reader
    return list(elements(reader.trailer["/Root"]["/StructTreeRoot"]["/K"]))


def test_headings_tables_and_drawings_of_the_report_are_elements(tree):
    report = build_whole_report(hand_made.assessment(), hand_made.installation())
    blocks = [block for section in report.sections for block in section.blocks]
    count = Counter(one["/S"] for one in tree)
    assert count["/Document"] == count["/H1"] == 1
    assert count["/H2"] == len(report.sections) + 1  # the contents
    tables = [one for one in blocks if isinstance(one, Table)]
    assert count["/Table"] == len(tables)
    assert count["/TR"] == sum(len(one.rows) + 1 for one in tables)
    assert count["/Figure"] == sum(1 for one in blocks if isinstance(one, Drawn))
    assert count["/P"] > 100


def test_every_table_begins_with_heads_and_every_drawing_is_told_in_words(tree):
    for one in tree:
        if one["/S"] == "/Table":
            first, second = (row.get_object() for row in list(one["/K"])[:2])
            heads = [cell.get_object() for cell in first["/K"]]
            assert {head["/S"] for head in heads} == {"/TH"}
            assert {head["/A"]["/Scope"] for head in heads} == {"/Column"}
            assert len(second["/K"]) == len(heads)
        if one["/S"] == "/Figure":
            assert len(re.findall(r"\w{2,}", one["/Alt"])) >= 3, one["/Alt"]


def test_every_mark_on_a_page_belongs_to_one_element_and_all_text_stands_between_marks(reader):
    root = reader.trailer["/Root"]["/StructTreeRoot"]
    numbers = list(root["/ParentTree"]["/Nums"])
    parents = {numbers[i]: list(numbers[i + 1].get_object()) for i in range(0, len(numbers), 2)}
    assert set(parents) == set(range(len(reader.pages)))
    for number, page in enumerate(reader.pages):
        assert page["/StructParents"] == number
        code = page.get_contents().get_data().decode("latin-1")
        marks = [int(mark) for mark in re.findall(r"/\w+ <</MCID (\d+)>> BDC", code)]
        assert marks == list(range(len(parents[number])))
        for mark, parent in enumerate(parents[number]):
            kids = [kid.get_object() for kid in parent.get_object()["/K"]]
            assert any(
                kid.get("/MCID") == mark and kid["/Pg"].get_object() == page.get_object()
                for kid in kids
            )
        depth = 0
        for word in re.findall(r"\bBDC\b|\bBMC\b|\bEMC\b|\bTj\b", code):
            if word == "Tj":
                assert depth == 1, number
            else:
                depth += -1 if word == "EMC" else 1
        assert depth == 0
