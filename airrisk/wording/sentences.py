"""Sentences about fires, sections and verdicts; no verdict without its margin and its basis."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from airrisk.installation.model import ENGULFING, FIRE_CLASSES
from airrisk.study.records import (
    Assessment,
    EventRecord,
    FireRecord,
    HeatingRecord,
    ProtectionRecord,
    SectionRecord,
    VerdictRecord,
)
from airrisk.study.verdicts import record_rank
from airrisk.verdict.rule import DAMAGE_LIMIT, is_safe
from airrisk.wording import labels
from airrisk.wording.acceptances import finding_counts
from airrisk.wording.fire_names import class_title, stated_lead, stated_name
from airrisk.wording.margins import (
    corner_text,
    is_as_stated,
    load_text,
    surety_text,
    uncredited_sentence,
    worst_load,
)
from airrisk.wording.reasons import after_text, kinds_of, reason_sentence, with_kind
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    Units,
    and_list,
    percent_text,
    quantity_text,
    temperature_down,
)

NOTABLE_DAMAGE = 0.05  # from where creep is told beside a verdict


@dataclass(frozen=True)
class Verdict:
    """A verdict word with everything that must stand beside it."""

    outcome: str | None  # None: not assessed
    word: str
    shape: str
    safe: bool | None
    margin: str  # of the worst run, with what it is measured to
    basis: str  # the strength basis in words
    cautious: str  # "sure", or what a safe verdict hangs on; "" where it is not safe
    fire: str  # id of the fire that gives it
    why: str = ""  # what the run as stated came to, while the others have not been made
    fire_class: str = ""
    sure: bool | None = None  # of a safe one: no doubt turns it

    @property
    def heading(self) -> str:
        """Sign and word, with the reason where the word alone would sound safe."""
        return f"{self.shape} {self.word}" + (f": {self.why}" if self.why else "")

    @property
    def text(self) -> str:
        """Word, margin, sureness and basis in one line."""
        parts = [self.heading]
        parts += [piece for piece in (self.margin, self.cautious, self.basis) if piece]
        return "; ".join(parts)


def first_opening(fire: FireRecord, part: str | None) -> EventRecord | None:
    """The first opening of a plug or disc that lets air out of a part (None: of any part).

    Of the run as stated.

    Parameters
    ----------
    fire : FireRecord
        One fire.
    part : str or None
        Id of a vessel or line.
    """
    opened = [e for e in fire.events if e.event in ("plug opens", "disc bursts")]
    if part is not None:
        since = fire.first_vent_by_part_s.get(part)
        opened = [e for e in opened if since is not None and e.time_s >= since]
    return min(opened, key=lambda e: e.time_s, default=None)


def outcome_text(fire: FireRecord) -> str:
    """How a fire ends: the outcome of its worst run; without the others, of that as stated."""
    text = labels.answer(fire.worst_outcome, fire.safe)
    why = _as_stated_only(fire)
    return f"{text}: {why}" if why else text


def _as_stated_only(fire: FireRecord) -> str:
    """What the run as stated came to, where the others have not been made."""
    if fire.safe is not None or not is_safe(fire.outcome):
        return ""
    return tr("as stated {outcome}").format(outcome=labels.outcome(fire.outcome))


def fire_title(fire: FireRecord) -> str:
    """A fire as a heading: "Fire F1", "Fire beside vessel R1"."""
    kinds = kinds_of(fire)
    on = with_kind(fire.exposed[:1], kinds) if fire.exposed else fire.section
    return class_title(fire.fire_class, fire.id, on, fire.source_kind)


def fire_lead(fire: FireRecord) -> str:
    """A fire as the beginning of a sentence: "In fire F1", "With a fire beside vessel R1"."""
    kinds = kinds_of(fire)
    on = with_kind(fire.exposed[:1], kinds) if fire.exposed else fire.section
    return {
        "stated": stated_lead(fire),
        "whole": tr("With all of it in flames"),
        "beside": tr("With a fire beside {part}").format(part=on),
        "spot": tr("With a fire on a small spot of {part}").format(part=on),
    }[fire.fire_class]


def verdict_sentence(fire: FireRecord) -> str:
    """What happens in the worst run of a fire, and why."""
    seen = fire.envelope
    if seen is None:
        return _stated_sentence(fire, fire_lead(fire))
    vented = seen.reason.code == "vented within the limit"
    when = seen.first_vent_by_part_s.get(seen.reason.part) if vented else seen.rupture_s
    return reason_sentence(seen.reason, seen.outcome, kinds_of(fire), when, fire_lead(fire))


def _stated_sentence(fire: FireRecord, lead: str) -> str:
    """What happens in the run as stated, and why."""
    when: float | None
    if fire.reason.code == "vented within the limit":
        when = fire.first_vent_by_part_s.get(fire.reason.part)
    else:
        broken = "line ruptures" if fire.reason.code == "line ruptured" else "rupture"
        when = next((e.time_s for e in fire.events if e.event == broken), None)
    return reason_sentence(fire.reason, fire.outcome, kinds_of(fire), when, lead)


def corner_sentence(fire: FireRecord, units: Units) -> str:
    """Which of all runs of a fire ruled."""
    seen = fire.envelope
    if seen is None:
        return (
            tr("That is the run as stated; the others of this fire have not been made yet.")
            if fire.safe is None
            else ""
        )
    if is_as_stated(fire):
        return tr("The run as stated is the worst of the {runs} runs of this fire.").format(
            runs=seen.runs
        )
    if seen.corner.isothermal_k is not None:
        return tr(
            "That is worse than each of the {runs} runs of this fire. It starts from {pressure}, "
            "the highest that can stand there, and air and metal are all at {temperature}."
        ).format(
            runs=seen.runs,
            pressure=quantity_text(seen.corner.start_pa, "pressure", units, 3),
            temperature=quantity_text(seen.corner.isothermal_k, "temperature", units, 3),
        )
    return tr("This is the worst of the {runs} runs of this fire: {corner}.").format(
        runs=seen.runs, corner=corner_text(fire, units)
    )


def stated_sentences(fire: FireRecord) -> list[str]:
    """What the run as stated came to, where another one ruled, and when its plugs open."""
    if fire.outcome == "not converged":
        return []
    found = [] if is_as_stated(fire) else [_stated_sentence(fire, tr("As stated"))]
    part = fire.margins.controlling_part if fire.margins else None
    opening = first_opening(fire, part) or first_opening(fire, None)
    if opening is not None and fire.reason.code != "vented within the limit":
        device = with_kind([opening.part], kinds_of(fire))
        found.append(
            tr("{device} opens {time}.").format(
                device=labels.sentence(device), time=after_text(opening.time_s)
            )
        )
    return found


def broken_when_nothing_opens(fire: FireRecord) -> dict[str, str] | None:
    """The first vessel or line that ruptures when nothing opens: ``part`` and ``time`` in words."""
    if fire.rupture_nothing_opens_s is not None:
        return {"part": _first_to_rupture(fire), "time": after_text(fire.rupture_nothing_opens_s)}
    if fire.line_rupture_nothing_opens_s is not None:
        line, time = fire.line_rupture_nothing_opens_s
        return {"part": labels.named("line", [line]), "time": after_text(time)}
    return None


def _first_to_rupture(fire: FireRecord) -> str:
    """The one vessel, or the one part in the fire where there is none; else "the first part"."""
    parts = fire.vessels or fire.exposed
    return with_kind(parts, kinds_of(fire)) if len(parts) == 1 else tr("the first part")


def nothing_opens_sentence(fire: FireRecord) -> str:
    """When the first vessel or line ruptures in the run in which nothing opens."""
    broken = broken_when_nothing_opens(fire)
    if broken is None:
        return ""
    return tr("If nothing opened, {part} would rupture {time}.").format(**broken)


def going_on_sentence(fire: FireRecord) -> str:
    """What comes of a fire that is outlasted as stated, were it to go on."""
    if fire.outcome != "outlasts the fire" or fire.envelope is None:
        return ""
    if fire.rupture_if_fire_goes_on_s is None:
        return tr("If the fire as stated went on, nothing would rupture within six hours.")
    return tr("If the fire as stated went on, {part} would rupture {time}.").format(
        part=_first_to_rupture(fire), time=after_text(fire.rupture_if_fire_goes_on_s)
    )


def creep_sentence(fire: FireRecord) -> str:
    """What the time at temperature does in the worst run; empty where it is little.

    Where the strength has given way already, a share within what is allowed says nothing.
    """
    damage = fire.worst_damage
    told = is_safe(fire.worst_outcome) or (damage or 0.0) > DAMAGE_LIMIT
    text = ""
    if told and damage is not None and damage >= NOTABLE_DAMAGE:
        text = tr("Creep uses up {share} of the life of the hot metal; {limit} is allowed.").format(
            share=percent_text(min(damage, 1.0), 2), limit=percent_text(DAMAGE_LIMIT, 2)
        )
        text = f"{text} {_creep_otherwise_sentence(fire)}".strip()
    if fire.no_creep_data:
        unknown = tr("Nothing is known of the creep of the metal of {parts}.").format(
            parts=with_kind(list(fire.no_creep_data), kinds_of(fire))
        )
        text = f"{text} {unknown}".strip()
    return text


def _creep_otherwise_sentence(fire: FireRecord) -> str:
    """The same damage by the middle of the tests and by the creep rate; empty: not known."""
    other = fire.worst_otherwise
    if other is None:
        return ""
    return tr(
        "That is by the lower bound of the tests; it would be {mean} by their mean and {omega} by "
        "the Omega rate."
    ).format(
        mean=percent_text(min(other.mean, 1.0), 2), omega=percent_text(min(other.omega, 1.0), 2)
    )


def fire_sentence(fire: FireRecord, units: Units, steam: bool = True) -> str:
    """What happens in one fire: its worst run, which one that is, and the run as stated.

    Parameters
    ----------
    fire : FireRecord
        One fire.
    units : Units
        Unit set and atmosphere.
    steam : bool
        Say also how the steam of condensate counts; not where ``steam_note`` stands beside it.
    """
    pieces = [verdict_sentence(fire)]
    if fire.worst_outcome == "not converged":
        pieces.append(tr("Nothing is known about its end."))
        return " ".join(pieces)
    pieces += [corner_sentence(fire, units), *stated_sentences(fire)]
    if fire.worst_outcome != "ruptures" or not is_as_stated(fire):
        pieces += [nothing_opens_sentence(fire), going_on_sentence(fire)]
    pieces.append(uncredited_sentence(fire))
    seen = fire.envelope
    if fire.uncredited and seen is not None and seen.outcome_working is not None:
        pieces.append(
            tr("If they work all the same, the worst run {outcome}.").format(
                outcome=labels.outcome(seen.outcome_working)
            )
            if len(fire.uncredited) > 1
            else tr("If it works all the same, the worst run {outcome}.").format(
                outcome=labels.outcome(seen.outcome_working)
            )
        )
    pieces += [creep_sentence(fire), insulation_sentence(fire, units)]
    boiling = boiling_parts(fire)
    if steam and boiling:
        pieces.append(
            tr("Condensate boils in {parts} in this fire, and its steam counts.").format(
                parts=with_kind(boiling, kinds_of(fire))
            )
        )
    return " ".join(piece for piece in pieces if piece)


def insulation_sentence(fire: FireRecord, units: Units) -> str:
    """What the insulation of parts does in a fire; empty: none is stated."""
    kinds = kinds_of(fire)
    told = []
    for name, one in fire.insulation.items():
        part = with_kind([name], kinds)
        if one.counted:
            text = tr(
                "The insulation of {part} counts: {resistance} in this fire, whole to {limit}."
            ).format(
                part=part,
                resistance=quantity_text(one.resistance_m2_k_w, "heat_resistance", units, 3),
                limit=temperature_down(one.holds_to_k or 0.0, units),
            )
        else:
            text = tr(
                "The insulation of {part} does not count in this fire: the runs are made without "
                "it and with it."
            ).format(part=part)
        told.append(text)
    return " ".join(told)


def boiling_parts(fire: FireRecord) -> tuple[str, ...]:
    """Parts with condensate that a fire reaches; in others the water stays about as cold."""
    return tuple(name for name in fire.wet_parts if name in fire.exposed)


def short_fire_sentence(fire: FireRecord, units: Units) -> str:
    """The worst run of a fire and which one it is, beside pictures that tell the rest."""
    pieces = [verdict_sentence(fire)]
    if fire.worst_outcome != "not converged":
        pieces.append(corner_sentence(fire, units))
    if "offered" not in fire.uncredited.values():  # else said by ``offered_sentences``
        pieces.append(uncredited_sentence(fire))
    return " ".join(piece for piece in pieces if piece)


def margin_text(fire: FireRecord) -> str:
    """The margin of the worst run of a fire: when it ruptures, and its load."""
    if fire.worst_outcome == "not converged":
        return ""
    rupture = None if fire.envelope is None else fire.envelope.rupture_s
    load = worst_load(fire)
    pieces = [
        "" if rupture is None else after_text(rupture),
        "" if load is None else load_text(*load),
    ]
    return ", ".join(piece for piece in pieces if piece)


def fire_verdict(fire: FireRecord, basis: str) -> Verdict:
    """The verdict of one fire with its margin and basis.

    Parameters
    ----------
    fire : FireRecord
        One fire.
    basis : str
        Key of the chosen strength basis.
    """
    return Verdict(
        outcome=fire.worst_outcome,
        word=labels.answer(fire.worst_outcome, fire.safe),
        shape=labels.answer_shape(fire.worst_outcome, fire.safe),
        safe=fire.safe,
        margin=margin_text(fire),
        basis=tr("basis: {basis}").format(basis=labels.basis(basis)),
        cautious=surety_text(fire),
        fire=fire.id,
        why=_as_stated_only(fire),
        fire_class=fire.fire_class,
        sure=fire.sure,
    )


def _badness(fire: FireRecord) -> tuple[int, bool, tuple[float, ...], int]:
    """Sorts fires from good to bad; of safe ones those that are not sure come last."""
    word, *rest = record_rank(fire)
    return word, not fire.sure, tuple(rest), -FIRE_CLASSES.index(fire.fire_class)


def counts_for_verdict(fire: FireRecord) -> bool:
    """Whether all of a fire's plugs or what the user states is asked: stated and whole."""
    return fire.fire_class in ENGULFING


