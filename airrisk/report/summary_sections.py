"""The first page, the page for the fire service, the questions page and the sign-off."""

from __future__ import annotations

import math
from collections.abc import Callable

from airrisk.installation.model import Installation, Vessel
from airrisk.installation.naming import in_order
from airrisk.report.blocks import (
    Block,
    Bullets,
    Drawn,
    Heading,
    Paragraph,
    Section,
    Table,
    table_of,
)
from airrisk.report.distance_sections import people_distances, places_not_known
from airrisk.report.input_sections import drawn_installation
from airrisk.report.screening_sections import controlling_vessel
from airrisk.study.overview import KEEP_AWAY_PA, KeepAway, keep_away
from airrisk.study.records import Assessment, Finding, FireRecord, FlameAway
from airrisk.wording import labels
from airrisk.wording.acceptances import counting
from airrisk.wording.cautions import cautions, model_limits, steam_note
from airrisk.wording.charts import order_ruler
from airrisk.wording.engineers_questions import engineers_questions
from airrisk.wording.findings import finding_text, worst_finding, worst_first
from airrisk.wording.fire_names import stated_name
from airrisk.wording.matrix import (
    away_head,
    class_heads,
    classes_sentences,
    flame_away_sentences,
    jet_spot_sentences,
    matrix_rows,
    runs_sentence,
    section_title,
    unsure_sentences,
)
from airrisk.wording.overview import overview_sentences
from airrisk.wording.sentences import (
    boiling_parts,
    chosen_strength_basis,
    counts_for_verdict,
    fire_sentence,
    remaining_sentence,
    screening_sentence,
    section_sentence,
    telling_fires,
    uncredited_plugs,
)
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import (
    Units,
    and_list,
    kept_distance,
    quantity_text,
    time_text,
)
from airrisk.wording.what_to_do import what_to_do

MOST_ACTIONS = 8
MOST_LINES = 13  # more rows and actions than this leave no room for the ruler on the first page


def summary_section(assessment: Assessment, units: Units) -> Section:
    """Verdict per section, the worst findings and what to do about them.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    units : Units
        Unit set and atmosphere.
    """
    blocks: list[Block] = [
        Paragraph(" ".join(overview_sentences(assessment, units)), "lead"),
        Paragraph(remaining_sentence(assessment)),
    ]
    if assessment.failures:
        blocks.append(
            Paragraph(tr("Calculations that failed; nothing about them is safe:"), "strong")
        )
        blocks.append(
            Bullets(tuple(f"{tr(f.step)}, {f.part}: {tr(f.message)}" for f in assessment.failures))
        )
    rows = verdict_rows(assessment, units)
    blocks += _verdicts(assessment, rows, units)
    listed: list[str] = []
    ordered = [f for f in worst_first(counting(assessment.findings)) if f.severity != "note"]
    if ordered:
        deeds = what_to_do(assessment, ordered, units)
        listed = deeds[:MOST_ACTIONS]
        blocks += _worst_finding(assessment, ordered, units)
        blocks += _what_to_do(listed, len(deeds) - len(listed))
    else:
        blocks.append(Paragraph(nothing_above_a_note(assessment)))
    told = _told(assessment, units)
    if told:
        blocks += _what_fires_do(assessment, told)
    vessel = controlling_vessel(assessment)
    if vessel is not None and len(rows) + len(told) + len(listed) <= MOST_LINES:
        blocks += _what_happens_first(assessment, vessel, units)
    return Section("summary", tr("Summary"), tuple(blocks))


def _verdicts(assessment: Assessment, rows: list[list[str]], units: Units) -> list[Block]:
    """The table of verdicts, and what they hang on."""
    blocks: list[Block] = []
    blocks.append(Heading(tr("Verdicts by section and class of fires")))
    blocks.append(verdict_table(assessment, rows))
    blocks.append(
        Paragraph(
            " ".join([runs_sentence(assessment), *classes_sentences(assessment, units)]), "small"
        )
    )
    unsure = unsure_sentences(assessment)
    if unsure:
        blocks.append(Heading(tr("What safe verdicts that are not sure hang on")))
        blocks.append(Bullets(tuple(unsure)))
    away = [*flame_away_sentences(assessment), *jet_spot_sentences(assessment, units)]
    if away:
        blocks.append(Paragraph(" ".join(away), "small"))
    return blocks


