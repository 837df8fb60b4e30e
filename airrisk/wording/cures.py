"""Bores and cures in words: what a run has proven, with its margin, and why there is none."""

from __future__ import annotations

import math
from collections.abc import Sequence

from airrisk.physics import alloys
from airrisk.study.records import BoreSearch, Cure, FireRecord, NoCure
from airrisk.tables import read_toml
from airrisk.verdict.rule import is_safe
from airrisk.wording.fire_names import stated_name
from airrisk.wording.free_heads import freed_deed
from airrisk.wording.labels import named, sentence
from airrisk.wording.margins import limit_of, load_text
from airrisk.wording.reasons import kinds_of, with_kind
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    SMALLEST_TOLD,
    Units,
    and_list,
    least_bore_text,
    percent_text,
    quantity_text,
    time_text,
)

LATEST_MELTING = 1199.9  # K, the search for the latest melting alloy goes to 1200 K
MOST_ALLOYS = 4  # that are listed one by one
SAME_BORE = 0.1  # two bores that differ by a smaller share of the larger are called alike


def usual_bores() -> tuple[float, ...]:
    """Bores that plugs usually come with, m, the smallest first."""
    return tuple(1e-3 * size for size in read_toml("plug_body.toml")["usual_bores"]["mm"])


def bore_with_margin(least: float) -> float | None:
    """The least usual bore of which ``least`` leaves a margin, m; None: there is none so large."""
    from airrisk.study.fire_cures import BORE_MARGIN

    return next(
        (size for size in usual_bores() if size * BORE_MARGIN >= least * (1.0 - 1e-9)), None
    )


def alloy_text(key: str, units: Units) -> str:
    """An alloy as the trade buys it: "138 °C alloy (Bi58Sn42)", "tin (232 °C)"."""
    try:
        alloy = alloys.alloy(key)
    except alloys.UnknownAlloy:
        return key
    melting = quantity_text(alloy.liquidus, "temperature", units, 3)
    if key.isalpha():  # a pure metal
        return tr("{metal} ({melting})").format(metal=key, melting=melting)
    return tr("{melting} alloy ({metal})").format(metal=key, melting=melting)


def alloy_choices(units: Units) -> dict[str, str]:
    """Every alloy of the table with where it begins to melt and is molten, for a list."""
    found = {}
    for alloy in alloys.alloys():
        low, high = (
            quantity_text(one, "temperature", units, 3) for one in (alloy.solidus, alloy.liquidus)
        )
        pattern = tr("{metal} ({melting})") if low == high else tr("{metal} ({low} to {high})")
        found[alloy.key] = pattern.format(metal=alloy.key, melting=high, low=low, high=high)
    return found


def _margin() -> str:
    """What a least bore takes of the advised one, at most."""
    from airrisk.study.fire_cures import BORE_MARGIN

    return percent_text(BORE_MARGIN, 2)


def api521_text(area: float, bore: float, units: Units) -> str:
    """The area of the usual rule beside a least bore, and why the two differ."""
    across = math.sqrt(4.0 * area / math.pi)
    text = tr("API 521 gives {area}, a bore of {across}").format(
        area=quantity_text(area, "area", units, 3),
        across=quantity_text(across, "length", units, 3),
    )
    if abs(across - bore) <= SAME_BORE * max(across, bore):
        return text
    return text + (
        tr(": less, because it passes only what the heat expands; the runs must empty the vessel "
           "before its hot wall gives way")
        if across < bore
        else tr(": more, because it keeps the pressure near the design pressure; the runs ask "
                "only that the hot wall holds")
    )  # fmt: skip


def cure_deed(cure: Cure, fire: FireRecord, units: Units) -> str:
    """What a cure asks to do, without its bore."""
    fields = {key: text.strip('"') for key, text in cure.added}
    changed = {key: text.strip('"') for device, key, text in cure.changes if device == cure.device}
    alloy = fields.get("alloy") or changed.get("alloy") or ""
    melting = quantity_text(cure.melting_k, "temperature", units, 3)
    deeds = {
        "renew": tr("Renew {plug}, so that it is clean and in date"),
        "bore": tr("Give {plug} a larger bore"),
        "place": tr("Fit {plug} where the flames of {fire} reach it"),
        "alloy": tr("Give {plug} the {alloy}"),
        "place and bore": tr("Fit {plug} where the flames of {fire} reach it, with a larger bore"),
        "alloy and bore": tr("Give {plug} the {alloy} and a larger bore"),
        "fit": tr("Fit a plug of {alloy} on top of {part}, in the flames"),
    }
    deed = deeds[cure.kind].format(
        plug=named("plug", [cure.device]),
        fire=stated_name(fire) if fire.fire_class == "stated" else tr("the fire"),
        part=with_kind([fields.get("on", "")], kinds_of(fire)),
        alloy=alloy_text(alloy, units) if alloy else tr("alloy that is molten at {melting}").format(
            melting=melting
        ),
    )  # fmt: skip
    return freed_deed(deed, cure)