def ruling_fire(assessment: Assessment, section: str) -> FireRecord | None:
    """The worst of all fires of a section, of every class."""
    fires = [f for f in assessment.fires if f.section == section]
    return max(fires, key=_badness, default=None)


def telling_fires(assessment: Assessment) -> list[FireRecord]:
    """The fires to tell in full: the stated ones, and of each section the worst assumed ones.

    Where no fire is stated, that in which all is in flames; and any class that is worse.
    """
    found = [f for f in assessment.fires if f.fire_class == "stated"]
    for section in assessment.shut_in:
        here = [
            f
            for f in assessment.fires
            if (f.section, f.closed_valves) == (section.id, section.closed_valves)
        ]
        told = [f for f in here if f.fire_class == "stated"]
        if not told:
            told = [f for f in here if f.fire_class == "whole"]
            found += told
        worst = max(here, key=_badness, default=None)
        if worst is not None and worst not in told and _is_worse(worst, told):
            found.append(worst)
    return found


def _is_worse(fire: FireRecord, told: list[FireRecord]) -> bool:
    """Whether a fire ends worse than all of some others, by its word or its sureness."""
    return all(_badness(fire)[:2] > _badness(other)[:2] for other in told)


def chosen_strength_basis(assessment: Assessment) -> str:
    """The key of the strength basis of an assessment."""
    return str(assessment.choices.get("strength_basis", ("tensile", "default"))[0])


