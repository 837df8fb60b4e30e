"""Rules about the outcomes of the fire runs; they see the records only."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.installation.model import Fire, Plug, Vessel
from airrisk.study.protection import plugs_heated_by
from airrisk.study.records import Finding, FireRecord, Severity
from airrisk.study.rules.asking import all_fires, all_plugs, all_vessels, asked_in_turn, for_each
from airrisk.study.rules.context import RuleContext, Unanswered, finding, in_order, worst_of

UNSAFE = frozenset({"vents too late", "ruptures", "not converged"})


def severity_of(context: RuleContext, fire: FireRecord) -> Severity:
    """How much an unsafe outcome weighs.

    Danger for the file's own fires and for a section in the middle of the flames; a warning for
    a quarter of a shell, a note for a twentieth, and for the study's own fires a note where
    little air is stored.
    """
    if fire.default_case is None:
        return "danger"
    holders = [name for name in fire.members if name in context.protection]
    stored = sum(
        max(context.pressure(name) - context.ambient, 0.0) * context.volume(name)
        for name in holders
    )
    if stored < context.installation.choices.small_section:
        return "note"
    by_case: dict[str, Severity] = {"a": "danger", "b": "warning", "c": "note"}
    return by_case[fire.default_case]


def _place(context: RuleContext, fire: FireRecord) -> str:
    if fire.margins is not None and fire.margins.controlling_part:
        return fire.margins.controlling_part
    holders = [name for name in fire.exposed or fire.members if name in context.protection]
    holders = holders or [name for name in fire.members if name in context.protection]
    return context.largest_holder(holders) if holders else fire.section


def _grouped(fires: list[FireRecord]) -> list[list[FireRecord]]:
    """Fires of the study's own kind, section by section; the file's fires stand alone."""
    groups: dict[tuple[str | None, ...], list[FireRecord]] = {}
    for fire in fires:
        own = fire.default_case is None
        key = (fire.id, fire.section) if own else (fire.default_case, fire.section)
        groups.setdefault(key, []).append(fire)
    return list(groups.values())


def _badness(fire: FireRecord) -> tuple[int, float]:
    order = {"ruptures": 3, "vents too late": 2, "outlasts the fire": 1, "vents in time": 0}
    return order.get(fire.outcome, 4), fire.peak_strength_use or 0.0


def fire_outcomes(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Every outcome that is not safe; one finding for the like cases of one section."""
    unsafe = [f for f in context.fires if not f.safe and f.outcome != "not converged"]
    for group in _grouped(unsafe):
        yield from asked_in_turn(group[0].id, _fire_outcome(context, group))


def _fire_outcome(context: RuleContext, group: list[FireRecord]) -> Iterator[Finding]:
    worst = max(group, key=_badness)
    variant = worst.default_case or "file"
    if worst.uncredited_plugs and worst.outcome_if_plugs_work and variant in ("file", "a"):
        variant += "_uncredited"
    yield finding(
        "fire-outcome",
        worst_of(severity_of(context, fire) for fire in group),
        _place(context, worst),
        variant=variant,
        fire=worst.id,
        fires=tuple(fire.id for fire in group),
        section=worst.section,
        parts=in_order(n for n in worst.members if n in context.protection),
        outcome=worst.outcome,
        reason=worst.reason,
        closed_valves=worst.closed_valves,
        peak_pressure_pa=worst.peak_pressure_pa,
        peak_strength_use=worst.peak_strength_use,
        strength_use_limit=None if worst.margins is None else worst.margins.strength_use_limit,
        rupture_s=_time_of(worst, "rupture"),
        first_vent_s=worst.first_vent_s,
        time_to_rupture_without_vent_s=worst.time_to_rupture_without_vent_s,
        uncredited=worst.uncredited_plugs,
        outcome_if_plugs_work=worst.outcome_if_plugs_work or "not computed",
        safe_if_plugs_work=worst.side_runs_safe.get("plugs work", True),
    )


def _time_of(fire: FireRecord, event: str) -> float | None:
    return next((e.time_s for e in fire.events if e.event == event), None)


def failed_calculations(context: RuleContext) -> Iterator[Finding]:
    """Answers that could not be computed; nothing about them is known to be safe."""
    told = set()
    for fire in context.fires:
        if fire.outcome == "not converged":
            told.add(fire.reason)
            yield finding(
                "calculation-failed",
                "danger",
                _place(context, fire),
                variant="fire",
                place=_place(context, fire),
                fire=fire.id,
                step="fire",
                reason=fire.reason,
            )
    for failure in context.failures:
        if failure.step == "fire" and any(failure.message in reason for reason in told):
            continue
        yield finding(
            "calculation-failed",
            "danger",
            failure.part,
            variant="step",
            place=failure.part or "the installation",
            step=failure.step,
            reason=failure.message,
        )


def rule_not_asked(part: str, titles: tuple[str, ...], reason: str) -> Finding:
    """That some rules could not be asked of a part."""
    return finding(
        "calculation-failed",
        "danger",
        part,
        variant="rule",
        place=part or "the installation",
        step="findings",
        rules=titles,
        reason=reason,
    )


