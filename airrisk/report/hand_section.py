"""The chapter that a person with a pocket calculator repeats: one vessel, every step."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from airrisk.installation.model import Device, Installation, Vessel
from airrisk.physics.air import AirRangeError
from airrisk.physics.creep import curve_of
from airrisk.physics.vessel_burst import ALONE_BEYOND, CYLINDER_FACTORS
from airrisk.report.blocks import (
    Block,
    Drawn,
    Formula,
    Heading,
    Paragraph,
    Section,
    Table,
    table_of,
)
from airrisk.report.heat_table import heat_blocks
from airrisk.report.relief_blocks import relief_blocks
from airrisk.report.screening_sections import controlling_vessel
from airrisk.report.shape_table import shape_table
from airrisk.study.consequence_records import CaseRecord, OverpressureRow
from airrisk.study.consequence_traces import TRACED_HARM
from airrisk.study.creep_hand_calculation import CreepSum, creep_sum, fastest_creep
from airrisk.study.fire_hand_calculation import (
    outflow_traces,
    state_when_opening,
    strength_use_at_its_highest,
)
from airrisk.study.heat_by_hand import HeatByHand, heat_by_hand
from airrisk.study.records import Assessment, FireRecord
from airrisk.study.rules.plug_cores import core_traces
from airrisk.wording import labels
from airrisk.wording.charts import energies_chart
from airrisk.wording.formulas import render_trace
from airrisk.wording.sentences import counts_for_verdict, fire_lead, telling_fires
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text, quantity_text, time_text

LEAST_SHOWN_PA, MOST_SHOWN_PA = 1e3, 5e5  # of the overpressure table


def hand_section(
    assessment: Assessment, installation: Installation, units: Units
) -> Section | None:
    """Every formula of the controlling vessel with its numbers put in; None without traces.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    installation : Installation
        What was assessed.
    units : Units
        Of the results; the steps themselves are SI.
    """
    name = controlling_vessel(assessment)
    if name is None:
        return None
    record = assessment.parts[name]
    if not record.traces:
        return None
    blocks: list[Block] = [
        Paragraph(
            tr(
                "Controlling vessel, with the smallest margin in its fire or the first to rupture: "
                "{part}. All numbers are SI, pressures absolute unless the symbol says gauge; "
                "a pocket calculator repeats each line within 0.5 %. The symbols of a formula "
                "are explained where it comes first."
            ).format(part=name)
        )
    ]
    vessel = next((v for v in installation.vessels if v.id == name), None)
    followed = None if vessel is None else _followed(assessment, installation, vessel)
    if vessel is not None:
        blocks += _shape_blocks(vessel, None if followed is None else followed[1])
    blocks += [Formula(render_trace(trace, units)) for trace in record.traces]
    chart = energies_chart(record, units)
    blocks.append(Drawn(chart, chart.caption))
    fire = _fire_of(assessment, name)
    if vessel is not None and fire is not None:
        if followed is not None:
            blocks += heat_blocks(followed[1], followed[0], units, other=followed[0] is not fire)
        blocks += _fire_blocks(installation, fire, vessel, units)
        blocks += _creep_blocks(assessment, installation, vessel, units)
        blocks += _outflow_blocks(assessment, installation, fire, vessel, units)
        if followed is not None:
            blocks += relief_blocks(installation, followed[0], vessel, followed[1], units)
    blocks += _core_blocks(assessment, installation, name, units)
    cases = assessment.consequences.get(name) or {}
    if cases:
        case = "fire_unvented" if "fire_unvented" in cases else max(cases)
        blocks += _burst_blocks(cases[case], case, units)
    return Section(
        "hand-calculation", tr("One calculation by hand"), tuple(_explained_once(blocks))
    )


def _explained_once(parts: Iterable[Block]) -> Iterator[Block]:
    """The blocks, with the symbols of a formula only where it comes first."""
    known: set[str] = set()
    for block in parts:
        if isinstance(block, Formula):
            yield replace(block, brief=block.worked.key in known)
            known.add(block.worked.key)
        else:
            yield block


def _fire_of(assessment: Assessment, vessel: str) -> FireRecord | None:
    """The stated fire around a vessel that is drawn, or that with all of it in flames."""
    found = [
        fire
        for fire in telling_fires(assessment)
        if vessel in fire.members and counts_for_verdict(fire)
    ]
    return max(found, key=lambda fire: fire.worst_use or 0.0, default=None)


def _followed(
    assessment: Assessment, installation: Installation, vessel: Vessel
) -> tuple[FireRecord, HeatByHand] | None:
    """The fire whose heat is followed row by row: the worst, else that with all in flames.

    Of a fire that stands somewhere each part of the wall gets another heat.
    """
    around = [fire for fire in assessment.fires if vessel.id in fire.members]
    whole = [fire for fire in around if fire.fire_class == "whole"]
    first = _fire_of(assessment, vessel.id)
    for fire in (*([first] if first is not None else []), *whole):
        found = heat_by_hand(installation, fire, vessel)
        if found is not None:
            return fire, found
    return None


def _shape_blocks(vessel: Vessel, heat: HeatByHand | None) -> Iterator[Block]:
    """What the formulas take from the drawing of the vessel."""
    yield Heading(tr("Shape and surfaces of {part}").format(part=vessel.id))
    yield shape_table(vessel, None if heat is None else heat.fire.share(vessel.id))
    yield Heading(tr("Air, wall and energy of {part}").format(part=vessel.id))
    yield Paragraph(
        tr(
            "Temperatures at the design pressure, at the lift of a relief valve and at rupture are "
            "found by iteration: at them the formulas give the pressure that they stand for."
        ),
        "small",
    )


def _fire_blocks(
    installation: Installation, fire: FireRecord, vessel: Vessel, units: Units
) -> Iterator[Block]:
    highest = strength_use_at_its_highest(installation, fire, vessel)
    if highest is not None:
        yield Heading(
            tr("{lead}, as stated, when the strength use of {part} is highest, at {time}").format(
                lead=fire_lead(fire), part=vessel.id, time=time_text(highest.time_s)
            )
        )
        yield Paragraph(
            tr(
                "From the run as stated, as in its charts: {pressure}, hottest wall {wall}. The "
                "time steps that lead there are the one thing that no pocket calculator repeats."
            ).format(
                pressure=quantity_text(highest.pressure_pa, "pressure", units),
                wall=quantity_text(highest.wall_temperature_k, "temperature", units),
            ),
            "small",
        )
        yield from (Formula(render_trace(step, units)) for step in highest.traces)


def _most_crept(assessment: Assessment, vessel: str) -> FireRecord | None:
    """The fire that, as stated, uses up most of the life of a vessel's metal."""

    def damage(fire: FireRecord) -> float:
        own = None if fire.curves is None else fire.curves.parts.get(vessel)
        return 0.0 if own is None else max(own.creep_damage, default=0.0)

    return max(assessment.fires, key=damage, default=None)


