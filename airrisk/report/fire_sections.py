"""The chapter on the fires: all runs in one table, the ruling ones with charts."""

from __future__ import annotations

from airrisk.fire.case_building import DEAD_RELIEF_TEMPERATURE
from airrisk.installation.model import Installation
from airrisk.installation.naming import in_order
from airrisk.report.blocks import (
    Block,
    Drawn,
    Heading,
    Paragraph,
    Section,
    Table,
    table_of,
)
from airrisk.study.records import Assessment, BoreSearch, FireRecord, FlameAway
from airrisk.wording import labels
from airrisk.wording.cautions import steam_note
from airrisk.wording.charts import (
    fire_creep_chart,
    fire_pressure_chart,
    fire_strength_chart,
    fire_temperature_chart,
)
from airrisk.wording.cures import LATEST_MELTING, bore_text, cure_sentences
from airrisk.wording.margins import (
    corner_text,
    doubt_percent,
    doubt_text,
    limit_of,
    load_text,
    share_text,
    uncredited_sentence,
    worst_load,
)
from airrisk.wording.matrix import classes_sentences, runs_sentence, section_title
from airrisk.wording.reasons import kinds_of, reason_clause, under_water, with_kind
from airrisk.wording.sentences import (
    boiling_parts,
    chosen_strength_basis,
    counts_for_verdict,
    fire_sentence,
    fire_title,
    fire_verdict,
    first_opening,
    insulation_sentence,
    outcome_text,
    telling_fires,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    Units,
    and_list,
    localised,
    quantity_text,
    time_text,
)

MOST_FIRE_CHARTS = 8


def _bore_text(fire: FireRecord, units: Units) -> str:
    if not fire.bores:
        return "–"
    return "; ".join(
        f"{plug}: {bore_text(fire, plug, search, units)}" for plug, search in fire.bores.items()
    )


def _bore_head(fire: FireRecord) -> str:
    """Each plug's least bore is searched with the other ones as they are."""
    return tr("Least bore, the other plugs as fitted") if len(fire.bores) > 1 else tr("Least bore")


def _vent_text(fire: FireRecord) -> str:
    """When air first gets out of the part that decides, in the run as stated."""
    part = fire.margins.controlling_part if fire.margins is not None else None
    opening = first_opening(fire, part)
    return time_text(opening.time_s) if opening is not None else "–"


def _shut_text(fire: FireRecord) -> str:
    """When the first vessel ruptures if nothing opens, or the line that does so alone."""
    if fire.rupture_nothing_opens_s is not None:
        return time_text(fire.rupture_nothing_opens_s)
    if fire.line_rupture_nothing_opens_s is not None:
        line, time = fire.line_rupture_nothing_opens_s
        return tr("{line}, {time}").format(line=labels.named("line", [line]), time=time_text(time))
    return "–"


def fire_key(section: str, closed_valves: tuple[str, ...], fire: str) -> str:
    """What a row about a fire against a section is about."""
    return f"fire/{section}/{'+'.join(closed_valves)}/{fire}"


def away_key(vessel: str) -> str:
    """What a row about heat away from the plugs of a vessel is about."""
    return f"away/{vessel}"


def away_table(assessment: Assessment) -> Table | None:
    """How long each vessel stands heat away from its plugs; None where nothing was computed."""
    names = [name for name in assessment.parts if name in assessment.flame_away]
    if not names:
        return None

    def cells(stood: FlameAway | None) -> list[str]:
        if stood is None:
            return [tr("not assessed"), "–"]
        return [
            time_text(value) if value is not None else "–"
            for value in (stood.rupture_s, stood.first_vent_s)
        ]

    rows = [
        [name, *cells(assessment.flame_away.get(name)), *cells(assessment.jet_spot.get(name))]
        for name in names
    ]
    return table_of(
        [
            tr("Vessel"), tr("Flames on a quarter: ruptures after"), tr("First vent"),
            tr("Jet flame on a spot: ruptures after"), tr("First vent"),
        ],
        rows,
        [0.8, 1.2, 1.0, 1.2, 1.0],
        range(1, 5),
        strong_first=True,
        keys=tuple(away_key(name) for name in names),
    )  # fmt: skip


