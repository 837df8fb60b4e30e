"""The answer as plain tables for spreadsheets: one header row, a unit in the name of each column.

They are the JSON answer laid flat, so that every number is the same there and here: SI, and a key
ends in its unit. A list inside a record becomes a table of its own, whose rows name the record.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from airrisk.report.json_output import to_json_dict
from airrisk.study.records import Assessment
from airrisk.study.upkeep import safe_cell

Scalar = str | float | int | bool | None
Row = dict[str, Scalar]
JOINED = "; "
MOST_IN_CELL = 3  # numbers, such as a place; more of them are rows of a table
# numbers behind the sentences of findings: each rule has its own
LEFT_OUT = frozenset({("findings", "numbers")})
SHEET_NAME = 31  # letters, the most that a spreadsheet takes
ZIP_DAY = (1980, 1, 1, 0, 0, 0)  # the same answer gives the same bytes


def data_tables(assessment: Assessment) -> dict[str, tuple[tuple[str, ...], tuple[Row, ...]]]:
    """All tables that hold a row: columns, then rows.

    Parameters
    ----------
    assessment : Assessment
        The answer of the study.

    Returns
    -------
    dict
        Name of the table -> its columns in order, and its rows; what a row has not is left out.
    """
    found: dict[str, list[Row]] = {}
    answer = to_json_dict(assessment)
    about = {key: value for key, value in answer.items() if _is_scalar(value)}
    _record(found, "about", {**about, **_flat("program", answer.get("program") or {})}, {})
    for key, value in answer.items():
        if key != "program" and not _is_scalar(value):
            _walk(found, key, value, {})
    return {name: (_columns(rows), tuple(rows)) for name, rows in found.items() if _columns(rows)}


def _is_scalar(value: Any) -> bool:
    return value is None or isinstance(value, (str, float, int, bool))


def _is_series(value: Any) -> bool:
    """Whether a record is columns of numbers of one length, such as curves; some may be empty."""
    if not isinstance(value, Mapping):
        return False
    columns = [one for one in value.values() if one != []]
    return (
        bool(columns)
        and all(map(_are_numbers, columns))
        and len({len(one) for one in columns}) == 1
    )


def _are_numbers(value: Any) -> bool:
    """Whether something is a list of more numbers than a cell may hold; some may be missing."""
    return (
        isinstance(value, list)
        and len(value) > MOST_IN_CELL
        and all(one is None or isinstance(one, (float, int)) for one in value)
    )


def _is_keyed(value: Mapping[str, Any]) -> bool:
    """Whether the keys are ids of records."""
    return bool(value) and all(isinstance(one, Mapping) for one in value.values())


def _walk(found: dict[str, list[Row]], name: str, node: Any, above: Row) -> None:
    if isinstance(node, list):
        for number, one in enumerate(node, start=1):
            if isinstance(one, Mapping):
                _record(found, name, one, {**above, f"{name}_no": number})
    elif _is_series(node):
        columns = {key: column for key, column in node.items() if column}
        for place in range(max(map(len, columns.values()))):
            row = {key: column[place] for key, column in columns.items()}
            found.setdefault(name, []).append({**above, f"{name}_no": place + 1, **row})
    elif _is_keyed(node):
        for key, one in node.items():
            named: Row = {**above, _id_column(name, above): key}
            if _is_series(one) or (_is_keyed(one) and not _is_keyed(next(iter(one.values())))):
                _walk(found, name, one, named)  # by vessel, then by case
            else:
                _record(found, name, one, named)
    elif node:
        _record(found, name, node, above)


def _id_column(name: str, above: Row) -> str:
    return f"{name}_id" if f"{name}_id" not in above else f"{name}_case"


def _record(found: dict[str, list[Row]], name: str, record: Mapping[str, Any], above: Row) -> None:
    row = dict(above)
    found.setdefault(name, []).append(row)
    for key, value in record.items():
        if (name, key) in LEFT_OUT:
            continue
        if _is_scalar(value):
            row[key] = value
        elif _are_numbers(value):
            _walk(found, f"{name}_{key}", {key: value}, above)
        elif isinstance(value, list) and all(map(_is_scalar, value)):
            row[key] = JOINED.join("" if one is None else str(one) for one in value)
        elif isinstance(value, list) or _is_series(value) or _is_keyed(value):
            _walk(found, f"{name}_{key}", value, above)
        else:
            _record_inside(found, name, key, value, row, above)


def _record_inside(
    found: dict[str, list[Row]], name: str, key: str, value: Mapping[str, Any], row: Row, above: Row
) -> None:
    """A record within a record: its numbers stand in the same row, its lists in their own table."""
    for inner, one in value.items():
        if _is_scalar(one):
            row[f"{key}.{inner}"] = one
        elif _are_numbers(one):
            _walk(found, f"{name}_{key}_{inner}".replace(".", "_"), {inner: one}, above)
        elif isinstance(one, list) and all(map(_is_scalar, one)):
            row[f"{key}.{inner}"] = JOINED.join("" if x is None else str(x) for x in one)
        elif isinstance(one, list) or _is_series(one) or _is_keyed(one):
            _walk(found, f"{name}_{key}_{inner}".replace(".", "_"), one, above)
        elif one:
            _record_inside(found, name, f"{key}.{inner}", one, row, above)


def _flat(name: str, record: Mapping[str, Any]) -> Row:
    return {f"{name}.{key}": value for key, value in record.items()}


def _columns(rows: Sequence[Row]) -> tuple[str, ...]:
    """Every column of any row, in the order of their first appearance."""
    return tuple(dict.fromkeys(key for row in rows for key in row))


def _csv_cells(columns: Sequence[str], rows: Sequence[Row]) -> Iterator[list[str]]:
    yield list(columns)
    for row in rows:
        yield [_csv_cell(row.get(column)) for column in columns]


def _csv_cell(value: Scalar) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return safe_cell(value) if isinstance(value, str) else repr(value)


def tables_zip(assessment: Assessment) -> bytes:
    """A CSV file for each table, in one zip file; the same answer gives the same bytes.

    A text that a spreadsheet program could take for a formula gets an apostrophe in front.

    Parameters
    ----------
    assessment : Assessment
        The answer of the study.
    """
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, (columns, rows) in data_tables(assessment).items():
            text = io.StringIO(newline="")
            csv.writer(text, lineterminator="\r\n").writerows(_csv_cells(columns, rows))
            entry = zipfile.ZipInfo(f"{name}.csv", ZIP_DAY)
            entry.compress_type = zipfile.ZIP_DEFLATED
            packed.writestr(entry, text.getvalue().encode("utf-8-sig"))
    return target.getvalue()


def tables_xlsx(assessment: Assessment) -> bytes:
    """The same tables as sheets of one spreadsheet file; the same answer gives the same bytes.

    Parameters
    ----------
    assessment : Assessment
        The answer of the study.
    """
    import xlsxwriter

    target = io.BytesIO()
    # row after row on disk: curves make a hundred thousand cells, 60 MB when all are held
    book = xlsxwriter.Workbook(
        target,
        {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False,
         "strings_to_numbers": False},
    )  # fmt: skip
    book.set_properties(
        {"created": dt.datetime.combine(assessment.on, dt.time()), "author": "airrisk"}
    )
    head = book.add_format({"bold": True})
    taken: set[str] = set()
    for name, (columns, rows) in data_tables(assessment).items():
        sheet = book.add_worksheet(_sheet_name(name, taken))
        sheet.freeze_panes(1, 0)
        for place, column in enumerate(columns):
            sheet.write_string(0, place, column, head)
            sheet.set_column(place, place, min(max(len(column) + 2, 10), 40))
        for number, row in enumerate(rows, start=1):
            for place, column in enumerate(columns):
                value = row.get(column)
                if value is not None:
                    sheet.write(number, place, value)
        sheet.autofilter(0, 0, len(rows), len(columns) - 1)
    book.close()
    return target.getvalue()


def _sheet_name(name: str, taken: set[str]) -> str:
    """A name short enough for a sheet and not yet taken, in upper or lower case."""
    short, number = name[:SHEET_NAME], 1
    while short.casefold() in taken:
        number += 1
        short = f"{name[: SHEET_NAME - 4]}~{number}"
    taken.add(short.casefold())
    return short
