"""Why a fire run ended as it did: the code and names of a ``Reason`` as whole sentences.

This is the one place where a reason becomes English.
"""

from __future__ import annotations

from collections.abc import Mapping

from airrisk.messages import Texts
from airrisk.study.records import FireRecord
from airrisk.verdict.rule import Outcome, Reason
from airrisk.wording.labels import named, sentence
from airrisk.wording.translation import tr
from airrisk.wording.units import and_list, time_text

AT_ONCE = 0.5  # s, what happens sooner happens at once
_STATUSES: Texts[dict[str, str]] = {
    "evaluation budget spent": "it took more steps than are allowed",
    "time step too small": "its time steps became too small",
    "more than half full of water": "a part is more than half full of water, whose expansion "
    "is not reckoned",
    "solver": "no reason given",
}


def status_text(status: str) -> str:
    """Why a run came to no end, or another message as it is."""
    return tr(_STATUSES.get(status, status))


def kinds_of(fire: FireRecord) -> dict[str, str]:
    """What each id of a fire is: vessel, line, plug, relief valve or bursting disc."""
    found = {name: "vessel" if name in fire.vessels else "line" for name in fire.members}
    named_by = {
        "plug opens": "plug", "disc bursts": "bursting disc", "relief valve lifts": "relief valve",
        "relief valve reseats": "relief valve", "rupture": "vessel", "line ruptures": "line",
    }  # fmt: skip
    for event in fire.events:
        if event.event in named_by and event.part not in found:
            found[event.part] = named_by[event.event]
    if fire.curves is not None:
        found |= dict.fromkeys(fire.curves.plugs, "plug")
    found |= dict.fromkeys(fire.bores, "plug")
    for reason in (fire.reason, *([] if fire.envelope is None else [fire.envelope.reason])):
        for name in reason.opened:
            found.setdefault(name, "bursting disc")  # every plug is in the curves
    for name, why in fire.uncredited.items():
        known = {"offered": "device", "exposed": "relief valve"}
        found.setdefault(name, known.get(why, "plug"))
    return found


def with_kind(names: tuple[str, ...] | list[str], kinds: Mapping[str, str]) -> str:
    """Ids with their kind: "plugs FP1 and FP2", "plug FP1 and bursting disc BD1"."""
    groups: dict[str, list[str]] = {}
    for name in names:
        groups.setdefault(kinds.get(name, "device"), []).append(name)
    return and_list([named(kind, ids) for kind, ids in groups.items()]) if groups else ""


def under_water(fire: FireRecord, plug: str) -> bool:
    """Whether a plug stands in water, of which the temperature that a run tells knows nothing."""
    return fire.uncredited.get(plug) == "under water"


def after_text(seconds: float) -> str:
    """When something happens: "after 4.3 min", or at once."""
    if abs(seconds) < AT_ONCE:
        return tr("at once")
    return tr("after {time}").format(time=time_text(seconds))


def reason_sentence(
    reason: Reason,
    outcome: Outcome,
    kinds: Mapping[str, str],
    when: float | None = None,
    lead: str = "",
) -> str:
    """What happened in a run and why, as one sentence.

    Parameters
    ----------
    reason
        Of the outcome.
    outcome
        Of the run.
    kinds
        Id -> kind, see ``kinds_of``.
    when
        Of a rupture, or of the first air that leaves the part, s.
    lead
        What comes before the subject, for example "In fire F1".
    """
    part = with_kind([reason.part], kinds) if reason.part else tr("part of it")
    time = "" if when is None else " " + after_text(when)
    text = _told(reason, outcome, part, time, kinds)
    if not lead:
        return sentence(text)
    return tr("{lead}, {text}").format(lead=lead, text=text)


