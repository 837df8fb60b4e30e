"""What trials leave out changes nothing that they tell, and what they repeat is not run again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from airrisk.study import assessment, cure_runs
from airrisk.study.cache import StepCache
from airrisk.study.cure_changes import Change, Edit
from airrisk.study.cure_trials import Bench
from airrisk.study.fire_outcomes import Given, record_of
from airrisk.study.slices import Slicer
from tests.study.cure_plants import ON, PLANTS, bench_of, changes_of, plug


@pytest.mark.parametrize("name", PLANTS)
def test_a_trial_tells_what_the_whole_assessment_tells(name):
    """Property: with fewer runs and no doubts the same is cured and harmed, and no more is gone.

    A note that a relief valve alone keeps a section gives way to the doubt of that valve, which
    a trial does not ask: the note then stays in the trial. And what is left out of a search after
    the first run that fails would have been no plan.
    """
    bench = bench_of(PLANTS[name])
    for change in changes_of(bench):
        may = bench.may_hold([change])
        tried, proof = bench.trial([change]), bench.proof([change])
        assert tried is not None
        assert proof is not None
        assert may or proof.cured != set(bench.cells)
        assert (tried.cured, tried.harm) == (proof.cured, proof.harm)
        assert set(tried.gone) <= set(proof.gone)


@pytest.mark.parametrize("name", ["no plug", "a painted plug"])
def test_the_proof_of_a_change_is_the_assessment_of_its_file(name):
    """Property: of what a trial has run before, the envelope is the only thing that is kept."""
    bench = bench_of(PLANTS[name])
    change = changes_of(bench)[0]
    bench.trial([change])
    proof = bench.proof([change])
    changed = bench.changed([change])
    assert proof is not None
    assert changed is not None
    anew = assessment.assess(changed, ON, bores=False)
    assert proof.assessment.verdicts == anew.verdicts
    assert proof.assessment.findings == anew.findings
    assert [one.doubts for one in proof.assessment.fires] == [one.doubts for one in anew.fires]


def test_what_was_not_doubted_is_never_sure():
    bench = bench_of(PLANTS["a painted plug"].replace("painted over", "clean"))
    slicer = Slicer(bench.installation, ON)
    cuts = [slicer.fire(one) for one in assessment.exposures(bench.installation)]
    safe = [cut for cut in cuts if record_of(cut, bores=False).safe]
    assert safe
    assert any(record_of(cut, bores=False).sure for cut in safe)
    for cut in safe:
        record = record_of(cut, bores=False, given=Given(doubted=False))
        assert (record.safe, record.sure, record.doubts) == (True, False, ())


def _count_records(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    asked: list[str] = []

    def counted(cut, **more):
        asked.append(cut.section.id)
        return record_of(cut, **more)

    monkeypatch.setattr(cure_runs, "record_of", counted)
    return asked


def test_a_plug_on_one_vessel_runs_no_fire_of_another(monkeypatch):
    """A new plug takes the first free name, which no fire of another section can feel."""
    bench = bench_of(PLANTS["a second vessel behind a valve"])
    fitted = [one for one in changes_of(bench) if one.kind == "fit" and one.part == "R2"]
    bench = bench_of(PLANTS["a second vessel behind a valve"])
    asked = _count_records(monkeypatch)
    trial = bench.trial(fitted[:1])
    assert trial is not None
    assert asked
    assert all("R2" in section for section in asked)


def test_fires_of_the_assessment_are_not_run_again_without_its_memory(monkeypatch):
    known = bench_of(PLANTS["a second vessel behind a valve"])
    asked = _count_records(monkeypatch)
    bench = Bench(known.text, known.installation, ON, known.before, StepCache())
    trial = bench.trial([Change("renew", "FP1", (Edit("FP1", "condition", "clean"),))])
    assert trial is not None
    assert asked
    assert all("R1" in section for section in asked)


def test_a_fire_that_fails_is_not_asked_for_all_its_runs(monkeypatch):
    """A vessel on which a clean plug is fitted beside a painted one fails beside a strong fire."""
    text = PLANTS["too hot beside it"].replace(plug("FP1", "R1"), "")
    bench = bench_of(text)
    runs: list[int] = []

    def counted(cut, **more):
        record = record_of(cut, **more)
        if not record.safe and cut.fire_class == "beside":
            runs.append(record.runs)
        return record

    monkeypatch.setattr(cure_runs, "record_of", counted)
    fitted = next(one for one in changes_of(bench) if one.kind == "fit")
    bore = ("bore", "40 mm")
    other = replace(fitted, added=tuple(bore if one[0] == "bore" else one for one in fitted.added))
    bench.trial([fitted])
    bench.trial([other])
    whole = bench.proof([other])
    assert whole is not None
    assert runs
    full = max(one.runs for one in whole.assessment.fires if one.fire_class == "beside")
    assert runs[-2] < full


def test_after_the_first_fire_that_fails_no_other_is_asked(monkeypatch):
    bench = bench_of(PLANTS["a second vessel behind a valve"])
    slicer = Slicer(bench.installation, ON)
    cuts = [
        slicer.fire(one)
        for one in assessment.exposures(bench.installation)
        if one.fire_class == "whole"
    ]
    asked: list[str] = []
    monkeypatch.setattr(cure_runs, "side_by_side", lambda ask, items: [ask(one) for one in items])

    def stated_holds(cut):
        asked.append(cut.section.id)
        return "R2" not in cut.section.id

    monkeypatch.setattr(bench.runs, "stated_holds", stated_holds)
    monkeypatch.setattr(bench.runs, "tried", lambda cut: pytest.fail("one failed already"))
    assert len(cuts) > 1
    assert not bench.runs.hold(cuts)
    first = len(asked)
    assert not bench.runs.hold(cuts)
    assert len(asked) == first + 1  # the one that failed is asked first


def test_a_fire_that_cannot_be_reckoned_is_left_to_the_whole_assessment(monkeypatch):
    bench = bench_of(PLANTS["no plug"])
    change = changes_of(bench)[0]

    def fails(cut):
        raise ValueError("air left the range of its table")

    monkeypatch.setattr(bench.runs, "stated_holds", fails)
    monkeypatch.setattr(bench.runs, "proven", fails)
    assert bench.may_hold([change])
    proof = bench._asked((change,), assessment.Asked(fails))
    assert proof is not None
    assert proof.harm
    assert not proof.cured
