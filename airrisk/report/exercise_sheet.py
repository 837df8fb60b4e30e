"""Eight questions on one vessel or line, with numbers of its own, and the answers behind them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from airrisk.installation.model import Installation, Line, Vessel
from airrisk.report.blocks import Block, Formula, Paragraph, Report, Section, table_of
from airrisk.report.content import units_for
from airrisk.study.energy_compared import stored_energy
from airrisk.study.records import FALL, PartRecord, StoredEnergy, Trace
from airrisk.study.screening import screen
from airrisk.wording import labels
from airrisk.wording.formulas import render_trace
from airrisk.wording.pressure_charts import chosen_basis
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, absolute_text, gauge_text, percent_text, quantity_text

MOST = 8
ROOM = 58.0  # points for an answer by hand


@dataclass(frozen=True)
class Exercise:
    """A question, its answer in words, and the steps of the program that it follows from."""

    question: str
    answer: str
    steps: tuple[tuple[str, str], ...] = ()  # key and state of traces


def build_exercise(
    installation: Installation, part: Vessel | Line, unit_set: str = "metric"
) -> Report:
    """The exercise sheet of one vessel or line: a page of questions, then the answers.

    Parameters
    ----------
    installation : Installation
        The checked installation.
    part : Vessel or Line
        One of its holders; its condensate is left out.
    unit_set : str
        "metric" or "US customary".

    Raises
    ------
    air.AirRangeError
        Its state lies outside the air table.
    """
    units = units_for(installation, unit_set)
    wet = part.condensate > 0.0
    part = replace(part, condensate=0.0)
    record = screen(installation, part)
    stored = stored_energy(installation, part)
    asked = list(_exercises(installation, record, stored, units))[:MOST]
    return Report(
        title=tr("Exercises on {part}").format(part=part.id),
        subtitle=installation.title,
        facts=(),
        sections=(
            _questions(asked, _given(installation, part, record, units), wet),
            _answers(record, asked, units),
        ),
        footer=tr("An exercise in calculation, no assessment of an installation"),
    )


def _questions(asked: Sequence[Exercise], given: list[list[str]], wet: bool) -> Section:
    rows = [[str(number), one.question, ""] for number, one in enumerate(asked, start=1)]
    blocks: list[Block] = [
        Paragraph(
            tr(
                "Take air as an ideal gas, with R = 287 J/(kg K) and k = 1.4. The answers are "
                "those of real air: they differ a little."
            )
        ),
        *([Paragraph(tr("The condensate of the system file is left out here."))] if wet else []),
        table_of(
            [tr("Given"), tr("Value")],
            given,
            [2.2, 1.0],
            (1,),
            numbered=False,
        ),
        table_of(
            ["", tr("Question"), tr("Your answer")],
            rows,
            [0.25, 3.0, 2.2],
            row_height=ROOM,
            numbered=False,
        ),
    ]
    return Section("questions", tr("Questions"), tuple(blocks), own_page=True, one_page=True)


def _given(
    installation: Installation, part: Vessel | Line, record: PartRecord, units: Units
) -> list[list[str]]:
    """What the person may take as known."""
    ambient = installation.site.ambient_pressure
    cold = next(
        one.result
        for one in record.traces
        if one.state == "cold" and one.key.startswith("strength_")
    )
    shell = next(one.result for one in record.traces if _is_cold_shell(one))
    weakest = record.burst_pressure_cold_gauge_pa / shell
    rows = [
        (tr("Volume"), quantity_text(record.volume_m3, "volume", units)),
        (tr("Pressure"), quantity_text(record.pressure_pa, "pressure", units)),
        (tr("Pressure of the surroundings"), absolute_text(ambient, units)),
        (tr("Temperature"), quantity_text(record.temperature_k, "temperature", units, 3)),
        (tr("Inside diameter"), quantity_text(part.inside_diameter, "length", units)),
        (tr("Wall thickness"), quantity_text(part.wall_thickness, "length", units)),
        (
            tr("Strength of the cold metal ({metal})").format(metal=part.material),
            quantity_text(cold, "stress", units, 3),
        ),
        (tr("The weakest of shell and heads bears, of the shell"), percent_text(weakest, 3)),
    ]
    return [list(row) for row in rows]


def _exercises(
    installation: Installation, record: PartRecord, stored: StoredEnergy, units: Units
) -> Iterator[Exercise]:
    """The questions that this part has an answer to, the plainest first."""
    part = record.id
    yield Exercise(
        tr("How much air is in {part}, in kilograms?").format(part=part),
        tr("{mass} of air.").format(mass=quantity_text(record.gas_mass_kg, "mass", units, 3)),
        (("air_density", "start"), ("gas_mass", "start")),
    )
    yield from _pressure_exercise(installation, record, units)
    shell = next(one for one in record.traces if _is_cold_shell(one))
    yield Exercise(
        tr(
            "Which gauge pressure would burst the shell of {part}, a cylinder, when it is cold? "
            "Its welds bear {share} of the metal."
        ).format(part=part, share=percent_text(shell.inputs.get("z", 1.0), 3)),
        tr("{pressure} the shell; the weakest of shell and heads bears {least}.").format(
            pressure=gauge_text(shell.result, units, 3),
            least=gauge_text(record.burst_pressure_cold_gauge_pa, units, 3),
        ),
        ((shell.key, "cold"),),
    )
    yield from _rupture_exercises(record, units)
    energy = quantity_text(stored.energies.isentropic, "energy", units, 3)
    yield Exercise(
        tr(
            "How much energy is stored in {part}, if its air expands without heat to the pressure "
            "of the surroundings?"
        ).format(part=part),
        tr("{energy}, isentropic.").format(energy=energy),
        (("isentropic_energy", "start"),),
    )
    yield Exercise(
        tr("Which mass has the same energy when it falls {height}?").format(
            height=quantity_text(FALL, "distance", units, 2)
        ),
        tr("{mass}: energy over height and 9.81 m/s².").format(
            mass=quantity_text(stored.falling_mass_kg, "mass", units, 3)
        ),
    )
    yield Exercise(
        tr(
            "Somebody takes pressure times volume for the stored energy. Gauge or absolute "
            "pressure: how far off is that?"
        ),
        tr(
            "Gauge pressure times volume is {product}, the isentropic energy {energy}. Absolute "
            "pressure would count the atmosphere, which does no work."
        ).format(
            product=quantity_text(stored.pressure_times_volume_j, "energy", units, 3), energy=energy
        ),
    )


def _is_cold_shell(trace: Trace) -> bool:
    is_shell = trace.key.startswith("burst_") and not trace.key.startswith("burst_head")
    return is_shell and trace.state == "cold"


def _pressure_exercise(
    installation: Installation, record: PartRecord, units: Units
) -> Iterator[Exercise]:
    """When shut-in air reaches the set pressure of a relief valve, or else design pressure."""
    lift, design = record.relief_lift_temperature_k, record.design_pressure_temperature_k
    reached = lift if lift is not None else design
    target = next(
        (
            one.pressure_pa
            for one in record.marks
            if one.kind in ("relief lift", "design pressure") and one.temperature_k == reached
        ),
        None,
    )
    if reached is None or target is None or target <= record.pressure_pa:
        return
    yield Exercise(
        tr(
            "{part} is shut in and heated as a whole. At which temperature does its air reach "
            "{pressure}?"
        ).format(part=record.id, pressure=quantity_text(target, "pressure", units)),
        tr("At {temperature}.").format(temperature=quantity_text(reached, "temperature", units, 3)),
        (("isochore_pressure", "lift" if lift is not None else "design"),),
    )


def _rupture_exercises(record: PartRecord, units: Units) -> Iterator[Exercise]:
    rupture, pressure = record.rupture_temperature_k, record.rupture_pressure_pa
    if rupture is None or pressure is None:
        return
    at = quantity_text(rupture, "temperature", units, 3)
    strength = next(
        one for one in record.traces if one.state == "rupture" and one.key.startswith("strength_")
    )
    yield Exercise(
        tr(
            "{part} goes on being heated shut in. At {temperature} its metal has {strength} left. "
            "Does it hold the pressure of its air there?"
        ).format(
            part=record.id,
            temperature=at,
            strength=quantity_text(strength.result, "stress", units, 3),
        ),
        tr(
            "Only just: the air presses with {pressure} at {temperature}, and that is what the "
            "metal bears. There it ruptures."
        ).format(pressure=quantity_text(pressure, "pressure", units, 3), temperature=at),
        (
            ("isochore_pressure", "rupture"),
            *((one.key, "rupture") for one in record.traces if one.key.startswith("burst_")),
        ),
    )
    for plug, margin in record.plug_margin_k.items():
        if margin is not None:
            liquidus = quantity_text(rupture - margin, "temperature", units, 3)
            yield Exercise(
                tr(
                    "Plug {plug} is molten at {liquidus}. Air and metal have one temperature: by "
                    "how much does the plug come before the rupture, and why may it be too late "
                    "in a fire?"
                ).format(plug=plug, liquidus=liquidus),
                tr(
                    "By {margin}. In a fire the metal in the flames is far hotter than the air and "
                    "than a plug on the other side: what counts is the run of the fire."
                ).format(margin=quantity_text(margin, "temperature_difference", units, 3)),
            )
            break
    yield Exercise(
        tr(
            "A vessel of the same diameter and wall has twice the volume. Heated shut in: what "
            "becomes of the temperature at which it ruptures, and of the energy?"
        ),
        tr(
            "It ruptures at the same temperature: pressure and strength do not know the volume. "
            "The energy doubles."
        ),
    )


def _answers(record: PartRecord, asked: Sequence[Exercise], units: Units) -> Section:
    blocks: list[Block] = [
        Paragraph(
            tr(
                "The steps are those of the program, with its numbers: real air, and the {basis}."
            ).format(basis=labels.basis(chosen_basis(record) or "tensile")),
            "small",
        )
    ]
    shown: set[str] = set()
    for number, one in enumerate(asked, start=1):
        blocks.append(Paragraph(f"{number}. {one.answer}", "strong"))
        for trace in record.traces:
            if (trace.key, trace.state) in one.steps:
                blocks.append(Formula(render_trace(trace, units), brief=trace.key in shown))
                shown.add(trace.key)
    return Section("answers", tr("Answers"), tuple(blocks), own_page=True)