def _told(reason: Reason, outcome: Outcome, part: str, time: str, kinds: Mapping[str, str]) -> str:
    """The sentence without what leads it in and without a capital letter."""
    vents = with_kind(reason.emptying, kinds)
    if reason.code == "solver":
        pattern = tr("the calculation did not come to an end: {why}.")
    elif reason.code == "isothermal" and not reason.opened:
        pattern = {
            "outlasts the fire": tr("{part} outlasts the fire: it holds however slowly its air and "
                                    "metal come to the hottest that this fire can bring."),
            "passes the limit": tr("{part} passes the limit in a very slow fire: no plug opens."),
            "ruptures": tr("{part} ruptures in a very slow fire: no plug opens."),
        }.get(outcome, tr("nothing is known about {part} in a very slow fire."))  # fmt: skip
    elif reason.code == "isothermal":
        pattern = {
            "vents in time": tr("{part} vents in time: even in a very slow fire it holds until "
                                "{vents} opens."),
            "passes the limit": tr("{part} passes the limit in a very slow fire before {vents} "
                                   "opens."),
            "ruptures": tr("{part} ruptures in a very slow fire before {vents} opens."),
        }.get(outcome, tr("nothing is known about {part} in a very slow fire."))  # fmt: skip
    elif reason.code == "vented within the limit":
        pattern = (
            tr("{part} vents in time: {vents} opens{time}.")
            if len(reason.emptying) == 1
            else tr("{part} vents in time: {vents} open, the first{time}.")
            if time
            else tr("{part} vents in time: {vents} open.")
        )
    elif reason.creep:
        pattern = {
            "limit passed": tr("{part} passes the limit{but}: its metal creeps for too long."),
        }.get(reason.code, tr("{part} ruptures{time}{but}: its metal has crept for too long."))
    else:
        pattern = {
            "within the limit": tr("{part} outlasts the fire{but}."),
            "limit passed": tr("{part} passes the limit{but}."),
        }.get(reason.code, tr("{part} ruptures{time}{but}."))
    return pattern.format(
        part=part,
        time=time,
        but=_but(reason, part, kinds),
        vents=vents,
        why=reason_clause(reason, kinds),
    )


def _but(reason: Reason, part: str, kinds: Mapping[str, str]) -> str:
    """What had opened and did not help, or that nothing had."""
    if reason.creep:
        vents = with_kind(reason.opened, kinds)
        return tr(" although {vents} had opened").format(vents=vents) if vents else ""
    if reason.code in ("ruptured", "limit passed") and reason.emptying:
        vents = with_kind(reason.emptying, kinds)
        return (
            tr(" although {vents} had opened: it cannot empty {part} in time")
            if len(reason.emptying) == 1
            else tr(" although {vents} had opened: they cannot empty {part} in time")
        ).format(vents=vents, part=part)
    if reason.code == "line ruptured" and reason.opened:
        return tr(" although {vents} had opened").format(vents=with_kind(reason.opened, kinds))
    if reason.opened and not reason.emptying:
        vents = with_kind(reason.opened, kinds)
        if reason.code == "within the limit":
            return tr(" without a vent: no air of {part} reaches {vents}").format(
                vents=vents, part=part
            )
        return tr(" although {vents} had opened: no air of {part} reaches it").format(
            vents=vents, part=part
        ) if len(reason.opened) == 1 else tr(
            " although {vents} had opened: no air of {part} reaches them"
        ).format(vents=vents, part=part)  # fmt: skip
    if reason.code in ("ruptured", "line ruptured"):
        return tr(": no plug or disc had opened by then")
    if reason.code == "limit passed":
        return tr(": no plug or disc opens")
    if reason.emptying:
        return ""
    return tr(" without a vent")


def reason_clause(reason: Reason, kinds: Mapping[str, str] | None = None) -> str:
    """The reason alone, to stand behind an outcome in brackets or in a table."""
    known = dict(kinds or {})
    if not known:
        known |= dict.fromkeys(reason.opened, "plug")
    vents = with_kind(reason.emptying, known)
    opened = with_kind(reason.opened, known)
    if reason.code == "solver":
        detail = reason.detail.rstrip(".")
        return tr(_STATUSES.get(detail, detail)) or tr("no reason given")
    if reason.code == "isothermal" and not reason.opened:
        return tr("a very slow fire in which no plug opens")
    if reason.code == "isothermal":
        return tr("a very slow fire, until {vents} opens").format(vents=vents)
    if reason.code == "vented within the limit":
        text = tr("air leaves through {vents}").format(vents=vents)
    elif reason.code == "within the limit":
        text = tr("no vent is needed")
    elif reason.code == "line ruptured":
        text = (
            tr("although {vents} had opened").format(vents=opened)
            if reason.opened
            else tr("before any plug or disc opens")
        )
    elif reason.emptying:
        text = tr("although {vents} had opened, which cannot empty it in time").format(vents=vents)
    elif reason.opened:
        text = tr("although {vents} had opened, which its air cannot reach").format(vents=opened)
    elif reason.code == "ruptured":
        text = tr("before any plug or disc opens")
    else:
        text = tr("no plug or disc opens")
    if reason.creep:
        text += tr("; the metal creeps for too long")
    return text
