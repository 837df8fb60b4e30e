"""What oil could do that burns inside a part: a table beside the parts heated shut in."""

from __future__ import annotations

from airrisk.report.blocks import Block, Heading, Paragraph, Table, table_of
from airrisk.study.records import Assessment, OilInside
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, quantity_text

NONE = "–"


def oil_blocks(assessment: Assessment, units: Units) -> list[Block]:
    """Heading, what it means, and the table; nothing where no part has the numbers.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    units : Units
        Unit set and atmosphere.
    """
    found = {
        name: record.oil_inside
        for name, record in assessment.parts.items()
        if record.oil_inside is not None
    }
    if not found:
        return []
    return [
        Heading(tr("Oil that burns inside")),
        Paragraph(
            tr(
                "The verdicts leave this out. Burnt at once, oil heats the shut-in air while the "
                "walls are still as at the start. The table tells how much oil would burst each "
                "part then, and how much its oxygen can burn. A detonation can burst it with less."
            )
        ),
        _table(found, units),
    ]


def _table(found: dict[str, OilInside], units: Units) -> Table:
    return table_of(
        [
            tr("Part"), tr("Oil that bursts it"), tr("As a film of"),
            tr("Oil that its oxygen burns"), tr("As a film of"), tr("Pressure if it held, at most"),
            tr("Oil for the plugs to melt"),
        ],
        [[name, *_row(one, units)] for name, one in found.items()],
        [0.8, 1, 0.9, 1, 0.9, 1, 2.2],
        range(1, 6),
        caption=tr(
            "{none} : the oxygen inside is too little. Films lie evenly on the inner surface. "
            "Plugs: with less than the first amount the air stays below their melting point. With "
            "the second, air and wall reach it together; between the two a plug may stay shut."
        ).format(none=NONE),
        strong_first=True,
    )  # fmt: skip


def _row(one: OilInside, units: Units) -> list[str]:
    plugs = (
        tr("{plug}: {least}, with the wall {most}").format(
            plug=plug, least=_mass(oil.air_kg, units), most=_mass(oil.metal_kg, units)
        )
        for plug, oil in one.plugs.items()
    )
    return [
        _mass(one.rupture_kg, units),
        _film(one.rupture_film_thickness_m, units),
        _mass(one.most_kg, units),
        _film(one.most_film_thickness_m, units),
        quantity_text(one.most_pressure_pa, "pressure", units, 3),
        "; ".join(plugs) or NONE,
    ]


def _mass(value: float | None, units: Units) -> str:
    return NONE if value is None else quantity_text(value, "mass", units, 3)


def _film(value: float | None, units: Units) -> str:
    return NONE if value is None else quantity_text(value, "length", units, 2)
