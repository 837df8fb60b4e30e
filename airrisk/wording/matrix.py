"""The matrix of verdicts in words: sections against classes of fires, and what stands beside it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from airrisk.installation.model import FIRE_CLASSES, AssumedFire, Choices
from airrisk.installation.naming import in_order
from airrisk.study.overview import SectionRow, section_rows
from airrisk.study.records import (
    ASSUMED_SHARES,
    JET_FLUX,
    Assessment,
    FireRecord,
    FlameAway,
    VerdictRecord,
)
from airrisk.wording import labels
from airrisk.wording.margins import hangs_on, share_text
from airrisk.wording.reasons import after_text
from airrisk.wording.sentences import fire_lead
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, and_list, percent_text, quantity_text, time_text

MOST_NAMED = 4  # members of a section in a narrow column


@dataclass(frozen=True)
class Cell:
    """One verdict of the matrix: sign and word, and what stands below them."""

    heading: str
    margin: str  # "84 %", "after 4.3 min, 150 %"; "" without a fire
    sure: str  # "sure" | "not sure" | "not safe, accepted" | ""
    safe: bool | None

    @property
    def text(self) -> str:
        """All of it in one line."""
        return ", ".join(piece for piece in (self.heading, self.margin, self.sure) if piece)

    @property
    def below(self) -> str:
        """What stands below the word."""
        return ", ".join(piece for piece in (self.margin, self.sure) if piece)


@dataclass(frozen=True)
class Row:
    """The verdicts of one section, in the order of ``FIRE_CLASSES``."""

    section: str
    closed_valves: tuple[str, ...]
    title: str
    cells: tuple[Cell, ...]
    short: str = ""  # the title in ids: "R1, L1 and 2 more; V2 and V4 shut"
    away: str = ""  # how long its vessels stand a flame away from their plugs; no verdict


def cell_of(verdict: VerdictRecord | None, accepted: bool = False) -> Cell:
    """One verdict in words; "no fire stated" and never safe where there is no such fire.

    Parameters
    ----------
    verdict : VerdictRecord or None
        Of one section and class.
    accepted : bool
        Whether somebody has accepted that it is not safe.
    """
    if verdict is None or verdict.outcome is None:
        return Cell("– " + tr("no fire stated"), "", "", None)
    pieces = []
    if verdict.rupture_s is not None and verdict.outcome == "ruptures":
        pieces.append(after_text(verdict.rupture_s))
    elif verdict.reason is None or verdict.reason.code != "line ruptured":
        pieces.append(share_text(verdict.peak_strength_use, verdict.limit, verdict.creep_damage))
    return Cell(
        f"{labels.answer_shape(verdict.outcome, verdict.safe)} "
        f"{labels.answer(verdict.outcome, verdict.safe)}",
        ", ".join(piece for piece in pieces if piece),
        tr("not safe, accepted")
        if accepted and not verdict.safe
        else ""
        if not verdict.safe
        else tr("sure")
        if verdict.sure
        else tr("not sure"),
        verdict.safe,
    )


def section_title(
    members: Iterable[str], closed_valves: tuple[str, ...], kinds: Mapping[str, str]
) -> str:
    """A section in words: its members, with what they are, and the valves that shut it in."""
    names = labels.sentence(labels.named_all(members, kinds))
    if not closed_valves:
        return tr("{members}, with no valve shut").format(members=names)
    return tr("{members}, with {valves} shut").format(
        members=names, valves=labels.named("valve", closed_valves)
    )


def class_heads() -> tuple[str, ...]:
    """The heads of the columns, in the order of ``FIRE_CLASSES``."""
    return tuple(labels.sentence(labels.fire_class(key)) for key in FIRE_CLASSES)


def matrix_rows(assessment: Assessment) -> tuple[Row, ...]:
    """The matrix: one row for each section and position of the valves, the worst first."""
    accepted = {
        (one.section, one.fire_class)
        for one in assessment.findings
        if one.rule == "fire-outcome" and one.accepted
    }
    return tuple(_row(assessment, one, accepted) for one in section_rows(assessment))


def _row(
    assessment: Assessment, row: SectionRow, accepted: Collection[tuple[str, str | None]]
) -> Row:
    found = {verdict.fire_class: verdict for verdict in row.verdicts}
    return Row(
        row.section,
        row.closed_valves,
        section_title(row.members, row.closed_valves, assessment.kinds),
        tuple(
            cell_of(found.get(name), (row.section, name) in accepted)
            if name in found or name == "stated"
            else Cell("– " + tr("not run"), "", "", None)
            for name in FIRE_CLASSES
        ),
        short_title(row.members, row.closed_valves, assessment.kinds),
        away_text(assessment, row.members),
    )


def short_title(
    members: Iterable[str], closed_valves: tuple[str, ...], kinds: Mapping[str, str]
) -> str:
    """A section in ids for a narrow column, its vessels first; the valves on a second line."""
    first = ("vessel", "line")

    def place(name: str) -> int:
        kind = kinds.get(name, "")
        return first.index(kind) if kind in first else len(first)

    names = sorted(in_order(members), key=place)
    shown = ", ".join(names[:MOST_NAMED])
    if len(names) > MOST_NAMED:
        shown = tr("{names} and {count} more").format(names=shown, count=len(names) - MOST_NAMED)
    if not closed_valves:
        return shown
    return f"{shown}\n" + tr("{valves} shut").format(valves=and_list(list(closed_valves)))


def away_text(assessment: Assessment, members: Iterable[str]) -> str:
    """How long the vessels of a section stand a flame away from their plugs."""
    vessels = [name for name in members if assessment.kinds.get(name) == "vessel"]
    if not vessels:
        return tr("no vessel")
    stood = {n: assessment.flame_away[n] for n in vessels if n in assessment.flame_away}
    times = {name: one.rupture_s for name, one in stood.items() if one.rupture_s is not None}
    if times:
        first = min(times, key=lambda name: times[name])
        when = after_text(times[first])
        if len(vessels) == 1:
            return when
        return tr("{part} {time}").format(part=labels.named("vessel", [first]), time=when)
    return tr("no rupture in this run") if len(stood) == len(vessels) else tr("not assessed")


def away_head() -> str:
    """The head of the column on flames away from the plugs."""
    return tr("Flame away from the plugs")


def fire_of(assessment: Assessment, verdict: VerdictRecord) -> FireRecord | None:
    """The fire that gave a verdict."""
    return next(
        (
            fire
            for fire in assessment.fires
            if fire.id == verdict.fire
            and fire.section == verdict.section
            and fire.closed_valves == verdict.closed_valves
        ),
        None,
    )


def unsure_sentences(assessment: Assessment) -> list[str]:
    """What each safe verdict that is not sure hangs on."""
    found = []
    for verdict in assessment.verdicts:
        if not verdict.safe or verdict.sure:
            continue
        for fire in assessment.fires:
            here = (fire.section, fire.closed_valves, fire.fire_class)
            if here == (verdict.section, verdict.closed_valves, verdict.fire_class) and (
                not fire.sure
            ):
                found.append(
                    tr("{section}: {lead}, it is safe, but not sure: {why}.").format(
                        section=section_title(fire.members, fire.closed_valves, assessment.kinds),
                        lead=fire_lead(fire),
                        why=hangs_on(fire) or tr("not checked"),
                    )
                )
    return found


def classes_sentences(assessment: Assessment, units: Units) -> list[str]:
    """What the classes of fires are, and with which assumed fire and flux they were run."""
    assumed, own = assessment.choices.get("assumed_fire", (AssumedFire(), "default"))
    flux, own_flux = assessment.choices.get("beside_flux", (Choices.beside_flux, "default"))
    curve = labels.fire_curve(assumed.curve)
    lasts = time_text(assumed.duration)
    text = tr(
        "All in flames: {curve}, {time}, around all of the section and its plugs{chosen}."
    ).format(curve=curve, time=lasts, chosen=_chosen(own))
    beside = tr(
        "Fire beside it: {flux} on a quarter of each vessel's shell in turn, {time}, its plugs out "
        "of it{chosen}. In a section without a vessel it is its weakest line. Small spot: the same "
        "on a twentieth."
    ).format(
        flux=quantity_text(float(flux), "flux", units, 3),
        time=lasts,
        chosen=_chosen("typed" if "typed" in (own, own_flux) else "default"),
    )
    return [text, beside]


def weaker_fires_sentences(assessment: Assessment, units: Units) -> list[str]:
    """That the file has the assumed fires weaker than they usually are; empty: it has not."""
    assumed, _ = assessment.choices.get("assumed_fire", (AssumedFire(), "default"))
    flux, _ = assessment.choices.get("beside_flux", (Choices.beside_flux, "default"))
    usual = AssumedFire()
    pairs = []
    if assumed.curve != usual.curve:  # no other one is as hot
        pairs.append((labels.fire_curve(assumed.curve), labels.fire_curve(usual.curve)))
    if assumed.duration < usual.duration:
        pairs.append((time_text(assumed.duration), time_text(usual.duration)))
    if float(flux) < Choices.beside_flux:
        told = [quantity_text(float(one), "flux", units, 3) for one in (flux, Choices.beside_flux)]
        pairs.append((told[0], told[1]))
    if not pairs:
        return []
    weaker = and_list([tr("{here}, not {usual}").format(here=a, usual=b) for a, b in pairs])
    return [
        tr("The file makes the assumed fires weaker than usual: {weaker}.").format(weaker=weaker)
    ]


def _chosen(origin: str) -> str:
    return tr(" (chosen in the file, not the default)") if origin == "typed" else ""


def runs_sentence(assessment: Assessment) -> str:
    """How many fire runs the assessment made, and what a verdict answers for."""
    return tr(
        "Each verdict is the worst of many runs, for every fire up to the one named; {runs} runs "
        "were made."
    ).format(runs=assessment.runs)


def flame_away_sentences(assessment: Assessment) -> list[str]:
    """What the column on flames away from the plugs means."""
    if not assessment.flame_away:
        return []
    return [
        tr("Flames on a quarter of a shell, away from the plugs, are a number and no verdict: "
           "practically no vessel survives them."),
    ]  # fmt: skip


def shortest_away_sentences(assessment: Assessment) -> list[str]:
    """The vessel that stands a flame away from its plugs for the shortest time."""
    times = {
        name: one.rupture_s
        for name, one in assessment.flame_away.items()
        if one.rupture_s is not None
    }
    if not times:
        return []
    name = min(times, key=lambda key: times[key])
    return [
        tr("A flame away from its plugs still ruptures {vessel} {time}.").format(
            vessel=labels.named("vessel", [name]), time=after_text(times[name])
        )
    ]


def jet_spot_sentences(assessment: Assessment, units: Units) -> list[str]:
    """How long each vessel stands a jet on a spot of its shell; a number and no verdict."""
    if not assessment.jet_spot:
        return []
    flux = quantity_text(JET_FLUX, "flux", units, 3)
    return [
        tr("A jet flame of {flux} on {share} of a shell, away from the plugs, is a number and no "
           "verdict too.")
        .format(flux=flux, share=percent_text(ASSUMED_SHARES["spot"], 2)),
        *_ruptures(assessment.jet_spot),
    ]  # fmt: skip


def _ruptures(stood: Mapping[str, FlameAway]) -> list[str]:
    """When each vessel ruptures."""
    told = []
    for name, away in stood.items():
        vessel = labels.sentence(labels.named("vessel", [name]))
        told.append(
            tr("{vessel} ruptures {time}.").format(vessel=vessel, time=after_text(away.rupture_s))
            if away.rupture_s is not None
            else tr("{vessel} did not rupture in this run.").format(vessel=vessel)
        )
    return told