def _worst_finding(assessment: Assessment, ordered: list[Finding], units: Units) -> list[Block]:
    worst = worst_finding(ordered, assessment)
    text = (
        f"{labels.severity_shape(worst.severity)} {labels.severity(worst.severity)}: "
        f"{finding_text(worst, units)}"
    )
    return [Heading(tr("Worst finding")), Paragraph(text, "strong")]


def _what_to_do(listed: list[str], more: int) -> list[Block]:
    blocks: list[Block] = [Heading(tr("What to do")), Bullets(tuple(listed), numbered=True)]
    if more:
        text = tr("{number} more in the chapter on findings.").format(number=more)
        blocks.append(Paragraph(text, "small"))
    return blocks


def _what_fires_do(assessment: Assessment, told: list[str]) -> list[Block]:
    blocks: list[Block] = [Heading(tr("What the fires do")), Bullets(tuple(told))]
    burnt = {name for fire in telling_fires(assessment) for name in boiling_parts(fire)}
    if burnt:
        blocks.append(Paragraph(steam_note(in_order(burnt), assessment.kinds), "small"))
    return blocks


def _what_happens_first(assessment: Assessment, vessel: str, units: Units) -> list[Block]:
    record = assessment.parts[vessel]
    ruler = order_ruler(record, units)
    head = tr("What happens first in vessel {part}, the vessel that decides").format(part=vessel)
    evenly = tr(
        "That is the order when wall, air and plug warm together; a fire heats them unevenly."
    )
    order = screening_sentence(record, units, uncredited_plugs(assessment))
    return [Heading(head), Paragraph(f"{order} {evenly}"), Drawn(ruler, ruler.caption)]


def nothing_above_a_note(assessment: Assessment) -> str:
    """That there is no grave finding, and why what is not safe does not count as one."""
    pieces = [tr("No finding above a note.")]
    accepted = [f for f in assessment.findings if not f.counts and f.severity != "note"]
    if accepted:
        pieces.append(
            tr("Accepted, with the reason in the chapter on findings: {number}.").format(
                number=len(accepted)
            )
        )
    small = in_order({f.part for f in counting(assessment.findings) if f.rule == "fire-outcome"})
    if small:
        pieces.append(
            tr("Not safe, but only a note, because little is let loose: {parts}.").format(
                parts=labels.named_all(small, assessment.kinds)
            )
        )
    return " ".join(pieces)


def verdict_rows(assessment: Assessment, units: Units) -> list[list[str]]:
    """The matrix as rows of a table: the section in words, then one cell for each class."""
    doubted = uncredited_plugs(assessment)
    known = {(one.id, one.closed_valves): one for one in assessment.shut_in}
    rows = []
    for row in matrix_rows(assessment):
        section = known.get((row.section, row.closed_valves))
        title = (
            row.title
            if section is None
            else section_sentence(section, units, assessment.kinds, doubted)
        )
        rows.append([title, *(cell.text for cell in row.cells), row.away])
    return rows


def verdict_table(assessment: Assessment, rows: list[list[str]]) -> Table:
    """The matrix: what each section comes to in each class of fires."""
    basis = labels.basis(chosen_strength_basis(assessment))
    return table_of(
        [tr("Isolable section"), *class_heads(), away_head()],
        rows,
        [2.1, 1.15, 1.15, 1.15, 1.15, 0.95],
        caption=tr(
            "Strength basis: {basis}. Percent: of the allowed load, in the worst run. Sure: it "
            "stays safe when each doubtful assumption is turned the other way."
        ).format(basis=basis),
    )


def _told(assessment: Assessment, units: Units) -> list[str]:
    """What each fire does, with its section."""
    return [
        f"{section_title(f.members, f.closed_valves, assessment.kinds)}: "
        f"{fire_sentence(f, units, steam=False)}"
        for f in telling_fires(assessment)
    ]


def _fires_of(assessment: Assessment, part: str) -> list[FireRecord]:
    return [f for f in assessment.fires if part in f.members]


