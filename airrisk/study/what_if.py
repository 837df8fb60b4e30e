"""What if an input is not as stated: one at a time, swept, or all drawn from their spreads.

One run is varied: that of the ruling fire as stated, or, where only others of its envelope are not
safe, the worst of these. "The plug acts first" means that a plug or disc opens before the metal
ruptures and that the air leaves in time, which is the outcome "vents in time". A run that does not
converge counts in every total and never as safe.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from airrisk.fire.case import FireCase, FireCaseError
from airrisk.fire.covers import Cover
from airrisk.fire.outcome import classify
from airrisk.fire.run import FireRun
from airrisk.fire.variants import variable_inputs, with_every_plug
from airrisk.installation.geometry import part_geometry
from airrisk.installation.inputs import WORKS
from airrisk.installation.model import Installation, Line
from airrisk.installation.sections import devices_in_reach
from airrisk.messages import listed, said, told_of
from airrisk.study.counted_chances import plug_inspections, share_at_ends
from airrisk.study.envelope import envelope
from airrisk.study.exposures import Exposure, exposures
from airrisk.study.fire_outcomes import corner_record, radiations
from airrisk.study.fire_runs import Corner, FireStudy
from airrisk.study.index_runs import FELT, Uses, index_samples, variance_shares
from airrisk.study.one_at_a_time import vary_one_at_a_time
from airrisk.study.safe_border import STEPS
from airrisk.study.sampling import METHODS, draw, share
from airrisk.study.slices import Slicer
from airrisk.study.smallest_bores import CLOSE_ENOUGH, RUNS_A_ROW, plugs_searched, working_bores
from airrisk.study.spreads import Array, SpreadInput
from airrisk.study.sweeps import sweep, sweep_map
from airrisk.study.variants import Progress, VariantRuns
from airrisk.study.what_if_inputs import (
    LINE_POINTS,
    MAP_POINTS,
    MOST_LINE_POINTS,
    MOST_MAP_POINTS,
    SweepRange,
    WhatIfError,
    read_sweep,
    recorded,
    swept,
    unused_spreads,
    varied_inputs,
    within_bounds,
)
from airrisk.study.what_if_records import (
    BoreSpread,
    Distributed,
    Sampled,
    Subject,
    WhatIf,
)
from airrisk.verdict.rule import DAMAGE_LIMIT, OUTCOMES, Verdict, badness

QUANTILES = (0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99)
BINS = 40
TIME_SAMPLES = 4096  # samples that are also run without any plug
BORE_SAMPLES = 256
CHEAP_RUN = 20_000  # evaluations times gas spaces of a run whose bores are searched
MOST_SAMPLES = 10_000_000


@dataclass(frozen=True)
class Questions:
    """What to ask.

    Parameters
    ----------
    vary
        Keys "ID.field"; empty: every input that has a spread.
    sweeps
        None, one, or two texts ``KEY=LOW..HIGH[:N]``; two make a map.
    samples
        Number of samples; 0: none.
    method
        "latin hypercube" or "sobol".
    seed
        Same seed, same answer.
    tornado
        Whether to vary the inputs one at a time.
    """

    vary: tuple[str, ...] = ()
    sweeps: tuple[str, ...] = ()
    samples: int = 0
    method: str = "latin hypercube"
    seed: int = 1
    tornado: bool = True

    def __post_init__(self) -> None:
        if not 0 <= self.samples <= MOST_SAMPLES:
            raise WhatIfError(
                said(
                    "samples-out-of-range",
                    samples=self.samples,
                    most=MOST_SAMPLES,
                )
            )
        if self.method not in METHODS:
            raise WhatIfError(
                said(
                    "method-unknown",
                    method=repr(self.method),
                    methods=", ".join(METHODS),
                )
            )
        if self.seed < 0:
            raise WhatIfError(said("seed-out-of-range", seed=self.seed))
        if len(self.sweeps) > 2:
            raise WhatIfError(
                said(
                    "sweeps-out-of-range",
                    sweeps=len(self.sweeps),
                )
            )


@dataclass(frozen=True, eq=False)
class Chosen:
    """The run that is varied."""

    study: FireStudy
    corner: Corner
    case: FireCase
    verdict: Verdict
    cost: int  # evaluations of the run times gas spaces

    def out_of_reach(self) -> frozenset[str]:
        """Plugs and discs of the run that the air of the vessel which decides cannot flow to."""
        part = self.verdict.controlling_part
        if part not in self.case.parts:
            return frozenset()
        reached = devices_in_reach(self.study.installation, (), part)
        return frozenset((*self.case.plugs, *self.case.discs)) - reached

    def subject(self) -> Subject:
        """The run as it stands in the answer."""
        cut = self.study.cut
        return Subject(
            fire=cut.fire.id,
            section=cut.section.id,
            members=cut.section.members,
            closed_valves=cut.closed_valves,
            fire_class=cut.fire_class,
            corner=corner_record(self.study, self.corner, self.verdict.controlling_part),
            inner_radiation=self.corner.radiation,
            strength_basis=self.study.basis,
            strength_use_limit=self.case.limit,
            plugs=self.case.plugs,
            uncredited_plugs=self.case.uncredited,
            insulated={
                one.id: "line" if isinstance(one, Line) else "vessel"
                for one in self.study.installation.holders()
                if one.id in self.case.covers and _is_there(self.case.covers[one.id])
            },
        )


def _is_there(cover: Cover) -> bool:
    """Whether a run is made with an insulation, be it only where no fire strikes."""
    return cover.struck > 0.0 or cover.unstruck > 0.0


def candidates(
    installation: Installation, fire: str | None = None, section: str | None = None
) -> list[Exposure]:
    """The fires of which the worst is taken.

    Named ones; else the file's own; else the engulfing fire around the section that holds most.

    Raises
    ------
    WhatIfError
        No fire or section of that name.
    """
    every = list(exposures(installation))
    if not every:
        raise WhatIfError(said("no-fire-reaches-air"))
    chosen = every
    if fire is not None:
        chosen = [one for one in every if one.fire.id.casefold() == fire.casefold()]
        if not chosen:
            names = ", ".join(dict.fromkeys(one.fire.id for one in every))
            raise WhatIfError(said("no-such-fire", fire=repr(fire), names=names))
    if section is not None:
        inside = [one for one in chosen if one.section.id.casefold() == section.casefold()]
        if not inside:
            names = ", ".join(dict.fromkeys(one.section.id for one in chosen))
            raise WhatIfError(
                said(
                    "no-fire-on-section",
                    section=repr(section),
                    names=names,
                )
            )
        chosen = inside
    if fire is None and any(one.fire_class == "stated" for one in chosen):
        return [one for one in chosen if one.fire_class == "stated"]
    if fire is None:
        chosen = [one for one in chosen if one.fire_class == "whole"] or chosen
        volumes = {part.id: part_geometry(part).volume for part in installation.holders()}

        def held(one: Exposure) -> float:
            return sum(volumes[name] for name in one.section.holders)

        chosen = [max(chosen, key=held)]
    return chosen


def choose(
    installation: Installation,
    on: dt.date,
    fire: str | None = None,
    section: str | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Chosen:
    """The worst run of the candidate fires, as for the verdict of an assessment.

    Where all are safe, sections with a credited plug come first, then the highest strength use.

    Raises
    ------
    WhatIfError
        There is none that can be run.
    Cancelled
        ``should_stop`` said so.
    """
    best: Chosen | None = None
    refused: list[str] = []
    slicer = Slicer(installation, on)
    for exposure in candidates(installation, fire, section):
        try:
            study = FireStudy(slicer.fire(exposure), should_stop)
            corner, run, verdict = _ruling(study)
        except (FireCaseError, ValueError) as error:
            refused.append(told_of(error))
            continue
        if best is None or _rank(run.case, verdict) > _rank(best.case, best.verdict):
            cost = run.evaluations * len(run.case.spaces)
            best = Chosen(study, corner, with_every_plug(run.case), verdict, cost)
    if best is None:
        raise WhatIfError(listed(refused, "; ") or said("no-fire-can-be-run"))
    return best


def _ruling(study: FireStudy) -> tuple[Corner, FireRun, Verdict]:
    """The run to vary: as stated; the worst of the envelope where only that is not safe."""
    asked = [Corner(radiation=which) for which in radiations(study)]
    runs = study.run([study.case(corner) for corner in asked])
    judged = [(corner, run, classify(run)) for corner, run in zip(asked, runs, strict=True)]
    stated = max(judged, key=lambda one: one[2].rank())
    if not stated[2].safe:
        return stated
    whole = envelope(study)
    if whole.safe or whole.isothermal is not None:
        return stated
    (run,) = study.run([study.case(whole.corner)])
    return whole.corner, run, classify(run)


def _rank(case: FireCase, verdict: Verdict) -> tuple[int, int, float]:
    credited = len(set(case.plugs) - set(case.uncredited))
    return (badness(verdict.outcome), min(credited, 1), verdict.load)


def what_if(
    installation: Installation,
    on: dt.date,
    questions: Questions,
    *,
    fire: str | None = None,
    section: str | None = None,
    progress: Progress | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> WhatIf:
    """The what-if study of one fire: the last answer of ``growing_what_if``."""
    *_parts, whole = growing_what_if(
        installation, on, questions,
        fire=fire, section=section, progress=progress, should_stop=should_stop,
    )  # fmt: skip
    return whole


def growing_what_if(
    installation: Installation,
    on: dt.date,
    questions: Questions,
    *,
    fire: str | None = None,
    section: str | None = None,
    progress: Progress | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Iterator[WhatIf]:
    """The what-if study of one fire as it grows: inputs one by one, sweeps, samples.

    Parameters
    ----------
    installation
        The checked installation.
    on
        Date that decides which plugs are credited.
    questions
        What to ask.
    fire, section
        Ids; left out: the ruling fire.
    progress
        Called with the share done and what is being done.
    should_stop
        Asked often.

    Yields
    ------
    WhatIf
        After each part that was asked for; the last one is the whole.

    Raises
    ------
    WhatIfError
        A question that cannot be asked like this.
    Cancelled
        ``should_stop`` said so.
    """
    chosen = choose(installation, on, fire, section, should_stop)
    runs = VariantRuns(chosen.case, progress, should_stop, chosen.out_of_reach())
    variable = variable_inputs(chosen.case)
    ranges = [read_sweep(text, variable, installation) for text in questions.sweeps]
    if len({one.key for one in ranges}) < len(ranges):
        raise WhatIfError(said("input-swept-twice", key=ranges[0].key))
    inputs: tuple[SpreadInput, ...] = ()
    if questions.tornado or questions.samples:
        inputs = varied_inputs(installation, variable, chosen.case.uncredited, questions.vary)
    bores = chosen.cost <= CHEAP_RUN
    runs.announce(_expected(questions, ranges, inputs, chosen.case, bores))
    found = WhatIf(chosen.subject(), None, unused_spreads=unused_spreads(installation, variable))
    if questions.tornado:
        tornado = vary_one_at_a_time(installation, runs, variable, inputs, bores=bores)
        found = replace(found, tornado=tornado)
        yield found
    if len(ranges) == 1:
        line = sweep(runs, swept(ranges[0], variable, LINE_POINTS, MOST_LINE_POINTS))
        found = replace(found, sweeps=(line,))
        yield found
    elif ranges:
        x, y = (swept(one, variable, MAP_POINTS, MOST_MAP_POINTS) for one in ranges)
        found = replace(found, maps=(sweep_map(runs, x, y),))
        yield found
    if questions.samples and inputs:
        sampled = replace(
            sample(installation, runs, inputs, questions, bores=bores),
            inspections=plug_inspections(installation, on, inputs),
        )
        found = replace(found, sampled=sampled)
    yield found


def _expected(
    questions: Questions,
    ranges: Sequence[SweepRange],
    inputs: Sequence[SpreadInput],
    case: FireCase,
    bores: bool,
) -> int:
    """About how many variants the questions need."""
    count = 0
    plugs = len(case.plugs) if bores else 0
    if questions.tornado:
        rows = 1 + 2 * len(inputs)
        count += 2 * rows + rows * plugs * RUNS_A_ROW
    if len(ranges) == 1:
        count += 2 * (ranges[0].points or LINE_POINTS) + STEPS
    elif ranges:
        across, up = (one.points or MAP_POINTS for one in ranges)
        count += across * up + 2 * (across + up) * STEPS
    if questions.samples and inputs:
        count += questions.samples + min(questions.samples, TIME_SAMPLES)
        count += min(questions.samples, BORE_SAMPLES) * plugs * RUNS_A_ROW
        count += 2 * index_samples(questions.samples) * min(len(inputs) + 2, FELT + 3)
    return count


# -- all at once -------------------------------------------------------------------


def sample(
    installation: Installation,
    runs: VariantRuns,
    inputs: Sequence[SpreadInput],
    questions: Questions,
    *,
    bores: bool,
) -> Sampled:
    """All inputs drawn at once: shares, margins, bores and Sobol indices.

    Parameters
    ----------
    installation
        For the bounds of the fields.
    runs
        The case.
    inputs
        What varies.
    questions
        Number of samples, method and seed.
    bores
        Whether to search smallest bores on some of the samples.
    """
    values = draw(inputs, questions.samples, questions.method, questions.seed)
    clipped = within_bounds(installation, values)
    found = runs.run(values, "samples")
    converged = found.converged
    total = questions.samples
    use, damage = found.peak_use[converged], found.creep_damage[converged]
    counts = np.bincount(found.outcome, minlength=len(OUTCOMES))

    part = {key: array[:TIME_SAMPLES] for key, array in values.items()}
    size = min(total, TIME_SAMPLES)
    bare = runs.run(part, said("samples-without-plugs"), without_plugs=True)
    rupture = np.broadcast_to(bare.rupture, size)
    first = np.broadcast_to(runs.first_vents(found)[:size], size)
    vent = np.where(converged[:size], first, np.nan)
    margin = rupture - vent
    searches: list[BoreSpread] = []
    if bores:
        few = {key: array[:BORE_SAMPLES] for key, array in values.items()}
        rows = min(total, BORE_SAMPLES)
        searches = [_bore_spread(runs, plug, few, rows) for plug in plugs_searched(runs)]
    uses = Uses(installation, runs, inputs)
    base = index_samples(total)
    indices = variance_shares(inputs, uses, base, questions.seed, {})
    chances = [item.key for item in inputs if item.distribution.kind == "chance"]
    if_all_work, given = None, None
    if chances:
        shut = {f"{name}.{WORKS}" for name in runs.case.uncredited}
        held = {key: 0.0 if key in shut else 1.0 for key in chances}
        if_all_work = variance_shares(inputs, uses, base, questions.seed, held)
        # as held: credited plugs work, the others do not
        working = np.all([(values[key] > 0.5) == (held[key] > 0.5) for key in chances], axis=0)
        given = share(int(np.sum(found.in_time & working)), int(working.sum()))
    return Sampled(
        method=questions.method,
        seed=questions.seed,
        samples=total,
        inputs=tuple(recorded(installation, item) for item in inputs),
        outcomes={name: int(count) for name, count in zip(OUTCOMES, counts, strict=True)},
        plug_acts_first=share(int(found.in_time.sum()), total),
        acts_first_if_all_work=given,
        safe=share(int(found.safe.sum()), total),
        not_converged=int(np.sum(~converged)),
        clipped=clipped,
        peak_strength_use=distributed(use),
        strength_use_margin=distributed(runs.case.limit - use),
        time_samples=size,
        time_margin_s=distributed(margin[np.isfinite(margin)]),
        no_vent=int(np.sum(~np.isfinite(first) & converged[:size])),
        no_rupture=int(np.sum(~np.isfinite(rupture))),
        bores=tuple(searches),
        indices=indices,
        indices_if_all_work=if_all_work,
        indices_not_converged=uses.failed,
        by_creep=int(np.sum((use <= runs.case.limit) & (damage > DAMAGE_LIMIT))),
        at_ends=share_at_ends(inputs, values, found.in_time),
    )


def _bore_spread(
    runs: VariantRuns, plug: str, values: Mapping[str, Array], rows: int
) -> BoreSpread:
    answer = working_bores(runs, plug, values, rows, CLOSE_ENOUGH)
    fitted = variable_inputs(runs.case)[f"{plug}.bore"][0]
    present = np.isfinite(answer.bore)
    enough = int(np.sum(answer.bore[present] <= fitted * (1.0 + 1e-9)))
    return BoreSpread(
        plug=plug,
        fitted_m=fitted,
        samples=rows,
        none_enough=int(np.sum(~present & answer.converged)),
        not_converged=int(np.sum(~answer.converged)),
        bores=distributed(answer.bore[present]),
        enough=share(enough, rows),
    )


def distributed(values: Array) -> Distributed | None:
    """Mean, quantiles and histogram; ``None`` without values."""
    if values.size == 0:
        return None
    low, high = float(values.min()), float(values.max())
    if high - low <= 1e-12 * max(abs(low), abs(high), 1e-300):
        low, high = low - 0.5 * abs(low) - 1e-9, high + 0.5 * abs(high) + 1e-9
    counts, edges = np.histogram(values, bins=BINS, range=(low, high))
    return Distributed(
        count=int(values.size),
        mean=float(values.mean()),
        deviation=float(values.std()),
        quantiles={
            f"{level:g}": float(value)
            for level, value in zip(QUANTILES, np.quantile(values, QUANTILES), strict=True)
        },
        edges=tuple(edges.tolist()),
        counts=tuple(counts.tolist()),
    )
