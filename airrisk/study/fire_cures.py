"""What would turn an unsafe fire into one that vents in time; every cure is proven by its runs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Literal, cast

import networkx as nx

from airrisk.firetest.bores import BoreResult, Judge, api521_area, smallest_bore
from airrisk.firetest.case import FireCase
from airrisk.firetest.outcome import Verdict
from airrisk.installation.model import Installation, Line, Plug
from airrisk.installation.sections import gas_graph
from airrisk.physics import alloys
from airrisk.study.compressors import compressor_records
from airrisk.study.fire_outcomes import FireStudy, Setting, badness
from airrisk.study.records import BoreSearch, Cure
from airrisk.study.running import running_temperatures
from airrisk.study.side_by_side import side_by_side
from airrisk.study.steam import judge
from airrisk.study.vents import devices_in_reach

BORE_STEP = 1e-4  # m, bores are printed in tenths of a millimetre, rounded up
MOST_ALLOYS = 3  # tried for a new plug
FIRST_BORE = 0.01  # m, of a new plug before its bore is known
LARGEST_CHANGE = 2.0  # a bore this many times the exact one is not worth trying again


def search_bores(
    study: FireStudy, setting: Setting, *, extras: bool = True
) -> dict[str, BoreSearch]:
    """Smallest adequate bore of every credited plug of the section, the others as fitted.

    ``extras`` also asks for the latest melting point and the thinnest wall.
    A plug that no vessel of the section can send its air to is enough with no bore; it is not run.
    """
    case = study.case(setting)
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
                judge=_judge_of(study, case),
            )
        )

    return dict(zip(asked, side_by_side(search, asked), strict=True))


def _judge_of(study: FireStudy, case: FireCase) -> Judge | None:
    """How runs that steam or a line in the fire can turn are judged; others by their peaks."""
    if any(
        part.condensate > 0.0 or (isinstance(part, Line) and study.exposure.fire.share(name) > 0.0)
        for name, part in case.parts.items()
    ):
        return partial(judge, study.installation)
    return None


def _search_record(found: BoreResult) -> BoreSearch:
    return BoreSearch(
        found.exact_m,
        found.usual_m,
        None if found.late_by_s is None or found.late_by_s <= 0.0 else found.late_by_s,
        found.latest_melting_k,
        found.thinnest_wall_m,
        found.api521_area_m2,
        found.api521_inputs,
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
    study: FireStudy, setting: Setting, searches: Mapping[str, BoreSearch]
) -> tuple[Cure, ...]:
    """The cures of an unsafe fire, at most one of each kind for each plug.

    Parameters
    ----------
    study
        The fire and its section.
    setting
        The settings of the run that gave the verdict.
    searches
        Answers of ``search_bores``.

    Returns
    -------
    tuple of Cure
        ``bore_m`` is the smallest bore, in tenths of a millimetre, that passes all settings;
        ``changes`` name a bore only where the fitted one is smaller.
    """
    inside = set(study.exposure.section.plugs)
    plugs = [p for p in study.installation.plugs if p.id in inside and p.alloy is not None]

    def cures_of(plug: Plug) -> list[Cure]:
        proven: list[Cure] = []
        alloy_done = False
        for proposal in _proposals(study, plug, searches):
            if proposal.kind == "alloy" and alloy_done:
                continue
            cure = _prove(study, setting, proposal)
            if cure is not None:
                proven.append(cure)
                alloy_done = alloy_done or proposal.kind == "alloy"
        return proven

    found = [cure for proven in side_by_side(cures_of, plugs) for cure in proven]
    for proposal in _new_plugs(study, setting):
        cure = _prove(study, setting, proposal)
        if cure is not None:
            found.append(cure)
            break
    return tuple(found)


def _new_plugs(study: FireStudy, setting: Setting) -> Iterator[_Proposal]:
    """A plug on the vessel that decides, when its air reaches none: alloys of the file first."""
    installation, exposure = study.installation, study.exposure
    verdict, _ = _worst(study, setting)
    vessel = next((v for v in installation.vessels if v.id == verdict.controlling_part), None)
    if vessel is None or exposure.fire.share(vessel.id) <= 0.0:
        return
    reached = devices_in_reach(installation, exposure.section.closed_valves, vessel.id)
    if any(plug.id in reached for plug in installation.plugs):
        return
    lowest = _least_solidus(installation, vessel.id)
    used = [plug.alloy for plug in installation.plugs if plug.alloy is not None]
    usable = [a for a in alloys.alloys() if a.solidus >= lowest]
    usable.sort(key=lambda a: (-used.count(a.key), a.liquidus))
    name = _free_id(installation)
    fire = exposure.fire
    changes: tuple[tuple[str, str, str], ...] = ()
    if exposure.default_case is None and (
        fire.plugs_in_fire is not None or fire.share(vessel.id) < 1.0
    ):
        text = ", ".join(f'"{one}"' for one in (*_heated(study), name))
        changes = ((fire.id, "plugs_in_fire", f"[{text}]"),)
    for alloy in usable[:MOST_ALLOYS]:
        plug = Plug(
            id=name, on=vessel.id, alloy=alloy.key, bore=FIRST_BORE, condition="clean",
            fitted=study.on,
        )  # fmt: skip
        added = (
            ("id", f'"{name}"'),
            ("on", f'"{vessel.id}"'),
            ("alloy", f'"{alloy.key}"'),
            ("place", '"top"'),
            ("condition", '"clean"'),
            ("fitted", study.on.isoformat()),
        )
        yield _Proposal("fit", plug, bool(changes), changes, added)


def _free_id(installation: Installation) -> str:
    kinds = (
        installation.parts(), installation.devices(), installation.valves, installation.fires,
        installation.people, installation.rooms,
    )  # fmt: skip
    taken = {str(record.id).casefold() for kind in kinds for record in cast(Any, kind)}
    number = 1
    while f"fp{number}" in taken:
        number += 1
    return f"FP{number}"


def _proposals(
    study: FireStudy, plug: Plug, searches: Mapping[str, BoreSearch]
) -> Iterator[_Proposal]:
    if plug.id in study.uncredited:
        clean = replace(plug, condition="clean", fitted=study.on)
        changes = ((plug.id, "condition", '"clean"'), (plug.id, "fitted", study.on.isoformat()))
        yield _Proposal("renew", clean, False, changes)
        return
    search = searches.get(plug.id)
    if search is not None and search.exact_m is not None and search.exact_m > plug.bore:
        yield _Proposal("bore", plug, False, ())
    fire = study.exposure.fire
    heated = plug.id in _heated(study)
    reached = any(name.casefold() == plug.on.casefold() for name in fire.reaches)
    if not heated and reached and study.exposure.default_case is None:
        named = [*_heated(study), plug.id]
        text = "[" + ", ".join(f'"{name}"' for name in named) + "]"
        yield _Proposal("place", plug, True, ((fire.id, "plugs_in_fire", text),))
    for key in _lower_alloys(study.installation, plug):
        yield _Proposal("alloy", replace(plug, alloy=key), False, ((plug.id, "alloy", f'"{key}"'),))


def _heated(study: FireStudy) -> tuple[str, ...]:
    from airrisk.firetest.case import plugs_in_fire

    return tuple(sorted(plugs_in_fire(study.installation, study.exposure.fire)))


def _lower_alloys(installation: Installation, plug: Plug) -> list[str]:
    """Alloys that melt below the plug's, the highest first, none too near to normal running."""
    lowest = _least_solidus(installation, plug.on)
    present = alloys.alloy(plug.alloy or "").liquidus
    usable = [a for a in alloys.alloys() if a.liquidus < present - 1.0 and a.solidus >= lowest]
    return [a.key for a in sorted(usable, key=lambda a: -a.liquidus)]


