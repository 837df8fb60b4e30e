"""The whole assessment of one installation on one date, as a chain of pure steps.

Each step is kept in a cache under exactly what went into it, so that a change of one part asks
for the steps that depend on it and no others. A step that fails for one part becomes a
``Failure``; the others go on.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import threading
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import Any, Literal, TypeVar

from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import FireSource, Installation
from airrisk.installation.naming import kinds_of_ids
from airrisk.installation.offered import offered_fields
from airrisk.installation.sections import Section, as_drawn, shut_in
from airrisk.kernel import compiled
from airrisk.messages import said, told_of
from airrisk.study.action_register import action_rows
from airrisk.study.actions import with_acceptances
from airrisk.study.audibility import heard_records
from airrisk.study.cache import StepCache
from airrisk.study.compressors import compressor_records
from airrisk.study.consequence_records import ReachRecord
from airrisk.study.examinations import examination_rows
from airrisk.study.exposures import Exposure, exposures, flame_away, jet_spot
from airrisk.study.placement import audit, section_records
from airrisk.study.progressing import Progressing, Ran
from airrisk.study.protection import protection
from airrisk.study.records import (
    Assessment,
    CompressorRecord,
    Failure,
    Finding,
    FireRecord,
    FlameAway,
    PartRecord,
    ProtectionRecord,
    UpkeepRow,
    WalkStop,
)
from airrisk.study.rules import RuleContext
from airrisk.study.running import running_temperatures
from airrisk.study.screening import screen
from airrisk.study.side_by_side import side_by_side
from airrisk.study.slices import FireSlice, Slicer, layout_slice, part_slice, people_slice
from airrisk.study.standing_fires import SourceRecord, source_record
from airrisk.study.upkeep import upkeep_rows, walk_stops
from airrisk.study.verdicts import verdict_records
from airrisk.study.wear import wear_of

Progress = Callable[[float, str], None]
Partial = Callable[[str, Any], None]
Ask = Callable[[FireSlice, Ran], FireRecord]
T = TypeVar("T")


@dataclass(frozen=True)
class Watcher:
    """Who waits for an assessment.

    Attributes
    ----------
    progress
        Called with the share done and what is being done.
    should_stop
        Asked often.
    partial
        Called with the name of a step and its answer as soon as it is there.
    """

    progress: Progress | None = None
    should_stop: Callable[[], bool] | None = None
    partial: Partial | None = None


NOBODY = Watcher()


@dataclass(frozen=True)
class Asked:
    """What an assessment without bores asks; left out: all that is to be known.

    Attributes
    ----------
    fire
        How a fire is asked.
    reach
        Whether it works out how far a burst reaches and what devices let out. No finding is made
        of that; the rules ask for what they need themselves.
    """

    fire: Ask
    reach: bool = True


class _Chain:
    """One walk through the steps: failures, progress, and the question whether to stop."""

    def __init__(self, cache: StepCache, watcher: Watcher) -> None:
        self.cache = cache
        self.failures: list[Failure] = []
        # what the screening of a part and the consequences of a vessel came from
        self.screened: dict[str, tuple[Any, ...]] = {}
        self.consequences: dict[str, tuple[Any, ...]] = {}
        self._watcher = watcher

    @property
    def should_stop(self) -> Callable[[], bool] | None:
        """The question whether to stop."""
        return self._watcher.should_stop

    @property
    def watched(self) -> bool:
        """Whether anybody sees the progress."""
        return self._watcher.progress is not None

    def check(self, done: float, what: str) -> None:
        """Say how far it is.

        Raises
        ------
        Cancelled
            The caller asked to stop.
        """
        if self.should_stop is not None and self.should_stop():
            raise Cancelled
        self.tell(done, what)

    def tell(self, done: float, what: str) -> None:
        """Say how far it is and go on."""
        if self._watcher.progress is not None:
            self._watcher.progress(done, what)

    def hand_out(self, step: str, answer: Any) -> None:
        """Show an answer before the rest is there."""
        if self._watcher.partial is not None:
            self._watcher.partial(step, answer)

    def attempt(self, step: str, part: str, compute: Callable[[], T], otherwise: T) -> T:
        """The answer, or ``otherwise`` with a failure noted; only a stop goes through."""
        try:
            return compute()
        except Exception as error:
            self.note(step, part, error)
            return otherwise

    def remembered(
        self, step: str, key: Hashable, compute: Callable[[Callable[[str, Exception], str]], T]
    ) -> T:
        """An answer of a step that tells itself what fails in it; that is not remembered."""
        known = self.cache.known((step, key))
        if known is not None:
            return known  # type: ignore[return-value]
        before = len(self.failures)
        answer = compute(partial(self.note, step))
        if len(self.failures) == before:
            self.cache.keep((step, key), answer)
        return answer

    def note(self, step: str, part: str, error: Exception) -> str:
        """Keep what failed and return its message.

        Raises
        ------
        Cancelled
            It was no failure but the wish to stop.
        """
        if isinstance(error, Cancelled):
            raise error
        reason = told_of(error) or type(error).__name__
        self.failures.append(Failure(step, part, reason))
        return reason


def assess(
    installation: Installation,
    on: dt.date,
    *,
    source: bytes = b"",
    bores: bool = True,
    watcher: Watcher = NOBODY,
    cache: StepCache | None = None,
    asked: Asked | None = None,
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
    watcher
        Who waits for it; left out: nobody.
    cache
        Answers of earlier calls.
    asked
        What is asked where no bores are searched; left out: all that is to be known.

    Returns
    -------
    Assessment
        What failed stands in ``failures``.

    Raises
    ------
    Cancelled
        The watcher said so.
    """
    chain = _Chain(StepCache() if cache is None else cache, watcher)
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
        chain.check(0.15, said("compiling-fires"))
    asked = Asked(_asking(chain, bores)) if asked is None else asked
    fires = _fires(chain, installation, on, bores, asked.fire)
    away = _heat_away(chain, installation, on)
    verdicts = verdict_records(
        fires,
        [(one.id, one.members, one.closed_valves) for one in shut],
        installation.choices.strength_basis,
    )
    chain.check(0.85, "consequences")
    sources = _sources(chain, installation, on, bores)
    reach, people, let_out = (
        _reach(chain, installation, parts, fires) if asked.reach else ({}, (), {})
    )
    chain.check(0.95, "findings")
    failed = tuple(chain.failures)
    findings = _findings(
        chain,
        RuleContext(
            installation, on, parts, fires, compressors, upkeep, failed, verdicts, *away, sources
        ),
    )
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
        verdicts=verdicts,
        flame_away=away[0],
        jet_spot=away[1],
        runs=sum(fire.runs for fire in fires) + 2 * (len(away[0]) + len(away[1])),
        consequences=reach,
        people_reach=people,
        discharges=let_out,
        heard=chain.attempt(
            "people", "", partial(heard_records, installation, let_out, fires, on), ()
        ),
        compressors=compressors,
        findings=findings,
        upkeep=upkeep,
        examinations=chain.attempt(
            "examinations", "", partial(examination_rows, installation, on), ()
        ),
        wear=chain.attempt("wear", "", partial(wear_of, installation), ()),
        walk=walk,
        failures=tuple(chain.failures),
        offered=offered_fields(installation),
        actions=installation.actions,
        action_register=action_rows(installation, on, findings),
        fire_sources=sources,
        kinds=kinds_of_ids(installation),
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
    records: dict[str, PartRecord] = {}
    holders = installation.holders()
    for number, part in enumerate(holders):
        chain.check(0.04 + 0.1 * number / len(holders), said("screening-of", part=part.id))

        def compute(name: str = part.id) -> PartRecord:
            cut = part_slice(installation, name)
            hottest = running.get(name)
            chain.screened[name] = (cut, hottest)
            return chain.cache.answer(
                ("screen", cut, hottest), lambda: screen(cut, cut.holders()[0], hottest)
            )

        record = chain.attempt("screening", part.id, compute, None)
        if record is not None:
            records[part.id] = record
    return records


