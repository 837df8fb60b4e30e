"""What would turn an unsafe fire into one that vents in time; every cure is proven by its runs.

A cure is proven by the whole envelope of the changed fire, not by one run. New plugs and other
alloys are tried in the order in which the trade uses them; none that would begin to melt too near
to normal running.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import networkx as nx

from airrisk.fire.bores import BoreResult, api521_area, smallest_bore, usual_bores
from airrisk.fire.case import plugs_in_fire
from airrisk.fire.outcome import classify
from airrisk.installation.insulation import insulation_of, is_covered
from airrisk.installation.model import Plug
from airrisk.installation.sections import devices_in_reach, gas_graph
from airrisk.physics import alloys
from airrisk.study.envelope import Envelope, envelope, isothermal, run_corners
from airrisk.study.fire_runs import STATED, Corner, FireStudy
from airrisk.study.records import BoreSearch, Cure, NoCure
from airrisk.study.side_by_side import side_by_side
from airrisk.study.slices import DeviceCredit, FireSlice
from airrisk.verdict.rule import is_safe

BORE_STEP = 1e-4  # m, bores are printed in tenths of a millimetre, rounded up
MOST_ALLOYS = 6  # tried for a plug, the usual ones of the trade first
FIRST_BORE = 0.01  # m, of a new plug before its bore is known
LARGER = (1.0, 1.1, 1.25, 1.5, 2.0)  # times the exact bore; larger ones are not worth trying
BORE_MARGIN = 0.8  # a usual size of which the least bore is a larger share gives too little


def search_bores(study: FireStudy, corner: Corner, *, extras: bool = True) -> dict[str, BoreSearch]:
    """Smallest adequate bore of every credited plug of the section, the others as fitted.

    ``extras`` also asks for the latest melting point and the thinnest wall.
    A plug that no vessel of the section can send its air to is enough with no bore; it is not run.
    """
    case = study.case(replace(corner, devices="credited"))
    doubtful = set(study.uncredited)
    section = study.exposure.section
    graph = gas_graph(study.installation, section.closed_valves)
    reached = {name for vessel in section.vessels for name in nx.descendants(graph, vessel)}
    asked = [
        plug
        for plug in case.plugs
        if plug not in doubtful and case.plug_records[plug].alloy is not None
    ]

    def search(plug: str) -> BoreSearch:
        if section.vessels and plug not in reached:
            return BoreSearch(None, None, None, None, None, *api521_area(case, plug))
        return _search_record(
            smallest_bore(
                case,
                plug,
                extras=extras,
                should_stop=study.should_stop,
                ran=study.ran,
            )
        )

    return dict(zip(asked, side_by_side(search, asked), strict=True))


def _search_record(found: BoreResult) -> BoreSearch:
    return BoreSearch(
        found.exact_m,
        found.usual_m,
        None if found.late_by_s is None or found.late_by_s <= 0.0 else found.late_by_s,
        found.latest_melting_k,
        found.thinnest_wall_m,
        found.api521_area_m2,
        found.api521_inputs,
        found.least_opening_share,
    )


@dataclass(frozen=True)
class _Proposal:
    """A change of one plug, before its bore is known."""

    kind: Literal["renew", "bore", "place", "alloy", "fit"]
    plug: Plug  # as changed
    in_fire: bool  # whether the change moves it into the flames
    changes: tuple[tuple[str, str, str], ...]
    added: tuple[tuple[str, str], ...] = ()  # fields of a new plug, without its bore


def find_cures(
    study: FireStudy, searches: Mapping[str, BoreSearch]
) -> tuple[tuple[Cure, ...], NoCure | None]:
    """The cures of an unsafe fire, at most one of each kind for each plug.

    Parameters
    ----------
    study
        The fire and its section.
    searches
        Answers of ``search_bores``.

    Returns
    -------
    tuple
        The cures, and why there is none. Of a cure ``bore_m`` is the smallest bore, in tenths of
        a millimetre, that passes the whole envelope, and ``advised_m`` the usual size to fit;
        ``changes`` name a bore only where the fitted one is smaller.
    """
    inside = set(study.exposure.section.plugs)
    plugs = [p for p in study.installation.plugs if p.id in inside and p.alloy is not None]

    def cures_of(plug: Plug) -> tuple[list[Cure], list[str]]:
        proven: list[Cure] = []
        tried: list[str] = []
        hard: list[Corner] = []
        alloy_done = False
        for proposal in _proposals(study, plug, searches):
            if proposal.kind == "alloy" and alloy_done:
                continue
            tried.append(proposal.plug.alloy or "")
            cure = _prove(study, proposal, hard)
            if cure is not None:
                proven.append(cure)
                alloy_done = alloy_done or proposal.kind == "alloy"
        return proven, tried

    answers = side_by_side(cures_of, plugs)
    found = [cure for proven, _ in answers for cure in proven]
    tried = [alloy for _, alloys_tried in answers for alloy in alloys_tried]
    failed_at: list[Corner] = []
    for proposal in _new_plugs(study):
        tried.append(proposal.plug.alloy or "")
        cure = _prove(study, proposal, failed_at)
        if cure is not None:
            found.append(cure)
            break
    if found:
        return tuple(found), None
    return (), _why_none(study, plugs, tuple(dict.fromkeys(tried)))


def _why_none(study: FireStudy, plugs: list[Plug], tried: tuple[str, ...]) -> NoCure:
    """Why no plug turns the fire."""
    name = study.exposure.section.vessels[0] if study.exposure.section.vessels else ""
    lowest = _least_solidus(study.cut, name)
    usable = _in_order(study.cut, name)
    if not study.plugs_in_flames and all(share < 1.0 for _, share in study.fire.exposed_share):
        code: Literal["out of the flames", "too hot", "too late"] = "out of the flames"
    elif not usable:
        code = "too hot"
    else:
        code = "too late"
    alloys_tried = tried or tuple(dict.fromkeys(plug.alloy or "" for plug in plugs))
    return NoCure(code, alloys_tried, lowest)


def _new_plugs(study: FireStudy) -> Iterator[_Proposal]:
    """A plug on the vessel that decides, when its air reaches none, of the usual alloys first."""
    exposure = study.exposure
    vessel = _deciding(study)
    if vessel is None or study.fire.share(vessel) <= 0.0:
        return
    reached = devices_in_reach(study.installation, exposure.section.closed_valves, vessel)
    if set(reached) - set(study.dead):  # what stands under water is no way out
        return
    name = study.cut.free_id
    fire = study.fire
    changes: tuple[tuple[str, str, str], ...] = ()
    if is_fire_of_the_file(study) and (fire.plugs_in_fire is not None or fire.share(vessel) < 1.0):
        text = ", ".join(f'"{one}"' for one in (*_heated(study), name))
        changes = ((fire.id, "plugs_in_fire", f"[{text}]"),)
    covered = any(
        one.id == vessel and insulation_of(one) is not None for one in study.installation.holders()
    )
    for key in _in_order(study.cut, vessel)[:MOST_ALLOYS]:
        plug = Plug(
            id=name, on=vessel, alloy=key, bore=FIRST_BORE, condition="clean", fitted=study.cut.on,
            stands_free=covered,
        )  # fmt: skip
        added = (
            ("id", f'"{name}"'),
            ("on", f'"{vessel}"'),
            ("alloy", f'"{key}"'),
            ("place", '"top"'),
            ("condition", '"clean"'),
            ("fitted", study.cut.on.isoformat()),
            *((("stands_free", "true"),) if covered else ()),
        )
        yield _Proposal("fit", plug, bool(changes), changes, added)


def is_fire_of_the_file(study: FireStudy) -> bool:
    """Whether the file says itself which plugs are in the fire; a pool's place says it."""
    return study.cut.fire_class == "stated" and not study.cut.exposure.patches


