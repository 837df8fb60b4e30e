"""Sentences about fires, sections and verdicts; no verdict without its margin and its basis."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

from airrisk.study.records import (
    Assessment,
    Cure,
    EventRecord,
    FireRecord,
    HeatingRecord,
    SectionRecord,
)
from airrisk.tables import read_toml
from airrisk.wording import labels
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    Units,
    and_list,
    least_bore_text,
    number_text,
    quantity_text,
    time_text,
)

CAUTIOUS_BASIS = "yield"
LATEST_MELTING = 1199.9  # K, the search for the latest melting alloy goes to 1200 K
_SAFE = ("vents in time", "outlasts the fire")


@dataclass(frozen=True)
class Verdict:
    """A verdict word with everything that must stand beside it."""

    outcome: str | None  # None: not assessed
    word: str
    shape: str
    safe: bool
    margin: str  # the smallest margin, with unit
    basis: str  # the strength basis in words
    cautious: str  # "" or that it does not hold on the cautious basis
    fire: str  # id of the fire that gives it
    why: str = ""  # why a fire whose outcome sounds safe is not

    @property
    def heading(self) -> str:
        """Sign and word, with the reason where the word alone would sound safe."""
        return f"{self.shape} {self.word}" + (f": {self.why}" if self.why else "")

    @property
    def text(self) -> str:
        """Word, margin, basis and caution in one line."""
        parts = [self.heading]
        parts += [piece for piece in (self.margin, self.basis, self.cautious) if piece]
        return "; ".join(parts)


def first_opening(fire: FireRecord, part: str | None) -> EventRecord | None:
    """The first opening of a plug or disc that lets air out of a part (None: of any part).

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
    """The outcome of a fire, with "not safe" and the reason where the word sounds safe."""
    text = labels.answer(fire.outcome, fire.safe)
    why = _why_not_safe(fire)
    return f"{text}: {why}" if why else text


def side_outcome(fire: FireRecord, word: str, key: str) -> str:
    """The outcome of a run beside the verdict, with "not safe" where the word sounds safe.

    Parameters
    ----------
    fire : FireRecord
        One fire.
    word : str
        The outcome.
    key : str
        Strength basis, factor on the convection inside, or "plugs work".
    """
    return labels.answer(word, fire.side_runs_safe.get(key, True))


def _fails_cautious(fire: FireRecord) -> bool:
    """Whether the run on the cautious basis is not safe."""
    word = fire.by_basis.get(CAUTIOUS_BASIS)
    return word is not None and (
        word not in _SAFE or not fire.side_runs_safe.get(CAUTIOUS_BASIS, True)
    )


def _why_not_safe(fire: FireRecord) -> str:
    if fire.safe or fire.outcome not in _SAFE:
        return ""
    return labels.fire_reason(fire.reason)


def fire_sentence(fire: FireRecord, steam: bool = True) -> str:
    """What happens in one fire: "In F1 FP1 opens at 6.2 min; R1 would have ruptured at 9.8 min."

    Parameters
    ----------
    fire : FireRecord
        One fire.
    steam : bool
        Say also how the steam of condensate counts; not where ``steam_note`` stands beside it.
    """
    text = _what_happens(fire)
    if steam and fire.wet_parts and fire.outcome != "not converged":
        text += " " + tr(
            "The steam of condensate in {parts} counts, in vessels that its air can flow to as "
            "well, until that air gets out; what a relief valve lets out of it is not taken off."
        ).format(parts=and_list(list(fire.wet_parts)))
    return text


def _what_happens(fire: FireRecord) -> str:
    part = fire.margins.controlling_part if fire.margins else None
    what = part or and_list(fire.members)
    if fire.outcome == "not converged":
        return tr("In {fire} the calculation did not converge: {reason}.").format(
            fire=fire.id, reason=fire.reason.rstrip(".") or tr("no reason given")
        )
    clauses = _with_break(fire, part, what) or _without_break(fire, part, what)
    clauses += _not_safe(fire)
    text = tr("In {fire} {what}.").format(fire=fire.id, what="; ".join(clauses))
    if fire.uncredited_plugs:
        text += " " + tr("{plugs} counted as not working.").format(
            plugs=and_list(fire.uncredited_plugs)
        )
        if fire.outcome_if_plugs_work is not None:
            text += " " + tr("If it still works: {outcome}.").format(
                outcome=side_outcome(fire, fire.outcome_if_plugs_work, "plugs work")
            )
    return text