def _protection(chain: _Chain, installation: Installation) -> dict[str, ProtectionRecord]:
    cut = layout_slice(installation)
    return chain.attempt(
        "protection",
        "",
        lambda: chain.cache.answer(("protection", cut), lambda: protection(cut)),
        {},
    )


def _asking(chain: _Chain, bores: bool) -> Ask:
    """Asks a fire for all that is to be known, or the memory."""
    from airrisk.study.fire_outcomes import Given, record_of

    given = Given(runs=chain.cache.runs)

    def ask(cut: FireSlice, ran: Ran) -> FireRecord:
        record = chain.cache.answer(
            ("fire", cut if bores else cut.unsearched, bores),
            lambda: record_of(
                cut, bores=bores, should_stop=chain.should_stop, ran=ran, given=given
            ),
        )
        if bores:  # where none are asked, the same answer with more in it will do
            chain.cache.keep(("fire", cut.unsearched, False), record)
        return record

    return ask


def _fires(
    chain: _Chain, installation: Installation, on: dt.date, bores: bool, asked: Ask
) -> tuple[FireRecord, ...]:
    from airrisk.fire.case import FireCaseError
    from airrisk.study.fire_outcomes import failed_record
    from airrisk.study.workload import runs_of

    wanted: tuple[Exposure, ...] = chain.attempt("fires", "", lambda: exposures(installation), ())
    slicer = Slicer(installation, on)

    def ask(number: int, ran: Ran) -> FireRecord:
        return asked(slicer.fire(wanted[number]), ran)

    def planned(number: int) -> int:
        return runs_of(slicer.fire(wanted[number]), bores)

    names = [f"{exposure.fire.id} on {exposure.section.id}" for exposure in wanted]
    records = []
    for exposure, name, answer in zip(
        wanted, names, _all(chain, names, ask, planned, 0.15, 0.6), strict=True
    ):
        if isinstance(answer, Exception):
            told = chain.note("fire", name, answer)
            why = answer.reason if isinstance(answer, FireCaseError) else told
            answer = failed_record(exposure, why)
        records.append(answer)
    return tuple(records)