def _creep_blocks(
    assessment: Assessment, installation: Installation, vessel: Vessel, units: Units
) -> Iterator[Block]:
    """The life of the metal where it is shortest, and the sum of its damage in a few steps."""
    fire = _most_crept(assessment, vessel.id)
    if fire is None:
        return
    fastest = fastest_creep(installation, fire, vessel)
    added = creep_sum(installation, fire, vessel)
    curve = curve_of(vessel.material)
    if fastest is None or added is None or curve is None:
        return
    yield Heading(
        tr("{lead}, as stated, when the metal of {part} creeps fastest, at {time}").format(
            lead=fire_lead(fire), part=vessel.id, time=time_text(fastest.time_s)
        )
    )
    yield Paragraph(
        tr(
            "The fire whose run as stated uses up most of its life. {pressure}, hottest wall "
            "{wall}; the curve is that of {curve}, its constant that of the lower bound of the "
            "tests. The mean of the tests has the constant {mean}."
        ).format(
            pressure=quantity_text(fastest.pressure_pa, "pressure", units),
            wall=quantity_text(fastest.wall_temperature_k, "temperature", units),
            curve=tr(curve.name),
            mean=number_text(curve.mean, 6),
        ),
        "small",
    )
    yield from (Formula(render_trace(step, units)) for step in fastest.traces)
    yield Heading(tr("{lead}, as stated, creep damage of {part} in steps").format(
        lead=fire_lead(fire), part=vessel.id
    ))  # fmt: skip
    yield _creep_table(added, units)


