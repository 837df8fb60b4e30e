"""What engineers ask about plugs, valves and distances, answered for this installation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from airrisk.installation.model import Installation
from airrisk.installation.naming import in_order
from airrisk.installation.plug_state import uncredited_pressure_devices
from airrisk.physics import alloys, energy
from airrisk.physics.api521 import CARBON_STEEL_WALL
from airrisk.quantities import GRAVITY
from airrisk.study.overview import LIKELY_WAY
from airrisk.study.records import Assessment, FireRecord, PartRecord
from airrisk.wording import labels
from airrisk.wording.cures import LATEST_MELTING, alloy_text
from airrisk.wording.labels import no_credit_reason
from airrisk.wording.margins import corner_text, surety_text
from airrisk.wording.reasons import after_text
from airrisk.wording.sentences import counts_for_verdict, fire_lead, outcome_text
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    Units,
    and_list,
    percent_text,
    quantity_text,
)


@dataclass(frozen=True)
class Answer:
    """One question with its answer."""

    question: str
    answer: str


def _state_when_open(fire: FireRecord, plug: str, part: str) -> tuple[float, float, float] | None:
    """Time, wall and air temperature when a plug opens; None if it does not."""
    event = next((e for e in fire.events if e.event == "plug opens" and e.part == plug), None)
    if event is None or fire.curves is None or part not in fire.curves.parts:
        return None
    curves = fire.curves.parts[part]
    time = np.asarray(fire.curves.time_s)
    wall = float(np.interp(event.time_s, time, curves.hot_wall_temperature_k))
    air = float(np.interp(event.time_s, time, curves.gas_temperature_k))
    return event.time_s, wall, air


def plug_feels(assessment: Assessment, installation: Installation, units: Units) -> str:
    """Whether the plug feels the fire or the air behind it."""
    for fire in assessment.fires:
        for plug in installation.plugs:
            state = _state_when_open(fire, plug.id, plug.on)
            if state is not None:
                time, wall, air = state
                return tr(
                    "Mostly the flame and the metal it is screwed into. {lead}, as stated, plug "
                    "{plug} opens {time}. The wall of {part} in the fire is then at {wall}, the "
                    "air behind the plug only at {air}. A plug out of the fire has to wait for "
                    "warm metal or warm air, and the metal in the fire may fail first. The verdict "
                    "on that fire is: {verdict}."
                ).format(
                    lead=fire_lead(fire),
                    plug=plug.id,
                    part=_part(assessment, plug.on),
                    time=after_text(time),
                    wall=quantity_text(wall, "temperature", units, 3),
                    air=quantity_text(air, "temperature", units, 3),
                    verdict=_verdict(fire),
                )
    for fire in assessment.fires:
        for plug in installation.plugs:
            if fire.curves is None or plug.id not in fire.curves.plugs:
                continue
            peak = max(fire.curves.plugs[plug.id].temperature_k, default=None)
            if peak is not None:
                return tr(
                    "Both, through its body. No plug opens in any fire run as stated here. {lead}, "
                    "plug {plug} gets no hotter than {peak}."
                ).format(
                    lead=fire_lead(fire),
                    plug=plug.id,
                    peak=quantity_text(peak, "temperature", units, 3),
                )
    return tr(
        "It feels the flame if it stands in it, the metal it is screwed into, and the air behind "
        "it. This installation has no plug whose temperature was computed."
    )


def _verdict(fire: FireRecord) -> str:
    """The verdict on a fire with what a safe one hangs on."""
    return ", ".join(piece for piece in (outcome_text(fire), surety_text(fire)) if piece)


def replaces_relief(assessment: Assessment, installation: Installation, units: Units) -> str:
    """Whether a plug may replace a relief valve."""
    doubted = uncredited_pressure_devices(installation, assessment.on)
    bare = sorted(
        {
            member
            for section in assessment.shut_in
            if not set(section.relief_valves) - doubted.keys()
            for member in section.members
            if member in assessment.parts and assessment.parts[member].kind == "vessel"
        }
    )
    text = tr(
        "No. A plug answers heat, a relief valve answers pressure; a compressor that fails to stop "
        "can burst a cold vessel whose plug stays shut."
    )
    vessel = _main_vessel(assessment)
    if vessel is not None and vessel.design_pressure_temperature_k is not None:
        melts = [
            m.temperature_k
            for m in vessel.marks
            if m.kind == "plug liquidus" and m.temperature_k is not None
        ]
        pattern = (
            tr("Shut in and warmed, vessel {part} reaches its design pressure at {temperature}.")
            if not melts
            else tr("Shut in and warmed, vessel {part} reaches its design pressure at "
                    "{temperature}; its plug melts only at {melting}.")
            if min(melts) > vessel.design_pressure_temperature_k
            else tr("Shut in and warmed, vessel {part} reaches its design pressure at "
                    "{temperature}; its plug melts at {melting} already.")
        )  # fmt: skip
        text += " " + pattern.format(
            part=vessel.id,
            temperature=quantity_text(
                vessel.design_pressure_temperature_k, "temperature", units, 3
            ),
            melting=quantity_text(min(melts, default=None), "temperature", units, 3),
        )
    if bare:
        text += " " + tr(
            "Shut in, no relief valve that can be counted on is open to {parts}."
        ).format(parts=labels.named("vessel", in_order(bare)))
    else:
        text += " " + tr(
            "Every vessel here shares its isolable section with a relief valve. Such a valve "
            "does not count as a vent in a fire."
        )
    return text


def wall_temperature(assessment: Assessment, units: Units) -> str:
    """Which wall temperature belongs in the formula for gas-filled vessels."""
    vessel = _main_vessel(assessment)
    text = tr(
        "API 521 allows carbon steel up to {limit}. That limit is for sizing a relief area; it "
        "does not say that the vessel is whole at that temperature."
    ).format(limit=quantity_text(CARBON_STEEL_WALL, "temperature", units, 3))
    if vessel is None:
        return text
    if vessel.rupture_temperature_k is not None:
        sooner = vessel.rupture_temperature_k < CARBON_STEEL_WALL
        text += " " + (
            tr("Vessel {part}, shut in, already ruptures at {temperature} on the chosen basis.")
            if sooner
            else tr("Vessel {part}, shut in, ruptures at {temperature} on the chosen basis.")
        ).format(
            part=vessel.id,
            temperature=quantity_text(vessel.rupture_temperature_k, "temperature", units, 3),
        )
        cautious = vessel.rupture_temperature_by_basis_k.get("yield")
        if cautious is not None:
            text += " " + tr("On the basis of the yield strength it is {temperature}.").format(
                temperature=quantity_text(cautious, "temperature", units, 3)
            )
        text += " " + tr("Use that, not the limit of the formula.")
    for fire in assessment.fires:
        for plug, search in fire.bores.items():
            if search.api521_area_m2 is not None and plug in vessel.plug_margin_k:
                return (
                    text
                    + " "
                    + tr(
                        "{lead}, the formula gives an area of {area} in place of plug {plug}."
                    ).format(
                        lead=fire_lead(fire),
                        plug=plug,
                        area=quantity_text(search.api521_area_m2, "area", units, 3),
                    )
                )
    return text


def start_pressure(assessment: Assessment, units: Units) -> str:
    """Which pressure a fire should start from."""
    text = tr(
        "Both count: the pressure in the file and the highest that can stand there. That is the "
        "set pressure of a relief valve that the air can always reach. Without one it is the "
        "larger of the design pressure and the cut-out of a compressor that feeds it."
    )
    ruled = [
        fire
        for fire in assessment.fires
        if fire.envelope is not None and fire.envelope.corner.start == "highest"
    ]
    if not ruled:
        return text + " " + tr("In every fire here the pressure in the file was the worse one.")
    fire = min(ruled, key=lambda one: (bool(one.safe), -(one.worst_use or 0.0)))
    text += " " + tr("{lead}, the worst run is this one: {corner}.").format(
        lead=fire_lead(fire), corner=corner_text(fire, units)
    )
    if labels.outcome(fire.outcome) != labels.outcome(fire.worst_outcome):
        text += " " + tr(
            "It comes to: {worst}. Another run, as stated, comes to: {stated}."
        ).format(worst=labels.outcome(fire.worst_outcome), stated=labels.outcome(fire.outcome))
    return text


def _weak_at(record: PartRecord, pressure: float) -> float | None:
    """Wall temperature at which the part bursts at a pressure that is held constant."""
    temperature = np.asarray(record.curve.temperature_k)
    burst = np.asarray(record.curve.burst_pressure_pa)
    below = np.flatnonzero(burst <= pressure)
    if below.size == 0:
        return None
    index = int(below[0])
    if index == 0:
        return float(temperature[0])
    t1, t2, b1, b2 = (
        float(v)
        for v in (temperature[index - 1], temperature[index], burst[index - 1], burst[index])
    )
    return t1 + (t2 - t1) * (b1 - pressure) / (b1 - b2)


def relief_helps(assessment: Assessment, installation: Installation, units: Units) -> str:
    """Whether a relief valve helps a gas-filled vessel in a fire at all."""
    text = tr(
        "A little. It keeps the pressure at its set value, but no liquid cools the wall, so the "
        "metal gets weaker until it fails at the set pressure."
    )
    doubted = uncredited_pressure_devices(installation, assessment.on)
    for valve in installation.relief_valves:
        record = assessment.parts.get(valve.on)
        if record is None or valve.id in doubted:
            continue
        weak = _weak_at(record, valve.set_pressure)
        if weak is not None:
            return (
                text
                + " "
                + tr(
                    "Held at {pressure} by relief valve {valve}, dry air bursts {part} when its "
                    "wall reaches {temperature}."
                ).format(
                    part=_part(assessment, record.id),
                    pressure=quantity_text(valve.set_pressure, "pressure", units),
                    valve=valve.id,
                    temperature=quantity_text(weak, "temperature", units, 3),
                )
            )
        return (
            text
            + " "
            + tr(
                "No strength is known for the metal of {part} as hot as it would have to be to "
                "burst at {pressure}."
            ).format(
                part=_part(assessment, record.id),
                pressure=quantity_text(valve.set_pressure, "pressure", units),
            )
        )
    if installation.relief_valves:
        return text + " " + tr("There is no relief valve here that can be counted on.")
    return text + " " + tr("There is no relief valve here.")


def reach(assessment: Assessment, units: Units) -> str:
    """How far fragments and blast are dangerous in what a fire or the working pressure can do."""
    lines = [
        (row.distance_m, name, row)
        for name, cases in assessment.consequences.items()
        for case, record in cases.items()
        if case != "cold_burst"
        for method in record.methods.values()
        for row in method.thresholds
        if row.plan
    ]
    pieces = [
        (way.range_90_m, way.longest_range_m, name, way.way)
        for name, cases in assessment.consequences.items()
        for case, record in cases.items()
        if case != "cold_burst"
        for way in record.fragments.ways
    ]
    if not lines or not pieces:
        return tr("Not assessed for this installation.")
    texts = []
    for target in ("glass", "building", "people"):
        found = [entry for entry in lines if entry[2].target == target]
        if found:
            distance, name, row = max(found, key=lambda entry: (entry[0], entry[1]))
            texts.append(
                tr("{harm} to {distance} from vessel {part}").format(
                    harm=tr(row.harm),
                    part=name,
                    distance=quantity_text(distance, "distance", units, 3),
                )
            )
    near = max((p[0] for p in pieces if p[3] == LIKELY_WAY), default=max(p[0] for p in pieces))
    far = max(p[1] for p in pieces)
    text = tr("Blast, by the larger of two methods: {lines}.").format(lines="; ".join(texts))
    return (
        text
        + " "
        + tr(
            "Fragments: nine of ten likely ones fall within {near}, a single one may reach {far}."
        ).format(
            near=quantity_text(near, "distance", units, 3),
            far=quantity_text(far, "distance", units, 3),
        )
    )


def bomb(assessment: Assessment, units: Units) -> str:
    """Whether a tank at 4 bar is "a bomb", by the energy in this installation's vessel."""
    vessel = _main_vessel(assessment)
    volume = vessel.volume_m3 if vessel is not None else 1.0
    pressure = units.ambient_pressure + 4.0e5
    stored = float(energy.isentropic_energy(pressure, volume, units.ambient_pressure))
    tnt = stored / _tnt_energy(assessment)
    return tr(
        "It holds energy that can kill close by, but it does not explode by itself. {volume} at "
        "{pressure} hold {energy}, as much as {tnt} of TNT or {mass} falling {height}. "
        "Pieces and doors are the danger; a fire is what lets it go."
    ).format(
        volume=quantity_text(volume, "volume", units, 3),
        pressure=quantity_text(pressure, "pressure", units),
        energy=quantity_text(stored, "energy", units, 3),
        tnt=quantity_text(tnt, "mass", units, 3),
        mass=quantity_text(1000.0, "mass", units, 3),
        height=quantity_text(stored / (1000.0 * GRAVITY), "distance", units, 3),
    )


