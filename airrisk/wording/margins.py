"""How far a verdict is from the other one, which run ruled, and what a safe one hangs on."""

from __future__ import annotations

from collections.abc import Iterable

from airrisk.messages import Texts
from airrisk.study.records import ASSUMED_SHARES, CornerRecord, DoubtRecord, FireRecord
from airrisk.verdict.rule import DAMAGE_LIMIT
from airrisk.wording import labels
from airrisk.wording.reasons import kinds_of, with_kind
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    Units,
    and_list,
    localised,
    number_text,
    percent_text,
    quantity_text,
    time_text,
)

_DOUBTS: Texts[dict[str, str]] = {
    "relief valve": "if no relief valve opens",
    "strength basis": "on the cautious basis (yield strength)",
    "convection 0.6": "if the air inside warms 40 % more slowly",
    "convection 1.4": "if the air inside warms 40 % faster",
    "contact": "if a third of the heat passes into the plug",
    "flames on the plug": "if no flame touches plug and boss",
    "metal at the plug": "if 0.5 kg more metal warms with the plug",
    "slow plug": "if poor contact, no flame on it and 0.5 kg more metal hold the plug back",
    "half the bore": "if only half of the bore opens",
    "creep rate": "if the creep of the metal is counted by the Omega rate",
    "insulation": "if the insulation holds back half of what it should",
}


def load_percent(use: float, limit: float) -> str:
    """Strength use in percent of its limit; near the limit never rounded across it."""
    share = 100.0 * use / limit
    if 99.5 <= share < 100.5:
        text = f"{share:.1f}"
        if text == "100.0" and share != 100.0:
            return tr("just under 100\u00a0%") if share < 100.0 else tr("just over 100\u00a0%")
        return f"{localised(text.removesuffix('.0'))}\u00a0%"
    if share >= 1000.0:
        return tr("over 1000\u00a0%")
    return f"{share:.0f}\u00a0%" if share >= 9.5 else percent_text(share / 100.0, 2)


def load_text(use: float | None, limit: float | None, damage: float | None = None) -> str:
    """What a strength use means, with it: "84 % of the allowed load (strength use 0.56, ...)".

    Where the creep ``damage`` decides, that is told instead.
    """
    if use is None:
        return ""
    if damage is not None and creep_decides(use, limit, damage):
        return tr("{share} of the allowed creep damage (damage {damage}, limit {limit})").format(
            share=creep_percent(damage),
            damage=number_text(min(damage, 1.0), 3),
            limit=number_text(DAMAGE_LIMIT, 3),
        )
    if limit is None or limit <= 0.0:
        return tr("strength use {use}").format(use=number_text(use, 3))
    return tr("{share} of the allowed load (strength use {use}, limit {limit})").format(
        share=load_percent(use, limit), use=_use_beside(use, limit), limit=number_text(limit, 3)
    )


def _use_beside(use: float, limit: float) -> str:
    """A strength use that never reads as its limit when it is not, and has four figures at most."""
    digits = next((n for n in (3, 4) if number_text(use, n) != number_text(limit, n)), 3)
    told = number_text(use, digits)
    if use == limit or told != number_text(limit, digits):
        return told
    return (tr("just under {limit}") if use < limit else tr("just over {limit}")).format(limit=told)


def creep_decides(use: float | None, limit: float | None, damage: float | None) -> bool:
    """Whether the strength use is within its limit and creep takes more of its own."""
    if use is None or not limit or damage is None or use > limit:
        return False
    return damage / DAMAGE_LIMIT > use / limit


def share_text(use: float | None, limit: float | None, damage: float | None) -> str:
    """What of the allowed is taken, short: "84 %", "creep 124 %"; empty: nothing is known."""
    if use is None or not limit:
        return ""
    if damage is not None and creep_decides(use, limit, damage):
        return tr("creep {share}").format(share=creep_percent(damage))
    return load_percent(use, limit)


def creep_percent(damage: float) -> str:
    """Creep damage in percent of what is allowed."""
    return load_percent(damage, DAMAGE_LIMIT)


