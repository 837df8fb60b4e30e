"""The two tables of the page to decide on: sections against fires, vessels and people.

A plant of many sections does not fit on one page row by row. What is safe and sure is joined into
one row then, and where that is not enough the least grave of the rest too; a joined row tells the
worst of what is in it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from airrisk.installation.model import FIRE_CLASSES, Installation, Vessel
from airrisk.installation.naming import in_order
from airrisk.report.blocks import Table, Tone, table_of
from airrisk.report.distance_sections import people_distances, place_key, places_not_known
from airrisk.report.fire_sections import away_key
from airrisk.report.lines import Lines
from airrisk.report.proofs import (
    distance_keys,
    people_keys,
    section_keys,
    soonest_keys,
    verdict_keys,
)
from airrisk.report.summary_sections import away_cell
from airrisk.study.overview import KeepAway, SectionRow, keep_away, section_rows
from airrisk.study.records import Assessment, VerdictRecord
from airrisk.verdict.rule import load_of
from airrisk.wording import labels
from airrisk.wording.margins import share_text
from airrisk.wording.matrix import (
    Row,
    away_head,
    away_text,
    class_heads,
    matrix_rows,
    short_title,
)
from airrisk.wording.reasons import after_text
from airrisk.wording.sentences import chosen_strength_basis
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, and_list, kept_distance, quantity_text, time_text

MOST_NAMED = 6  # vessels in a joined row


@dataclass(frozen=True)
class Brevity:
    """How many rows a page has room for; None: one for each."""

    sections: int | None
    deeds: int
    vessels: int | None

    @property
    def whole(self) -> bool:
        """Whether nothing is shortened."""
        return self.sections is None


# The first that fits is printed; each has room for the worst.
BREVITIES = (
    Brevity(None, 6, None), Brevity(8, 6, 6), Brevity(7, 5, 5), Brevity(5, 4, 4), Brevity(4, 3, 3),
    Brevity(3, 2, 2),
)  # fmt: skip


def matrix_table(assessment: Assessment, lines: Lines, most: int | None = None) -> Table:
    """Sections against classes of fires; what is not safe is tinted, and told by its sign as well.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    lines : Lines
        Where its proofs stand.
    most : int, optional
        Rows; the rest is joined into the last of them.
    """
    rows, sections = matrix_rows(assessment), section_rows(assessment)
    alone, joined = _parted(sections, most)
    cells = [_alone(rows[place], sections[place], assessment, lines) for place in alone]
    tones: list[tuple[Tone, ...]] = [
        ("", *(_tone(sections[place], name) for name in FIRE_CLASSES), "", "") for place in alone
    ]
    basis = labels.basis(chosen_strength_basis(assessment))
    caption = tr(
        "Strength basis: {basis}. Percent: of the allowed load, in the worst run. Sure: it "
        "stays safe when each doubtful assumption is turned the other way. "
        "Proof: chapter, table and row of the full report."
    ).format(basis=basis)
    if joined:
        texts, tinted = _joined([sections[place] for place in joined], assessment, lines)
        cells.append(texts)
        tones.append(tinted)
        caption += " " + tr("The last row tells the worst of its sections.")
    return table_of(
        [tr("Isolable section"), *class_heads(), away_head(), tr("Proof")],
        cells,
        [1.6, 1.15, 1.15, 1.15, 1.15, 0.9, 0.8 if most is None else 1.25],
        caption=caption,
        tones=tuple(tones),
        strong_first=True,
        proof=6,
    )


def _parted(sections: Sequence[SectionRow], most: int | None) -> tuple[list[int], list[int]]:
    """Places of the rows that stand alone and of those that are joined, the worst first in both."""
    places = list(range(len(sections)))
    if most is None:
        return places, []
    grave = [place for place in places if not _is_fine(sections[place])]
    alone = grave if len(grave) < most else grave[: most - 1]
    joined = [place for place in places if place not in alone]
    return (places, []) if len(joined) < _worth(len(places), most) else (alone, joined)


def _worth(rows: int, most: int) -> int:
    """From how many on it is worth to join rows: two where they must be, as others are too many."""
    return 2 if rows > most else 3


def _is_fine(row: SectionRow) -> bool:
    """Whether every fire of a section is safe and surely so, and every assumed one was run."""
    run = {one.fire_class for one in row.asked}
    assumed = {name for name in FIRE_CLASSES if name != "stated"}
    return run >= assumed and all(one.safe and one.sure for one in row.asked)


def _alone(row: Row, section: SectionRow, assessment: Assessment, lines: Lines) -> list[str]:
    title = row.short.replace("\n", "; ") or row.title  # in ids, its valves in the same line
    keys = section_keys(assessment, section.section, section.closed_valves)
    return [title, *(cell.text for cell in row.cells), row.away, lines.text(keys)]


def _tone(row: SectionRow, fire_class: str) -> Tone:
    verdict = next((one for one in row.asked if one.fire_class == fire_class), None)
    if verdict is None:
        return ""
    if not verdict.safe:
        return "bad" if verdict.safe is False else ""
    return "" if verdict.sure else "doubt"


def _joined(
    rows: Sequence[SectionRow], assessment: Assessment, lines: Lines
) -> tuple[list[str], tuple[Tone, ...]]:
    """Several sections in one row: how many are not safe in each class, and the worst of them."""
    members = [name for row in rows for name in row.members]
    told = [_class_of(rows, name) for name in FIRE_CLASSES]
    keys = [key for _, _, worst in told for key in verdict_keys(worst)]
    stood = assessment.flame_away
    times = {name: stood[name].rupture_s for name in members if name in stood}
    ruptured = [name for name, time in times.items() if time is not None]
    if ruptured:
        keys.append(away_key(min(ruptured, key=lambda name: times[name] or 0.0)))
    texts = [
        tr("{number} more: {names}").format(number=len(rows), names=_names(rows, assessment)),
        *(text for text, _, _ in told),
        away_text(assessment, members),
        lines.text(keys),
    ]
    return texts, ("", *(tone for _, tone, _ in told), "", "")


def _names(rows: Sequence[SectionRow], assessment: Assessment) -> str:
    """Sections by their first vessel or line."""
    return named_shortly(
        [short_title(row.members, (), assessment.kinds).split(",")[0] for row in rows]
    )


def named_shortly(names: Sequence[str]) -> str:
    """Ids in a list, the last of many only counted."""
    if len(names) <= MOST_NAMED:
        return and_list(list(names))
    return tr("{names} and {count} more").format(
        names=", ".join(names[:MOST_NAMED]), count=len(names) - MOST_NAMED
    )


def _class_of(
    rows: Sequence[SectionRow], fire_class: str
) -> tuple[str, Tone, VerdictRecord | None]:
    """One class of fires over several sections: its text, tint and the verdict that it tells."""
    asked = [one for row in rows for one in row.asked if one.fire_class == fire_class]
    if not asked:
        word = tr("no fire stated") if fire_class == "stated" else tr("not run")
        return f"– {word}", "", None
    unsafe = [one for one in asked if not one.safe]
    unsure = [one for one in asked if one.safe and not one.sure]
    pieces, tone, told = _count(asked, unsafe, unsure)
    if len(asked) < len(rows):
        word = tr("no fire stated: {number}") if fire_class == "stated" else tr("not run: {number}")
        pieces.append(word.format(number=len(rows) - len(asked)))
    return ", ".join(pieces), tone, told


def _count(
    asked: Sequence[VerdictRecord], unsafe: Sequence[VerdictRecord], unsure: Sequence[VerdictRecord]
) -> tuple[list[str], Tone, VerdictRecord]:
    if unsafe:
        pieces = [tr("✖ not safe: {number}").format(number=len(unsafe))]
        ruptures = [one for one in unsafe if one.rupture_s is not None]
        told = min(ruptures, key=lambda one: one.rupture_s or 0.0, default=unsafe[0])
        if told.rupture_s is not None:
            pieces.append(tr("the first {time}").format(time=after_text(told.rupture_s)))
        return pieces, "bad", told
    told = max(asked, key=_load)
    most = share_text(told.peak_strength_use, told.limit, told.creep_damage)
    pieces = [tr("safe")]
    if most:
        pieces.append(tr("at most {share}").format(share=most))
    if unsure:
        pieces.append(tr("not sure: {number}").format(number=len(unsure)))
        return pieces, "doubt", told
    return [*pieces, tr("sure")], "", told


def _load(verdict: VerdictRecord) -> float:
    load = load_of(verdict.peak_strength_use or 0.0, verdict.creep_damage or 0.0,
                   verdict.limit or 1.0)  # fmt: skip
    return math.inf if math.isnan(load) else load


@dataclass(frozen=True)
class _VesselRow:
    """What the page tells of one vessel."""

    vessel: Vessel
    rupture_s: float | None  # of its section, in the worst run
    open: bool  # a run of its section gave no answer: it may be sooner
    far: KeepAway | None

    @property
    def urgency(self) -> float:
        """Sorts from soon to late; what nobody knows comes first."""
        if self.open:
            return -1.0
        return math.inf if self.rupture_s is None else self.rupture_s


def people_table(
    assessment: Assessment,
    installation: Installation,
    units: Units,
    lines: Lines,
    most: int | None = None,
) -> Table | None:
    """How far to keep away from each vessel, and who is nearer than that; None without a vessel.

    Parameters
    ----------
    assessment, installation
        The answer and its file.
    units : Units
        Unit set and atmosphere.
    lines : Lines
        Where its proofs stand.
    most : int, optional
        Rows; the rest is joined into the last of them.
    """
    rows = [_vessel_row(assessment, vessel) for vessel in installation.vessels]
    if not rows:
        return None
    alone, joined = _apart(rows, most)
    cells = [
        [
            row.vessel.id,
            _soonest(row),
            tr("not assessed") if row.far is None else away_cell(row.far, units),
            _nearer(installation, row, units),
            lines.text(people_keys(assessment, installation, row.vessel.id)),
        ]
        for row in alone
    ]
    if joined:
        cells.append(_joined_vessels(joined, assessment, installation, units, lines))
    return table_of(
        [tr("Vessel"), tr("First rupture in its section, worst run"), tr("Keep away"),
         tr("People nearer than that"), tr("Proof")],
        cells,
        [0.75, 1.2, 1.7, 2.4, 1.5],
        proof=4,
        caption=tr("Flat open ground; nine of ten likely fragments fall within. People are "
                   "those that the system file states. Flames away from the plugs are not "
                   "counted here; the card for the fire service has them."),
        strong_first=True,
    )  # fmt: skip


def _vessel_row(assessment: Assessment, vessel: Vessel) -> _VesselRow:
    """When the first part of the section of a vessel ruptures in the worst of its runs."""
    about = [verdict for verdict in assessment.verdicts if vessel.id in verdict.members]
    times = [verdict.rupture_s for verdict in about if verdict.rupture_s is not None]
    failed = any(verdict.outcome == "not converged" for verdict in about)
    return _VesselRow(
        vessel, min(times, default=None), failed or not about, keep_away(assessment, vessel.id)
    )


def _apart(
    rows: Sequence[_VesselRow], most: int | None
) -> tuple[Sequence[_VesselRow], list[_VesselRow]]:
    """Vessels with a row of their own and those that share one, the most urgent first."""
    if most is None:
        return rows, []
    ordered = sorted(rows, key=lambda row: row.urgency)
    urgent = [row for row in ordered if row.urgency < math.inf]
    alone = urgent if len(urgent) < most else urgent[: most - 1]
    joined = [row for row in ordered if row not in alone]
    return (ordered, []) if len(joined) < _worth(len(rows), most) else (alone, joined)


def _soonest(row: _VesselRow) -> str:
    if row.rupture_s is not None:
        text = time_text(row.rupture_s)
        return tr("{time} or sooner").format(time=text) if row.open else text
    return tr("not known") if row.open else tr("in no run")


def _nearer(installation: Installation, row: _VesselRow, units: Units) -> str:
    """The people nearer than the distance to keep; where one is not known, all of them."""
    vessel, far = row.vessel, row.far
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
    lost = places_not_known(installation, vessel.id)
    if lost:
        pattern = (
            tr("not known, {vessel} has no place on the layout: {places}")
            if vessel.at is None
            else tr("not known: {places}")
        )
        told.append(pattern.format(vessel=vessel.id, places=and_list(list(lost))))
    return "; ".join(told) or "–"


def _joined_vessels(
    rows: Sequence[_VesselRow],
    assessment: Assessment,
    installation: Installation,
    units: Units,
    lines: Lines,
) -> list[str]:
    """Several vessels in one row: soonest rupture, farthest distance, nearest people."""
    known = [row for row in rows if row.far is not None]
    farthest = max(known, key=lambda row: row.far.farthest_m if row.far else 0.0, default=None)
    soonest = min(rows, key=lambda row: row.urgency)
    nearest = _nearest(rows, installation)
    keys = soonest_keys(assessment, soonest.vessel.id)
    if farthest is not None:
        keys += distance_keys(assessment, farthest.vessel.id)
    keys += [place_key(place, vessel) for place, (_, vessel) in nearest.items()]
    lost = [
        row.vessel.id
        for row in rows
        if row.far is None or places_not_known(installation, row.vessel.id)
    ]
    people = [
        tr("{place} ({distance} from {vessel})").format(
            place=place, distance=quantity_text(away, "distance", units, 2), vessel=vessel
        )
        for place, (away, vessel) in nearest.items()
    ]
    if lost and installation.people:
        people.append(tr("not known of {vessels}").format(vessels=named_shortly(in_order(lost))))
    return [
        named_shortly(in_order([row.vessel.id for row in rows])),
        _soonest(soonest)
        if soonest.rupture_s is None or len(rows) == 1
        else tr("{time} at the soonest").format(time=_soonest(soonest)),
        _farthest(rows, farthest, units),
        and_list(people) if people else "–",
        lines.text(dict.fromkeys(keys)),
    ]


def _farthest(rows: Sequence[_VesselRow], farthest: _VesselRow | None, units: Units) -> str:
    if farthest is None or farthest.far is None:
        return tr("not assessed")
    text = tr("{distance}, the most of them ({vessel})").format(
        distance=kept_distance(farthest.far.farthest_m, units), vessel=farthest.vessel.id
    )
    unknown = [row.vessel.id for row in rows if row.far is None]
    if not unknown:
        return text
    lacking = tr("not assessed: {vessels}").format(vessels=named_shortly(unknown))
    return f"{text}; {lacking}"


def _nearest(
    rows: Sequence[_VesselRow], installation: Installation
) -> dict[str, tuple[float, str]]:
    """Places with people within the distance to keep of a vessel -> how near, and to which."""
    found: dict[str, tuple[float, str]] = {}
    for row in rows:
        for place, away in people_distances(installation, row.vessel.id):
            if row.far is not None and away <= row.far.farthest_m:
                found[place] = min(found.get(place, (math.inf, "")), (away, row.vessel.id))
    return dict(sorted(found.items(), key=lambda item: item[1]))
