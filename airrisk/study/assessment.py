"""The whole assessment of one installation on one date, as a chain of pure steps.

Each step is kept in a cache under exactly what went into it, so that a change of one part asks
for the steps that depend on it and no others. A step that fails for one part becomes a
``Failure``; the others go on.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import itertools
import threading
from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from functools import partial
from typing import Any, Literal, TypeVar

from airrisk.firetest import compiled
from airrisk.installation.model import Installation, Line, Vessel
from airrisk.installation.offered import offered_fields
from airrisk.installation.sections import Section, as_drawn, shut_in
from airrisk.study.cache import StepCache
from airrisk.study.compressors import compressor_records
from airrisk.study.exposures import Exposure, exposures
from airrisk.study.placement import audit, section_records
from airrisk.study.protection import protection
from airrisk.study.records import (
    Assessment,
    CompressorRecord,
    Failure,
    Finding,
    FireRecord,
    PartRecord,
    ProtectionRecord,
    UpkeepRow,
    WalkStop,
)
from airrisk.study.rules import RuleContext
from airrisk.study.running import running_temperatures
from airrisk.study.screening import screen
from airrisk.study.side_by_side import side_by_side
from airrisk.study.upkeep import upkeep_rows, walk_stops

Progress = Callable[[float, str], None]
Partial = Callable[[str, Any], None]
T = TypeVar("T")


class Stopped(Exception):
    """The caller asked to stop."""


class _Chain:
    """One walk through the steps: failures, progress, and the question whether to stop."""

    def __init__(
        self,
        cache: StepCache,
        progress: Progress | None,
        should_stop: Callable[[], bool] | None,
        partial: Partial | None,
    ) -> None:
        self.cache = cache
        self.failures: list[Failure] = []
        self._progress = progress
        self._should_stop = should_stop
        self._partial = partial

    @property
    def watched(self) -> bool:
        """Whether anybody sees the progress."""
        return self._progress is not None

    def check(self, done: float, what: str) -> None:
        """Say how far it is.

        Raises
        ------
        Stopped
            The caller asked to stop.
        """
        if self._should_stop is not None and self._should_stop():
            raise Stopped
        if self._progress is not None:
            self._progress(done, what)

    def hand_out(self, step: str, answer: Any) -> None:
        """Show an answer before the rest is there."""
        if self._partial is not None:
            self._partial(step, answer)

    def attempt(self, step: str, part: str, compute: Callable[[], T], otherwise: T) -> T:
        """The answer, or ``otherwise`` with a failure noted; only a stop goes through."""
        try:
            return compute()
        except Exception as error:
            self.note(step, part, error)
            return otherwise

    def note(self, step: str, part: str, error: Exception) -> str:
        """Keep what failed and return its message.

        Raises
        ------
        Stopped
            It was no failure but the wish to stop.
        """
        if type(error).__name__ in ("Stopped", "Cancelled"):
            raise Stopped from None
        reason = str(error) or type(error).__name__
        self.failures.append(Failure(step, part, reason))
        return reason


def assess(
    installation: Installation,
    on: dt.date,
    *,
    source: bytes = b"",
    bores: bool = True,
    progress: Progress | None = None,
    should_stop: Callable[[], bool] | None = None,
    partial: Partial | None = None,
    cache: StepCache | None = None,
) -> Assessment:
    """Everything the study says about an installation.

    Parameters
    ----------
    installation
        Read and checked.
    on
        The date that upkeep counts from.
    source
        The file's bytes, for its hash.
    bores
        Whether to search the smallest bores and the cures.
    progress
        Called with the share done and what is being done.
    should_stop
        Asked often.
    partial
        Called with the name of a step and its answer as soon as it is there.
    cache
        Answers of earlier calls.

    Returns
    -------
    Assessment
        What failed stands in ``failures``.

    Raises
    ------
    Stopped
        ``should_stop`` said so.
    """
    chain = _Chain(StepCache() if cache is None else cache, progress, should_stop, partial)
    chain.check(0.0, "sections")
    none: tuple[Section, ...] = ()
    drawn = chain.attempt("sections", "", lambda: as_drawn(installation), none)
    shut = chain.attempt("sections", "", lambda: shut_in(installation), none)
    chain.check(0.02, "compressors")
    compressors = _compressors(chain, installation)
    parts = _screening(chain, installation, compressors)
    chain.hand_out("screening", parts)
    protected = _protection(chain, installation)
    upkeep: tuple[UpkeepRow, ...] = chain.attempt(
        "upkeep", "", lambda: upkeep_rows(installation, on), ()
    )
    walk: tuple[WalkStop, ...] = chain.attempt("walk", "", lambda: walk_stops(installation), ())
    chain.check(0.15, "fires")
    if chain.watched and compiled.must_compile():
        chain.check(0.15, "fires: compiling for this machine, once, about half a minute")
    fires = _fires(chain, installation, on, bores)
    chain.check(0.85, "consequences")
    reach = _consequences(chain, installation, parts, fires)
    people = chain.attempt("people", "", lambda: _people(chain, installation, reach), ())
    let_out: Mapping[str, Any] = chain.attempt(
        "discharges", "", lambda: _discharges(chain, installation, parts), {}
    )
    chain.check(0.95, "findings")
    findings = _findings(chain, installation, on, parts, fires, compressors, upkeep)
    chain.check(1.0, "")
    return Assessment(
        title=installation.title,
        inputs_sha256=hashlib.sha256(source).hexdigest(),
        on=on,
        choices=choice_values(installation),
        parts=parts,
        ambient_pressure_pa=installation.site.ambient_pressure,
        as_drawn=section_records(drawn),
        shut_in=section_records(shut),
        protection=protected,
        fires=fires,
        consequences=reach,
        people_reach=people,
        discharges=let_out,
        compressors=compressors,
        findings=findings,
        upkeep=upkeep,
        walk=walk,
        failures=tuple(chain.failures),
        offered=offered_fields(installation),
        actions=installation.actions,
    )


def choice_values(
    installation: Installation,
) -> dict[str, tuple[Any, Literal["typed", "default"]]]:
    """Every choice that can change a number or a verdict, with where it came from."""
    choices = installation.choices
    return {
        item.name: (
            getattr(choices, item.name),
            "typed" if item.name in choices.given else "default",
        )
        for item in fields(choices)
        if item.name != "given"
    }


def physical(installation: Installation) -> Installation:
    """The installation without what cannot change a number of the fires or the screening.

    Plan positions, remarks and what was typed or left out do not count; neither do people, rooms,
    spreads and the words at the top of the file.
    """

    def bare(record: Any) -> Any:
        names = {item.name for item in fields(record)}
        empty: dict[str, Any] = {"at": None, "notes": (), "given": frozenset()}
        return replace(record, **{name: value for name, value in empty.items() if name in names})

    groups = (
        "compressors", "vessels", "lines", "junctions", "consumers", "valves", "plugs",
        "relief_valves", "bursting_discs", "fires",
    )  # fmt: skip
    stripped: dict[str, Any] = {
        group: tuple(bare(one) for one in getattr(installation, group)) for group in groups
    }
    return Installation(
        choices=replace(bare(installation.choices), audit_date=None),
        site=bare(installation.site),
        inspections=tuple(bare(entry) for entry in installation.inspections),
        **stripped,
    )


def _compressors(chain: _Chain, installation: Installation) -> Mapping[str, CompressorRecord]:
    key = ("compressors", installation.compressors, installation.site)
    records, failures = chain.cache.answer(key, lambda: compressor_records(installation))
    chain.failures.extend(failures)
    return records


def _screening(
    chain: _Chain, installation: Installation, compressors: Mapping[str, CompressorRecord]
) -> dict[str, PartRecord]:
    running: dict[str, float] = chain.attempt(
        "running temperatures", "", lambda: running_temperatures(installation, compressors), {}
    )
    bare = physical(installation)
    records: dict[str, PartRecord] = {}
    holders = installation.holders()
    for number, part in enumerate(holders):
        chain.check(0.04 + 0.1 * number / len(holders), f"screening of {part.id}")
        stripped = next(one for one in bare.holders() if one.id == part.id)
        hottest = running.get(part.id)

        def compute(part: Vessel | Line = stripped, hottest: float | None = hottest) -> PartRecord:
            key = ("screen", *_screening_inputs(bare, part), hottest)
            return chain.cache.answer(key, lambda: screen(bare, part, hottest))

        record = chain.attempt("screening", part.id, compute, None)
        if record is not None:
            records[part.id] = record
    return records


def _screening_inputs(installation: Installation, part: Vessel | Line) -> tuple[Any, ...]:
    """What a screening reads; a line may take its pressure from anywhere along the pipes."""
    here = part.id.casefold()
    devices = (*installation.plugs, *installation.relief_valves)
    own = tuple(device for device in devices if device.on.casefold() == here)
    network: tuple[Any, ...] = ()
    if isinstance(part, Line) and part.pressure is None:
        network = (installation.vessels, installation.lines, installation.compressors)
    return (part, own, installation.site, installation.choices, network)


def _protection(chain: _Chain, installation: Installation) -> dict[str, ProtectionRecord]:
    bare = physical(installation)
    areas = tuple((part.id, part.area) for part in installation.parts())
    key = ("protection", bare, areas)
    return chain.attempt(
        "protection",
        "",
        lambda: chain.cache.answer(key, lambda: protection(installation)),
        {},
    )


def _fires(
    chain: _Chain, installation: Installation, on: dt.date, bores: bool
) -> tuple[FireRecord, ...]:
    from airrisk.study.fire_outcomes import failed_record, fire_record

    bare = physical(installation)
    wanted: tuple[Exposure, ...] = chain.attempt("fires", "", lambda: exposures(bare), ())
    names = [f"{exposure.fire.id} on {exposure.section.id}" for exposure in wanted]
    turn = threading.Lock()
    begun = itertools.count()

    def ask(number: int) -> FireRecord | Exception:
        exposure = wanted[number]
        key = ("fire", *_fire_inputs(bare, exposure), on, bores)
        try:
            with turn:  # progress only rises
                chain.check(0.15 + 0.7 * next(begun) / len(wanted), names[number])
            return chain.cache.answer(
                key,
                lambda: fire_record(
                    bare, exposure, on, bores=bores, should_stop=chain._should_stop
                ),
            )
        except Exception as error:  # told in the order of the fires
            return error

    records = []
    answers = side_by_side(ask, range(len(wanted)))
    for exposure, name, answer in zip(wanted, names, answers, strict=True):
        if isinstance(answer, Exception):
            answer = failed_record(exposure, chain.note("fire", name, answer))
        records.append(answer)
    return tuple(records)


def _fire_inputs(installation: Installation, exposure: Exposure) -> tuple[Any, ...]:
    """What a fire run reads: the section's parts and devices, and the rest of the choices."""
    inside = {name.casefold() for name in exposure.section.members}
    members = tuple(part for part in installation.parts() if part.id.casefold() in inside)
    devices = tuple(one for one in installation.devices() if one.on.casefold() in inside)
    names = {one.id.casefold() for one in devices}
    inspections = tuple(one for one in installation.inspections if one.on.casefold() in names)
    unstated = any(isinstance(part, Line) and part.pressure is None for part in members)
    network = (installation.vessels, installation.lines) if unstated else ()
    valves = installation.valves
    return (
        exposure,
        members,
        devices,
        inspections,
        valves,
        installation.site,
        installation.choices,
        network,
    )