def _sources(
    chain: _Chain, installation: Installation, on: dt.date, distances: bool
) -> dict[str, SourceRecord]:
    """What each source of the file does around it when it burns, and how far it must stay."""
    found: dict[str, SourceRecord] = {}
    for source in installation.fire_sources:
        record = chain.attempt(
            "fire source", source.id, partial(source_record, installation, source), None
        )
        if record is None:
            continue
        if distances and source.kind != "jet":
            chain.check(0.84, said("distances-of-source", source=source.id))
            clear: Mapping[str, float | None] = chain.attempt(
                "keep clear", source.id, partial(_clear, chain, installation, source, on), {}
            )
            record = replace(record, keep_clear_m=clear)
        found[source.id] = record
    return found


def _clear(
    chain: _Chain, installation: Installation, source: FireSource, on: dt.date
) -> Mapping[str, float | None]:
    from airrisk.study.keep_clear import keep_clear

    return chain.cache.answer(
        ("keep clear", source, installation, on),
        lambda: keep_clear(installation, source, Slicer(installation, on), chain.should_stop),
    )


def _heat_away(
    chain: _Chain, installation: Installation, on: dt.date
) -> tuple[dict[str, FlameAway], dict[str, FlameAway]]:
    """How long each vessel stands flames on a quarter of its shell, and a jet on a spot of it."""
    from airrisk.study.fire_outcomes import flame_away_record
    from airrisk.study.workload import AWAY

    asked: tuple[tuple[str, Callable[[Installation], tuple[Exposure, ...]]], ...] = (
        (said("flame-away-from-plugs"), flame_away),
        (said("jet-away-from-plugs"), jet_spot),
    )
    nothing: tuple[Exposure, ...] = ()
    wanted = [
        (step, exposure)
        for step, of in asked
        for exposure in chain.attempt("fires", "", partial(of, installation), nothing)
    ]
    slicer = Slicer(installation, on)

    def ask(number: int, ran: Ran) -> FlameAway:
        cut = slicer.fire(wanted[number][1]).unsearched
        return chain.cache.answer(
            ("flame away", cut), lambda: flame_away_record(cut, chain.should_stop, ran)
        )

    vessels = [exposure.fire.reaches[0] for _, exposure in wanted]
    answers = _all(chain, vessels, ask, lambda _: AWAY, 0.75, 0.1)
    found: dict[str, dict[str, FlameAway]] = {step: {} for step, _ in asked}
    for (step, _), vessel, answer in zip(wanted, vessels, answers, strict=True):
        if isinstance(answer, Exception):
            chain.note(step, vessel, answer)
        else:
            found[step][vessel] = answer
    flames, jets = found.values()
    return flames, jets