def _without_break(fire: FireRecord, part: str | None, what: str) -> list[str]:
    """The opening and what it forestalls, where no line ruptures in the fire."""
    vent = first_opening(fire, part)
    elsewhere = first_opening(fire, None) if vent is None else None
    burst = next((e for e in fire.events if e.event == "rupture"), None)
    without = fire.time_to_rupture_without_vent_s
    if vent is not None:
        first = tr("{event} at {time}").format(
            event=labels.event(vent.event, vent.part),
            time=time_text(vent.time_s),
        )
    elif elsewhere is not None:
        first = tr("{event} at {time}, but lets no air out of {part}").format(
            event=labels.event(elsewhere.event, elsewhere.part),
            time=time_text(elsewhere.time_s),
            part=what,
        )
    else:
        first = tr("no plug opens")
    if burst is not None:
        second = tr("{part} ruptures at {time}").format(
            part=burst.part, time=time_text(burst.time_s)
        )
    elif without is not None and vent is not None:
        second = tr("{part} would have ruptured at {time}").format(
            part=what, time=time_text(without)
        )
    elif without is not None:
        second = tr("{part} ruptures at {time} with no plug").format(
            part=what, time=time_text(without)
        )
    elif vent is not None and fire.line_rupture_without_vent_s is not None:
        line, time = fire.line_rupture_without_vent_s
        second = tr("without it {line} would have ruptured at {time} and emptied {part}").format(
            line=line, time=time_text(time), part=what
        )
    elif vent is not None:
        second = tr("{part} would have outlasted the fire without it").format(part=what)
    else:
        second = tr("{part} outlasts the fire").format(part=what)
    return [first, second]


def _with_break(fire: FireRecord, part: str | None, what: str) -> list[str]:
    """What happens where a line ruptures in the fire, in the order of time; empty: none does."""
    broken = next((e for e in fire.events if e.event == "line ruptures"), None)
    if broken is None:
        return []
    vent = first_opening(fire, part)
    opening = vent or first_opening(fire, None)
    emptied = next(
        (e.time_s for e in fire.events if e.event == "empty" and e.part == part), math.inf
    )
    drained = broken.time_s <= emptied < (math.inf if vent is None else vent.time_s)
    pattern = (
        tr("{line} ruptures at {time} and empties {part}")
        if drained
        else tr("{line} ruptures at {time}")
    )
    text = pattern.format(line=broken.part, time=time_text(broken.time_s), part=what)
    told = [(broken.time_s, text)]
    if opening is None:
        told.append((broken.time_s, tr("no plug opens")))
    else:
        pattern = (
            tr("{event} at {time}, but lets no air out of {part}")
            if vent is None
            else tr("{event} only then, at {time}")
            if drained
            else tr("{event} at {time}")
        )
        text = pattern.format(
            event=labels.event(opening.event, opening.part),
            time=time_text(opening.time_s),
            part=what,
        )
        told.append((opening.time_s, text))
    told += [
        (e.time_s, tr("{part} ruptures at {time}").format(part=e.part, time=time_text(e.time_s)))
        for e in fire.events
        if e.event == "rupture"
    ]
    return [text for _, text in sorted(told, key=lambda one: one[0])]


def _not_safe(fire: FireRecord) -> list[str]:
    """ "not safe" with the reason, unless a rupture of a vessel has said so."""
    if fire.safe or any(e.event == "rupture" for e in fire.events):
        return []
    said = {f"{e.part} ruptures and" for e in fire.events if e.event == "line ruptures"}
    if not fire.reason or any(fire.reason.startswith(one) for one in said):
        return [tr("not safe")]
    return [tr("not safe: {reason}").format(reason=labels.fire_reason(fire.reason))]