def _deciding(study: FireStudy) -> str | None:
    """The vessel with the highest strength use as stated."""
    (run,) = study.run([study.case()])
    part = classify(run).controlling_part
    return part if part in study.exposure.section.vessels else None


def _in_order(cut: FireSlice, part: str) -> list[str]:
    """Alloys that may be fitted on a part: the usual ones of the trade first, then by melting."""
    lowest = _least_solidus(cut, part)
    usable = [alloy for alloy in alloys.alloys() if alloy.solidus >= lowest]
    usable.sort(key=lambda alloy: (alloy.usual or 99, -alloy.liquidus))
    return [alloy.key for alloy in usable]


def _proposals(
    study: FireStudy, plug: Plug, searches: Mapping[str, BoreSearch]
) -> Iterator[_Proposal]:
    if plug.id in study.dead:
        return  # a new one would be under the same water
    if plug.id in study.uncredited:
        clean = replace(plug, condition="clean", fitted=study.cut.on)
        changes: tuple[tuple[str, str, str], ...] = (
            (plug.id, "condition", '"clean"'),
            (plug.id, "fitted", study.cut.on.isoformat()),
        )
        if is_covered(study.installation, plug):
            clean = replace(clean, stands_free=True)
            changes = (*changes, (plug.id, "stands_free", "true"))
        yield _Proposal("renew", clean, False, changes)
        return
    search = searches.get(plug.id)
    if search is not None and search.exact_m is not None and search.exact_m > plug.bore:
        yield _Proposal("bore", plug, False, ())
    fire = study.fire
    heated = plug.id in _heated(study)
    reached = any(name.casefold() == plug.on.casefold() for name in fire.reaches)
    if not heated and reached and is_fire_of_the_file(study):
        named = [*_heated(study), plug.id]
        text = "[" + ", ".join(f'"{name}"' for name in named) + "]"
        yield _Proposal("place", plug, True, ((fire.id, "plugs_in_fire", text),))
    present = alloys.alloy(plug.alloy or "").liquidus
    lower = [
        key for key in _in_order(study.cut, plug.on) if alloys.alloy(key).liquidus < present - 1.0
    ]
    for key in lower[:MOST_ALLOYS]:
        yield _Proposal("alloy", replace(plug, alloy=key), False, ((plug.id, "alloy", f'"{key}"'),))