def cure_sentence(cure: Cure, fire: FireRecord, units: Units) -> str:
    """A cure that the runs of a fire have proven: what to do, the bore with its margin, the proof.

    Parameters
    ----------
    cure : Cure
        One of the fire's.
    fire : FireRecord
        The fire that it cures.
    units : Units
        Unit set and atmosphere.
    """
    least = quantity_text(cure.bore_m, "length", units, 3)
    bore = tr("Least bore by the runs: {bore}").format(bore=least)
    fit = cure.advised_m
    if not _writes_bore(cure):
        bore += tr("; the fitted bore is no smaller")
    elif fit is not None and fit > cure.bore_m * (1.0 + 1e-9):
        bore += tr("; fit {bore}, the usual size of which it takes at most {share}").format(
            bore=quantity_text(fit, "length", units, 3), share=_margin()
        )
    else:
        bore += tr("; no usual size leaves anything in hand, fit no less")
    pieces = [cure_deed(cure, fire, units) + ".", bore + "."]
    if cure.api521_area_m2 is not None:
        pieces.append(api521_text(cure.api521_area_m2, cure.bore_m, units) + ".")
    load = load_text(cure.peak_strength_use, limit_of(fire), cure.creep_damage)
    pieces.append(
        tr("With the least bore, {runs} runs take at most {load}.").format(
            runs=cure.runs, load=load
        )
        if cure.runs
        else tr("With the least bore it takes at most {load}.").format(load=load)
    )
    return " ".join(pieces)


def _size(cure: Cure, units: Units) -> str:
    return quantity_text(cure.advised_m or cure.bore_m, "length", units, 3)


def _largest(cures: Sequence[tuple[Cure, FireRecord]]) -> tuple[Cure, FireRecord]:
    return max(cures, key=lambda one: (one[0].advised_m or one[0].bore_m, one[0].bore_m))


def brief_cure_line(cures: Sequence[tuple[Cure, FireRecord]], units: Units) -> str:
    """The deed of ``cure_line`` without the fires that it is proven for."""
    cure, fire = _largest(cures)
    deed = cure_deed(cure, fire, units)
    if not _writes_bore(cure):
        return tr("{deed}.").format(deed=deed)
    return tr("{deed}. Choose a bore of {size}.").format(deed=deed, size=_size(cure, units))


def cure_line(cures: Sequence[tuple[Cure, FireRecord]], units: Units) -> str:
    """One deed that cures several fires, in short: the largest bore, and what it is proven for.

    Parameters
    ----------
    cures : sequence of (Cure, FireRecord)
        Of one kind, one device and one alloy.
    units : Units
        Unit set and atmosphere.
    """

    def size(cure: Cure) -> str:
        return _size(cure, units)

    cure, fire = _largest(cures)
    deed = cure_deed(cure, fire, units)
    if not _writes_bore(cure):
        text = tr("{deed}. The fitted bore is enough for that.").format(deed=deed)
        names = dict.fromkeys(_fire_name(its) for _, its in cures)
        return (
            text + " " + tr("Runs have proven it for {fires}.").format(fires=and_list(list(names)))
        )
    text = tr("{deed}. Choose a bore of {size}.").format(deed=deed, size=size(cure))
    proven: dict[str, list[str]] = {}
    for other, its in cures:
        proven.setdefault(size(other), []).append(_fire_name(its))
    if len(proven) == 1:
        names = dict.fromkeys(name for one in proven.values() for name in one)
        return (
            text + " " + tr("Runs have proven it for {fires}.").format(fires=and_list(list(names)))
        )
    told = [
        tr("{size} for {fires}").format(size=each, fires=and_list(list(dict.fromkeys(names))))
        for each, names in sorted(proven.items(), key=lambda one: one[0] != size(cure))
    ]
    return text + " " + tr("Runs have proven {sizes}.").format(sizes=and_list(told))


def _fire_name(fire: FireRecord) -> str:
    """A fire in the middle of a sentence, in a few words."""
    if fire.fire_class == "stated":
        return stated_name(fire)
    return {
        "whole": tr("the fire with all in flames"),
        "beside": tr("the fire beside it"),
        "spot": tr("the fire on a small spot"),
    }[fire.fire_class]


def _writes_bore(cure: Cure) -> bool:
    """Whether a cure changes the bore or brings one."""
    return any(key == "bore" for _, key, _ in (*cure.changes, *(("", *a) for a in cure.added)))