def _consequences(
    chain: _Chain,
    installation: Installation,
    parts: Mapping[str, PartRecord],
    fires: tuple[FireRecord, ...],
) -> Mapping[str, Any]:
    from airrisk.study.consequences import vessel_consequences

    found: dict[str, Any] = {}
    for vessel in installation.vessels:
        if vessel.id not in parts:
            continue
        chain.check(0.85, f"consequences of {vessel.id}")

        def compute(vessel: Vessel = vessel) -> Any:
            noted = partial(chain.note, "consequences")
            return vessel_consequences(installation, vessel, parts[vessel.id], fires, noted)

        answer = chain.attempt("consequences", vessel.id, compute, None)
        if answer is not None:
            found[vessel.id] = answer
    return found


def _findings(
    chain: _Chain,
    installation: Installation,
    on: dt.date,
    parts: Mapping[str, PartRecord],
    fires: tuple[FireRecord, ...],
    compressors: Mapping[str, CompressorRecord],
    upkeep: tuple[UpkeepRow, ...],
) -> tuple[Finding, ...]:
    context = RuleContext(
        installation, on, parts, fires, compressors, upkeep, tuple(chain.failures)
    )
    noted = partial(chain.note, "findings")
    return chain.attempt("findings", "", lambda: audit(context, noted), ())


def _people(chain: _Chain, installation: Installation, reach: Mapping[str, Any]) -> tuple[Any, ...]:
    from airrisk.study.consequences import people_reach

    return people_reach(installation, reach, partial(chain.note, "people"))


def _discharges(
    chain: _Chain, installation: Installation, parts: Mapping[str, PartRecord]
) -> Mapping[str, Any]:
    from airrisk.study.discharges import discharges

    return discharges(installation, parts, partial(chain.note, "discharges"))
