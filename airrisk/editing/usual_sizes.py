"""Sizes that pipes, receivers and plugs usually come with: offered, never taken as a person's."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from airrisk.installation.fields import FIELDS
from airrisk.installation.splice import SystemText
from airrisk.messages import quoted
from airrisk.quantities import STANDARD_ATMOSPHERE, QuantityError, parse, plain_number
from airrisk.tables import read_toml

TABLE = "usual_sizes.toml"
PLUG_BORES = "plug_body.toml"
CAUTIOUS = "thin"  # series whose wall is offered where nobody says which


@dataclass(frozen=True)
class UsualSize:
    """One size of a list: what it writes into a part, and where the list comes from."""

    of: str  # kind of table
    name: str  # "DN 50 (60.3 x 2.9 mm)"
    series: str
    fields: tuple[tuple[str, str], ...]  # key and text, as they would stand in the file
    source: str
    standing: str


def _millimetres(number: float) -> str:
    return f"{plain_number(number)} mm"


@cache
def usual_sizes(kind: str) -> tuple[UsualSize, ...]:
    """The list for a kind of part: of lines, vessels and plugs; empty for all others."""
    tables = read_toml(TABLE)
    if kind == "line":
        return tuple(
            _pipe(series, *row) for series in tables["pipe"].values() for row in series["rows"]
        )
    if kind == "vessel":
        found = tables["receiver"]
        return tuple(
            UsualSize(
                kind, f"{litres} L", "", (("volume", f"{litres} L"),),
                quoted(found["source"]), found["standing"],
            )
            for litres in found["litres"]
        )  # fmt: skip
    if kind == "plug":
        found = tables["plug"]
        return tuple(
            UsualSize(
                kind, _millimetres(bore), "", (("bore", _millimetres(bore)),),
                quoted(found["source"]), found["standing"],
            )
            for bore in read_toml(PLUG_BORES)["usual_bores"]["mm"]
        )  # fmt: skip
    return ()


def _pipe(series: dict[str, str], nominal: int, outer: float, wall: float) -> UsualSize:
    inner = outer - 2.0 * wall
    return UsualSize(
        "line",
        f"DN {nominal} ({plain_number(outer)} x {plain_number(wall)} mm)",
        quoted(series["name"]),
        (("inside_diameter", _millimetres(inner)), ("wall_thickness", _millimetres(wall))),
        quoted(series["source"]),
        series["standing"],
    )


def pipe_of(nominal: int) -> UsualSize | None:
    """The usual pipe of a nominal size with the thinner, cautious wall; None: not in the list."""
    series = read_toml(TABLE)["pipe"][CAUTIOUS]
    rows = [row for row in series["rows"] if row[0] == nominal]
    return _pipe(series, *rows[0]) if rows else None


def nominal_sizes() -> tuple[int, ...]:
    """Nominal sizes of the usual pipes."""
    return tuple(row[0] for row in read_toml(TABLE)["pipe"][CAUTIOUS]["rows"])


def with_size(text: SystemText, part: str, size: UsualSize) -> SystemText:
    """The text with a usual size written into a part, each written value offered.

    A wall of a list is no measured one, whatever was said of the wall before.

    Raises
    ------
    EditError
        There is no such part, or the text has a syntax error.
    """
    for key, value in size.fields:
        text = text.set(part, key, value)
        if key == "wall_thickness":
            text = text.unset(part, "measured")
    held = text.block(part).get("offered")
    before = [str(one) for one in held] if isinstance(held, list) else []
    wanted = {*before, *(key for key, _value in size.fields)}
    kind = text.address(part)[0]
    offered = [spec.key for spec in FIELDS[kind] if spec.key in wanted]
    return text.up_to_date().set(part, "offered", offered)


def gauge_of(text: str | None) -> float | None:
    """A pressure of the file above the atmosphere, Pa; None: it says none."""
    if text is None:
        return None
    try:
        return parse(text, "pressure", ambient_pressure=STANDARD_ATMOSPHERE) - STANDARD_ATMOSPHERE
    except QuantityError:
        return None


def shell_for(volume: float, design: float, diameter: float | None = None) -> dict[str, str]:
    """Diameter and wall to offer for a vessel of which no more is known.

    Parameters
    ----------
    volume
        m3.
    design
        Design pressure above the atmosphere, Pa.
    diameter
        m, where somebody has given it.

    Returns
    -------
    dict
        Texts of ``inside_diameter`` and ``wall_thickness``.
    """
    shell = read_toml(TABLE)["shell"]
    if diameter is None:
        across = (volume / (math.pi / 4.0 * shell["lengths_per_diameter"])) ** (1.0 / 3.0)
        diameter = max(round(across, 2), 0.1)
    wall = design * diameter / (2.0 * shell["membrane_stress"]) + shell["corrosion"]
    wall = max(math.ceil(2000.0 * wall) / 2000.0, shell["least_wall"])
    return {
        "inside_diameter": _millimetres(1000.0 * diameter),
        "wall_thickness": _millimetres(1000.0 * wall),
    }


def design_for(working: float) -> float:
    """The design pressure to offer beside a working one, both Pa above the atmosphere."""
    over = float(read_toml(TABLE)["shell"]["design_over_working"])
    return math.ceil(over * working / 1e4 - 1e-9) * 1e4