def _cause(context: RuleContext, record: FireRecord) -> Fire | None:
    """The file's fire behind a record; a fire that reaches several sections has several records."""
    if record.default_case is not None:
        return None
    for fire in sorted(context.installation.fires, key=lambda f: -len(f.id)):
        if record.id == fire.id or record.id.startswith(f"{fire.id} "):
            return fire
    return None


@for_each(all_fires)
def plugs_out_of_reach(context: RuleContext, fire: FireRecord) -> Iterator[Finding]:
    """Plugs of the file's fires that stand out of the flames and do not let go in time."""
    plugs = {plug.id: plug for plug in context.installation.plugs}
    cause = _cause(context, fire)
    if fire.safe or cause is None or fire.outcome not in UNSAFE:
        return
    heated = plugs_heated_by(context.installation, cause)
    opened = {e.part: e.time_s for e in fire.events if e.event == "plug opens"}
    rupture = _time_of(fire, "rupture")
    for plug in _plugs_of(context, fire, plugs):
        if plug.id in heated or plug.id in fire.uncredited_plugs:
            continue
        margins = fire.margins
        at = None if margins is None else margins.plug_temperature_at_limit_k.get(plug.id)
        yield finding(
            "plug-out-of-reach-of-fire",
            severity_of(context, fire),
            plug.id,
            variant="late" if plug.id in opened else "never",
            on=context.part_of(plug),
            fire=fire.id,
            outcome=fire.outcome,
            opens_s=opened.get(plug.id),
            rupture_s=rupture,
            plug_temperature_k=at,
        )


def _plugs_of(context: RuleContext, fire: FireRecord, plugs: dict[str, Plug]) -> list[Plug]:
    members = set(fire.members)
    shut = set(fire.closed_valves)
    return [
        plug
        for plug in plugs.values()
        if context.part_of(plug) in members
        and not any(v.id in shut for v in context.network.before_device.get(plug.id, ()))
    ]


@for_each(all_plugs)
def bores_too_small(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs for which a larger bore would turn an unsafe outcome; the largest need counts."""
    needs = []
    for fire in context.fires:
        need = fire.smallest_bore_m.get(plug.id)
        if not fire.safe and need is not None and need > plug.bore * (1.0 + 1e-9):
            needs.append((need, fire))
    if not needs:
        return
    need, fire = max(needs, key=lambda pair: pair[0])
    search = fire.bores.get(plug.id)
    yield finding(
        "bore-too-small",
        worst_of(severity_of(context, other) for _, other in needs),
        plug.id,
        variant="uncredited" if plug.id in fire.uncredited_plugs else "credited",
        on=context.part_of(plug),
        fire=fire.id,
        bore_m=plug.bore,
        smallest_bore_m=need,
        usual_bore_m=None if search is None else search.usual_m,
        api521_area_m2=None if search is None else search.api521_area_m2,
        largest_volume_m3=context.largest[plug.id].volume,
    )


@for_each(all_fires)
def verdicts_by_basis(context: RuleContext, fire: FireRecord) -> Iterator[Finding]:
    """Fires whose outcome is another one on another strength basis."""
    fails = {b for b in fire.by_basis if not fire.side_runs_safe.get(b, True)}
    others = {
        b: o for b, o in fire.by_basis.items() if o != fire.outcome or (fire.safe and b in fails)
    }
    if not others or fire.outcome == "not converged":
        return
    turns = fire.safe and any(o in UNSAFE or b in fails for b, o in others.items())
    weighs: Severity = "note" if fire.default_case == "c" or not turns else "warning"
    if severity_of(context, fire) == "note":
        weighs = "note"
    yield finding(
        "verdict-depends-on-strength-basis",
        weighs,
        _place(context, fire),
        variant="turns" if turns else "differs",
        fire=fire.id,
        basis=context.installation.choices.strength_basis,
        outcome=fire.outcome,
        other_bases=tuple(sorted(others)),
        other_outcomes=tuple(others[b] for b in sorted(others)),
        other_safe=tuple(b not in fails for b in sorted(others)),
    )


@for_each(all_vessels)
def fires_not_calculated(context: RuleContext, vessel: Vessel) -> Iterator[Finding]:
    """Vessels that the fires of the file do not reach, or only with valves open that may be shut.

    Without any fire in the file the study makes its own for every shut-in section.
    """
    fires = context.installation.fires
    if not fires:
        return
    name = vessel.id.casefold()
    hits = [
        fire
        for fire in fires
        if any(part.casefold() == name and share > 0.0 for part, share in fire.exposed_share)
    ]
    section = context.section_at(vessel.id)
    shut = set(section.closed_valves)
    open_in_all = set(shut)
    for fire in hits:
        closed = shut if fire.closed is None else set(map(context.network.name, fire.closed))
        if shut <= closed:
            break
        open_in_all &= shut - closed
    else:
        valves = open_in_all or shut
        yield finding(
            "fire-not-calculated",
            "note" if context.is_small(section) else "warning",
            vessel.id,
            variant="open" if hits else "",
            fires=tuple(fire.id for fire in hits),
            valves=in_order(valves),
        )