def two_plugs(assessment: Assessment, units: Units) -> str:
    """Why a plug at the compressor and another on the receiver."""
    parts = [s for s in assessment.shut_in if any(m in assessment.parts for m in s.members)]
    text = tr(
        "Because a shut valve makes two systems of one. Each piece that can be shut in needs its "
        "own plug, and each plug must suit the temperature it lives in."
    )
    if len(parts) > 1:
        without = sum(1 for s in parts if not s.plugs)
        text += " " + (
            tr("Here {number} sections can be shut in, {without} of them without a plug.")
            if without
            else tr("Here {number} sections can be shut in. A plug stands in each of them.")
        ).format(number=len(parts), without=without)
    elif parts:
        text += " " + tr("Here the valves leave one section.")
    unsafe = [v for v in assessment.verdicts if v.fire_class == "whole" and not v.safe]
    if unsafe:
        text += " " + tr("Not safe with all of it in flames: {sections}.").format(
            sections="; ".join(labels.named_all(v.members, assessment.kinds) for v in unsafe)
        )
    hottest = max(
        (c.discharge_temperature_k for c in assessment.compressors.values()), default=None
    )
    if hottest is not None:
        text += " " + tr("Air leaves the compressor at up to {temperature}.").format(
            temperature=quantity_text(hottest, "temperature", units, 3)
        )
    return text