def _time_cell(fires: list[FireRecord], value: float) -> str:
    """A time of the worst fire; a fire that gave no answer leaves it open to be sooner."""
    text = _down(value)
    failed = any(f.worst_outcome == "not converged" for f in fires)
    return tr("{time} or sooner").format(time=text) if failed else text


def _in_fire(time: str, fire: FireRecord) -> str:
    """A time with its fire: those of two fires are not to be held against each other."""
    stated = fire.fire_class == "stated"
    name = stated_name(fire) if stated else labels.fire_class(fire.fire_class)
    return tr("{time}, {fire}").format(time=time, fire=name)


def _rupture_cell(fires: list[FireRecord]) -> str:
    """When a vessel ruptures if nothing opens; where a line does so before, its run ends there."""
    if not fires:
        return tr("not assessed")
    found: list[tuple[float, int, str]] = []  # seconds, place of the fire, line that ruptures
    for place, fire in enumerate(fires):
        if fire.rupture_nothing_opens_s is not None:
            found.append((fire.rupture_nothing_opens_s, place, ""))
        if fire.line_rupture_nothing_opens_s:
            line, time = fire.line_rupture_nothing_opens_s
            found.append((time, place, line))
    if not found:
        failed = any(f.worst_outcome == "not converged" for f in fires)
        return tr("not known") if failed else tr("none within the fires")
    first = min(one[0] for one in found)
    # of what comes at the same time the vessel is told, in the first of the fires
    time, place, line = min((one for one in found if one[0] == first), key=lambda one: bool(one[2]))
    text = _time_cell(fires, time)
    if line:
        text = tr("{time} ({line})").format(time=text, line=labels.named("line", [line]))
    return _in_fire(text, fires[place])


def _two_figures(seconds: float, rounding: Callable[[float], int]) -> str:
    """A time with two figures in the unit that it is told in."""
    size = 1.0 if seconds < 120.0 else 60.0 if seconds < 10800.0 else 3600.0
    shown = seconds / size
    step = 10.0 ** (math.floor(math.log10(shown)) - 1) if shown > 0.0 else 1.0
    return time_text(size * step * rounding(shown / step), 3)


def _down(seconds: float) -> str:
    """A time until something bad happens: nobody gets more of it than was computed."""
    return _two_figures(seconds, lambda value: math.floor(value + 1e-9))


def _up(seconds: float) -> str:
    """A time that one has to wait."""
    return _two_figures(seconds, lambda value: math.ceil(value - 1e-9))


def _vent_cell(fires: list[FireRecord], vessel: str) -> str:
    """When air first gets out of a vessel, where every fire around it is safe by that."""
    ruling = [f for f in fires if counts_for_verdict(f)] or fires
    if not ruling:
        return tr("not assessed")
    if any(f.worst_outcome == "not converged" for f in ruling):
        return tr("not known")
    times = [(f.first_vent_by_part_s.get(vessel), f) for f in ruling]
    times += [
        (f.envelope.first_vent_by_part_s.get(vessel), f)
        for f in ruling
        if f.envelope is not None and f.envelope.corner.isothermal_k is None
    ]
    known = [(time, fire) for time, fire in times if time is not None]
    if not known:
        return tr("none opens")
    if not all(f.safe for f in ruling):
        return tr("not in time")
    if len(known) < len(times):
        return tr("not in every fire")
    time, fire = max(known, key=lambda one: one[0])
    return _in_fire(_up(time), fire)


def away_cell(far: KeepAway, units: Units) -> str:
    """A distance to keep away with what it is made of."""
    blast, pieces = (kept_distance(value, units) for value in (far.blast_m, far.pieces_m))
    whole = kept_distance(far.farthest_m, units)
    return tr("{whole} (blast {blast}, pieces {pieces})").format(
        whole=whole, blast=blast, pieces=pieces
    )


def _side(vessel: Vessel) -> str:
    if vessel.orientation == "horizontal":
        return tr("never in line with its ends; come from the long side, behind cover")
    return tr("no safe side; stay behind a wall, out of line with the outlet of a plug")


def _stood_cell(stood: FlameAway | None) -> str:
    """After what time a vessel gives way to heat away from its plugs."""
    if stood is None:
        return tr("not assessed")
    return tr("none within the fire") if stood.rupture_s is None else _down(stood.rupture_s)