def section_verdict(assessment: Assessment, section: str) -> Verdict:
    """The verdict of a section: that of its worst fire; "not assessed" when it has none.

    Parameters
    ----------
    assessment : Assessment
        The whole answer.
    section : str
        Id of a shut-in section.
    """
    fire = ruling_fire(assessment, section)
    if fire is None:
        return Verdict(None, labels.outcome(None), labels.outcome_shape(None), None, "", "", "", "")
    return fire_verdict(fire, chosen_strength_basis(assessment))


def why_without_fire(assessment: Assessment, members: Collection[str]) -> str:
    """Why a section has no verdict: its fires could not be made.

    Parameters
    ----------
    assessment : Assessment
        The whole answer.
    members : collection of str
        Ids of the parts of the section.
    """
    failed = [f.message for f in assessment.failures if f.part in members]
    return failed[0] if failed else tr("no fire was run against it")


def section_sentence(
    section: SectionRecord,
    units: Units,
    kinds: Mapping[str, str],
    uncredited: Collection[str] = (),
) -> str:
    """Members, what shuts them in and which devices are theirs, in one sentence.

    Parameters
    ----------
    section : SectionRecord
        One section.
    units : Units
        Unit set and atmosphere.
    kinds : mapping
        Id -> what it is.
    uncredited : collection of str
        Plugs that the verdicts do not count on; they are marked.
    """
    shut = (
        tr("shut in by {valves}").format(valves=labels.named("valve", section.closed_valves))
        if section.closed_valves
        else tr("with no valve shut")
    )
    named = [
        tr("{plug} (no credit)").format(plug=plug) if plug in uncredited else plug
        for plug in section.plugs
    ]
    plugs = (
        tr("plug {plugs}").format(plugs=and_list(named))
        if len(named) == 1
        else tr("plugs {plugs}").format(plugs=and_list(named))
        if named
        else tr("no plug")
    )
    relief = (
        tr("relief valve {valves}").format(valves=and_list(section.relief_valves))
        if len(section.relief_valves) == 1
        else tr("relief valves {valves}").format(valves=and_list(section.relief_valves))
        if section.relief_valves
        else tr("no relief valve")
    )
    return tr("{members}, {volume}, {shut}: {plugs}, {relief}.").format(
        members=labels.sentence(labels.named_all(section.members, kinds)),
        volume=quantity_text(section.volume_m3, "volume", units),
        shut=shut,
        plugs=plugs,
        relief=relief,
    )