def _all(
    chain: _Chain,
    names: list[str],
    ask: Callable[[int, Ran], T],
    planned: Callable[[int], int],
    begin: float,
    share: float,
) -> list[T | Exception]:
    """Answers or failures in the order of the names, on threads; progress goes by their runs."""
    turn = threading.Lock()
    ahead = [_tried(planned, n) for n in range(len(names))] if chain.watched else []
    made = Progressing(ahead)

    def one(number: int) -> T | Exception:
        def ran(runs: int) -> None:
            with turn:  # progress only rises
                made.ran(number, runs)
                chain.tell(begin + share * made.share, names[number])

        try:
            with turn:
                chain.check(begin + share * made.share, names[number])
            return ask(number, ran)
        except Exception as error:  # told in the order of the names
            return error
        finally:
            with turn:
                made.finish(number)

    return side_by_side(one, range(len(names)), ahead.__getitem__ if ahead else None)


def _tried(planned: Callable[[int], int], number: int) -> int:
    """Runs ahead of one fire; what is wrong with it is told by its own answer."""
    try:
        return planned(number)
    except Exception:
        return 1


def _consequences(
    chain: _Chain,
    installation: Installation,
    parts: Mapping[str, PartRecord],
    fires: tuple[FireRecord, ...],
) -> Mapping[str, Any]:
    from airrisk.study.consequences import transient_rupture, vessel_consequences

    found: dict[str, Any] = {}
    for vessel in installation.vessels:
        if vessel.id not in parts:
            continue
        chain.check(0.85, said("consequences-of", part=vessel.id))

        def compute(name: str = vessel.id) -> Any:
            cut = chain.screened[name][0]
            key = (*chain.screened[name], transient_rupture(name, fires))
            chain.consequences[name] = key
            return chain.remembered(
                "consequences",
                key,
                lambda note: vessel_consequences(cut, cut.vessels[0], parts[name], fires, note),
            )

        answer = chain.attempt("consequences", vessel.id, compute, None)
        if answer is not None:
            found[vessel.id] = answer
    return found


def _reach(
    chain: _Chain,
    installation: Installation,
    parts: Mapping[str, PartRecord],
    fires: tuple[FireRecord, ...],
) -> tuple[Mapping[str, Any], tuple[ReachRecord, ...], Mapping[str, Any]]:
    """How far a burst reaches, whom, and what devices let out."""
    reach = _consequences(chain, installation, parts, fires)
    people: tuple[ReachRecord, ...] = chain.attempt(
        "people", "", lambda: _people(chain, installation, reach), ()
    )
    let_out: Mapping[str, Any] = chain.attempt(
        "discharges", "", lambda: _discharges(chain, installation, parts), {}
    )
    return reach, people, let_out


def _findings(chain: _Chain, context: RuleContext) -> tuple[Finding, ...]:
    noted = partial(chain.note, "findings")
    found: tuple[Finding, ...] = chain.attempt("findings", "", lambda: audit(context, noted), ())
    return with_acceptances(found, context.installation.actions, context.on)


def _people(
    chain: _Chain, installation: Installation, reach: Mapping[str, Any]
) -> tuple[ReachRecord, ...]:
    from airrisk.study.consequences import people_reach

    cut = people_slice(installation)
    return chain.remembered(
        "people",
        (cut, *((name, chain.consequences.get(name)) for name in reach)),
        lambda note: people_reach(cut, reach, note),
    )


def _discharges(
    chain: _Chain, installation: Installation, parts: Mapping[str, PartRecord]
) -> Mapping[str, Any]:
    from airrisk.study.discharges import discharges

    return discharges(installation, parts, partial(chain.note, "discharges"))