def _creep_table(added: CreepSum, units: Units) -> Table:
    """Each step with the state in its middle, its life and its share, and the sum of the shares."""
    rows = [
        [
            time_text(step.from_s, 4),
            time_text(step.to_s, 4),
            quantity_text(step.pressure_pa, "pressure", units),
            quantity_text(step.wall_temperature_k, "temperature", units),
            quantity_text(step.stress_pa, "stress", units),
            time_text(step.life_s, 4),
            number_text(step.damage, 4),
        ]
        for step in added.steps
    ]
    return table_of(
        [tr("From"), tr("To"), tr("Pressure"), tr("Hottest wall"), tr("Stress"), tr("Life"),
         tr("Share used up")],
        rows, [1.0, 1.0, 1.1, 1.1, 1.0, 1.0, 1.0], range(7),
        caption=tr(
            "Pressure, wall and stress in the middle of each step; its length over the life there "
            "is the share. With {around} before and after these steps the shares add up to "
            "{total}. The run itself adds up {run}, in its own finer steps."
        ).format(
            around=number_text(added.around, 3), total=number_text(added.total, 3),
            run=number_text(added.of_run, 3),
        ),
    )  # fmt: skip


def _outflow_blocks(
    assessment: Assessment,
    installation: Installation,
    fire: FireRecord,
    vessel: Vessel,
    units: Units,
) -> Iterator[Block]:
    """What the first device on the vessel lets out: a plug as it opens, else one fully open."""
    here = vessel.id.casefold()
    for plug in installation.plugs:
        state = state_when_opening(fire, plug) if plug.on.casefold() == here else None
        if state is not None:
            time, *air = state
            title = tr("{lead}, as stated, air out of {device} as it opens, at {time}").format(
                lead=fire_lead(fire), device=plug.id, time=time_text(time)
            )
            told = tr("From the run as stated: air at {pressure} and {temperature}.")
            if vessel.condensate > 0.0:
                told += " " + tr("Steam that goes with it is reckoned as air here.")
            made = _outflow(installation, plug, air[0], air[1], (title, told), units)
            if made:
                yield from made
                return
    for device in installation.devices():
        record = assessment.discharges.get(device.id)
        if record is None or device.on.casefold() != here:
            continue
        title = tr("Air that {device} would let out, fully open").format(device=device.id)
        told = tr("Air at {pressure} and {temperature}, as in the chapter on open devices.")
        texts = (title, told)
        made = _outflow(
            installation, device, record.pressure_pa, record.temperature_k, texts, units
        )
        if made:
            yield from made
            return


def _outflow(
    installation: Installation,
    device: Device,
    pressure: float,
    temperature: float,
    texts: tuple[str, str],
    units: Units,
) -> list[Block]:
    ambient = installation.site.ambient_pressure
    try:
        steps = tuple(outflow_traces(device, pressure, temperature, ambient))
    except (AirRangeError, ArithmeticError):
        return []
    if not steps:
        return []
    told = texts[1].format(
        pressure=quantity_text(pressure, "pressure", units),
        temperature=quantity_text(temperature, "temperature", units),
    )
    formulas = [Formula(render_trace(step, units)) for step in steps]
    return [Heading(texts[0]), Paragraph(told, "small"), *formulas]