def uncredited_plugs(assessment: Assessment) -> frozenset[str]:
    """Plugs that the fire verdicts do not count on."""
    return frozenset(plug for fire in assessment.fires for plug in fire.uncredited)


def protection_sentence(assessment: Assessment, part: str) -> str:
    """Whether a part always has a heated plug to let its air out, and why not."""
    told = labels.named_all([part], assessment.kinds)
    return tr("{part}: {protection}").format(
        part=labels.sentence(told),
        protection=labels.uncapitalised(protection_text(assessment, part)),
    )


def protection_text(assessment: Assessment, part: str) -> str:
    """The same without the part, which stands beside it."""
    record, kinds = assessment.protection.get(part), assessment.kinds
    if record is None:
        return tr("Not assessed.")
    if record.protected:
        return _reached(assessment, record)
    left = labels.named_all(record.left, kinds)
    valves = labels.named_all(record.worst_valves, kinds)
    if record.worst_valves:
        pieces = [tr("With {valves} shut, no heated plug can be reached.").format(valves=valves)]
    else:
        pieces = [tr("No heated plug can be reached in any position of the valves.")]
    rest = {
        "nothing": tr("Nothing at all is sure to let its air out."),
        "pressure alone": tr("Only {devices} can always be reached, which answers pressure alone."),
        "reachable, not heated": tr("{Devices} can be reached, but the same fire does not heat it.")
        if len(record.left) == 1
        else tr("{Devices} can be reached, but the same fire does not heat them."),
    }.get(record.why)
    if rest is not None:
        pieces.append(rest.format(devices=left, Devices=labels.sentence(left)))
    return " ".join(pieces)


