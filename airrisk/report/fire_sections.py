"""The chapter on the fires: all runs in one table, the ruling ones with charts."""

from __future__ import annotations

from airrisk.firetest.case import DEAD_RELIEF_TEMPERATURE
from airrisk.installation.model import Installation
from airrisk.report.blocks import (
    Block,
    Drawn,
    Heading,
    Paragraph,
    Section,
    Table,
    table_of,
)
from airrisk.study.records import Assessment, BoreSearch, FireRecord
from airrisk.wording import labels
from airrisk.wording.cautions import steam_note
from airrisk.wording.charts import (
    fire_pressure_chart,
    fire_strength_chart,
    fire_temperature_chart,
)
from airrisk.wording.sentences import (
    LATEST_MELTING,
    chosen_strength_basis,
    cure_sentence,
    fire_sentence,
    fire_verdict,
    first_opening,
    outcome_text,
    side_outcome,
    telling_fires,
    why_no_bore,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    Units,
    least_bore_text,
    number_text,
    quantity_text,
    time_text,
)

MOST_FIRE_CHARTS = 8


def _bore_text(fire: FireRecord, units: Units) -> str:
    pieces = []
    for plug, bore in fire.smallest_bore_m.items():
        if bore is not None:
            size = least_bore_text(bore, units)
        else:
            why = why_no_bore(fire, plug)
            size = tr("no bore is enough") + (f" ({why})" if why else "")
        search = fire.bores.get(plug)
        if search is not None and search.usual_m is not None and bore is not None:
            usual = quantity_text(search.usual_m, "length", units)
            size += tr(", next usual size {size}").format(size=usual)
        pieces.append(f"{plug}: {size}")
    if not pieces and fire.uncredited_plugs:
        return tr("no plug with credit")
    return "; ".join(pieces) or tr("no plug")


def _vent_text(fire: FireRecord) -> str:
    """When air first gets out of the part that decides."""
    part = fire.margins.controlling_part if fire.margins is not None else None
    opening = first_opening(fire, part)
    return time_text(opening.time_s) if opening is not None else "–"


def _unvented_text(fire: FireRecord) -> str:
    """When the first vessel ruptures without any plug, or the line that empties it before."""
    if fire.time_to_rupture_without_vent_s is not None:
        return time_text(fire.time_to_rupture_without_vent_s)
    if fire.line_rupture_without_vent_s is not None:
        line, time = fire.line_rupture_without_vent_s
        return tr("{line} first, {time}").format(line=line, time=time_text(time))
    return "–"


def fires_table(fires: tuple[FireRecord, ...], units: Units) -> Table:
    """One row for every fire run."""
    rows = []
    for fire in fires:
        rows.append(
            [
                fire.id,
                fire.section.replace("+", " + "),
                tr("highest") if fire.start == "highest" else tr("as filed"),
                f"{labels.answer_shape(fire.outcome, fire.safe)} {outcome_text(fire)}",
                _vent_text(fire),
                _unvented_text(fire),
                number_text(fire.peak_strength_use, 3)
                if fire.peak_strength_use is not None
                else "–",
                quantity_text(fire.peak_pressure_pa, "pressure", units)
                if fire.peak_pressure_pa is not None
                else "–",
                side_outcome(fire, fire.by_basis["yield"], "yield")
                if "yield" in fire.by_basis
                else "–",
                _bore_text(fire, units),
            ]
        )
    return table_of(
        [
            tr("Fire"), tr("Section"), tr("Start"), tr("Outcome"), tr("First vent"),
            tr("Rupture without vent"), tr("Highest strength use"), tr("Highest pressure"),
            tr("On yield basis"), tr("Smallest bore"),
        ],
        rows,
        [1.0, 1.2, 0.8, 1.2, 0.8, 0.9, 0.8, 1.0, 1.1, 1.3],
        (4, 5, 6, 7),
        strong_first=True,
    )  # fmt: skip


def fires_section(assessment: Assessment, installation: Installation, units: Units) -> Section:
    """All fire runs, the ruling ones with charts."""
    blocks: list[Block] = []
    basis = chosen_strength_basis(assessment)
    if not assessment.fires:
        blocks.append(Paragraph(tr("No fire was computed: not assessed."), "strong"))
        return Section("fires", tr("Fires"), tuple(blocks))
    blocks.append(
        Paragraph(
            tr(
                "The section's id is made of its members. Fires named in the file are the user's "
                "own; the others are the usual cases a, b and c."
            )
            if any(f.default_case for f in assessment.fires)
            else tr("The section's id is made of its members. All fires are those of the file.")
        )
    )
    blocks.append(fires_table(assessment.fires, units))
    wet = sorted({name for fire in assessment.fires for name in fire.wet_parts})
    if wet:
        blocks.append(Paragraph(steam_note(wet), "small"))
    cases = sorted({f.default_case for f in assessment.fires if f.default_case})
    if cases:
        blocks.append(
            Paragraph(
                "; ".join(f"{case}: {labels.default_case(case)}" for case in cases) + ".", "small"
            )
        )
    ruling = telling_fires(assessment)
    ruling.sort(key=lambda f: (f.safe, -(f.peak_strength_use or 0.0), f.id))
    for fire in ruling[:MOST_FIRE_CHARTS]:
        blocks.append(Heading(f"{fire.id}, {fire.section}"))
        blocks.append(Paragraph(fire_sentence(fire, steam=False), "lead"))
        blocks.append(Paragraph(fire_verdict(fire, basis).text))
        if fire.wet_parts and fire is not ruling[0]:  # above the first one it has just been said
            blocks.append(Paragraph(steam_note(fire.wet_parts), "small"))
        blocks.append(_fire_facts(fire, units, _dead_valves(fire, installation)))
        for chart, height in (
            (fire_temperature_chart(fire, units), 0.40),
            (fire_strength_chart(fire, units), 0.34),
            (fire_pressure_chart(fire, units), 0.34),
        ):
            if chart is not None:
                blocks.append(Drawn(chart, f"{chart.title}. {chart.caption}", 1.0, height))
    return Section("fires", tr("Fires"), tuple(blocks))