def fire_service_section(
    assessment: Assessment, installation: Installation, units: Units
) -> Section:
    """One page for the fire service: times, distance, side, what to shut and what not."""
    rows = []
    unknown = tr("not assessed")
    for vessel in installation.vessels:
        record = assessment.parts.get(vessel.id)
        fires = _fires_of(assessment, vessel.id)
        far = keep_away(assessment, vessel.id)
        rows.append(
            [
                f"{vessel.id} ({vessel.area})" if vessel.area else vessel.id,
                quantity_text(record.pressure_pa, "pressure", units) if record else "–",
                quantity_text(record.volume_m3, "volume", units, 3) if record else "–",
                _rupture_cell(fires),
                _stood_cell(assessment.flame_away.get(vessel.id)),
                _stood_cell(assessment.jet_spot.get(vessel.id)),
                _vent_cell(fires, vessel.id),
                away_cell(far, units) if far is not None else unknown,
                _leave_open(assessment, installation, vessel.id),
            ]
        )
    sides = [_side(vessel) for vessel in installation.vessels]
    alike = len(sides) > 1 and len(set(sides)) == 1
    heads = [tr("Vessel"), tr("Pressure"), tr("Volume"), tr("Rupture after, if nothing opens"),
             tr("Rupture after, flames away from its plugs"),
             tr("Rupture after, jet flame on a spot"), tr("A plug or disc opens after"),
             tr("Keep away"), tr("Leave open")]  # fmt: skip
    widths = [1.2, 0.8, 0.7, 1.15, 0.95, 0.85, 1.1, 1.5, 0.9]
    if not alike:
        widths = [0.7, 0.8, 0.7, 1.05, 0.95, 0.85, 1.0, 1.0, 0.9]
        heads.insert(-1, tr("Side"))
        widths.insert(-1, 1.6)
        for row, side in zip(rows, sides, strict=True):
            row.insert(-1, side)
    stop = [c.id for c in installation.compressors]
    blocks: list[Block] = [
        Paragraph(
            tr("Compressed-air vessels in a fire can burst, with a plug or without. Times count "
               "from the start of the fire, the worst that was computed for each vessel, rounded "
               "to the safe side; if nobody knows when it began, take them as over. Behind each "
               "time stands its fire: times of two fires do not tell what happens first."),
            "caution",
        ),
        table_of(
            heads,
            rows,
            widths,
            (1, 2, 3, 4, 5, 6, 7),
            strong_first=True,
        ),
        drawn_installation(assessment, installation, 0.9),
        Bullets(
            (
                *([tr("Every vessel: {side}.").format(side=sides[0])] if alike else []),
                tr("Stop {machines} from a safe place: a running compressor feeds the vessel and "
                   "the fire.").format(machines=labels.named("compressor", stop))
                if stop
                else tr("No compressor is in the file: look for one that feeds the vessel and "
                        "have it stopped."),
                _people_near(assessment, installation, units),
                tr("Cool vessels with water from behind cover as long as they hold pressure. A "
                   "roaring jet of air is a plug that has opened; the vessel may burst all the "
                   "same until it is empty."),
                tr("Do not go near to open or shut any valve: a shut one can part a vessel from "
                   "its plug."),
                tr("A plug that has opened does not shut again; the vessel may be filled anew "
                   "until the compressor is off."),
                tr("After the fire no vessel that was in it goes back into service without an "
                   "inspection."),
            )
        ),
        Paragraph(
            tr("Keep away: the farther of collapsing walls ({pressure} or more) and of the range "
               "within which nine of ten likely fragments fall, rounded up. Single pieces can fly "
               "farther{farthest}. Computed for flat open ground, on the fires of this report.")
            .format(
                pressure=quantity_text(KEEP_AWAY_PA, "pressure_difference", units, 2),
                farthest=_farthest(assessment, units),
            ),
            "small",
        ),
    ]  # fmt: skip
    wet = {name for fire in assessment.fires for name in boiling_parts(fire)}
    if wet:
        blocks.append(Paragraph(steam_note(in_order(wet), assessment.kinds), "small"))
    title = tr("For the fire service")
    return Section("fire-service", title, tuple(blocks), own_page=True, one_page=True)