def painting(assessment: Assessment, installation: Installation) -> str:
    """Whether to fit the plug before or after painting."""
    painted = [p.id for p in installation.plugs if p.condition == "painted over"]
    text = tr(
        "After. Paint on a plug insulates it and hides its stamp; it gets no credit in this "
        "report. Cover it while painting, and look at it again afterwards."
    )
    if painted:
        return (
            text
            + " "
            + tr("Painted over here: {plugs}.").format(plugs=labels.named("plug", painted))
        )
    doubted = {
        name: why
        for fire in assessment.fires
        for name, why in fire.uncredited.items()
        if any(plug.id == name for plug in installation.plugs)
    }
    if doubted:
        told = [
            tr("plug {plug} ({why})").format(plug=name, why=no_credit_reason(doubted[name]))
            for name in in_order(doubted)
        ]
        return text + " " + tr("No credit here: {plugs}.").format(plugs=and_list(told))
    return text + " " + tr("No plug here is recorded as painted over.")


def _cold_at_limit(assessment: Assessment, least: float) -> tuple[FireRecord, str, float] | None:
    """The plug of an unsafe fire that is colder than any allowed alloy when the metal gives."""
    found = [
        (temperature, fire.id, plug, fire)
        for fire in assessment.fires
        if not fire.safe and counts_for_verdict(fire) and fire.margins is not None
        for plug, temperature in fire.margins.plug_temperature_at_limit_k.items()
        if temperature is not None and temperature < least
    ]
    if not found:
        return None
    temperature, _, plug, fire = min(found, key=lambda one: one[:3])
    return fire, plug, temperature


