"""Chapters on what went in: drawing, inputs with their origin, assumptions, method, sources."""

from __future__ import annotations

from collections.abc import Sequence

from airrisk.installation.model import Installation
from airrisk.installation.plug_state import uncredited_devices
from airrisk.report.blocks import (
    Block,
    Bullets,
    Drawn,
    Heading,
    Paragraph,
    Section,
    Table,
    table_of,
)
from airrisk.report.text_width import text_width
from airrisk.study.records import Assessment
from airrisk.wording import labels
from airrisk.wording.cautions import assumptions
from airrisk.wording.drawing import describe, flow_drawing
from airrisk.wording.formulas import formulas, printed, standing_text
from airrisk.wording.method import method_steps
from airrisk.wording.origin import InputRow, InputTable, input_tables, origin_text
from airrisk.wording.translation import tr
from airrisk.wording.units import Units

COLUMNS_A_TABLE = 4
_SIGN = {"typed": "", "offered": " [o]", "default": " [d]", "computed": " [c]"}


def drawn_installation(
    assessment: Assessment, installation: Installation, width: float = 1.0, tall: bool = False
) -> Drawn:
    """The schematic; devices that nobody may count on are struck through."""
    no_credit = uncredited_devices(installation, assessment.on)
    figure = flow_drawing(installation, text_width, no_credit, tall)
    return Drawn(figure, tr("Schematic, not to scale."), width)


def drawing_section(assessment: Assessment, installation: Installation) -> Section:
    """The flow drawing with its key."""
    return Section(
        "drawing",
        tr("The installation"),
        (
            drawn_installation(assessment, installation, tall=True),
            Paragraph(
                tr(
                    "Signs: circle with two lines, compressor; rounded box, vessel; two triangles, "
                    "valve (filled when closed, with a small lock when locked open); one triangle "
                    "with a bar, non-return valve; trapezium with a core, fusible plug; triangle "
                    "with a spring, relief valve; box with a bulge, bursting disc; cup with an "
                    "arrow, point of use. Nobody may count on a device that is struck through. "
                    "Lines that cross without a dot are not joined."
                ),
                "small",
            ),
            Paragraph(describe(installation), "small"),
        ),
    )


def _cell(row: InputRow) -> str:
    return row.value + _SIGN[row.origin]


def _matrix(tables: Sequence[InputTable]) -> list[Block]:
    """Records of one kind side by side, some at a time; remarks below."""
    blocks: list[Block] = []
    for start in range(0, len(tables), COLUMNS_A_TABLE):
        group = tables[start : start + COLUMNS_A_TABLE]
        by_field = [{row.field: row for row in table.rows} for table in group]
        if len(group) == 1:
            blocks.append(_two_abreast(group[0]))
            blocks += _remarks(group)
            continue
        order = list(dict.fromkeys(row.field for table in group for row in table.rows))
        rows = []
        for name in order:
            found = [entries.get(name) for entries in by_field]
            label = next(row.label for row in found if row is not None)
            rows.append([label, *(_cell(row) if row is not None else "" for row in found)])
        blocks.append(
            table_of(
                [tr("Field"), *(table.id for table in group)],
                rows,
                [1.2, *([1.0] * len(group))],
            )
        )
        blocks += _remarks(group)
    return blocks


def _two_abreast(table: InputTable) -> Table:
    """The fields of one record in two pairs of columns."""
    cells = [(row.label, _cell(row)) for row in table.rows]
    half = (len(cells) + 1) // 2
    rows = []
    for index in range(half):
        right = cells[half + index] if half + index < len(cells) else ("", "")
        rows.append([*cells[index], *right])
    return table_of(
        [table.id, tr("Value"), "", tr("Value")], rows, [1.2, 1.5, 1.2, 1.5], strong_first=False
    )