def fires_table(fires: tuple[FireRecord, ...], units: Units) -> Table:
    """One row for every fire: the worst of its runs, and the run as stated beside it."""
    rows = []
    for fire in fires:
        seen = fire.envelope
        load = worst_load(fire)
        rupture = None if seen is None else seen.rupture_s
        rows.append(
            [
                fire_title(fire),
                f"{labels.answer_shape(fire.worst_outcome, fire.safe)} {outcome_text(fire)}",
                share_text(*load) if load is not None else "–",
                time_text(rupture) if rupture is not None else "–",
                corner_text(fire, units),
                "–" if not fire.safe else tr("yes") if fire.sure else tr("no"),
                labels.outcome(fire.outcome),
                _vent_text(fire),
                quantity_text(fire.peak_pressure_pa, "pressure", units)
                if fire.peak_pressure_pa is not None
                else "–",
                _shut_text(fire),
            ]
        )
    return table_of(
        [
            tr("Fire"), tr("Worst of all runs"), tr("Of the allowed load"), tr("Ruptures after"),
            tr("Worst run"), tr("Sure?"), tr("As stated"), tr("First vent as stated"),
            tr("Highest pressure as stated"), tr("Rupture if nothing opens"),
        ],
        rows,
        [1.2, 1.2, 0.8, 0.8, 2.0, 0.5, 1.1, 0.8, 1.0, 0.9],
        (2, 3, 7, 8, 9),
        strong_first=True,
        keys=tuple(fire_key(fire.section, fire.closed_valves, fire.id) for fire in fires),
    )  # fmt: skip


def _by_section(assessment: Assessment) -> dict[str, list[FireRecord]]:
    """The fires of each section and position of the valves, by its words."""
    found: dict[str, list[FireRecord]] = {}
    for fire in assessment.fires:
        title = section_title(fire.members, fire.closed_valves, assessment.kinds)
        found.setdefault(title, []).append(fire)
    return found


def fires_section(assessment: Assessment, installation: Installation, units: Units) -> Section:
    """All fires, the telling ones with charts."""
    blocks: list[Block] = []
    basis = chosen_strength_basis(assessment)
    if not assessment.fires:
        blocks.append(Paragraph(tr("No fire was computed: not assessed."), "strong"))
        return Section("fires", tr("Fires"), tuple(blocks))
    blocks.append(Paragraph(runs_sentence(assessment)))
    blocks.append(Paragraph(" ".join(classes_sentences(assessment, units)), "small"))
    blocks.append(
        Paragraph(
            tr(
                "In the tables the columns from “As stated” on are of other runs than the verdict: "
                "of the fire with its stated pressure and full heat; the last one of that in which "
                "nothing opens."
            ),
            "small",
        )
    )
    for title, fires in _by_section(assessment).items():
        blocks += [Heading(title), fires_table(tuple(fires), units)]
    away = away_table(assessment)
    if away is not None:
        blocks += [Heading(tr("Heat on a part of a shell, away from its plugs")), away]
    wet = {name for fire in assessment.fires for name in boiling_parts(fire)}
    if wet:
        blocks.append(Paragraph(steam_note(in_order(wet), assessment.kinds), "small"))
    telling = telling_fires(assessment)
    telling.sort(key=lambda f: (bool(f.safe), -(f.worst_use or 0.0), f.id))
    for fire in telling[:MOST_FIRE_CHARTS]:
        section = section_title(fire.members, fire.closed_valves, assessment.kinds)
        blocks.append(Heading(f"{fire_title(fire)}: {labels.uncapitalised(section)}"))
        blocks.append(Paragraph(fire_verdict(fire, basis).text, "lead"))
        blocks.append(Paragraph(fire_sentence(fire, units, steam=False)))
        boiling = boiling_parts(fire)
        if boiling and fire is not telling[0]:  # above the first one it has just been said
            blocks.append(Paragraph(steam_note(boiling, assessment.kinds), "small"))
        blocks.append(_fire_facts(fire, units, _dead_valves(fire, installation)))
        for chart, height in (
            (fire_temperature_chart(fire, units), 0.40),
            (fire_strength_chart(fire, units), 0.34),
            (fire_creep_chart(fire, units), 0.34),
            (fire_pressure_chart(fire, units), 0.34),
        ):
            if chart is not None:
                blocks.append(Drawn(chart, f"{chart.title}. {chart.caption}", 1.0, height))
    return Section("fires", tr("Fires"), tuple(blocks))


def _search_text(search: BoreSearch, units: Units) -> str:
    """What the search for the smallest bore says beside the bore itself."""
    pieces = []
    if search.latest_melting_k is not None and search.latest_melting_k >= LATEST_MELTING:
        pieces.append(tr("passes even if it does not melt"))
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
    if fire.curves is None or not counts_for_verdict(fire):
        return []
    texts = []
    for valve in installation.relief_valves:
        curve = fire.curves.parts.get(valve.on)
        if curve is None or valve.on not in fire.exposed:
            continue
        if fire.fire_class == "stated" and (given is None or given.share(valve.on) < 1.0):
            continue
        hot = zip(fire.curves.time_s, curve.hot_wall_temperature_k, strict=True)
        since = next((time for time, wall in hot if wall >= DEAD_RELIEF_TEMPERATURE), None)
        if since is not None:
            texts.append(
                tr(
                    "From {time} on, relief valve {valve} is taken to stay shut: {part} is too hot "
                    "for it."
                ).format(
                    time=time_text(since),
                    valve=valve.id,
                    part=with_kind([valve.on], kinds_of(fire)),
                )
            )
    return texts