def which_alloy(assessment: Assessment, installation: Installation, units: Units) -> str:
    """Which alloy: low, middle or tin."""
    running = max(
        (
            m.temperature_k
            for part in assessment.parts.values()
            for m in part.marks
            if m.kind == "running" and m.temperature_k is not None
        ),
        default=None,
    )
    latest = [
        search.latest_melting_k
        for fire in assessment.fires
        for search in fire.bores.values()
        if search.latest_melting_k is not None and search.latest_melting_k < LATEST_MELTING
    ]
    text = tr(
        "The lowest that stays clear of the hottest normal running, and low enough to act before "
        "the metal fails."
    )
    if running is None:
        return text
    margin = installation.choices.running_margin
    least = running + margin
    text += " " + tr("Here air runs at up to {running}; with {margin} to spare the alloy must not "
                     "begin to melt below {least}.").format(
        running=quantity_text(running, "temperature", units, 3),
        margin=quantity_text(margin, "temperature_difference", units, 3),
        least=quantity_text(least, "temperature", units, 3),
    )  # fmt: skip
    if latest:
        text += " " + tr(
            "In the worst run of a fire here it would have to be molten by {latest}."
        ).format(latest=quantity_text(min(latest), "temperature", units, 3))
    cold = _cold_at_limit(assessment, least)
    if cold is not None:
        fire, plug, at_limit = cold
        return (
            text
            + " "
            + tr(
                "{lead}, plug {plug} is only at {temperature} when the metal reaches its limit. "
                "No alloy that the running temperature allows acts in time there; the plug has to "
                "stand where the fire burns."
            ).format(
                lead=fire_lead(fire),
                plug=plug,
                temperature=quantity_text(at_limit, "temperature", units, 3),
            )
        )
    highest = min(latest) if latest else float("inf")
    fit = [
        alloy
        for alloy in sorted(alloys.alloys(), key=lambda a: (a.liquidus, a.name))
        if alloy.solidus >= least and alloy.liquidus <= highest
    ]
    if not fit:
        return (
            text + " " + tr("No alloy of the table fits both; lower the running temperature there.")
        )
    text += " " + tr("By temperature alone the first of the table is {alloy}.").format(
        alloy=alloy_text(fit[0].key, units)
    )
    unsafe = [one for one in assessment.fires if counts_for_verdict(one) and not one.safe]
    if unsafe:
        text += " " + tr(
            "That does not make it enough. Stated fires and fires with all in flames that are "
            "not safe: {number}. What the runs have proven stands with each fire."
        ).format(number=len(unsafe))
    return text


