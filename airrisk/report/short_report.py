"""The short report: a page to decide on, what is found and who does it, drawing, fire service."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from airrisk.installation.model import Installation, Vessel
from airrisk.report.action_tables import action_status
from airrisk.report.blocks import (
    Block,
    Bullets,
    Heading,
    Paragraph,
    Report,
    Section,
    Table,
    Tone,
    table_of,
)
from airrisk.report.content import IN_SHORT, build_report, units_for
from airrisk.report.cure_sections import cures_section
from airrisk.report.distance_sections import people_distances, places_not_known
from airrisk.report.lines import Lines, lines_of
from airrisk.report.proofs import (
    card_keys,
    deed_keys,
    finding_keys,
    overview_keys,
    people_keys,
    pointed_to,
    pointers,
    proof_of,
    section_keys,
)
from airrisk.report.summary_sections import (
    away_cell,
    nothing_above_a_note,
)
from airrisk.study.action_register import ActionRow
from airrisk.study.actions import facts_of, is_about
from airrisk.study.overview import KeepAway, keep_away
from airrisk.study.records import Assessment, Finding
from airrisk.wording import labels
from airrisk.wording.acceptances import counting
from airrisk.wording.cautions import cautions
from airrisk.wording.cure_plans import change_sentence, plan_sentences
from airrisk.wording.findings import finding_text, worst_finding, worst_first
from airrisk.wording.matrix import (
    Cell,
    Row,
    away_head,
    class_heads,
    classes_sentences,
    flame_away_sentences,
    matrix_rows,
    runs_sentence,
    unsure_sentences,
)
from airrisk.wording.overview import overview_sentences
from airrisk.wording.sentences import chosen_strength_basis, remaining_sentence
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import Units, and_list, quantity_text, time_text
from airrisk.wording.what_to_do import Deed, deeds_of

MOST_DEEDS = 6
BOX = "☐"


def build_short_report(
    assessment: Assessment,
    installation: Installation,
    unit_set: str = "metric",
    more: Sequence[Section] = (),
) -> Report:
    """What people decide on and act by, in a few pages; the proof stands in the full report.

    Parameters
    ----------
    assessment : Assessment
        The answer of the study.
    installation : Installation
        The same revision of the system file, read.
    unit_set : str
        "metric" or "US customary".
    more : sequence of Section
        Chapters that were asked for, such as a map.

    Returns
    -------
    Report
        The page to decide on first.
    """
    full = build_report(assessment, installation, unit_set)
    return replace(
        full,
        subtitle=tr("Safety of a compressed-air installation in fire: short report"),
        sections=short_sections(assessment, installation, full, unit_set, more),
    )


def build_whole_report(
    assessment: Assessment,
    installation: Installation,
    unit_set: str = "metric",
    more: Sequence[Section] = (),
) -> Report:
    """The short report, and behind it every chapter that proves it.

    Parameters
    ----------
    assessment, installation, unit_set
        As of the short report.
    more : sequence of Section
        Chapters that were asked for; they stand among the proofs.
    """
    full = build_report(assessment, installation, unit_set, more)
    short = short_sections(assessment, installation, full, unit_set)
    known = {section.key for section in short} | IN_SHORT
    proofs = tuple(section for section in full.sections if section.key not in known)
    return replace(full, sections=(*short, *proofs), linked=pointed_to(short))


def short_sections(
    assessment: Assessment,
    installation: Installation,
    full: Report,
    unit_set: str,
    more: Sequence[Section] = (),
) -> tuple[Section, ...]:
    """The chapters of the short report; their numbers point to the lines of the full one."""
    units = units_for(installation, unit_set)
    lines = lines_of(full.sections)
    causes = cures_section(assessment, units)
    made = {section.key: section for section in full.sections if section.key in IN_SHORT}
    return (
        _decision_section(assessment, installation, units, lines),
        _who_does_what_section(assessment, units, lines, full.sections),
        *([causes] if causes is not None else []),
        made["drawing"],
        _proven_card(made["fire-service"], assessment, installation, lines),
        *more,
    )


def _decision_section(
    assessment: Assessment, installation: Installation, units: Units, lines: Lines
) -> Section:
    """Is it safe, in which fire not, after how long, who must go how far, what first, who signs."""
    count, *others = overview_sentences(assessment, units)
    unsafe = any(verdict.safe is False for verdict in assessment.verdicts)
    blocks: list[Block] = [
        Paragraph(count, "alarm" if unsafe or assessment.failures else "caution")
    ]
    if others:
        blocks.append(Paragraph(" ".join(others), "lead"))
    blocks.append(Paragraph(remaining_sentence(assessment)))
    blocks += proof_of(lines.at(overview_keys(assessment)))
    blocks.append(Heading(tr("Which section survives which fire")))
    blocks.append(_matrix(assessment, lines))
    told = [runs_sentence(assessment), *classes_sentences(assessment, units)]
    blocks.append(Paragraph(" ".join([*told, *flame_away_sentences(assessment)]), "small"))
    blocks += _what_must_happen(assessment, units, lines)
    blocks += _people(assessment, installation, units, lines)
    blocks += _conclusion(assessment, installation)
    return Section("decision", tr("Decision"), tuple(blocks), own_page=True, one_page=True)


def _matrix(assessment: Assessment, lines: Lines) -> Table:
    """The matrix with short titles; what is not safe is tinted, and told by its sign as well."""
    rows = matrix_rows(assessment)
    basis = labels.basis(chosen_strength_basis(assessment))
    return table_of(
        [tr("Isolable section"), *class_heads(), away_head(), tr("Proof")],
        [
            [
                _title(row),
                *(cell.text for cell in row.cells),
                row.away,
                lines.text(section_keys(assessment, row.section, row.closed_valves)),
            ]
            for row in rows
        ],
        [1.6, 1.15, 1.15, 1.15, 1.15, 0.9, 0.8],
        caption=tr("Strength basis: {basis}. Percent: of the allowed load, in the worst run. Sure: "
                   "it stays safe when each doubtful assumption is turned the other way. "
                   "Proof: chapter, table and row of the full report.")
        .format(basis=basis),
        tones=tuple(("", *(_tone(cell) for cell in row.cells), "", "") for row in rows),
        strong_first=True,
        proof=6,
    )  # fmt: skip


def _title(row: Row) -> str:
    """A section in ids, with its valves in the same line."""
    return row.short.replace("\n", "; ") or row.title


def _tone(cell: Cell) -> Tone:
    if cell.safe is False:
        return "bad"
    return "doubt" if cell.safe and cell.sure != "sure" else ""


def _what_must_happen(assessment: Assessment, units: Units, lines: Lines) -> list[Block]:
    """The first proven plan where plans were asked for, else the deeds; to be given to people."""
    plan = assessment.plans.plans[0] if assessment.plans and assessment.plans.plans else None
    ordered = [f for f in worst_first(counting(assessment.findings)) if f.severity != "note"]
    if plan is not None:
        told = [change_sentence(change, assessment.kinds, units) for change in plan.changes]
        deeds = [Deed(text) for text in told]
        below = " ".join(plan_sentences(plan))
    else:
        deeds = deeds_of(assessment, ordered, units) if ordered else []
        below = ""
    if not deeds:
        return [] if ordered else [Paragraph(nothing_above_a_note(assessment))]
    listed = deeds[:MOST_DEEDS]
    if len(deeds) > len(listed):
        below += " " + tr("{number} more in the full report.").format(
            number=len(deeds) - len(listed)
        )
    return [
        Heading(tr("What must happen before the next start-up")),
        table_of(
            [tr("No."), tr("Change"), tr("Who"), tr("Before"), tr("Done"), tr("Proof")],
            [
                [str(n), deed.text, "", "", BOX, lines.text(deed_keys(deed, assessment))]
                for n, deed in enumerate(listed, start=1)
            ],
            [0.3, 4.4, 1.0, 0.8, 0.45, 0.7],
            caption=below.strip(),
            proof=5,
        ),
    ]


def _people(
    assessment: Assessment, installation: Installation, units: Units, lines: Lines
) -> list[Block]:
    """How far to keep away from each vessel, and who is nearer than that."""
    rows = []
    for vessel in installation.vessels:
        far = keep_away(assessment, vessel.id)
        rows.append(
            [
                vessel.id,
                _soonest(assessment, vessel.id),
                tr("not assessed") if far is None else away_cell(far, units),
                _nearer(installation, vessel, far, units),
                lines.text(people_keys(assessment, installation, vessel.id)),
            ]
        )
    if not rows:
        return []
    return [
        Heading(tr("People and distances")),
        table_of(
            [tr("Vessel"), tr("First rupture in its section, worst run"), tr("Keep away"),
             tr("People nearer than that"), tr("Proof")],
            rows,
            [0.8, 1.2, 1.9, 2.5, 1.0],
            proof=4,
            caption=tr("Flat open ground; nine of ten likely fragments fall within. People are "
                       "those that the system file states. Flames away from the plugs are not "
                       "counted here; the card for the fire service has them."),
            strong_first=True,
        ),
    ]  # fmt: skip


def _nearer(installation: Installation, vessel: Vessel, far: KeepAway | None, units: Units) -> str:
    """The people nearer than the distance to keep; where one is not known, all of them."""
    if installation.people and far is None:
        everyone = and_list([place.id for place in installation.people])
        return tr("not known: {places}").format(places=everyone)
    near = [
        tr("{place} ({distance})").format(
            place=place, distance=quantity_text(away, "distance", units, 2)
        )
        for place, away in people_distances(installation, vessel.id)
        if far is not None and away <= far.farthest_m
    ]
    told = [and_list(near)] if near else []
    lost = and_list(list(places_not_known(installation, vessel.id)))
    if lost and vessel.at is None:
        told.append(
            tr("not known, {vessel} has no place on the layout: {places}").format(
                vessel=vessel.id, places=lost
            )
        )
    elif lost:
        told.append(tr("not known: {places}").format(places=lost))
    return "; ".join(told) or "–"


def _soonest(assessment: Assessment, vessel: str) -> str:
    """When the first part of the section of a vessel ruptures in the worst of its runs."""
    about = [verdict for verdict in assessment.verdicts if vessel in verdict.members]
    times = [verdict.rupture_s for verdict in about if verdict.rupture_s is not None]
    failed = any(verdict.outcome == "not converged" for verdict in about)
    if times:
        text = time_text(min(times))
        return tr("{time} or sooner").format(time=text) if failed else text
    return tr("not known") if failed or not about else tr("in no run")


def _conclusion(assessment: Assessment, installation: Installation) -> list[Block]:
    about = installation.about
    choices = "     ".join(
        f"{BOX} {text}"
        for text in (tr("may run"), tr("may run on conditions"), tr("must not run"))
    )  # fmt: skip
    return [
        Heading(tr("Conclusion and sign-off")),
        table_of(
            [tr("Conclusion"), tr("Conditions"), tr("Next review by")],
            [[choices, "", ""]],
            [3.4, 2.4, 0.9],
            row_height=20.0,
        ),
        table_of(
            [tr("Role"), tr("Name"), tr("Registration no."), tr("Signature"), tr("Date")],
            [
                [tr("Prepared by"), about.prepared_by, "", "", ""],
                [tr("Checked by"), about.checked_by, "", "", ""],
                [tr("Accepted by"), "", "", "", ""],
            ],
            [1.0, 1.6, 1.2, 1.8, 0.9],
            row_height=16.0,
        ),
        Paragraph(cautions()[0], "small"),
    ]


def _proven_card(
    card: Section, assessment: Assessment, installation: Installation, lines: Lines
) -> Section:
    """The card for the fire service, and where its numbers come from."""
    keys = [
        key for vessel in installation.vessels for key in card_keys(assessment, vessel.id)
    ]  # fmt: skip
    return replace(card, blocks=(*card.blocks, *proof_of(lines.at(keys))))


def _who_does_what_section(
    assessment: Assessment, units: Units, lines: Lines, proofs: Sequence[Section]
) -> Section:
    """Every danger and warning with the action that somebody has taken on."""
    ordered = worst_first(counting(assessment.findings))
    grave = [finding for finding in ordered if finding.severity != "note"]
    notes = len(ordered) - len(grave)
    blocks: list[Block] = [Paragraph(pointers(proofs), "small")]
    if grave:
        worst = worst_finding(grave, assessment)
        grave.sort(key=lambda finding: finding is not worst)
        blocks.append(
            table_of(
                [
                    tr("Severity"),
                    tr("Finding"),
                    tr("Who"),
                    tr("Due, or until"),
                    tr("Status"),
                    tr("Proof"),
                ],
                [
                    [
                        *_finding_cells(finding, assessment, units),
                        lines.text(finding_keys(finding, assessment)),
                    ]
                    for finding in grave
                ],
                [0.9, 4.4, 0.9, 0.9, 0.8, 0.7],
                strong_first=True,
                proof=5,
            )
        )
    else:
        blocks.append(Paragraph(nothing_above_a_note(assessment)))
    if notes:
        text = tr("Notes, in chapter {chapter} of the full report: {number}.")
        blocks.append(
            Paragraph(
                text.format(number=notes, chapter=lines.chapters.get("findings", "–")), "small"
            )
        )
    unsure = unsure_sentences(assessment)
    if unsure:
        blocks.append(Heading(tr("What safe verdicts that are not sure hang on")))
        blocks.append(Bullets(tuple(unsure)))
    title = tr("What is found, and who does it")
    return Section("who-does-what", title, tuple(blocks))


def _finding_cells(finding: Finding, assessment: Assessment, units: Units) -> list[str]:
    shape, word = labels.severity_shape(finding.severity), labels.severity(finding.severity)
    actions = _actions_about(finding, assessment)
    return [
        f"{shape} {word}",
        finding_text(finding, units),
        _listed({row.owner for row in actions if row.owner}),
        _listed({date_text(row.due) for row in actions if row.due}),
        _listed({action_status(row.status) for row in actions}) or tr("not taken on"),
    ]


def _listed(texts: set[str]) -> str:
    return and_list(sorted(texts)) if texts else ""


def _actions_about(finding: Finding, assessment: Assessment) -> list[ActionRow]:
    facts = facts_of(finding)
    about = {action.id for action in assessment.actions if is_about(action, facts)}
    return [row for row in assessment.action_register if row.id in about]
