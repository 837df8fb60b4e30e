"""The what-if study: exact shares, reproducibility, batch against single runs, cancel, sweeps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from airrisk.fire.bores import smallest_bore
from airrisk.fire.outcome import classify
from airrisk.fire.stopping import Cancelled
from airrisk.fire.variants import variable_inputs
from airrisk.installation import reading
from airrisk.installation.model import Spread
from airrisk.report.what_if_json import what_if_json
from airrisk.study.assessment import assess
from airrisk.study.exposures import exposures
from airrisk.study.fire_runs import FireStudy
from airrisk.study.index_runs import Uses
from airrisk.study.safe_border import border_pieces, turning_points
from airrisk.study.sampling import SLIGHT
from airrisk.study.slices import fire_slice
from airrisk.study.variants import VariantRuns
from airrisk.study.what_if import (
    Questions,
    candidates,
    choose,
    distributed,
    growing_what_if,
    what_if,
)
from airrisk.study.what_if_inputs import WhatIfError, bounds, read_sweep, varied_inputs
from airrisk.tables import sample_path
from airrisk.verdict.rule import OUTCOMES
from airrisk.wording.units import Units
from airrisk.wording.what_if_texts import insulation_cautions, method_sentences, subject_sentence
from tests.study.one_receiver import ON, SYSTEM, few_runs


@pytest.fixture(autouse=True)
def small(monkeypatch):
    few_runs(monkeypatch)


@pytest.fixture(scope="module")
def installation():
    return reading.read(SYSTEM)


@pytest.fixture(scope="module")
def chosen(installation):
    return choose(installation, ON)


def spread(key: str, distribution: str, **parameters: float) -> Spread:
    part, _, name = key.partition(".")
    return Spread(
        part=part, field=name, distribution=distribution, parameters=tuple(parameters.items())
    )


def test_share_of_samples_is_that_beyond_a_threshold_found_by_bisection(installation, chosen):
    """Analytic: with one uniform input the share of safe samples is the share of its range."""
    runs = VariantRuns(chosen.case)
    low, high = 0.3, 1.5
    grid = np.linspace(low, high, 13)
    key = "R1.strength_factor"
    safe = runs.run({key: grid}).safe
    turns = turning_points(grid, safe, lambda values: runs.run({key: values}).safe)
    assert len(turns) == 1
    assert not safe[0]
    exact = (high - turns[0]) / (high - low)
    uncertain = replace(installation, spreads=(spread(key, "uniform", low=low, high=high),))
    count = 400
    answer = what_if(uncertain, ON, Questions((key,), samples=count, tornado=False)).sampled
    # A Latin hypercube puts one sample in each of the equal slices of a single input.
    assert answer.safe.value == pytest.approx(exact, abs=1.5 / count)
    assert answer.safe.low <= exact <= answer.safe.high


def test_share_with_a_plug_that_works_by_chance_is_that_chance(installation):
    """Analytic: nothing else varies, so the plug acts first in 70 % of the samples."""
    key = "FP1.works"
    uncertain = replace(installation, spreads=(spread(key, "chance", probability=0.7),))
    answer = what_if(uncertain, ON, Questions((key,), samples=300, tornado=False)).sampled
    assert answer.plug_acts_first.value == pytest.approx(0.7, abs=5e-3)
    assert answer.time_samples == 64
    assert 0 < answer.no_vent < 64
    assert answer.indices.total == pytest.approx((1.0,), abs=0.5)


@pytest.mark.parametrize("method", ["latin hypercube", "sobol"])
def test_the_same_seed_gives_the_same_bytes(installation, method):
    """Property."""
    questions = Questions(("R1.wall_thickness", "FP1.fouling"), samples=60, method=method, seed=7)
    texts = [
        what_if_json(what_if(installation, ON, questions), "", "", ON.isoformat()) for _ in range(2)
    ]
    assert texts[0] == texts[1]
    other = replace(questions, seed=8)
    assert what_if_json(what_if(installation, ON, other), "", "", ON.isoformat()) != texts[0]


def test_variants_together_are_the_variants_one_by_one(chosen):
    """Property: 50 random variants; what else is in the batch changes nothing."""
    rng = np.random.default_rng(5)
    values = {
        "R1.wall_thickness": rng.uniform(5e-3, 1e-2, 50),
        "R1.strength_factor": rng.uniform(0.6, 1.2, 50),
        "FP1.bore": rng.uniform(5e-3, 3e-2, 50),
        "FP1.fouling": rng.uniform(0.0, 2e-3, 50),
        "FP1.works": (rng.uniform(size=50) < 0.8).astype(float),
    }
    together = VariantRuns(chosen.case).run(values)
    assert len(set(together.outcome.tolist())) > 1
    for row in range(50):
        alone = VariantRuns(chosen.case).run({key: array[[row]] for key, array in values.items()})
        assert alone.outcome[0] == together.outcome[row]
        assert alone.peak_use[0] == pytest.approx(together.peak_use[row], rel=1e-12)


def test_present_values_give_the_answer_of_the_single_run(chosen):
    """Property: the batch as stated against the run that chose it."""
    key, (present, _) = next(iter(variable_inputs(chosen.case).items()))
    answer = VariantRuns(chosen.case).run({key: np.array([present])})
    assert OUTCOMES[answer.outcome[0]] == chosen.verdict.outcome
    assert answer.peak_use[0] == pytest.approx(chosen.verdict.peak_use, rel=2e-3)


def test_tornado_is_sorted_by_effect_and_a_plug_that_fails_matters_most(installation):
    answer = what_if(installation, ON, Questions()).tornado
    swings = [bar.swing for bar in answer.bars]
    assert swings == sorted(swings, reverse=True)
    works = next(bar for bar in answer.bars if bar.key == "FP1.works")
    assert (works.low, works.high) == (0.0, 1.0)
    assert works.at_low.first_vent_s is None
    assert not works.at_low.safe
    assert answer.present.safe
    margin = answer.present.rupture_without_vent_s - answer.present.first_vent_s
    assert answer.present.time_margin_s == pytest.approx(margin)
    bore = answer.present.smallest_bore_m["FP1"]
    wall = next(bar for bar in answer.bars if bar.key == "R1.wall_thickness")
    assert wall.at_low.smallest_bore_m["FP1"] > bore > wall.at_high.smallest_bore_m["FP1"]


def test_the_smallest_bore_passes_and_a_smaller_one_does_not(installation, chosen):
    answer = what_if(installation, ON, Questions()).tornado.present
    bore = answer.smallest_bore_m["FP1"]
    found = VariantRuns(chosen.case).run({"FP1.bore": bore * np.array([0.99, 1.002])})
    assert found.in_time.tolist() == [False, True]


def test_smallest_bore_is_that_of_the_search_on_single_runs(installation, chosen):
    """Property: the search in batches against the one that the assessment makes."""
    bore = what_if(installation, ON, Questions()).tornado.present.smallest_bore_m["FP1"]
    assert bore == pytest.approx(smallest_bore(chosen.case, "FP1").exact_m, rel=3e-3)


def test_batch_gives_the_outcomes_of_single_runs(installation, chosen):
    """Property: 50 random variants, each also built from a changed file and run alone."""
    rng = np.random.default_rng(17)
    walls = rng.uniform(5e-3, 1.0e-2, 50)
    bores = rng.uniform(4e-3, 3e-2, 50)
    emissivities = rng.uniform(0.6, 0.95, 50)
    values = {"R1.wall_thickness": walls, "FP1.bore": bores, "F1.emissivity": emissivities}
    found = VariantRuns(chosen.case).run(values)
    single = []
    for wall, bore, emissivity in zip(walls, bores, emissivities, strict=True):
        changed = replace(
            installation,
            vessels=(replace(installation.vessels[0], wall_thickness=wall),),
            plugs=(replace(installation.plugs[0], bore=bore),),
            fires=(replace(installation.fires[0], emissivity=emissivity),),
        )
        study = FireStudy(fire_slice(changed, exposures(changed)[0], ON))
        (run,) = study.run([study.case(chosen.corner)])
        single.append(classify(run))
    uses = np.array([verdict.peak_use for verdict in single])
    doubt = np.abs(found.peak_use / uses - 1.0)
    assert np.quantile(doubt, 0.9) < 1e-3  # the batch steps with a wider tolerance
    assert doubt.max() < 5e-3
    near = np.abs(uses / chosen.case.limit - 1.0) < 1e-2
    same = [
        OUTCOMES[code] == verdict.outcome
        for code, verdict in zip(found.outcome, single, strict=True)
    ]
    assert all(same[row] or near[row] for row in range(50))
    assert len({verdict.outcome for verdict in single}) > 1


def test_sweep_tells_where_safe_turns_to_unsafe(installation, chosen):
    answer = what_if(
        installation, ON, Questions(sweeps=("FP1.bore=2 mm..30 mm:15",), tornado=False)
    )
    (line,) = answer.sweeps
    assert len(line.swept.values) == 15
    assert (line.swept.values[0], line.swept.values[-1]) == pytest.approx((2e-3, 3e-2))
    (turn,) = line.crossings
    found = VariantRuns(chosen.case).run({"FP1.bore": turn * np.array([0.999, 1.001])})
    assert found.safe.tolist() == [False, True]


def test_map_has_a_border_between_safe_and_unsafe(installation):
    answer = what_if(
        installation,
        ON,
        Questions(
            sweeps=("FP1.bore=4 mm..24 mm:6", "R1.wall_thickness=5 mm..9 mm:5"), tornado=False
        ),
    )
    (found,) = answer.maps
    assert len(found.safe) == 5
    assert {len(row) for row in found.safe} == {6}
    assert {flag for row in found.safe for flag in row} == {True, False}
    assert found.border


def test_border_of_a_known_shape_is_met():
    """Analytic: the border of x^2 + y^2 < 1."""
    axis = np.linspace(-1.5, 1.5, 14)
    x, y = np.meshgrid(axis, axis)
    pieces = border_pieces(axis, axis, x**2 + y**2 < 1, lambda xs, ys: xs**2 + ys**2 < 1)
    radii = [np.hypot(*end) for piece in pieces for end in piece]
    assert np.allclose(radii, 1.0, atol=1e-4)
    length = sum(np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pieces)
    assert length == pytest.approx(2 * np.pi, rel=0.02)


def test_study_stops_when_asked_and_says_how_far_it_is(installation):
    told = []
    with pytest.raises(Cancelled):
        what_if(
            installation,
            ON,
            Questions(samples=50_000),
            progress=lambda done, what: told.append((done, what)),
            should_stop=lambda: len(told) > 20,
        )
    assert 20 < len(told) < 40  # a piece or two may be on its way in each thread
    assert all(0.0 <= done <= 1.0 for done, _ in told)
    assert {what for _, what in told} >= {"one at a time"}


def test_a_variant_that_fails_is_counted_and_never_safe(installation, monkeypatch):
    from airrisk.study import variants

    real = variants.run_batch
    failed = OUTCOMES.index("not converged")

    def failing(case, values, **more):
        found = real(case, values, **more)
        outcome = np.array(found.outcome)
        outcome[0], safe, use = failed, np.array(found.safe), np.array(found.peak_use)
        safe[0], use[0] = False, np.nan
        return replace(found, outcome=outcome, safe=safe, peak_use=use)

    monkeypatch.setattr(variants, "run_batch", failing)
    answer = what_if(
        installation, ON, Questions(("R1.wall_thickness",), samples=40, tornado=False)
    ).sampled
    assert answer.not_converged == 1
    assert answer.outcomes["not converged"] == 1
    assert answer.safe.total == 40
    assert answer.safe.count <= 39
    assert answer.peak_strength_use.count == 39
    assert answer.indices_not_converged > 0


def test_a_plug_without_credit_stays_shut_unless_the_file_states_its_chance(installation, chosen):
    variable = variable_inputs(chosen.case)
    keys = {item.key for item in varied_inputs(installation, variable, ["FP1"])}
    assert "FP1.works" not in keys
    assert "FP1.melting" in keys
    with pytest.raises(WhatIfError, match="no credit"):
        varied_inputs(installation, variable, ["FP1"], ["FP1.works"])
    stated = replace(installation, spreads=(spread("FP1.works", "chance", probability=0.5),))
    assert "FP1.works" in {item.key for item in varied_inputs(stated, variable, ["FP1"])}


def test_a_spread_that_the_run_does_not_feel_is_told(installation):
    felt = spread("R1.pressure", "uniform", low=1.0e6, high=1.2e6)
    idle = (
        spread("R1.head_thickness", "uniform", low=7e-3, high=9e-3),
        spread("FP1.outlet_length", "uniform", low=1.0, high=2.0),  # its outlet is open
    )
    answer = what_if(replace(installation, spreads=(felt, *idle)), ON, Questions(tornado=False))
    assert answer.unused_spreads == ("R1.head_thickness", "FP1.outlet_length")
    (sentence,) = (one for one in method_sentences(answer) if "head_thickness" in one)
    assert sentence.startswith("Spreads of the file that this run does not feel")
    assert not any(
        "does not feel" in one for one in method_sentences(replace(answer, unused_spreads=()))
    )


def test_drawn_values_stay_within_what_the_field_allows(installation):
    key = "R1.wall_thickness"
    wild = replace(installation, spreads=(spread(key, "normal", mean=8e-3, deviation=6e-3),))
    answer = what_if(wild, ON, Questions((key,), samples=60, tornado=False)).sampled
    assert answer.clipped > 0
    assert answer.inputs[0].clipped_to == bounds(installation, key)
    assert bounds(installation, "R1.pressure")[0] >= installation.site.ambient_pressure


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no key"),
        ("R1.wall_thickness", "no key"),
        ("=4 mm..10 mm", "no key"),
        ("R9.wall_thickness=4 mm..10 mm", "cannot be varied"),
        ("R1.wall_thickness=4..10", "unit"),
        ("R1.wall_thickness=4 mm", "LOW..HIGH"),
        ("R1.wall_thickness=4 mm..6 mm..8 mm", "LOW..HIGH"),
        ("R1.wall_thickness=10 mm..4 mm", "does not rise"),
        ("R1.wall_thickness=4 mm..4 mm", "does not rise"),
        ("R1.wall_thickness=-4 mm..10 mm", "out of range"),
        ("R1.wall_thickness=4 mm..9 km", "out of range"),
        ("R1.volume=1 L..3 m3", "of the heads"),
        ("R1.wall_thickness=4 mm..10 degC", "unit"),
        ("R1.wall_thickness=nan mm..10 mm", "nan"),
        ("R1.wall_thickness=4 mm..1e999 mm", "1e999"),
        ("R1.wall_thickness=4 mm..10 mm:1", "2 to"),
        ("R1.wall_thickness=4 mm..10 mm:0x10", "number of points"),
        ("R1.wall_thickness=4 mm..10 mm:99999999999", "number of points"),
        ("R1.wall_thickness=4 mm..10 mm:٣", "number of points"),
        ("R1.pressure=8 bar..12 bar", "gauge"),
        ("R1.pressure=0.2 bar(a)..12 bar(g)", "out of range"),
        ("site.ambient_pressure=0.1 bar(g)..0.2 bar(g)", "must be an absolute pressure"),
        ("FP1.works=0..1", "yes or no"),
        ("FP1.opening_share=0..1", "0.01 to 1"),
        ("FP1.opening_share=50 %..120 %", "out of range"),
        ("FP1.opening_share=0.5 mm..1 mm", "opening_share"),
        ("R1.wall_thickness=" + "4" * 5000 + " mm..10 mm", "R1.wall_thickness"),
        ("__import__('os')=1..2", "cannot be varied"),
    ],
)
def test_hostile_sweeps_are_refused_in_words(installation, chosen, text, words):
    with pytest.raises(WhatIfError) as caught:
        read_sweep(text, variable_inputs(chosen.case), installation)
    assert words in str(caught.value)


def test_sweep_reads_units_case_and_number_of_points(installation, chosen):
    variable = variable_inputs(chosen.case)
    found = read_sweep("r1.WALL_thickness = 4 mm .. 0.4 in : 7", variable, installation)
    assert (found.key, found.points) == ("R1.wall_thickness", 7)
    assert (found.low, found.high) == pytest.approx((4e-3, 0.01016))
    gauge = read_sweep("R1.pressure=8 bar(g)..12 bar(g)", variable, installation)
    assert gauge.low == pytest.approx(8e5 + installation.site.ambient_pressure)


def test_questions_that_make_no_sense_are_refused(installation):
    for wrong in (
        {"samples": -1}, {"samples": 10**9}, {"method": "dice"}, {"seed": -1},
        {"sweeps": ("a", "b", "c")},
    ):  # fmt: skip
        with pytest.raises(WhatIfError, match="valid"):
            Questions(**wrong)
    with pytest.raises(WhatIfError, match="F1"):
        candidates(installation, "F2")
    with pytest.raises(WhatIfError, match="R1"):
        candidates(installation, "F1", "nowhere")
    same = ("FP1.bore=2 mm..9 mm", "fp1.bore=3 mm..9 mm")
    with pytest.raises(WhatIfError, match="twice"):
        what_if(installation, ON, Questions(sweeps=same, tornado=False))


def test_insulation_that_counts_is_told_to_be_taken_as_certain(installation, chosen):
    """Nothing varies it, and it holds off what the other inputs vary."""
    assert insulation_cautions(chosen.subject()) == []
    layer = {"insulation_resistance": 0.7, "insulation_known_at": 1123.15}
    for limit, told in ((1900.0, True), (None, False)):
        tank = replace(installation.vessels[0], **layer, insulation_holds_to=limit)
        changed = replace(installation, vessels=(tank,))
        study = FireStudy(fire_slice(changed, exposures(changed)[0], ON))
        subject = replace(chosen, study=study, case=study.case(chosen.corner)).subject()
        text = subject_sentence(subject, Units())
        assert ("The insulation of vessel R1 is taken as certain, as stated" in text) == told
        assert ("heat flux hardly reaches a covered wall" in text) == told


def test_without_a_fire_the_engulfing_one_of_the_largest_section_is_taken(installation):
    bare = replace(installation, fires=())
    (one,) = candidates(bare)
    assert one.fire_class == "whole"
    assert one.section.vessels == ("R1",)


def test_histogram_holds_every_value_and_a_constant_has_one_class():
    values = np.random.default_rng(1).normal(size=500)
    found = distributed(values)
    assert sum(found.counts) == found.count == 500
    assert found.quantiles["0.5"] == pytest.approx(np.median(values))
    assert sum(count > 0 for count in distributed(np.full(7, 2.0)).counts) == 1
    assert distributed(np.array([])) is None


def test_time_margin_counts_the_plug_that_the_vessels_own_air_can_reach():
    """Property: FP1 opens first but stands before the non-return valve; R1 waits for FP2."""
    quarry = reading.read(sample_path("slate-quarry").read_bytes())
    answer = what_if(quarry, ON, Questions(("R1.wall_thickness",), samples=8))
    present = answer.tornado.present
    assessed = assess(quarry, ON, source=b"", bores=False).fires[0]
    assert assessed.first_vent_s < assessed.first_vent_by_part_s["R1"] - 60.0
    assert present.first_vent_s == pytest.approx(assessed.first_vent_by_part_s["R1"], rel=0.01)
    assert present.time_margin_s == pytest.approx(
        present.rupture_without_vent_s - present.first_vent_s
    )
    assert list(present.smallest_bore_m) == ["FP2"]
    swept = what_if(
        quarry, ON, Questions(sweeps=("R1.wall_thickness=7 mm..9 mm:3",), tornado=False)
    )
    assert swept.sweeps[0].first_vent_s[1] == pytest.approx(present.first_vent_s, rel=0.1)
    assert answer.sampled.time_margin_s.mean == pytest.approx(present.time_margin_s, rel=0.1)


def test_a_mistyped_input_is_answered_with_the_one_that_is_meant(installation):
    for asked in (
        Questions(("R1.wall_thicknes",)),
        Questions(sweeps=("R1.wall_thicknes=4 mm..9 mm",), tornado=False),
    ):
        with pytest.raises(WhatIfError, match=r"\(R1\.wall_thickness\?\)"):
            what_if(installation, ON, asked)


def test_a_study_grows_part_by_part_and_its_parts_outlive_a_stop(installation):
    asked = Questions(sweeps=("FP1.bore=6 mm..24 mm:4",), samples=16)
    parts = list(growing_what_if(installation, ON, asked))
    assert [one.tornado is not None for one in parts] == [True, True, True]
    assert [len(one.sweeps) for one in parts] == [0, 1, 1]
    assert [one.sampled is not None for one in parts] == [False, False, True]
    whole = what_if(installation, ON, asked)
    first, last = (what_if_json(one, "Title", "", ON.isoformat()) for one in (parts[-1], whole))
    assert first == last

    kept = []
    grown = growing_what_if(installation, ON, asked, should_stop=lambda: bool(kept))
    kept.append(next(grown))
    with pytest.raises(Cancelled):
        next(grown)
    assert kept[0].tornado == parts[0].tornado


def test_indices_ask_for_no_variant_twice(installation, chosen):
    inputs = varied_inputs(installation, variable_inputs(chosen.case), ())
    uses = Uses(installation, VariantRuns(chosen.case), inputs)
    values = {item.key: np.array([item.present, item.present]) for item in inputs}
    first = uses(values)
    assert uses._runs.done == 1
    assert first[0] == first[1] == pytest.approx(chosen.verdict.peak_use, rel=1e-3)
    values["FP1.works"] = np.array([0.0, 1.0])
    assert uses(values)[0] == 1.0 > first[0]
    assert uses._runs.done == 2


def test_inputs_that_matter_have_indices_and_the_others_a_bound(installation):
    sampled = what_if(installation, ON, Questions(samples=512)).sampled
    for found in (sampled.indices, sampled.indices_if_all_work):
        assert found.together.total_high <= SLIGHT
        assert {item.key for item in sampled.inputs} >= {*found.keys, *found.together.keys}
        assert not set(found.keys) & set(found.together.keys)
    assert "FP1.works" in sampled.indices.keys
    every = (*sampled.indices_if_all_work.keys, *sampled.indices_if_all_work.together.keys)
    assert "FP1.works" not in every


def test_with_all_credited_plugs_working_one_without_credit_stays_shut(installation):
    # its chance is stated, so that the samples draw it; the indices beside them leave it shut
    doubted = replace(installation.plugs[0], condition="corroded")
    chance = spread("FP1.works", "chance", probability=0.5)
    stated = replace(installation, plugs=(doubted,), spreads=(chance,))
    sampled = what_if(stated, ON, Questions(samples=64)).sampled
    assert sampled.indices is not None
    assert "FP1.works" in sampled.indices.keys
    assert sampled.indices_if_all_work is None  # it ruptures in all of them
    assert sampled.acts_first_if_all_work is not None
    assert 16 < sampled.acts_first_if_all_work.total < 48
    assert sampled.acts_first_if_all_work.count == 0