def cure_sentence(cure: Cure, fire: FireRecord, units: Units) -> str:
    """A cure that a run has proven: what to do, the least bore, and what comes of it."""
    melting = quantity_text(cure.melting_k, "temperature", units, 3)
    deeds = {
        "renew": tr("Renew {plug}, so that it is clean and in date"),
        "bore": tr("Give {plug} a larger bore"),
        "place": tr("Fit {plug} where the flames of {fire} reach it"),
        "alloy": tr("Give {plug} an alloy that is molten at {melting}"),
        "place and bore": tr("Fit {plug} where the flames of {fire} reach it, with a larger bore"),
        "alloy and bore": tr("Give {plug} an alloy that is molten at {melting} and a larger bore"),
        "fit": tr("Fit a plug of {alloy}, molten at {melting}, on top of {part}, in the flames"),
    }
    fields = {key: text.strip('"') for key, text in cure.added}
    deed = deeds[cure.kind].format(
        plug=cure.device,
        fire=fire.id,
        melting=melting,
        part=fields.get("on", ""),
        alloy=fields.get("alloy", ""),
    )
    bore = tr("bore at least {bore}").format(bore=quantity_text(cure.bore_m, "length", units, 3))
    usual = next((size for size in usual_bores() if size >= cure.bore_m - 1e-9), None)
    if cure.kind != "fit" and not any(key == "bore" for _, key, _ in cure.changes):
        bore += tr(" (the fitted bore is enough)")
    elif usual is not None:
        bore += tr(" (next usual size {size})").format(
            size=quantity_text(usual, "length", units, 3)
        )
    proof = tr("Proven by a run of {fire} with the least bore: strength use then {use}.").format(
        fire=fire.id, use=number_text(cure.peak_strength_use, 3)
    )
    return f"{deed}; {bore}. {proof}"


def usual_bores() -> tuple[float, ...]:
    """Bores that plugs usually come with, m, the smallest first."""
    return tuple(1e-3 * size for size in read_toml("plug_body.toml")["usual_bores"]["mm"])


def why_no_bore(fire: FireRecord, plug: str) -> str:
    """Why no bore of a plug is enough in a fire: too late, or not open to what decides."""
    search = fire.bores.get(plug)
    opened = next((e.time_s for e in fire.events if e.part == plug), None)
    if search is not None and search.late_by_s is not None:
        pattern = (
            tr("it would open {late} after the metal is at its limit")
            if opened is None
            else tr("it opens {late} after the metal is at its limit")
        )
        return pattern.format(late=time_text(search.late_by_s))
    part = fire.margins.controlling_part if fire.margins is not None else None
    if part is None or opened is None:
        return ""
    if opened < fire.first_vent_by_part_s.get(part, math.inf):
        return tr("it lets no air out of {part}").format(part=part)
    return ""


def bore_sentences(fire: FireRecord, units: Units) -> list[str]:
    """For each plug of a fire the smallest bore that is enough, or that none is."""
    found = []
    for plug, search in fire.bores.items():
        if search.exact_m is None:
            text = tr("No bore of {plug} alone is enough").format(plug=plug)
            if why := why_no_bore(fire, plug):
                text += f": {why}"
        else:
            text = tr("{plug}: smallest bore that is enough {bore}").format(
                plug=plug, bore=least_bore_text(search.exact_m, units)
            )
            if search.usual_m is not None:
                text += tr(", next usual {bore}").format(
                    bore=quantity_text(search.usual_m, "length", units, 3)
                )
        found.append(text + ".")
    return found


def margin_text(fire: FireRecord) -> str:
    """The smallest margin of a fire in words: strength use, seconds and kelvin where known."""
    if fire.outcome == "not converged":
        return ""
    pieces: list[str] = []
    margins = fire.margins
    if margins is not None and margins.vent_before_rupture_s is not None:
        seconds = margins.vent_before_rupture_s
        pieces.append(
            tr("opens {time} before rupture").format(time=time_text(seconds))
            if seconds >= 0
            else tr("opens {time} too late").format(time=time_text(-seconds))
        )
    if fire.peak_strength_use is not None and margins is not None:
        pieces.append(
            tr("strength use {peak} of {limit} allowed").format(
                peak=number_text(fire.peak_strength_use, 3),
                limit=number_text(margins.strength_use_limit, 3),
            )
        )
    elif fire.peak_strength_use is not None:
        pieces.append(tr("strength use {peak}").format(peak=number_text(fire.peak_strength_use, 3)))
    return ", ".join(pieces)