def doubt_percent(doubt: DoubtRecord, limit: float) -> str:
    """How far a doubt goes, in percent of what is allowed: of the load, or of the creep damage."""
    return load_percent(max(doubt.peak_strength_use / limit, doubt.creep_damage / DAMAGE_LIMIT), 1)


def worst_load(fire: FireRecord) -> tuple[float, float, float | None] | None:
    """Strength use, its limit and creep damage of the worst run; ``None``: they do not tell.

    Where a line ruptures what the vessels bear says nothing of it.
    """
    reason = fire.reason if fire.envelope is None else fire.envelope.reason
    use, limit = fire.worst_use, limit_of(fire)
    if use is None or not limit or reason.code == "line ruptured":
        return None
    return use, limit, fire.worst_damage


def limit_of(fire: FireRecord) -> float | None:
    """The largest strength use that counts as safe in a fire."""
    return None if fire.margins is None else fire.margins.strength_use_limit


def heat_text(heat: float) -> str:
    """A share of the stated heat: "half the heat"."""
    if heat == 0.5:
        return tr("half the heat")
    return tr("{share} of the heat").format(share=percent_text(heat, 2))


def corner_pieces(
    corner: CornerRecord, fire_class: str, without_credit: str, units: Units
) -> list[str]:
    """What sets a run apart from its fire as stated; empty: nothing does.

    Parameters
    ----------
    corner : CornerRecord
        Which run.
    fire_class : str
        Of the fire.
    without_credit : str
        The devices on which nobody may count, in words.
    units : Units
        Unit set and atmosphere.
    """
    pressure = quantity_text(corner.start_pa, "pressure", units, 3)
    if corner.isothermal_k is not None:
        return [
            tr(
                "a very slow fire, from {pressure}, the highest that can stand there, all at "
                "{temperature}"
            ).format(
                pressure=pressure,
                temperature=quantity_text(corner.isothermal_k, "temperature", units, 3),
            )
        ]
    pieces = []
    if corner.start == "highest":
        pieces.append(
            tr("starting from {pressure}, the highest that can stand there").format(
                pressure=pressure
            )
        )
    elif corner.start == "thinner":
        pieces.append(
            tr("starting from {pressure}, less than the highest that can stand there").format(
                pressure=pressure
            )
        )
    if corner.heat != 1.0:
        pieces.append(tr("with {heat}").format(heat=heat_text(corner.heat)))
    if corner.condensate is not None:
        pieces.append(_water_text(corner.condensate))
    if corner.layers != "counted":
        pieces.append(_layers_text(corner.layers))
    if corner.lasts_s is not None:
        ends = time_text(corner.lasts_s)
        pieces.append(tr("in a fire that ends after {time}").format(time=ends))
    if corner.machines == "stopped":
        pieces.append(tr("with the compressors stopped by the fire"))
    full = ASSUMED_SHARES.get(fire_class, 1.0)
    if corner.share is not None and corner.share < full:
        pieces.append(
            tr("with {share} of the shell in the fire").format(share=percent_text(corner.share, 3))
        )
    if corner.devices == "working" and without_credit:
        pieces.append(
            tr("with {devices} working, on which nobody may count").format(devices=without_credit)
        )
    return pieces


def _layers_text(layers: str) -> str:
    """Which insulation is there that does not count."""
    if layers == "all":
        return tr("with the insulation in place that does not count")
    return tr("with the insulation in place where no fire strikes it")


def _water_text(share: float) -> str:
    """How much of the stated condensate is there: "with 10 % of the stated condensate"."""
    if share == 0.0:
        return tr("drained of condensate")
    return tr("with {share} of the stated condensate").format(share=percent_text(share, 2))


def is_as_stated(fire: FireRecord) -> bool:
    """Whether the run that ruled is the fire as stated."""
    seen = fire.envelope
    if seen is None:
        return True
    corner = seen.corner
    return (
        corner.start == "stated"
        and corner.heat == 1.0
        and corner.devices == "credited"
        and corner.isothermal_k is None
        and corner.condensate is None
        and corner.layers == "counted"
        and corner.machines == "as stated"
        and corner.lasts_s is None
        and seen.peak_pressure_pa == fire.peak_pressure_pa  # tells a smaller share apart
    )


