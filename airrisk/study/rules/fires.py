"""Rules about how the fires end; they see the records only."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from airrisk.fire.case import OVERFULL
from airrisk.installation.geometry import MOST_CONDENSATE, condensate_share
from airrisk.installation.model import ENGULFING
from airrisk.installation.naming import in_order
from airrisk.messages import quoted, said
from airrisk.study.exposures import TWENTIETH
from airrisk.study.records import (
    JET_FLUX,
    Finding,
    FireClass,
    FireRecord,
    FlameAway,
    Severity,
    VerdictRecord,
)
from airrisk.study.rules.asking import asked_in_turn
from airrisk.study.rules.context import (
    RuleContext,
    Unanswered,
    at_least,
    finding,
    fire_named,
    milder,
)
from airrisk.study.verdicts import verdict_records
from airrisk.verdict.rule import Outcome, Reason


def severity_of(
    context: RuleContext, fire_class: FireClass, outcome: Outcome | None, members: Iterable[str]
) -> Severity:
    """How much an unsafe outcome weighs.

    Danger in a stated fire and where all stands in the flames; in a fire beside a vessel or on a
    spot of it a rupture is a danger and a passed limit a warning. Lines alone weigh one step less
    than a section with a vessel, which lets go of more at once, and where little air is stored
    it is a note. A verdict that is not safe is never less than a warning, see ``fire_outcomes``.
    """
    holders = context.holders_of(members)
    if context.is_little(holders):
        return "note"
    engulfed = fire_class in ENGULFING
    weighs: Severity = "warning" if not engulfed and outcome == "passes the limit" else "danger"
    vessels = {vessel.id for vessel in context.installation.vessels}
    return weighs if vessels & set(holders) else milder(weighs)


def severity_of_fire(context: RuleContext, fire: FireRecord) -> Severity:
    """How much the outcome of one fire weighs, were it not safe."""
    return severity_of(context, fire.fire_class, fire.worst_outcome, fire.members)


def deciding_part(context: RuleContext, fire: FireRecord) -> str:
    """The vessel or line that decides how a fire ends."""
    if fire.envelope is not None and fire.envelope.controlling_part:
        return fire.envelope.controlling_part
    if fire.margins is not None and fire.margins.controlling_part:
        return fire.margins.controlling_part
    holders = context.holders_of(fire.exposed) or context.holders_of(fire.members)
    return context.largest_holder(holders) if holders else fire.section


def _key(one: FireRecord | VerdictRecord) -> tuple[str, tuple[str, ...], FireClass]:
    return one.section, one.closed_valves, one.fire_class


def fires_of(context: RuleContext, verdict: VerdictRecord) -> tuple[FireRecord, ...]:
    """The fires that a verdict is about."""
    return tuple(fire for fire in context.fires if _key(fire) == _key(verdict))


def _told_verdicts(context: RuleContext) -> Iterator[VerdictRecord]:
    """The verdicts; where one is that of a run that failed, that of its other fires too."""
    failed = [verdict for verdict in context.verdicts if verdict.outcome == "not converged"]
    yield from (verdict for verdict in context.verdicts if verdict not in failed)
    basis = context.installation.choices.strength_basis
    for verdict in failed:
        rest = [f for f in fires_of(context, verdict) if f.worst_outcome != "not converged"]
        yield from verdict_records(rest, (), basis)


def fire_outcomes(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Every section and class of fires whose verdict is not safe, with its worst run.

    Never a mere note, however little air is stored: the verdict says "not safe", and notes ask
    for no decision and leave the exit code of the command clear.
    """
    for verdict in _told_verdicts(context):
        if verdict.safe is False:
            yield from asked_in_turn(verdict.part, _fire_outcome(context, verdict))


def _fire_outcome(context: RuleContext, verdict: VerdictRecord) -> Iterator[Finding]:
    fires = fires_of(context, verdict)
    worst = next(fire for fire in fires if fire.id == verdict.fire)
    seen, corner = worst.envelope, verdict.corner
    use, limit = verdict.peak_strength_use, verdict.limit
    yield finding(
        "fire-outcome",
        at_least(
            severity_of(context, verdict.fire_class, verdict.outcome, verdict.members), "warning"
        ),
        verdict.part or deciding_part(context, worst),
        section=verdict.section,
        fire_class=verdict.fire_class,
        **fire_named(worst),
        fires=tuple(fire.id for fire in fires if not fire.safe),
        record=worst,
        closed_valves=verdict.closed_valves,
        outcome=verdict.outcome,
        reason=verdict.reason,
        peak_strength_use=use,
        creep_damage=verdict.creep_damage,
        strength_use_limit=limit,
        load_share=None if use is None or not limit else use / limit,
        rupture_s=verdict.rupture_s,
        first_vent_s=verdict.first_vent_s,
        rupture_nothing_opens_s=verdict.rupture_nothing_opens_s,
        start_pa=None if corner is None else corner.start_pa,
        as_stated=worst.outcome,
        stopped=worst.safe_if_stopped,
        outcome_working=None if seen is None else seen.outcome_working,
    )