def cautious_text(fire: FireRecord) -> str:
    """ "not on the cautious basis" when the verdict is safe on the chosen basis only."""
    if fire.safe and _fails_cautious(fire):
        return tr("not on the cautious basis (yield strength: {outcome})").format(
            outcome=side_outcome(fire, fire.by_basis[CAUTIOUS_BASIS], CAUTIOUS_BASIS)
        )
    return ""


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
        outcome=fire.outcome,
        word=labels.answer(fire.outcome, fire.safe),
        shape=labels.answer_shape(fire.outcome, fire.safe),
        safe=fire.safe,
        margin=margin_text(fire),
        basis=tr("basis: {basis}").format(basis=labels.basis(basis)),
        cautious=cautious_text(fire),
        fire=fire.id,
        why=_why_not_safe(fire),
    )


def _gap(fire: FireRecord) -> tuple[int, int, float, float]:
    """Sorts the worst fire first."""
    order = ("not converged", "ruptures", "vents too late", "vents in time", "outlasts the fire")
    doubtful = _fails_cautious(fire)
    seconds = fire.margins.vent_before_rupture_s if fire.margins else None
    return (
        int(fire.safe),
        order.index(fire.outcome) if not fire.safe else int(not doubtful),
        -(fire.peak_strength_use or 0.0),
        seconds if seconds is not None else float("inf"),
    )


def counts_for_verdict(fire: FireRecord) -> bool:
    """Whether a fire rules the section's verdict: the user's own, and full exposure."""
    return fire.default_case in (None, "a")


def ruling_fire(assessment: Assessment, section: str) -> FireRecord | None:
    """The fire that rules the verdict of a section: the worst of its own or full-exposure fires."""
    fires = [f for f in assessment.fires if f.section == section and counts_for_verdict(f)]
    return min(fires, key=_gap) if fires else None


def telling_fires(assessment: Assessment) -> list[FireRecord]:
    """The worst fire of every shut-in section, and of every other section the file's fires meet."""
    sections = [section.id for section in assessment.shut_in]
    sections += [f.section for f in assessment.fires if f.default_case is None]
    found = [ruling_fire(assessment, section) for section in dict.fromkeys(sections)]
    return [fire for fire in found if fire is not None]


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
        return Verdict(
            None, labels.outcome(None), labels.outcome_shape(None), False, "", "", "", ""
        )
    return fire_verdict(fire, chosen_strength_basis(assessment))


def why_without_fire(assessment: Assessment, members: Collection[str]) -> str:
    """Why a section has no fire: none reaches it, or only with other valves shut.

    Fires that are not safe with those valves open are named with their outcome.

    Parameters
    ----------
    assessment : Assessment
        The whole answer.
    members : collection of str
        Ids of the parts of the section.
    """
    reaching = [f for f in assessment.fires if set(f.exposed) & set(members)]
    if not reaching:
        return tr("no given fire reaches it")
    text = tr("reached by {fires} only, with these valves open").format(
        fires=and_list(sorted({f.id for f in reaching}))
    )
    unsafe = [_with_outcome(f) for f in reaching if not f.safe]
    return text + tr("; not safe then: {fires}").format(fires=and_list(unsafe)) if unsafe else text


def _with_outcome(fire: FireRecord) -> str:
    return tr("{fire} ({outcome})").format(fire=fire.id, outcome=outcome_text(fire))


def section_sentence(section: SectionRecord, units: Units, uncredited: Collection[str] = ()) -> str:
    """Members, what shuts them in and which devices are theirs, in one sentence.

    Parameters
    ----------
    section : SectionRecord
        One section.
    units : Units
        Unit set and atmosphere.
    uncredited : collection of str
        Plugs that the verdicts do not count on; they are marked.
    """
    shut = (
        tr("shut in by {valves}").format(valves=and_list(section.closed_valves))
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
        members=and_list(section.members),
        volume=quantity_text(section.volume_m3, "volume", units),
        shut=shut,
        plugs=plugs,
        relief=relief,
    )


_PROTECTION = {
    "nothing": "nothing at all is sure to let its air out",
    "pressure alone": "{devices} is sure, but answers pressure alone",
    "reachable, not heated": "{devices} can be reached, but the same fire does not heat it",
}


def uncredited_plugs(assessment: Assessment) -> frozenset[str]:
    """Plugs that the fire verdicts do not count on."""
    return frozenset(plug for fire in assessment.fires for plug in fire.uncredited_plugs)