def _remarks(group: Sequence[InputTable]) -> list[Block]:
    remarks = [
        f"{table.id}, {labels.uncapitalised(row.label)}: {row.remark}"
        for table in group
        for row in table.rows
        if row.remark and row.origin != "default"
    ]
    return [Paragraph(tr("Remarks: ") + "; ".join(remarks) + ".", "small")] if remarks else []


def inputs_section(installation: Installation, units: Units) -> Section:
    """Every input with its unit and where it came from."""
    tables = input_tables(installation, units)
    blocks: list[Block] = [
        Paragraph(
            tr(
                "Values without a mark were typed in the system file; [o] marks a value that the "
                "program offered and nobody has confirmed, [d] a default, [c] a value computed "
                "from others. The bases of the defaults are listed at the end of this chapter."
            )
        )
    ]
    for table in tables:
        if not table.id:
            blocks.append(Heading(labels.sentence(labels.part_kind(table.kind))))
            blocks.append(
                table_of(
                    [tr("Field"), tr("Value"), tr("Origin"), tr("Remark or basis")],
                    [[r.label, r.value, origin_text(r.origin), r.remark] for r in table.rows],
                    [1.4, 1.8, 0.7, 2.0],
                )
            )
    kinds = list(dict.fromkeys(table.kind for table in tables if table.id))
    for kind in kinds:
        group = [table for table in tables if table.kind == kind]
        name = labels.part_kind(kind)
        blocks.append(
            Heading(labels.sentence(name) if len(group) == 1 else labels.kinds_plural(kind))
        )
        blocks += _matrix(group)
    bases: dict[str, list[str]] = {}
    for table in tables:
        for row in table.rows if table.id else ():
            if row.origin == "default" and row.remark and not _noted(installation, table, row):
                name = f"{labels.uncapitalised(row.label)} ({labels.part_kind(table.kind)})"
                found = bases.setdefault(row.remark, [])
                if name not in found:
                    found.append(name)
    if bases:
        blocks.append(Heading(tr("Bases of the defaults")))
        blocks.append(
            table_of(
                [tr("Basis"), tr("Default values of")],
                [[basis, ", ".join(names)] for basis, names in bases.items()],
                [1.4, 3.0],
            )
        )
    return Section("inputs", tr("Inputs"), tuple(blocks))


def _noted(installation: Installation, table: InputTable, row: InputRow) -> bool:
    """Whether the remark is the user's own."""
    try:
        record = installation.find(table.id)
    except KeyError:
        return False
    return row.field in dict(getattr(record, "notes", ()))


def assumptions_section(assessment: Assessment) -> Section:
    """What is taken for granted, and which choices rule the numbers."""
    basis = str(assessment.choices.get("strength_basis", ("tensile", "default"))[0])
    return Section(
        "assumptions",
        tr("Assumptions"),
        (
            Paragraph(
                tr("Strength basis of the verdicts: {basis}.").format(basis=labels.basis(basis))
            ),
            Bullets(assumptions()),
        ),
    )


def method_section(assessment: Assessment) -> Section:
    """The method with formulas and sources."""
    used = {trace.key for part in assessment.parts.values() for trace in part.traces}
    blocks: list[Block] = [
        table_of(
            [tr("Step"), tr("How it is computed"), tr("Source"), tr("Standing")],
            [[s.title, s.text, s.source, s.standing] for s in method_steps()],
            [0.9, 3.2, 2.0, 1.0],
            strong_first=True,
        )
    ]
    known = [entry for key, entry in formulas().items() if key in used]
    if known:
        blocks.append(Heading(tr("Formulas")))
        blocks.append(
            table_of(
                [tr("Quantity"), tr("Formula"), tr("Source")],
                [
                    [
                        tr(f.title),
                        printed(f.expression),
                        ", ".join(filter(None, (tr(f.source), standing_text(f.standing)))),
                    ]
                    for f in known
                ],
                [1.3, 2.8, 2.0],
            )
        )
    return Section("method", tr("Method and sources"), tuple(blocks))