def _heated(study: FireStudy) -> tuple[str, ...]:
    return tuple(sorted(plugs_in_fire(study.installation, study.fire)))


def _least_solidus(cut: FireSlice, part: str) -> float:
    """The lowest temperature at which a plug on a part may begin to melt, K."""
    hottest = next(
        (t for name, t in cut.hottest if name.casefold() == part.casefold()),
        cut.installation.site.ambient_temperature,
    )
    return hottest + cut.installation.choices.running_margin


def _changed(study: FireStudy, proposal: _Proposal, bore: float) -> FireStudy:
    """The study of the changed installation; a renewed or new plug is credited."""
    cut = study.cut
    plug = replace(proposal.plug, bore=bore)
    plugs = tuple(plug if one.id == plug.id else one for one in cut.installation.plugs)
    exposure, credit = cut.exposure, cut.credits
    if proposal.added:
        plugs = (*plugs, plug)
        section = replace(exposure.section, plugs=(*exposure.section.plugs, plug.id))
        exposure = replace(exposure, section=section)
        credit = (*credit, DeviceCredit(plug.id))
    elif proposal.kind == "renew":
        credit = tuple(DeviceCredit(plug.id) if one.device == plug.id else one for one in credit)
    installation = replace(cut.installation, plugs=plugs)
    if proposal.in_fire:
        fire = replace(exposure.fire, plugs_in_fire=(*_heated(study), plug.id))
        exposure = replace(exposure, fire=fire)
    changed = replace(cut, installation=installation, exposure=exposure, credits=credit)
    return FireStudy(changed, study.should_stop, study.ran, study.known)


