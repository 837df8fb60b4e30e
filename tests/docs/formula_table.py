"""The table of formulas in docs/method.md, made from resources.

``python -m tests.docs.formula_table`` prints it; with ``--write`` it is put into the page.
"""

from __future__ import annotations

from airrisk.wording.formulas import Formula, formulas
from tests.docs.marked_block import DOCS, MarkedBlock


def formula_table() -> str:
    """One row for each formula: what it gives, its symbols, source and standing."""
    rows = [_row(one) for one in formulas().values()]
    head = ["", "| What | Formula | Symbols | Source and standing |", "| --- | --- | --- | --- |"]
    return "\n".join([*head, *rows, "", ""])


def _row(one: Formula) -> str:
    symbols = "; ".join(
        f"`{symbol}` {text}" + (f", {unit}" if unit else "")
        for symbol, (text, unit) in one.symbols.items()
    )
    unit = f" ({one.result[1]})" if one.result[1] else ""
    cells = (one.title + unit, f"`{one.expression}`", symbols, f"{one.source} ({one.standing})")
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


FORMULA_TABLE = MarkedBlock(DOCS / "method.md", "formulas", formula_table)

if __name__ == "__main__":
    FORMULA_TABLE.command()
