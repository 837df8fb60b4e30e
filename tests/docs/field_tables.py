"""The tables of fields in docs/system-file.md, made from their declaration.

``python -m tests.docs.field_tables`` prints them; with ``--write`` they are put into the page.
"""

from __future__ import annotations

from airrisk.installation.field_spec import FieldSpec
from airrisk.installation.fields import FIELDS, SINGLE, kind_name
from airrisk.installation.inputs import Input, inputs
from airrisk.installation.spreads import DISTRIBUTIONS
from airrisk.physics.alloys import alloys
from airrisk.physics.metal import materials
from airrisk.quantities import format_quantity
from airrisk.wording.what_if_texts import INPUT_WORDS
from tests.docs.marked_block import DOCS, MarkedBlock


def field_tables() -> str:
    """A table for each kind of table, then what can vary, the materials, the alloys and the
    distributions."""
    shared = {(one.key, one.help) for one in FIELDS["junction"]}
    lines = []
    for kind, fields in FIELDS.items():
        rows = [one for one in fields if (one.key, one.help) not in shared and one.key != "id"]
        if not rows:
            continue
        head = f"[{kind}]" if kind in SINGLE else f"[[{kind}]]"
        lines += [
            "", f"### `{head}`" if kind else "### Top of the file", "",
            "| Field | Meaning | Values | When left out |", "| --- | --- | --- | --- |",
            *(_row(one) for one in rows),
        ]  # fmt: skip
    lines += [
        "", "### What can vary in a fire", "",
        "`ID.` and the input is its key, `ID.exposed_share.PART` that of a share.", "",
        "| Of | Input | Meaning | Values | Default spread |", "| --- | --- | --- | --- | --- |",
        *(_input_row(one) for one in inputs()),
    ]  # fmt: skip
    lines += ["", "### Materials, alloys, distributions", ""]
    lines += [f"Materials: {', '.join(f'`{metal.key}`' for metal in materials())}.", ""]
    melting = ", ".join(
        f"`{metal.key}` {format_quantity(metal.liquidus, 'temperature', 'degC', 4)}"
        for metal in alloys()
    )
    lines += [f"Alloys and the temperatures at which they are molten: {melting}.", ""]
    shapes = "; ".join(
        f"`{name}` with "
        + ", ".join(f"`{key}`" + (" (optional)" if key in optional else "") for key in keys)
        for name, (keys, optional) in DISTRIBUTIONS.items()
    )
    lines += [
        f"Distributions of `[spread.ID]`: {shapes}. A middle (`mean`, `mode`, `median`) that is "
        "left out is the value of the part; where that is no field of the file, as with "
        "`melting`, it must be given.",
        "",
        "",
    ]
    return "\n".join(lines)


def _row(one: FieldSpec) -> str:
    left = "must be given" if one.required else one.left_out or f"`{one.default}`"
    return f"| `{one.key}` | {one.help} | {_values(one)} | {left} |".replace("\n", " ")


def _input_row(one: Input) -> str:
    values = "yes or no" if one.is_yes_or_no else _values(one.spec)
    cells = (kind_name(one.of), f"`{one.field}`", INPUT_WORDS[one.field], values, _spread(one))
    return f"| {' | '.join(cells)} |"


def _spread(one: Input) -> str:
    how = one.spread
    if how is None:
        return f"only swept: {one.only_swept}"
    unit = "" if how.relative else "K" if how.offset else one.spec.unit
    numbers = ", ".join(
        f"`{name}` {f'{value:g} {unit}'.strip()}" for name, value in how.parameters.items()
    )
    about = " times the value" if how.relative else " beside the value" if how.offset else ""
    return f"`{how.distribution}`: {numbers}{about}. {how.source}"


def _values(one: FieldSpec) -> str:
    if one.kind == "outlet":
        return ", ".join((*(f"`{word}`" for word in one.choices), "id of: room"))
    if one.kind == "accepted":
        words = ", ".join(f"`{word}`" for word in one.choices if word != "not converged")
        return f"table with `outcome` ({words}), `use` and, if there is one, `rupture_after`"
    if one.kind == "found":
        return "table of names, of numbers in SI and of such numbers by name"
    if one.kind == "fire":
        words = ", ".join(f"`{word}`" for word in one.choices)
        return f"table with `curve` ({words}) and `duration` (optional, as of a fire)"
    if one.choices:
        return ", ".join(f"`{word}`" for word in one.choices)
    if one.targets:
        kinds = ", ".join(kind_name(kind) for kind in one.targets)
        return f"ids of: {kinds}" if one.kind == "references" else f"id of: {kinds}"
    if one.is_quantity:
        sure = "gauge or absolute, " if one.kind == "pressure" and not one.absolute else ""
        return f"{sure}{one.range_text()}"
    if one.kind in {"number", "integer", "share"}:
        return f"number, {one.range_text()}"
    return {
        "flag": "`true`, `false`", "date": "`2026-11-01`", "months": '`"12 months"`',
        "calendar": '`"2 months"`, `"6 weeks"`', "text": "text", "material": "see below",
        "alloy": "see below, or `unknown`", "point": "`[12.0, 3.5]`",
        "cell": "`[12, 4]`",
        "path": "`[[0, 0], [4, 0], [4, 2.5]]`",
        "points": '`[["0 min", "20 degC"], ["5 min", "900 degC"]]`',
        "rule": "name of a rule", "keys": '`["wall_thickness"]`',
        "shares": "number above 0 to 1, or `{ R1 = 0.25 }`",
    }[one.kind]  # fmt: skip


FIELD_TABLES = MarkedBlock(DOCS / "system-file.md", "fields", field_tables)

if __name__ == "__main__":
    FIELD_TABLES.command()
