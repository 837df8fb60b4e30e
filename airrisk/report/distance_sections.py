"""The chapter on energies and distances, and what the summary pages take from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from airrisk.installation.model import Installation
from airrisk.installation.people_places import away, rings, unknown_from
from airrisk.report.blocks import Block, Drawn, Heading, Paragraph, Section, Table, table_of
from airrisk.report.heard_table import heard_blocks
from airrisk.study.consequence_records import (
    CaseRecord,
    DischargeRecord,
    FragmentRecord,
    ReachRecord,
)
from airrisk.study.overview import LIKELY_WAY
from airrisk.study.records import Assessment
from airrisk.wording import labels
from airrisk.wording.charts import overpressure_chart
from airrisk.wording.energy_charts import method_name
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, and_list, percent_text, quantity_text, time_text


def people_distances(installation: Installation, vessel: str) -> list[tuple[str, float]]:
    """Distance of every place with people from a vessel's place on the plan, nearest first.

    Parameters
    ----------
    installation : Installation
        With plan positions.
    vessel : str
        Id of the vessel.

    Returns
    -------
    list of (name, distance in m)
        The least that may be where the direction is not known; without those whose distance is
        not, as of a vessel that has no place.
    """
    record = next((v for v in installation.vessels if v.id == vessel), None)
    if record is None:
        return []
    known = [(p.id, away(installation, p, record)) for p in installation.people]
    found = [(name, far.nearest) for name, far in known if far is not None]
    return sorted(found, key=lambda item: (item[1], item[0]))


def places_not_known(installation: Installation, vessel: str) -> tuple[str, ...]:
    """Places with people of which nobody knows how far they are from a vessel."""
    record = next((v for v in installation.vessels if v.id == vessel), None)
    return () if record is None else unknown_from(installation, record)


def ring_note(installation: Installation, units: Units) -> str:
    """How places are counted of which only a distance from a vessel is told; empty: none is."""
    told = [
        tr("{place} ({distance} from vessel {vessel})").format(
            place=place.id,
            distance=quantity_text(ring.inner, "distance", units),
            vessel=ring.vessel,
        )
        for place, ring in rings(installation)
    ]
    if not told:
        return ""
    return tr(
        "On which side these people are is not known: {places}. They are counted as near as that "
        "allows."
    ).format(places=and_list(told))


def _not_known(installation: Installation, vessel: str) -> list[Block]:
    places = places_not_known(installation, vessel)
    if not places:
        return []
    text = tr("How far these places are is not known, as a plan position is missing: {places}.")
    return [Paragraph(text.format(places=and_list(list(places))))]


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _metres(value: float | None, units: Units) -> str:
    if value is None:
        return "–"
    return quantity_text(value, "distance", units, 3) if value > 0 else "0"


def harm_key(vessel: str, harm: str) -> str:
    """What a row about the reach of a harm is about."""
    return f"harm/{vessel}/{harm}"


def pieces_key(vessel: str, way: str) -> str:
    """What a row about the pieces of a vessel is about."""
    return f"pieces/{vessel}/{way}"


def place_key(people: str, vessel: str) -> str:
    """What a row about a place with people is about."""
    return f"place/{people}/{vessel}"


def _energies_table(cases: Mapping[str, CaseRecord], units: Units) -> Table:
    rows = []
    for case, record in cases.items():
        later = next((s for s in record.stand_off if s.edition == "later"), None)
        rows.append(
            [
                labels.consequence_case(case)
                + (f" ({tr(record.fire)})" if record.fire is not None else ""),
                quantity_text(record.pressure_pa, "pressure", units),
                quantity_text(record.temperature_k, "temperature", units),
                quantity_text(record.energy_j, "energy", units),
                quantity_text(record.tnt_kg, "mass", units),
                _metres(later.distance_m if later else None, units),
            ]
        )
    return table_of(
        [tr("Case"), tr("Pressure"), tr("Temperature"), tr("Energy, isentropic"), tr("TNT"),
         tr("Stand-off, ASME PCC-2, later editions")],
        rows, [2, 1, 1, 1, 1, 1], (1, 2, 3, 4, 5), strong_first=True,
    )  # fmt: skip


def _harm_table(name: str, cases: Mapping[str, CaseRecord], units: Units) -> Table | None:
    """One row for each kind of harm, one column for each case: bursting vessel / TNT."""
    rows: dict[str, list[str]] = {}
    for record in cases.values():
        by_method = {
            name: {r.harm: r.distance_m for r in method.thresholds if r.plan}
            for name, method in record.methods.items()
        }
        for method in record.methods.values():
            for row in method.thresholds:
                if row.plan and row.harm not in rows:
                    rows[row.harm] = [
                        tr(row.harm),
                        quantity_text(row.incident_pa, "pressure_difference", units),
                        tr(row.source),
                    ]
        for harm, cells in rows.items():
            pair = [_metres(by_method.get(m, {}).get(harm), units) for m in ("burst", "tnt")]
            cells.insert(len(cells) - 1, " / ".join(pair))
    if not rows:
        return None
    count = len(cases)
    return table_of(
        [tr("Harm"), tr("Overpressure"), *(labels.consequence_case(c) for c in cases),
         tr("Source")],
        list(rows.values()), [2.0, 1.0, *([1.3] * count), 1.2], range(1, count + 2),
        caption=tr("Distances by two methods: {burst} / {tnt}. 0: not even at the vessel.").format(
            burst=method_name("burst"), tnt=method_name("tnt")
        ),
        keys=tuple(harm_key(name, harm) for harm in rows),
    )  # fmt: skip


def _fragment_table(name: str, cases: Mapping[str, CaseRecord], units: Units) -> Table:
    names = list(
        dict.fromkeys((w.way, w.pieces) for record in cases.values() for w in record.fragments.ways)
    )
    rows = []
    for way, pieces in names:
        cells: list[str] = []
        for record in cases.values():
            found = next((w for w in record.fragments.ways if w.way == way), None)
            cells.append(
                "–"
                if found is None
                else f"{quantity_text(found.launch_speed_m_s, 'speed', units, 3)}; "
                f"{_metres(found.range_90_m, units)} / {_metres(found.longest_range_m, units)}"
            )
        rows.append([labels.way_of_breaking(way), tr(pieces), *cells])
    count = len(cases)
    return table_of(
        [tr("Way of breaking"), tr("Pieces"), *(labels.consequence_case(c) for c in cases)],
        rows, [1.3, 0.7, *([1.6] * count)], range(2, count + 2),
        caption=tr("Launch speed; range within which nine of ten pieces fall / farthest range."),
        keys=tuple(pieces_key(name, way) for way, _ in names),
    )  # fmt: skip


def _pieces_text(fragments: FragmentRecord) -> str:
    """How speeds and ranges of pieces are found, the same for every vessel."""
    return tr(
        "Fragments take {likely} of the energy likely and {bound} at most; they are bounded apart "
        "from the blast, not a share of it. Many pieces and a head are thrown as fast as Baum's "
        "fits say, the vessel that takes off as fast as its outflow drives it, none with more than "
        "{bound} of the energy. Nine of ten: of 600 pieces drawn once and for all, in all "
        "directions upward alike, drag coefficient 0.8 to 1.3, half of the pieces of shell with "
        "lift up to 0.3 of the drag. Farthest range: at the best elevation, without lift."
    ).format(
        likely=percent_text(fragments.kinetic_share_likely),
        bound=percent_text(fragments.kinetic_share_bound),
    )


def _believe_text(record: CaseRecord, units: Units) -> str:
    return tr(
        "Within {distance} rely on the bursting-vessel method, the first figure. "
        "Farther out take the larger of the two."
    ).format(distance=_metres(record.believe_beyond_m, units))


def _places_table(assessment: Assessment, units: Units) -> Table | None:
    """Every place with people against the case that reaches it most, vessel by vessel."""
    reach: tuple[ReachRecord, ...] = assessment.people_reach
    worst: dict[tuple[str, str], ReachRecord] = {}
    for record in reach:
        if record.case == "cold_burst":
            continue
        key = (record.people, record.vessel)
        known = worst.get(key)
        if known is None or _incident(record) > _incident(known):
            worst[key] = record
    if not worst:
        return None
    least = {
        row.harm: row.incident_pa
        for cases in assessment.consequences.values()
        for case in cases.values()
        for method in case.methods.values()
        for row in method.thresholds
    }
    rows = []
    for record in worst.values():
        reached = [
            harm for blast in record.methods.values() for harm in blast.harms if harm.reaches
        ]
        worst_harm = min(reached, key=lambda h: h.distance_m).harm if reached else ""
        gravest = tr(worst_harm) if worst_harm else tr("none")
        if worst_harm in least:
            gravest = tr("{harm} (from {pressure})").format(
                harm=gravest,
                pressure=quantity_text(least[worst_harm], "pressure_difference", units, 3),
            )
        share = record.beyond_share.get(LIKELY_WAY)
        rows.append(
            [
                record.people,
                record.vessel,
                labels.consequence_case(record.case),
                _metres(record.distance_m, units),
                quantity_text(_incident(record), "pressure_difference", units, 3),
                gravest,
                percent_text(share, 2) if share is not None else "–",
                tr("yes") if record.stand_off_kept else tr("no"),
            ]
        )
    return table_of(
        [tr("Place"), tr("Vessel"), tr("Case"), tr("Distance"), tr("Overpressure"),
         tr("Gravest harm that reaches it"), tr("Likely pieces flying farther"),
         tr("Beyond the PCC-2 stand-off")],
        rows, [1.1, 0.7, 1.4, 0.8, 1.0, 1.6, 1.0, 0.9], (3, 4, 6),
        caption=tr("The larger of the two methods; cold bursts far above the working pressure are "
                   "left out."),
        keys=tuple(place_key(record.people, record.vessel) for record in worst.values()),
    )  # fmt: skip


def _incident(record: ReachRecord) -> float:
    return max((blast.incident_pa for blast in record.methods.values()), default=0.0)


def _noise_note(records: Iterable[DischargeRecord], ambient: float) -> str:
    """That the curve of the noise ends, where a device blows from more than it covers."""
    beyond = [
        record.device
        for record in records
        if not record.noise_in_range and record.pressure_pa > 2.0 * ambient
    ]
    if not beyond:
        return ""
    return " " + tr(
        "Noise of {devices}: the curve ends at ten times the pressure of the surroundings; its "
        "end is used."
    ).format(devices=and_list(beyond))


def discharges_section(assessment: Assessment, units: Units) -> Section | None:
    """What an open plug, valve or disc lets out; None when nothing was computed.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    units : Units
        Unit set and atmosphere.
    """
    found: Mapping[str, DischargeRecord] = assessment.discharges
    if not found:
        return None
    valves = {name for section in assessment.as_drawn for name in section.relief_valves}
    rows = []
    for record in found.values():
        rows.append(
            [
                record.device,
                record.on,
                quantity_text(record.pressure_pa, "pressure", units),
                quantity_text(record.flow_kg_s, "mass_flow", units, 3),
                tr("shuts again")
                if record.device in valves
                else time_text(record.empty_isothermal_s),
                quantity_text(record.reaction_force_n, "force", units, 3),
                quantity_text(record.noise_at_30_m_db, "sound_level", units, 3),
                _metres(record.noise_85_db_m, units),
                _metres(record.jet_5_m_s_m, units),
                labels.outlet_text(record.towards, record.remark),
            ]
        )
    blocks: list[Block] = [
        table_of(
            [tr("Device"), tr("On"), tr("At"), tr("Flow"), tr("Empties in"), tr("Thrust"),
             tr("Noise at {distance}").format(distance=quantity_text(30.0, "distance", units, 2)),
             tr("85 dB to"),
             tr("Jet of {speed} to").format(speed=quantity_text(5.0, "speed", units, 2)),
             tr("Towards")],
            rows, [0.8, 0.7, 0.9, 0.9, 0.8, 0.8, 0.8, 0.8, 0.8, 1.3], range(2, 9),
            strong_first=True,
            caption=tr("Empties in: all the air that can reach the device with the valves as "
                       "drawn, without the heat of a fire.")
            + _noise_note(found.values(), units.ambient_pressure),
        )
    ]  # fmt: skip
    for record in found.values():
        room = record.room
        if room is None:
            continue
        text = tr("{device} lets {free} of free air into {room}, {share} of its volume.").format(
            device=record.device,
            room=room.room,
            free=quantity_text(room.free_air_m3, "volume", units, 3),
            share=percent_text(room.room_share),
        )
        if room.agent_left_share is not None:
            text += " " + tr("{share} of the extinguishing gas would be left.").format(
                share=percent_text(room.agent_left_share)
            )
        blocks.append(Paragraph(text))
    blocks += heard_blocks(assessment, units)
    return Section("discharges", tr("What comes out of an open device"), tuple(blocks))


def distances_section(assessment: Assessment, installation: Installation, units: Units) -> Section:
    """Energies, blast and fragments of every vessel, places with people marked.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    installation : Installation
        With plan positions and people.
    units : Units
        Unit set and atmosphere.
    """
    blocks: list[Block] = [
        Paragraph(
            tr(
                "Distances count from the vessel's centre on flat open ground. They use the high "
                "strength of the metal and its full wall, without a weld factor, because "
                "a stronger vessel lets go with more energy."
            )
        )
    ]
    known = {name: cases for name, cases in assessment.consequences.items() if cases}
    if known:
        first = next(iter(next(iter(known.values())).values()))
        blocks.append(Paragraph(_pieces_text(first.fragments), "small"))
    told = {
        name: list(dict.fromkeys(note for case in cases.values() for note in case.notes))
        for name, cases in known.items()
    }
    for name, cases in known.items():
        blocks += [Heading(name), _energies_table(cases, units)]
        harm = _harm_table(name, cases, units)
        if harm is not None:
            blocks.append(harm)
        worst = max(cases.values(), key=lambda c: c.energy_j)
        blocks.append(Paragraph(_believe_text(worst, units), "small"))
        blocks.append(_fragment_table(name, cases, units))
        alike = [one for one, its in told.items() if its == told[name]]
        if told[name] and alike[0] == name:
            named = f"{and_list(alike)}: " if len(told) > 1 else ""
            blocks.append(
                Paragraph(
                    named + _sentence("; ".join(tr(note) for note in told[name])) + ".", "small"
                )
            )
        people = people_distances(installation, name)
        if people:
            blocks.append(
                Paragraph(
                    tr("Distances to people: {places}.").format(
                        places=", ".join(f"{who} {_metres(d, units)}" for who, d in people)
                    )
                )
            )
        blocks += _not_known(installation, name)
        chart = overpressure_chart(name, cases, units, people)
        if chart is not None:
            blocks.append(Drawn(chart, f"{chart.title}. {chart.caption}", 1.0, 0.45))
    places = _places_table(assessment, units)
    if places is not None:
        blocks += [Heading(tr("Places with people")), places]
    note = ring_note(installation, units)
    if note:
        blocks.append(Paragraph(note, "small"))
    if len(blocks) == 1:
        blocks.append(Paragraph(tr("Distances: not assessed."), "strong"))
    return Section("distances", tr("Energy and distances"), tuple(blocks))
