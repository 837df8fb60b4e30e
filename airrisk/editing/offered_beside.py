"""What is offered for a new part: usual sizes that go with what somebody has said of it."""

from __future__ import annotations

from typing import Any

from airrisk.editing import edits
from airrisk.editing.usual_sizes import design_for, gauge_of, shell_for
from airrisk.installation.splice import EditError, SystemText
from airrisk.quantities import QuantityError, parse, plain_number


def offered_beside(kind: str, fields: dict[str, Any], text: SystemText) -> dict[str, str]:
    """What is offered for a new part beside what somebody has said of it.

    Parameters
    ----------
    kind
        Kind of table.
    fields
        What was said, as it stands in the file.
    text
        The file: a relief valve follows the design pressure of what it stands on.
    """
    start = {key: value for key, value in edits.STARTS[kind].items() if key not in fields}
    if kind == "vessel":
        start.update(_vessel_beside(fields))
        if "cylinder_length" in fields:
            start.pop("volume", None)
    elif kind == "relief_valve":
        design = _of_holder(text, str(fields.get("on", "")), "design_pressure")
        if design is not None and "set_pressure" in start:
            start["set_pressure"] = design
    return {key: value for key, value in start.items() if key not in fields}


def _of_holder(text: SystemText, name: str, key: str) -> str | None:
    try:
        value = text.block(name).get(key)
    except EditError:
        return None
    return value if isinstance(value, str) and gauge_of(value) is not None else None


def _vessel_beside(fields: dict[str, Any]) -> dict[str, str]:
    """Pressures that go with the one that was said, and a shell that goes with both."""
    found: dict[str, str] = {}
    design, working = gauge_of(fields.get("design_pressure")), gauge_of(fields.get("pressure"))
    if design is None and working is not None:
        design = design_for(working)
        found["design_pressure"] = f"{plain_number(design / 1e5)} bar(g)"
    elif working is None and design is not None:
        found["pressure"] = str(fields["design_pressure"])
    sized = design is not None or "volume" in fields
    try:
        volume = parse(str(fields.get("volume", "500 L")), "volume")
        across = fields.get("inside_diameter")
        diameter = None if across is None else parse(str(across), "length")
    except QuantityError:
        return found  # the file's check tells it
    if sized and volume > 0.0:
        found.update(shell_for(volume, max(design or gauge_of("11 bar(g)") or 0.0, 0.0), diameter))
    return found