def _prove(study: FireStudy, proposal: _Proposal, hard: list[Corner]) -> Cure | None:
    """The change with the smallest bore that makes the whole fire safe; ``None``: there is none.

    ``hard`` are the corners at which other changes have failed, see ``_passes``.
    """
    trial = _changed(study, proposal, proposal.plug.bore)
    if not hard:
        hard.append(envelope(trial).corner)
    at = replace(hard[0], devices="credited")
    case = trial.case(at)
    found = smallest_bore(
        case,
        proposal.plug.id,
        extras=False,
        should_stop=study.should_stop,
        ran=study.ran,
    )
    if found.exact_m is None:
        return None
    least = _least_passing(study, proposal, found.exact_m, hard)
    if least is None:
        return None
    bore, proof = least
    advised = _advised(study, proposal, bore, hard)
    changes = proposal.changes
    kind: str = proposal.kind
    fit = proposal.plug.bore
    if advised is not None and (proposal.added or fit * BORE_MARGIN < bore * (1.0 - 1e-9)):
        fit = max(advised, proposal.plug.bore) if not proposal.added else advised
    elif bore > fit or proposal.added:
        fit = bore
    written = f'"{fit * 1e3:.4g} mm"'
    added = (*proposal.added, ("bore", written)) if proposal.added else ()
    if not added and fit > proposal.plug.bore * (1.0 + 1e-9):
        changes = (*changes, (proposal.plug.id, "bore", written))
        if kind in ("place", "alloy"):
            kind = f"{kind} and bore"
    if not changes and not added:
        return None
    area, _ = api521_area(case, proposal.plug.id)
    return Cure(
        kind=kind,  # type: ignore[arg-type]
        device=proposal.plug.id,
        changes=changes,
        bore_m=bore,
        melting_k=alloys.alloy(proposal.plug.alloy or "").liquidus,
        peak_strength_use=proof.ending.peak_use,
        creep_damage=proof.ending.creep_damage,
        added=added,
        advised_m=fit,
        api521_area_m2=area,
        runs=proof.runs,
    )


def _least_passing(
    study: FireStudy, proposal: _Proposal, exact: float, hard: list[Corner]
) -> tuple[float, Envelope] | None:
    """The smallest bore from the exact one on that passes the whole envelope, with its proof.

    Sizes are tried at the corners that have failed before; only one that holds at all of them is
    proven by the whole envelope. A corner that fails there is asked of all larger sizes.
    """
    failing = math.ceil(exact / BORE_STEP - 1e-6) - 1
    while True:
        least = _least_at(study, proposal, failing, exact, hard)
        if least is None:
            return None
        known = len(hard)
        proof = _passes(study, proposal, least * BORE_STEP, hard)
        if proof is not None:
            return least * BORE_STEP, proof
        if len(hard) == known:  # no corner: it holds, but not by the plug
            return None
        failing = least


def _least_at(
    study: FireStudy, proposal: _Proposal, failing: int, exact: float, hard: list[Corner]
) -> int | None:
    """The smallest bore above one that fails which holds at the hard corners, in steps of 0.1 mm.

    A larger plug has more metal and may open later, so that a few sizes are tried before any is
    given up; between the last that fails and the first that holds the border is halved.
    """
    holding: int | None = None
    for growth in LARGER:
        tried = max(math.ceil(growth * exact / BORE_STEP - 1e-6), failing + 1)
        if _holds_at(_changed(study, proposal, tried * BORE_STEP), hard):
            holding = tried
            break
        failing = tried
    if holding is None:
        return None
    while holding - failing > 1:
        middle = (failing + holding) // 2
        if _holds_at(_changed(study, proposal, middle * BORE_STEP), hard):
            holding = middle
        else:
            failing = middle
    return holding


def _holds_at(changed: FireStudy, hard: list[Corner]) -> bool:
    """Whether a changed fire is safe at every corner of a list, and in a very slow fire."""
    slow = isothermal(changed)
    if slow is not None and not slow.use <= changed.case().limit:
        return False
    return all(is_safe(run_corners(changed, [one])[one].outcome) for one in hard)


def _passes(
    study: FireStudy, proposal: _Proposal, bore: float, hard: list[Corner]
) -> Envelope | None:
    """The envelope of the changed fire, when it is safe and the plug vents it as stated.

    ``hard`` are the corners at which changes have failed before; they are asked first, and the
    one at which this change fails is added.
    """
    changed = _changed(study, proposal, bore)
    if not _holds_at(changed, hard):
        return None
    found = envelope(changed)
    if not found.safe:
        hard.insert(0, found.corner)
        return None
    case = changed.case(STATED)
    (ending,) = changed.endings(case, [{}])
    return found if ending.outcome == "vents in time" else None


def _advised(
    study: FireStudy, proposal: _Proposal, bore: float, hard: list[Corner]
) -> float | None:
    """The usual size to fit: the least one that leaves the margin, proven like the least bore."""
    for size in usual_bores():
        enough = size * BORE_MARGIN >= bore * (1.0 - 1e-9)
        if enough and _passes(study, proposal, size, hard) is not None:
            return size
    return None