def corner_text(fire: FireRecord, units: Units) -> str:
    """The run that ruled: "starting from 11 bar(g), the highest that can stand there"."""
    if fire.envelope is None or is_as_stated(fire):
        return tr("as stated")
    doubted = with_kind(list(fire.uncredited), kinds_of(fire))
    pieces = corner_pieces(fire.envelope.corner, fire.fire_class, doubted, units)
    return (", " if len(pieces) < 3 else "; ").join(pieces) or tr("as stated")


def doubt_text(what: str) -> str:
    """One doubt as a condition: "if no relief valve opens"."""
    return tr(_DOUBTS.get(what, what))


def doubts_text(doubts: Iterable[DoubtRecord]) -> str:
    """What a safe verdict turns to, and by which doubts; empty: by none."""
    turned: dict[str, list[str]] = {}
    for doubt in doubts:
        if not doubt.safe:
            turned.setdefault(labels.answer(doubt.outcome, doubt.safe), []).append(
                doubt_text(doubt.what)
            )
    return "; ".join(
        tr("{outcome} {conditions}").format(outcome=outcome, conditions=tr("; or ").join(told))
        for outcome, told in turned.items()
    )


def hangs_on(fire: FireRecord) -> str:
    """What a safe verdict that is not sure hangs on; empty: on nothing known."""
    pieces = [doubts_text(doubt for doubt in fire.doubts if doubt.counts)]
    if fire.unconfirmed:
        pieces.append(
            tr("offered values of {parts} are not confirmed").format(
                parts=with_kind(list(fire.unconfirmed), kinds_of(fire))
            )
        )
    if fire.no_creep_data:
        pieces.append(
            tr("nothing is known of the creep of the metal of {parts}").format(
                parts=with_kind(list(fire.no_creep_data), kinds_of(fire))
            )
        )
    if fire.not_placed:
        pieces.append(
            tr("the place of {parts} is not stated, and the run left that out").format(
                parts=with_kind(list(fire.not_placed), kinds_of(fire))
            )
        )
    if fire.leaned_on:
        pieces.append(
            tr(
                "wind that leans the flame over changes the heat on {parts}, which no run counts"
            ).format(parts=with_kind(list(fire.leaned_on), kinds_of(fire)))
        )
    if fire.hot_room:
        pieces.append(
            tr("hot gas fills {room} meanwhile, which the run leaves out").format(
                room=labels.named("room", [fire.hot_room])
            )
        )
    if fire.reached_plugs:
        pieces.append(
            tr("{plugs} must be reached by its heat, which a smaller fire may miss").format(
                plugs=labels.named("plug", list(fire.reached_plugs))
            )
        )
    if fire.much_water:
        pieces.append(
            tr(
                "condensate fills more than a fifth of {parts}, and no run counts its expansion"
            ).format(parts=with_kind(list(fire.much_water), kinds_of(fire)))
        )
    if fire.lines_come_apart:
        pieces.append(
            tr("{lines} parts at its soft solder or bursts as a hose, which no run counts").format(
                lines=with_kind(list(fire.lines_come_apart), kinds_of(fire))
            )
            if len(fire.lines_come_apart) == 1
            else tr(
                "{lines} part at their soft solder or burst as hoses, which no run counts"
            ).format(lines=with_kind(list(fire.lines_come_apart), kinds_of(fire)))
        )
    return "; ".join(piece for piece in pieces if piece)


def surety_text(fire: FireRecord) -> str:
    """ "sure", or what a safe verdict hangs on; empty for one that is not safe."""
    if not fire.safe:
        return ""
    if fire.sure:
        return tr("sure")
    return tr("not sure: {why}").format(why=hangs_on(fire) or tr("not checked"))


def uncredited_sentence(fire: FireRecord) -> str:
    """The devices that the verdict does not count on, with why; empty: there is none."""
    if not fire.uncredited:
        return ""
    kinds = kinds_of(fire)
    told = [
        f"{with_kind([name], kinds)} ({labels.no_credit_reason(why)})"
        for name, why in fire.uncredited.items()
    ]
    return tr("Nobody may count on {devices}.").format(devices=and_list(told))