def _reached(assessment: Assessment, record: ProtectionRecord) -> str:
    """Which heated plugs the air of a part can always reach; that they help only runs tell."""
    kinds = assessment.kinds
    doubted = [name for name in record.by if name in uncredited_plugs(assessment)]
    text = tr("Its air can reach {plugs} in every position of the valves.").format(
        plugs=labels.named_all(record.by, kinds)
    )
    if not doubted:
        return text + " " + tr("Whether that is enough, only the verdicts on its fires tell.")
    return text + " " + tr("Nobody may count on {plugs}.").format(plugs=and_list(doubted))


def screening_sentence(
    record: HeatingRecord, units: Units, uncredited: Collection[str] = ()
) -> str:
    """What happens first as a part warms shut in, with the margin of its plugs.

    Parameters
    ----------
    record : HeatingRecord
        Screening of one vessel or line.
    units : Units
        Unit set and atmosphere.
    uncredited : collection of str
        Plugs that nobody may count on; one of them is told of only where no other one is there.
    """
    liquidus = {m.source: m.temperature_k for m in record.marks if m.kind == "plug liquidus"}
    rupture = record.rupture_temperature_k
    part = labels.named(record.kind, [record.id])
    if rupture is None:
        return tr("{part} does not rupture within the range of its material.").format(
            part=labels.sentence(part)
        )
    text = tr("Heated shut in, {part} ruptures at {temperature}.").format(
        part=part, temperature=quantity_text(rupture, "temperature", units, 3)
    )
    listed = {name: t for name, t in liquidus.items() if t is not None}
    if not listed:
        return text + " " + tr("No plug is on it.")
    known = {name: t for name, t in listed.items() if name not in uncredited} or listed
    name, melts = min(known.items(), key=lambda item: item[1])
    gap = rupture - melts
    pattern = (
        tr("{plug} is molten {gap} below that, but nobody may count on it.")
        if gap >= 0 and name in uncredited
        else tr("{plug} is molten {gap} below that.")
        if gap >= 0
        else tr("{plug} would melt only {gap} above that.")
    )
    return (
        text
        + " "
        + pattern.format(
            plug=labels.sentence(labels.named("plug", [name])),
            gap=quantity_text(abs(gap), "temperature_difference", units, 3),
        )
    )