def protection_sentence(assessment: Assessment, part: str) -> str:
    """Whether a part always has a heated plug to let its air out, and why not."""
    record = assessment.protection.get(part)
    if record is None:
        return tr("{part}: not assessed.").format(part=part)
    if record.protected:
        text = tr("{part}: always open to {plugs}").format(part=part, plugs=and_list(record.by))
        doubted = [name for name in record.by if name in uncredited_plugs(assessment)]
        if doubted:
            text += tr(", but no credit for {plugs}: overdue or in doubtful condition").format(
                plugs=and_list(doubted)
            )
        return text + "."
    if record.worst_valves:
        text = tr("{part}: with {valves} shut no heated plug can be reached").format(
            part=part, valves=and_list(record.worst_valves)
        )
    else:
        text = tr("{part}: no heated plug can be reached in any position of the valves").format(
            part=part
        )
    rest = _PROTECTION.get(record.why)
    if rest:
        text += "; " + tr(rest).format(devices=and_list(record.left))
    return text + "."


def screening_sentence(record: HeatingRecord, units: Units) -> str:
    """What happens first as a part warms shut in, with the margin of its plugs."""
    liquidus = {m.source: m.temperature_k for m in record.marks if m.kind == "plug liquidus"}
    rupture = record.rupture_temperature_k
    if rupture is None:
        return tr("{part} does not rupture within the range of its material.").format(
            part=record.id
        )
    text = tr("Heated shut in, {part} ruptures at {temperature}").format(
        part=record.id, temperature=quantity_text(rupture, "temperature", units)
    )
    known = {name: t for name, t in liquidus.items() if t is not None}
    if not known:
        return text + tr("; no plug is on it.")
    name, melts = min(known.items(), key=lambda item: item[1])
    gap = rupture - melts
    size = quantity_text(abs(gap), "temperature_difference", units, 3)
    if gap >= 0:
        return text + tr("; {plug} is molten {gap} earlier.").format(plug=name, gap=size)
    return text + tr("; {plug} would melt only {gap} above that.").format(plug=name, gap=size)


def _unsafe_elsewhere(assessment: Assessment) -> str:
    """The fires that are not safe on sections other than the shut-in ones."""
    shut = {section.id for section in assessment.shut_in}
    unsafe = [
        tr("{fire} on {section}").format(fire=_with_outcome(f), section=f.section)
        for f in assessment.fires
        if counts_for_verdict(f) and not f.safe and f.section not in shut
    ]
    if not unsafe:
        return ""
    return ". " + tr("Not safe either, with valves open: {fires}").format(fires=and_list(unsafe))


def overall_sentence(assessment: Assessment) -> str:
    """One sentence on the whole installation: how many sections are safe, how many findings."""
    sections = assessment.shut_in
    verdicts = [section_verdict(assessment, s.id) for s in sections]
    safe = sum(1 for v in verdicts if v.safe)
    unknown = sum(1 for v in verdicts if v.outcome is None)
    counts = {
        word: sum(1 for f in assessment.findings if f.severity == word)
        for word in labels.SEVERITIES
    }
    if not assessment.parts:
        text = tr("Nothing was assessed")
    elif len(sections) == 1:
        text = (
            tr("The one shut-in section comes through its fires")
            if safe
            else tr("The one shut-in section is not assessed")
            if unknown
            else tr("The one shut-in section does not come through its fires")
        )
    else:
        failed = len(sections) - safe - unknown
        fires = tr("them") if failed else tr("their fires") if safe > 1 else tr("its fires")
        pieces = [
            tr("{number} fail in their fires").format(number=failed)
            if failed > 1
            else tr("1 fails in its fires")
            if failed
            else "",
            tr("{number} come through {fires}").format(number=safe, fires=fires)
            if safe > 1
            else tr("1 comes through {fires}").format(fires=fires)
            if safe
            else "",
            tr("{number} are not assessed").format(number=unknown)
            if unknown > 1
            else tr("1 is not assessed")
            if unknown
            else "",
        ]
        text = tr("Of {all} shut-in sections {pieces}").format(
            all=len(sections), pieces=and_list([piece for piece in pieces if piece])
        )
    text += _unsafe_elsewhere(assessment)
    text += ". " + tr("Findings: {danger}, {warning}, {note}.").format(
        **{word: labels.severity_count(word, count) for word, count in counts.items()}
    )
    if assessment.failures:
        text += " " + tr("{number} calculations failed; see the list.").format(
            number=len(assessment.failures)
        )
    return text