def _farthest(assessment: Assessment, units: Units) -> str:
    found = [
        way.longest_range_m
        for cases in assessment.consequences.values()
        for case, record in cases.items()
        if case != "cold_burst"
        for way in record.fragments.ways
    ]
    return tr(", to {distance}").format(distance=kept_distance(max(found), units)) if found else ""


def _people_near(assessment: Assessment, installation: Installation, units: Units) -> str:
    """Places with people within the distance to keep away, and those of which nobody knows it."""
    told = [_known_near(assessment, installation, units)]
    lost: dict[tuple[str, ...], list[str]] = {}
    for vessel in installation.vessels:
        lost.setdefault(places_not_known(installation, vessel.id), []).append(vessel.id)
    told += [
        tr("How far people are from {vessels} is not known, no place is stated: {places}.").format(
            vessels=labels.named("vessel", vessels), places=and_list(list(places))
        )
        for places, vessels in lost.items()
        if places
    ]
    return " ".join(told)


def _known_near(assessment: Assessment, installation: Installation, units: Units) -> str:
    near: dict[str, tuple[float, str]] = {}
    for vessel in installation.vessels:
        far = keep_away(assessment, vessel.id)
        for place, distance in people_distances(installation, vessel.id):
            if far is not None and distance <= far.farthest_m:
                near[place] = min(near.get(place, (distance, vessel.id)), (distance, vessel.id))
    if not near:
        return tr("Look for people within the distance to keep away and lead them out of it.")
    return tr("People to lead away: {places}.").format(
        places=and_list(
            [
                tr("{place} ({distance} from vessel {vessel})").format(
                    place=place, distance=quantity_text(away, "distance", units, 2), vessel=vessel
                )
                for place, (away, vessel) in sorted(near.items(), key=lambda item: item[1])
            ]
        )
    )


def _leave_open(assessment: Assessment, installation: Installation, vessel: str) -> str:
    """Valves to leave open for a vessel: shut, they part its air from a plug."""
    record = assessment.protection.get(vessel)
    if record is None:
        return tr("all")
    worst = {*record.worst_valves, *record.last_valves}
    around = [v.id for v in installation.valves if v.can_close and v.state == "open"]
    leave = in_order(worst.intersection(around)) or in_order(worst)
    return and_list(leave) if leave else tr("all")


def questions_section(assessment: Assessment, installation: Installation, units: Units) -> Section:
    """One page of what engineers ask, answered for this installation."""
    answers = engineers_questions(assessment, installation, units)
    return Section(
        "questions",
        tr("What engineers ask"),
        (
            table_of(
                [tr("Question"), tr("Answer for this installation")],
                [[a.question, a.answer] for a in answers],
                [1.0, 3.0],
                strong_first=True,
            ),
        ),
    )


def cautions_section() -> Section:
    """Cautions and limits of the model."""
    return Section(
        "cautions",
        tr("Cautions and limits"),
        (
            Bullets(cautions()),
            Heading(tr("What the calculation leaves out")),
            Bullets(model_limits()),
        ),
    )


def sign_off_section(assessment: Assessment, installation: Installation, version: str) -> Section:
    """Names, blanks to sign, hash of the file and version of the program."""
    about = installation.about
    rows = [
        [tr("Prepared by"), about.prepared_by, "", ""],
        [tr("Checked by"), about.checked_by, "", ""],
        [tr("Accepted by"), "", "", ""],
    ]
    return Section(
        "sign-off",
        tr("Sign-off"),
        (
            table_of(
                [tr("Role"), tr("Name"), tr("Signature"), tr("Date")],
                rows,
                [1.0, 2.0, 2.0, 1.0],
                row_height=30.0,
                numbered=False,
            ),
            table_of(
                [tr("Record"), tr("Value")],
                [
                    [tr("SHA-256 of the system file"), assessment.inputs_sha256],
                    [tr("Date the assessment counts on"), date_text(assessment.on)],
                    [tr("Program"), f"airrisk {version}"],
                ],
                [1.0, 3.0],
            ),
        ),
    )
