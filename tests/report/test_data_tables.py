"""Plain tables: one header row, the numbers of the JSON answer, readable by a spreadsheet."""

import csv
import io
import zipfile
from xml.etree import ElementTree

import pandas
import pytest

from airrisk.report.content import units_for
from airrisk.report.csv import report_csv
from airrisk.report.data_tables import data_tables, tables_xlsx, tables_zip
from airrisk.report.html import render_html
from airrisk.report.json_output import to_json_dict, to_json_text
from airrisk.report.pdf import render_pdf
from airrisk.report.short_report import build_whole_report
from airrisk.tables import sample_names
from tests.report import hand_made
from tests.samples.answers import sample_answer

UNITS_IN_HEADS = (
    "_m",
    "_m2",
    "_m3",
    "_s",
    "_k",
    "_pa",
    "_kg",
    "_j",
    "_m_s",
    "_pa_s",
    "_n",
    "_db",
    "_w",
)
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def csv_tables(packed: bytes) -> dict[str, list[list[str]]]:
    with zipfile.ZipFile(io.BytesIO(packed)) as files:
        return {
            name.removesuffix(".csv"): list(
                csv.reader(io.StringIO(files.read(name).decode("utf-8-sig"), newline=""))
            )
            for name in files.namelist()
        }


def sheets(book: bytes) -> dict[str, list[dict[str, object]]]:
    """Cells of each sheet by their place, read without the library that wrote them."""
    with zipfile.ZipFile(io.BytesIO(book)) as files:
        names = [
            one.get("name")
            for one in ElementTree.fromstring(files.read("xl/workbook.xml")).iter(f"{MAIN}sheet")
        ]
        found = {}
        for number, name in enumerate(names, start=1):
            page = ElementTree.fromstring(files.read(f"xl/worksheets/sheet{number}.xml"))
            rows = []
            for row in page.iter(f"{MAIN}row"):
                cells: dict[str, object] = {}
                for cell in row.iter(f"{MAIN}c"):
                    assert cell.find(f"{MAIN}f") is None  # nothing is a formula
                    value = cell.findtext(f"{MAIN}v")
                    text = "".join(part.text or "" for part in cell.iter(f"{MAIN}t"))
                    column = "".join(letter for letter in cell.get("r", "") if letter.isalpha())
                    if cell.get("t") == "inlineStr":
                        cells[column] = text
                    elif value is not None:
                        cells[column] = (
                            value == "1" if cell.get("t") == "b" else float(value)
                        )  # fmt: skip
                rows.append(cells)
            found[str(name)] = rows
        return found


def numbers(node: object) -> list[float]:
    if isinstance(node, dict):
        return [x for key, one in node.items() if key != "numbers" for x in numbers(one)]
    if isinstance(node, list):
        return [x for one in node for x in numbers(one)]
    return [float(node)] if isinstance(node, (int, float)) and not isinstance(node, bool) else []


@pytest.mark.parametrize("name", sample_names())
def test_every_number_of_the_answer_stands_in_a_table(name):
    answer = sample_answer(name)
    told = set()
    for rows in csv_tables(tables_zip(answer)).values():
        for row in rows[1:]:
            for cell in row:
                for piece in cell.split("; "):
                    try:
                        told.add(float(piece))
                    except ValueError:
                        continue
    assert set(numbers(to_json_dict(answer))) <= told


def test_one_header_row_and_no_ragged_rows():
    for name, rows in csv_tables(tables_zip(sample_answer("dairy-hall"))).items():
        head = rows[0]
        assert len(set(head)) == len(head), name
        assert all(head), name
        assert {len(row) for row in rows} == {len(head)}, name
        assert len(rows) > 1, name


def test_a_library_for_tables_reads_each_file_as_it_is():
    """Columns with a unit in their head are numbers; nothing has to be said of the file."""
    packed = tables_zip(sample_answer("dairy-hall"))
    files, read, units = zipfile.ZipFile(io.BytesIO(packed)), csv_tables(packed), 0
    for name in files.namelist():
        frame = pandas.read_csv(files.open(name))
        assert len(frame) == len(read[name.removesuffix(".csv")]) - 1
        assert not any(str(one).startswith("Unnamed") for one in frame.columns)
        for head in frame.columns:
            if head.endswith(UNITS_IN_HEADS):
                units += 1
                assert pandas.api.types.is_numeric_dtype(frame[head]), (name, head)
    assert units > 50


def test_a_row_inside_a_record_names_the_record():
    tables = data_tables(sample_answer("dairy-hall"))
    answer = to_json_dict(sample_answer("dairy-hall"))
    _, events = tables["fires_events"]
    for number, fire in enumerate(answer["fires"], start=1):
        mine = [row for row in events if row["fires_no"] == number]
        assert [row["time_s"] for row in mine] == [event["time_s"] for event in fire["events"]]
    columns, rows = tables["consequences"]
    assert columns[:2] == ("consequences_id", "consequences_case")
    energies = {(row["consequences_id"], row["consequences_case"]): row["energy_j"] for row in rows}
    for vessel, cases in answer["consequences"].items():
        for case, record in cases.items():
            assert energies[vessel, case] == record["energy_j"]


def test_the_spreadsheet_holds_what_the_files_hold():
    answer = sample_answer("school-laboratory")
    tables, pages = data_tables(answer), sheets(tables_xlsx(answer))
    assert len(pages) == len(tables)
    for (name, (columns, rows)), (sheet, cells) in zip(tables.items(), pages.items(), strict=True):
        assert name.startswith(sheet.split("~")[0])
        assert list(cells[0].values()) == list(columns)
        letters = list(cells[0])
        for row, found in zip(rows, cells[1:], strict=True):
            wanted = {
                letter: row[column]
                for letter, column in zip(letters, columns, strict=True)
                if row.get(column) not in (None, "")
            }
            assert {key: value for key, value in found.items() if value != ""} == {
                key: pytest.approx(value, rel=1e-14) if isinstance(value, float) else value
                for key, value in wanted.items()
            }, name


def test_two_files_of_one_answer_are_the_same_bytes():
    answer = sample_answer("school-laboratory")
    assert tables_zip(answer) == tables_zip(answer)
    assert tables_xlsx(answer) == tables_xlsx(answer)


def test_every_format_gives_the_same_bytes_again():
    answer, installation = hand_made.assessment(), hand_made.installation()
    units = units_for(installation)
    makers = (
        lambda: tables_zip(answer),
        lambda: tables_xlsx(answer),
        lambda: report_csv(answer, installation),
        lambda: to_json_text(answer),
        lambda: render_html(build_whole_report(answer, installation), units),
        lambda: render_pdf(build_whole_report(answer, installation), units),
    )
    for make in makers:
        assert make() == make()