def _least_solidus(installation: Installation, part: str) -> float:
    """The lowest temperature at which a plug on a part may begin to melt, K."""
    records, _ = compressor_records(installation)
    running = running_temperatures(installation, records)
    hottest = next(
        (t for name, t in running.items() if name.casefold() == part.casefold()),
        installation.site.ambient_temperature,
    )
    return hottest + installation.choices.running_margin


def _changed(study: FireStudy, proposal: _Proposal, bore: float) -> FireStudy:
    """The study of the changed installation; a renewed plug is credited."""
    plug = replace(proposal.plug, bore=bore)
    plugs = tuple(plug if one.id == plug.id else one for one in study.installation.plugs)
    exposure = study.exposure
    if proposal.added:
        plugs = (*plugs, plug)
        section = replace(exposure.section, plugs=(*exposure.section.plugs, plug.id))
        exposure = replace(exposure, section=section)
    installation = replace(study.installation, plugs=plugs)
    if proposal.in_fire:
        fire = replace(exposure.fire, plugs_in_fire=(*_heated(study), plug.id))
        exposure = replace(exposure, fire=fire)
    return study.changed(installation, exposure, plug.id if proposal.kind == "renew" else None)


def _worst(study: FireStudy, setting: Setting) -> tuple[Verdict, Setting]:
    settings = study.settings(setting.basis)
    verdicts = [
        judge(study.installation, run) for run in study.run([study.case(one) for one in settings])
    ]
    worst = max(range(len(settings)), key=lambda n: badness(verdicts[n]))
    return verdicts[worst], settings[worst]


def _prove(study: FireStudy, setting: Setting, proposal: _Proposal) -> Cure | None:
    """The smallest bore with which the change works in all settings, ``None`` when none does."""
    trial = _changed(study, proposal, proposal.plug.bore)
    _, at = _worst(trial, setting)
    case = trial.case(at)
    exact = smallest_bore(
        case,
        proposal.plug.id,
        extras=False,
        should_stop=study.should_stop,
        judge=_judge_of(trial, case),
    ).exact_m
    if exact is None:
        return None
    bore = math.ceil(exact / BORE_STEP - 1e-6) * BORE_STEP
    while True:
        verdict, _ = _worst(_changed(study, proposal, bore), setting)
        if verdict.outcome == "vents in time" and verdict.safe:
            break
        bore = round(bore / BORE_STEP + 1.0) * BORE_STEP
        if bore > LARGEST_CHANGE * exact + BORE_STEP:
            return None
    changes = proposal.changes
    kind: str = proposal.kind
    written = f'"{bore * 1e3:.1f} mm"'
    added = (*proposal.added, ("bore", written)) if proposal.added else ()
    if not added and bore > proposal.plug.bore * (1.0 + 1e-9):
        changes = (*changes, (proposal.plug.id, "bore", written))
        if kind in ("place", "alloy"):
            kind = f"{kind} and bore"
    return Cure(
        kind=kind,  # type: ignore[arg-type]
        device=proposal.plug.id,
        changes=changes,
        bore_m=bore,
        melting_k=alloys.alloy(proposal.plug.alloy or "").liquidus,
        peak_strength_use=verdict.peak_use,
        added=added,
    )