def no_cure_sentence(fire: FireRecord, no_cure: NoCure, units: Units) -> str:
    """Why no plug that was tried makes a fire safe.

    Where devices without credit would make it safe, this is told of the others only.
    """
    if no_cure.code == "too late" and not no_cure.tried:
        return tr(
            "No plug was tried for this fire alone: there only vessels get a new one. Plans try "
            "one on lines too, see Cures."
        )
    lowest = quantity_text(no_cure.lowest_solidus_k, "temperature", units, 3)
    because = {
        "out of the flames": tr("its plugs are out of the flames and learn of the fire too late"),
        "too hot": tr("no alloy may be fitted: normal running asks for one that does not begin to "
                      "melt below {lowest}").format(lowest=lowest),
        "too late": tr("the metal gives way before the air is out"),
    }[no_cure.code]  # fmt: skip
    text = tr("No plug that was tried makes this fire safe, because {because}.")
    working = None if fire.envelope is None else fire.envelope.outcome_working
    if fire.uncredited and working is not None and is_safe(working):
        text = tr(
            "While {devices} cannot be counted on, no other plug that was tried makes this "
            "fire safe, because {because}."
        )
    devices = with_kind(list(fire.uncredited), kinds_of(fire))
    text = text.format(devices=devices, because=because)
    keys = [key for key in no_cure.tried if key]
    return f"{text} {_tried_sentence(keys, units)}" if keys else text


def _tried_sentence(keys: Sequence[str], units: Units) -> str:
    """The alloys that runs were made with; of many only how hot they have to be."""
    if len(keys) <= MOST_ALLOYS:
        tried = and_list([alloy_text(key, units) for key in keys])
        return tr("The runs tried {alloys}.").format(alloys=tried)
    molten = [alloys.alloy(key).liquidus for key in keys]
    low, high = (quantity_text(one, "temperature", units, 3) for one in (min(molten), max(molten)))
    return tr("The runs tried {count} alloys, which are molten at {low} to {high}.").format(
        count=len(keys), low=low, high=high
    )


def useful_cures(fire: FireRecord) -> tuple[Cure, ...]:
    """The cures without those that ask for another alloy and for no smaller a bore besides."""
    bores = {one.device: one.bore_m for one in fire.cures if one.kind == "bore"}
    return tuple(
        one
        for one in fire.cures
        if one.kind != "alloy and bore" or one.bore_m < bores.get(one.device, math.inf)
    )


def cure_sentences(fire: FireRecord, units: Units) -> list[str]:
    """The proven cures of a fire, or why there is none; empty where none was sought."""
    found = [cure_sentence(cure, fire, units) for cure in useful_cures(fire)]
    if not found and fire.no_cure is not None:
        found.append(no_cure_sentence(fire, fire.no_cure, units))
    return found


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
        return tr("no air of {part} reaches it").format(part=with_kind([part], kinds_of(fire)))
    return ""


def bore_text(fire: FireRecord, plug: str, search: BoreSearch, units: Units) -> str:
    """The least bore of one plug in the worst run of a fire, with the usual size to fit."""
    if search.exact_m is None:
        why = why_no_bore(fire, plug)
        return tr("no bore of it alone is enough") + (f": {why}" if why else "")
    least = least_bore_text(search.exact_m, units)
    others = len(fire.bores) > 1
    proven = any(one.device == plug and one.kind == "bore" for one in fire.cures)
    if fire.safe is False and not proven:
        return tr("{bore} would pass one run, but not every run of this fire").format(bore=least)
    if search.exact_m <= SMALLEST_TOLD:  # smaller ones were not tried
        pattern = (
            tr("a bore of {bore} would already be enough by the runs, the other plugs as fitted")
            if others
            else tr("a bore of {bore} would already be enough by the runs")
        )
        text = pattern.format(bore=quantity_text(search.exact_m, "length", units, 3))
    elif others:
        text = tr("least bore by the runs {bore}, the other plugs as fitted").format(bore=least)
    else:
        text = tr("least bore by the runs {bore}").format(bore=least)
    fit = bore_with_margin(search.exact_m)
    if fit is not None:
        text += tr("; fit {bore}, the usual size of which it takes at most {share}").format(
            bore=quantity_text(fit, "length", units, 3), share=_margin()
        )
    if search.least_opening_share is not None:
        text += tr("; at least {share} of the fitted bore must open").format(
            share=percent_text(least_share(search.least_opening_share), 2)
        )
    return text


def least_share(share: float) -> float:
    """A least share as it is printed: rounded up to whole percents."""
    return math.ceil(100.0 * share - 1e-6) / 100.0


def bore_sentences(fire: FireRecord, units: Units) -> list[str]:
    """For each plug of a fire the smallest bore that is enough, or that none is."""
    return [
        f"{sentence(named('plug', [plug]))}: {bore_text(fire, plug, search, units)}."
        for plug, search in fire.bores.items()
    ]