def extinguishing(assessment: Assessment, installation: Installation, units: Units) -> str:
    """Whether the released air defeats the extinguishing gas."""
    ambient, surroundings = units.ambient_pressure, installation.site.ambient_temperature
    free = sum(
        max(part.pressure_pa * surroundings / part.temperature_k / ambient - 1.0, 0.0)
        * part.volume_m3
        for part in assessment.parts.values()
    )
    text = tr("It can. All air of this installation let out is {free} of free air.").format(
        free=quantity_text(free, "volume", units, 3)
    )
    rooms = [room for room in installation.rooms if room.extinguishing == "gas"]
    if not rooms:
        return text + " " + tr("No room with an extinguishing gas is given. Count the released air "
                               "in when such a room is laid out.")  # fmt: skip
    pieces = [
        tr("That is {share} of the volume of room {room}.").format(
            room=room.id, share=percent_text(free / room.volume, 3)
        )
        for room in rooms
    ]
    return " ".join(
        (
            text,
            *pieces,
            tr("Add it to the quantity of gas, or lead the outlet of the plug outside."),
        )
    )


def _part(assessment: Assessment, name: str) -> str:
    """A part with what it is."""
    return labels.named_all([name], assessment.kinds)


def _main_vessel(assessment: Assessment) -> PartRecord | None:
    vessels = [p for p in assessment.parts.values() if p.kind == "vessel"]
    if not vessels:
        return None
    return max(vessels, key=lambda p: (p.stored_energy_j.isentropic, p.id))


def _tnt_energy(assessment: Assessment) -> float:
    return float(assessment.choices.get("tnt_energy", (4.184e6, "default"))[0])


def engineers_questions(
    assessment: Assessment, installation: Installation, units: Units
) -> tuple[Answer, ...]:
    """All questions with their answers for this installation.

    Parameters
    ----------
    assessment : Assessment
        The answer of the study.
    installation : Installation
        What it is about.
    units : Units
        Unit set and atmosphere.
    """
    return (
        Answer(
            tr("Does the plug feel the fire or the air behind it?"),
            plug_feels(assessment, installation, units),
        ),
        Answer(
            tr("May a plug replace a relief valve?"),
            replaces_relief(assessment, installation, units),
        ),
        Answer(
            tr("Which wall temperature belongs in the gas-vessel formula?"),
            wall_temperature(assessment, units),
        ),
        Answer(
            tr("Which start pressure: normal, alarm or set?"), start_pressure(assessment, units)
        ),
        Answer(
            tr("Does a relief valve help a gas-filled vessel at all?"),
            relief_helps(assessment, installation, units),
        ),
        Answer(tr("How far are fragments and blast dangerous?"), reach(assessment, units)),
        Answer(tr("Is a tank at 4 bar “a bomb”?"), bomb(assessment, units)),
        Answer(
            tr("Why a plug at the compressor and another on the receiver?"),
            two_plugs(assessment, units),
        ),
        Answer(tr("Fit the plug before or after painting?"), painting(assessment, installation)),
        Answer(tr("Which alloy?"), which_alloy(assessment, installation, units)),
        Answer(
            tr("Does the released air defeat the extinguishing gas?"),
            extinguishing(assessment, installation, units),
        ),
    )