def _search_text(search: BoreSearch, units: Units) -> str:
    """What the search for the smallest bore says beside the bore itself."""
    pieces = []
    if search.latest_melting_k is not None and search.latest_melting_k >= LATEST_MELTING:
        pieces.append(tr("this fire passes even if it does not melt"))
    elif search.latest_melting_k is not None:
        pieces.append(
            tr("passes with an alloy that melts at up to {temperature}").format(
                temperature=quantity_text(search.latest_melting_k, "temperature", units)
            )
        )
    if search.thinnest_wall_m is not None:
        wording = (
            tr("passes with a wall down to {wall}")
            if search.exact_m is not None
            else tr("passes only with a wall of {wall} or more")
        )
        pieces.append(wording.format(wall=quantity_text(search.thinnest_wall_m, "length", units)))
    if search.api521_area_m2 is not None:
        pieces.append(
            tr("area by API 521 {area}").format(
                area=quantity_text(search.api521_area_m2, "area", units)
            )
        )
    return "; ".join(pieces) or "–"


def _dead_valves(fire: FireRecord, installation: Installation) -> list[str]:
    """From when a relief valve in the fire is taken to stay shut, in words."""
    given = next((f for f in installation.fires if f.id == fire.id), None)
    if fire.curves is None or fire.default_case not in (None, "a"):
        return []
    texts = []
    for valve in installation.relief_valves:
        curve = fire.curves.parts.get(valve.on)
        if curve is None or valve.on not in fire.exposed:
            continue
        if fire.default_case is None and (given is None or given.share(valve.on) < 1.0):
            continue
        hot = zip(fire.curves.time_s, curve.hot_wall_temperature_k, strict=True)
        since = next((time for time, wall in hot if wall >= DEAD_RELIEF_TEMPERATURE), None)
        if since is not None:
            texts.append(
                tr("{valve} is taken to stay shut from {time}: {part} is too hot for it").format(
                    valve=valve.id, time=time_text(since), part=valve.on
                )
            )
    return texts


def _fire_facts(fire: FireRecord, units: Units, dead: list[str]) -> Table:
    rows = [
        [tr("Start"), labels.start_state(fire.start)],
        [tr("Valves shut"), ", ".join(fire.closed_valves) or tr("none")],
        [tr("In the fire"), ", ".join(fire.exposed) or tr("none")],
        [tr("Reason"), labels.fire_reason(fire.reason)],
        [tr("Kept by"), labels.kept_by(fire.kept_by)],
        [
            tr("Events"),
            "; ".join(f"{time_text(e.time_s)} {labels.event(e.event, e.part)}" for e in fire.events)
            or tr("none"),
        ],
        *([[tr("Relief valve"), "; ".join(dead)]] if dead else []),
        [
            tr("By strength basis"),
            "; ".join(
                f"{labels.short_basis(key)}: {side_outcome(fire, word, key)}"
                for key, word in fire.by_basis.items()
            ),
        ],
        [tr("Smallest bore"), _bore_text(fire, units)],
    ]
    for plug, search in fire.bores.items():
        rows.append([tr("{plug} in this fire").format(plug=plug), _search_text(search, units)])
    if fire.margins is not None:
        known = {k: v for k, v in fire.margins.plug_temperature_at_limit_k.items() if v is not None}
        if known:
            rows.append(
                [
                    tr("When the metal reaches its limit"),
                    "; ".join(
                        tr("{plug} is at {temperature}").format(
                            plug=plug, temperature=quantity_text(value, "temperature", units)
                        )
                        for plug, value in known.items()
                    ),
                ]
            )
    doubt = [
        f"× {factor}: {side_outcome(fire, word, factor)}"
        for factor, word in fire.convection_doubt.items()
    ]
    if doubt:
        rows.append([tr("Inner convection in doubt"), "; ".join(doubt)])
    if fire.reaction_force_n:
        rows.append(
            [
                tr("Thrust of the outlet"),
                "; ".join(
                    f"{name} {quantity_text(force, 'force', units)}"
                    for name, force in fire.reaction_force_n.items()
                ),
            ]
        )
    rows += [[tr("Cure"), cure_sentence(cure, fire, units)] for cure in fire.cures]
    if fire.balance is not None:
        rows.append(
            [
                tr("Closure of the run"),
                tr("mass {mass}, energy {energy} (relative)").format(
                    mass=f"{abs(fire.balance.mass_rel):.1e}",
                    energy=f"{abs(fire.balance.energy_rel):.1e}",
                ),
            ]
        )
    return table_of([tr("Fact"), tr("Value")], rows, [1.0, 4.0], strong_first=True)