def _core_blocks(
    assessment: Assessment, installation: Installation, vessel: str, units: Units
) -> Iterator[Block]:
    """How hard the pressure shears the cores of the vessel's plugs in service."""
    steps = tuple(core_traces(installation, assessment.on, vessel))
    if steps:
        yield Heading(tr("Pressure on the cores of the plugs on {part}").format(part=vessel))
        yield Paragraph(
            tr(
                "At the highest pressure that can stand there, before any fire. In years this can "
                "push a core out: see the findings for the limits."
            ),
            "small",
        )
        yield from (Formula(render_trace(step, units)) for step in steps)


def _burst_blocks(record: CaseRecord, case: str, units: Units) -> Iterator[Block]:
    if not record.traces:
        return
    yield Heading(tr("If it lets go: {case}").format(case=labels.consequence_case(case)))
    yield Paragraph(
        tr(
            "Distances of blast and of the farthest piece are worked for one harm, "
            "“{harm}”, and for few pieces at the likely share of the energy; the others go the "
            "same way."
        ).format(harm=tr(TRACED_HARM)),
        "small",
    )
    yield from (Formula(render_trace(trace, units)) for trace in record.traces)
    table = _overpressure_table(record, units)
    if table is not None:
        yield Heading(tr("Overpressure against distance"))
        yield table


def _overpressure_table(record: CaseRecord, units: Units) -> Table | None:
    """Both curves of the blast, scaled and not, as far as a person is in doubt."""
    burst, tnt = record.methods["burst"], record.methods["tnt"]
    energy = burst.inputs.get("scaled_energy_j")
    if not isinstance(energy, float) or energy <= 0.0:
        return None
    length = (energy / units.ambient_pressure) ** (1 / 3)
    pairs = [
        (near, far)
        for near, far in zip(burst.overpressure, tnt.overpressure, strict=True)
        if max(near.incident_pa, far.incident_pa) >= LEAST_SHOWN_PA
        and near.incident_pa <= MOST_SHOWN_PA
    ]
    rows = [_row(near, far, length, record.tnt_kg, units) for near, far in pairs]
    if not rows:
        return None
    return table_of(
        [tr("Distance"), tr("Scaled, R_s"), tr("Sphere, p_s / p_0"), tr("Factor of shape"),
         tr("Bursting vessel"), tr("Scaled, Z_s, m/kg^(1/3)"), tr("TNT")],
        rows, [1.0, 1.0, 1.0, 1.0, 1.1, 1.1, 1.1], range(7),
        caption=tr(
            "Incident overpressures. Bursting vessel: the program's own table of spherical bursts "
            "at this pressure and temperature ratio, times a factor of the shape, never above the "
            "vessel's own pressure. Between rows the curves are straight on logarithmic "
            "scales{factors}."
        ).format(factors=_factors(burst.inputs.get("shape"))),
    )  # fmt: skip


def _factors(shape: object) -> str:
    """The printed factors of elongated vessels, to which the factor of shape is drawn."""
    if shape != "cylinder":
        return ""
    texts = [
        tr("{factor} at R_s = {edge}").format(
            factor=number_text(factor), edge=number_text(min(edge, ALONE_BEYOND))
        )
        for edge, factor, _ in CYLINDER_FACTORS
    ]
    return tr(", and so is the factor of shape between the printed ones ({factors})").format(
        factors=", ".join(texts)
    )


def _row(
    near: OverpressureRow, far: OverpressureRow, length: float, tnt: float, units: Units
) -> list[str]:
    sphere = near.sphere_incident_pa
    scaled = number_text(far.distance_m / tnt ** (1 / 3), 4)
    return [
        quantity_text(near.distance_m, "distance", units, 3),
        number_text(near.distance_m / length, 4),
        "–" if sphere is None else number_text(sphere / units.ambient_pressure, 4),
        "–" if not sphere else number_text(near.incident_pa / sphere, 3),
        quantity_text(near.incident_pa, "pressure_difference", units),
        scaled,
        quantity_text(far.incident_pa, "pressure_difference", units),
    ]