def _worst_facts(fire: FireRecord, units: Units) -> list[list[str]]:
    """What the worst run of a fire came to, and what its verdict hangs on."""
    seen, kinds = fire.envelope, kinds_of(fire)
    if seen is None:
        return []
    rows = [
        [tr("Worst run"), labels.sentence(corner_text(fire, units))],
        [tr("Its reason"), labels.sentence(reason_clause(seen.reason, kinds))],
        [
            tr("Its highest pressure"),
            quantity_text(seen.peak_pressure_pa, "pressure", units)
            if seen.peak_pressure_pa is not None
            else "–",
        ],
    ]
    if fire.doubts:
        rows.append(
            [
                tr("One assumption the other way"),
                "; ".join(
                    f"{doubt_text(d.what)}: {labels.answer(d.outcome, d.safe)}"
                    + (f" ({doubt_percent(d, limit)})" if (limit := limit_of(fire)) else "")
                    for d in fire.doubts
                ),
            ]
        )
    if fire.insulation:
        rows.append([tr("Insulation"), insulation_sentence(fire, units)])
    if fire.unconfirmed:
        rows.append([tr("Offered, not confirmed"), labels.named_all(fire.unconfirmed, kinds)])
    if fire.uncredited:
        rows.append([tr("Credit"), uncredited_sentence(fire)])
        if seen.outcome_working is not None:
            rows.append([tr("If they work all the same"), labels.outcome(seen.outcome_working)])
    return rows


def _fire_facts(fire: FireRecord, units: Units, dead: list[str]) -> Table:
    kinds = kinds_of(fire)
    rows = [
        [tr("Valves shut"), and_list(fire.closed_valves)],
        [tr("In the fire"), labels.named_all(fire.exposed, kinds)],
        *_worst_facts(fire, units),
        [
            tr("As stated"),
            f"{labels.outcome(fire.outcome)}: {reason_clause(fire.reason, kinds)}",
        ],
        [
            tr("Highest load, as stated"),
            load_text(fire.peak_strength_use, limit_of(fire), fire.creep_damage) or "–",
        ],
        [tr("Kept by, as stated"), labels.kept_by(fire.kept_by)],
        [
            tr("Events, as stated"),
            "; ".join(f"{time_text(e.time_s)} {labels.event(e.event, e.part)}" for e in fire.events)
            or tr("none"),
        ],
        *([[tr("Relief valve"), "; ".join(dead)]] if dead else []),
        [
            tr("By strength basis, as stated"),
            "; ".join(
                f"{labels.short_basis(key)}: {labels.outcome(word)}"
                for key, word in fire.by_basis.items()
            ),
        ],
        [_bore_head(fire), _bore_text(fire, units)],
    ]
    for plug, search in fire.bores.items():
        title = tr("Plug {plug} in the worst run").format(plug=plug)
        rows.append([title, _search_text(search, units)])
    margins = fire.margins
    if margins is not None:
        if margins.vent_before_rupture_s is not None:
            ahead = margins.vent_before_rupture_s
            rows.append(
                [
                    tr("First vent, as stated"),
                    (
                        tr("{time} before the rupture of another run, in which nothing opens")
                        if ahead >= 0.0
                        else tr("{time} after the rupture of another run, in which nothing opens")
                    ).format(time=time_text(abs(ahead))),
                ]
            )
        known = {
            plug: value
            for plug, value in margins.plug_temperature_at_limit_k.items()
            if value is not None and not under_water(fire, plug)
        }
        if known:
            rows.append(
                [
                    tr("When the metal reaches its limit, nothing open"),
                    "; ".join(
                        tr("{plug} is at {temperature}").format(
                            plug=plug, temperature=quantity_text(value, "temperature", units)
                        )
                        for plug, value in known.items()
                    ),
                ]
            )
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
    rows += [[tr("Cure"), text] for text in cure_sentences(fire, units)]
    if fire.balance is not None:
        rows.append(
            [
                tr("Closure of the run"),
                tr("mass {mass}, energy {energy} (relative)").format(
                    mass=localised(f"{abs(fire.balance.mass_rel):.1e}"),
                    energy=localised(f"{abs(fire.balance.energy_rel):.1e}"),
                ),
            ]
        )
    told = [row for row in rows if row[1] != "–"]
    return table_of([tr("Fact"), tr("Value")], told, [1.0, 4.0], strong_first=True)