def failed_calculations(context: RuleContext) -> Iterator[Finding]:
    """Answers that could not be computed; nothing about them is known to be safe."""
    overfull = [p for p in context.installation.holders() if condensate_share(p) > MOST_CONDENSATE]
    for part in overfull:
        yield finding(
            "calculation-failed",
            "danger",
            part.id,
            variant="water",
            place=part.id,
            step=said("heating-and-fires"),
            condensate_m3=part.condensate,
            most_condensate_m3=MOST_CONDENSATE * context.volume(part.id),
        )
    wet = {part.id for part in overfull}
    told = []
    for fire in context.fires:
        if fire.worst_outcome != "not converged" or wet & set(fire.members):
            continue
        reason = fire.reason if fire.outcome == "not converged" else _worst_reason(fire)
        told.append(reason.detail)
        yield finding(
            "calculation-failed",
            "danger",
            deciding_part(context, fire),
            section=fire.section,
            fire_class=fire.fire_class,
            variant="fire",
            place=deciding_part(context, fire),
            **fire_named(fire),
            step=said("fire"),
            reason=reason.detail or "solver",
        )
    for failure in context.failures:
        if failure.step == "fire" and any(failure.message in reason for reason in told):
            continue
        if failure.message.endswith(OVERFULL):
            continue  # told of the part
        yield finding(
            "calculation-failed",
            "danger",
            failure.part,
            variant="step",
            place=failure.part or said("the-installation"),
            step=quoted(failure.step),
            reason=failure.message,
        )


def _worst_reason(fire: FireRecord) -> Reason:
    return fire.reason if fire.envelope is None else fire.envelope.reason


def rule_not_asked(part: str, titles: tuple[str, ...], reason: str) -> Finding:
    """That some rules could not be asked of a part."""
    return finding(
        "calculation-failed",
        "danger",
        part,
        variant="rule",
        place=part or said("the-installation"),
        step=said("findings"),
        rules=titles,
        reason=reason,
    )


def _how_long(
    context: RuleContext, rule: str, times: Mapping[str, FlameAway], **told: Any
) -> Iterator[Finding]:
    """How long each vessel stands a flame away from its plugs: a number and no verdict."""
    for vessel in context.installation.vessels:
        away = times.get(vessel.id)
        if away is None or away.rupture_s is None:
            continue
        vented = away.first_vent_s is not None and away.first_vent_s < away.rupture_s
        yield finding(
            rule,
            "note",
            vessel.id,
            variant="vented" if vented else "shut",
            rupture_s=away.rupture_s,
            first_vent_s=away.first_vent_s,
            **told,
        )


def flames_away_from_plugs(context: RuleContext) -> Iterator[Finding]:
    """How long each vessel stands a flame on a quarter of its shell away from its plugs.

    Practically none survives it, so that it is a number and no verdict.
    """
    curve = context.installation.choices.assumed_fire.curve
    yield from _how_long(context, "flame-away-from-plugs", context.flame_away, curve=curve)


def jets_on_spots(context: RuleContext) -> Iterator[Finding]:
    """How long each vessel stands a jet flame on a spot of its shell away from its plugs."""
    yield from _how_long(
        context, "jet-on-a-spot", context.jet_spot, flux_w_m2=JET_FLUX, shell_share=TWENTIETH
    )


def no_fire_stated(context: RuleContext) -> Iterator[Finding]:
    """Sections that no fire of the file reaches, or only while valves stand open."""
    without = [v for v in context.verdicts if v.fire_class == "stated" and v.safe is None]
    if not without:
        return
    if not context.installation.fires:
        yield finding("no-fire-stated", "note", "", variant="nowhere")
        return
    for verdict in without:
        holders = context.holders_of(verdict.members)
        if context.is_little(holders):
            continue
        joined = {
            fire.id: fire.closed_valves
            for fire in context.fires
            if fire.fire_class == "stated" and set(holders) & set(fire.exposed)
        }
        still_open = set(verdict.closed_valves).difference(*joined.values())
        yield finding(
            "no-fire-stated",
            "note",
            context.largest_holder(holders),
            section=verdict.section,
            variant="open" if joined else "section",
            fires=tuple(joined),
            valves=in_order(still_open or verdict.closed_valves),
            parts=in_order(holders),
        )
