"""How the fire heats the vessel that decides, row by row, so that a calculator can follow it."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN
from airrisk.report.blocks import Block, Formula, Heading, Paragraph, Table, table_of
from airrisk.study.heat_by_hand import HeatByHand, HeatRow, flux_of_fire
from airrisk.study.records import FireRecord, Trace
from airrisk.wording.formulas import render_trace
from airrisk.wording.sentences import fire_lead
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text, percent_text, quantity_text, time_text

DIGITS = 5  # of the first table, from which the steps are repeated


def heat_blocks(
    heat: HeatByHand, fire: FireRecord, units: Units, *, other: bool
) -> Iterator[Block]:
    """Heat into the wall, one row and one step worked out, and what the wall bears.

    Parameters
    ----------
    heat : HeatByHand
        The rows.
    fire : FireRecord
        That they are of.
    units : Units
        Of the second table; the first is SI.
    other : bool
        Whether another fire decides, which cannot be followed so.
    """
    yield Heading(
        tr("{lead}, as stated: heat into the wall of {part}, row by row").format(
            lead=fire_lead(fire), part=heat.part
        )
    )
    if other:
        yield Paragraph(
            tr(
                "The fire that decides stands somewhere and gives each part of the wall another "
                "heat; followed here is the fire around all of it."
            )
        )
    yield Paragraph(
        tr(
            "Temperatures, mass and pressure are those of the run. The other columns follow from "
            "those of their row. Net is what comes from the fire, less what goes to the air "
            "inside and to the wall out of the fire. What plugs and water take is left out."
        ),
        "small",
    )
    if heat.resistance_m2_k_w > 0.0:
        yield Paragraph(
            tr(
                "The outer face of the insulation is as hot as it must be for as much heat to "
                "reach it as goes through. In the formula of the heat from flames or radiation "
                "below it stands for the wall; the formula of the insulation gives the same flux."
            ),
            "small",
        )
    yield _fluxes(heat)
    yield from _worked(heat, units)
    yield _borne(heat, units)
    yield Paragraph(_ending(heat))


def _fluxes(heat: HeatByHand) -> Table:
    """What goes into the wall, in SI."""
    across = any(row.across_w_m2 for row in heat.rows)
    flame = any(row.flame_k is not None for row in heat.rows)
    covered = heat.resistance_m2_k_w > 0.0
    columns = [
        (tr("Time, s"), lambda row: row.time_s),
        *([(tr("Flames, K"), lambda row: row.flame_k)] if flame else []),
        *([(tr("Outer face of the insulation, K"), lambda row: row.face_k)] if covered else []),
        (tr("From the fire, W/m²"), lambda row: row.from_fire_w_m2),
        (tr("To the air inside, W/m²"), lambda row: row.to_air_w_m2),
        *([(tr("To the other wall, W/m²"), lambda row: row.across_w_m2)] if across else []),
        (tr("Net, W/m²"), lambda row: row.net_w_m2),
        (tr("Heat capacity, J/(kg·K)"), lambda row: row.wall_j_kg_k),
        (tr("Wall, K"), lambda row: row.wall_k),
        (tr("Air, K"), lambda row: row.air_k),
    ]
    return table_of(
        [head for head, _ in columns],
        [[number_text(value(row), DIGITS) for _, value in columns] for row in heat.rows],
        right=range(len(columns)),
    )


def _worked(heat: HeatByHand, units: Units) -> Iterator[Block]:
    """The flux of one row, and the step from it to the next."""
    place = max(0, min(len(heat.rows) // 2, len(heat.rows) - 2))
    this, following = heat.rows[place], heat.rows[place + 1]
    yield Paragraph(
        tr("One row and one step worked out, from {first} to {second}:").format(
            first=time_text(this.time_s), second=time_text(following.time_s)
        )
    )
    yield from (Formula(render_trace(one, units)) for one in _row_traces(heat, this))
    step = {
        "T_w": this.wall_k,
        "t_n": following.time_s,
        "t_f": this.time_s,
        "A_w": heat.area_m2,
        "M_w": heat.metal_kg,
        "q_1": this.net_w_m2,
        "q_2": following.net_w_m2,
        "c_1": this.wall_j_kg_k,
        "c_2": following.wall_j_kg_k,
    }
    yield Formula(render_trace(Trace("wall_step", step, heat.step(place)), units))


def _row_traces(heat: HeatByHand, row: HeatRow) -> Iterator[Trace]:
    """Flames and flux of one row."""
    key, inputs = flux_of_fire(heat.fire, heat.ambient_k, row)
    if heat.fire.curve in ("standard", "external", "hydrocarbon") and row.flame_k is not None:
        yield Trace(f"fire_{heat.fire.curve}", {"tau": row.time_s}, row.flame_k)
    if key:
        yield Trace(key, {**inputs, "sigma": STEFAN_BOLTZMANN}, row.from_fire_w_m2)
    if heat.resistance_m2_k_w > 0.0 and row.face_k != row.wall_k:
        layer = {"T_o": row.face_k, "T_w": row.wall_k, "R_i": heat.resistance_m2_k_w}
        yield Trace("layer_flux", layer, row.from_fire_w_m2)


def _borne(heat: HeatByHand, units: Units) -> Table:
    """What the wall bears, in the reader's units."""
    damage = any(row.damage is not None for row in heat.rows)
    rows = []
    for row in heat.rows:
        cells = [
            time_text(row.time_s, 4),
            quantity_text(row.wall_k, "temperature", units),
            quantity_text(row.air_k, "temperature", units),
            quantity_text(row.air_kg, "mass", units),
            quantity_text(row.pressure_pa, "pressure", units),
            quantity_text(row.strength_pa, "stress", units),
            number_text(row.use, 3),
        ]
        if damage:
            cells.append("–" if row.damage is None else number_text(row.damage, 2))
        if heat.plug and row.plug_k is not None and row.melted is not None:
            cells.append(quantity_text(row.plug_k, "temperature", units))
            cells.append(percent_text(row.melted))
        rows.append(cells)
    heads = [
        tr("Time"), tr("Wall"), tr("Air"), tr("Air inside"), tr("Pressure"), tr("Strength"),
        tr("Strength use"),
        *([tr("Creep damage")] if damage else []),
        *([heat.plug, tr("molten")] if heat.plug else []),
    ]  # fmt: skip
    return table_of(heads, rows, right=range(len(heads)))


def _ending(heat: HeatByHand) -> str:
    """What ends the rows, and how to read the time of an opening from them."""
    last = time_text(heat.rows[-1].time_s, 4)
    told = []
    if heat.plug and heat.plug_opens_s is not None:
        told.append(
            tr(
                "Plug {plug} opens when all of its core is molten, at {time}: between the last row "
                "below 100 % and the first with it."
            ).format(plug=heat.plug, time=time_text(heat.plug_opens_s, 4))
        )
    if heat.ends == "ruptures":
        told.append(
            tr("The rows end at {time}, when strength use or creep damage reaches 1.").format(
                time=last
            )
        )
    else:
        told.append(tr("The rows end at {time}, with the fire or the run.").format(time=last))
    return " ".join(told)