def _rows(assessment: Assessment) -> dict[tuple[str, tuple[str, ...]], list[VerdictRecord]]:
    """The verdicts of each section in each position of the valves."""
    found: dict[tuple[str, tuple[str, ...]], list[VerdictRecord]] = {}
    for verdict in assessment.verdicts:
        found.setdefault((verdict.section, verdict.closed_valves), []).append(verdict)
    return found


def _unsafe_elsewhere(assessment: Assessment) -> str:
    """The stated fires that are not safe with valves open that may be shut."""
    shut = {(section.id, section.closed_valves) for section in assessment.shut_in}
    unsafe = [
        tr("{fire} ({outcome})").format(fire=stated_name(f), outcome=outcome_text(f))
        for f in assessment.fires
        if f.fire_class == "stated" and not f.safe and (f.section, f.closed_valves) not in shut
    ]
    if not unsafe:
        return ""
    return " " + tr("Not safe either, with other valves open: {fires}.").format(
        fires=and_list(unsafe)
    )


def _counts(assessment: Assessment) -> tuple[list[list[VerdictRecord]], int, int, int]:
    """The rows of the isolable sections; how many are not assessed, safe, and safe for sure."""
    rows = _rows(assessment)
    shut = [rows.get((one.id, one.closed_valves), []) for one in assessment.shut_in]
    asked = [[one for one in row if one.outcome is not None] for row in shut]
    unknown = sum(1 for row in asked if not row)
    safe = sum(1 for row in asked if row and all(one.safe for one in row))
    sure = sum(1 for row in asked if row and all(one.safe and one.sure for one in row))
    return shut, unknown, safe, sure


def count_sentence(assessment: Assessment) -> str:
    """How many isolable sections are not safe; "safe" only where every fire of each one is."""
    if not assessment.parts:
        return tr("Nothing was assessed.")
    shut, unknown, safe, sure = _counts(assessment)
    failed = len(shut) - safe - unknown
    if len(shut) == 1:
        text = (
            tr("The one isolable section is not assessed.")
            if unknown
            else tr("The one isolable section is safe in every fire that was run.")
            if safe
            else tr("The one isolable section is not safe in at least one fire that was run.")
        )
        if safe and not sure:
            text += " " + tr("That is not sure; see what it hangs on.")
        return text
    pattern = (
        tr("All {all} isolable sections are safe in every fire that was run.")
        if safe == len(shut)
        else tr("{safe} of {all} isolable sections are safe in every fire that was run.")
        if not failed
        else tr("1 of {all} isolable sections is not safe in at least one fire that was run.")
        if failed == 1
        else tr("{failed} of {all} isolable sections are not safe in at least one fire that was "
                "run.")
    )  # fmt: skip
    text = pattern.format(all=len(shut), safe=safe, failed=failed)
    if safe > sure:
        text += " " + tr("Safe, but not sure: {number}.").format(number=safe - sure)
    if unknown:
        text += " " + tr("Not assessed: {number}.").format(number=unknown)
    return text


def unsafe_in_short(assessment: Assessment) -> str:
    """How many isolable sections are not safe: "✖ 2 of 3 not safe"; empty: none."""
    shut, unknown, safe, _sure = _counts(assessment)
    failed = len(shut) - safe - unknown
    if not failed:
        return ""
    told = tr("{failed} of {all} not safe").format(failed=failed, all=len(shut))
    return f"{labels.outcome_shape('ruptures')} {told}"


def remaining_sentence(assessment: Assessment) -> str:
    """What stands below the line on sections: fires that are not stated, findings, failures."""
    shut, *_ = _counts(assessment)
    unstated = sum(1 for row in shut if any(v.fire_class == "stated" and not v.fire for v in row))
    text = ""
    if unstated and len(shut) > 1:
        text += tr("No fire is stated for {number} of {all} isolable sections.").format(
            number=unstated, all=len(shut)
        )
    elif unstated:
        text += tr("No fire is stated for the isolable section.")
    text += _unsafe_elsewhere(assessment)
    text += " " + tr("Findings: {counts}.").format(
        counts=", ".join(finding_counts(assessment.findings))
    )
    if assessment.failures:
        text += " " + tr("{number} calculations failed; see the list.").format(
            number=len(assessment.failures)
        )
    return text.strip()
