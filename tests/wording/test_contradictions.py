"""No device that a finding rejects is counted on, advised or named reassuringly in its answer."""

from __future__ import annotations

import pytest

from airrisk import tables
from tests.samples.answers import answer_beside, sample_answer, sample_installation
from tests.wording import contradictions as rules

SEEDS = ((4, "offered"), (9, "painted over"))

REASSURING = [
    "In fire F1, vessel R1 vents in time: plug FP1 opens after 2.5 min.",
    "Vessel R1: its air can reach plugs FP1 and FP2 in every position of the valves.",
    "Heated shut in, vessel R1 ruptures at 500 °C. Plug FP1 is molten 90.1 K below that.",
    "Vessel R1, 2 m³, shut in by valve V1: plug FP1, no relief valve.",
    "Vessel R1, 2 m³, shut in by valve V1: plugs FP2 (no credit) and FP1, no relief valve.",
    "Fit plug FP1 where the flames of fire F1 reach it.",
    "Give plug FP1 the 138 °C alloy (Bi58Sn42).",
    "Plug FP1: least bore by the runs 4 mm.",
    "Plug FP1: a bore of 1 mm would already be enough by the runs.",
    "Held at 11 bar(g) by relief valve FP1, dry air bursts vessel R1.",
]
TAKEN_BACK = [
    "Vessel R1: its air can reach plug FP1 in every position of the valves. Nobody may count on "
    "FP1.",
    "Plug FP1 is molten 90.1 K below that, but nobody may count on it.",
    "Vessel R1, 2 m³, shut in by valve V1: plugs FP1 (no credit) and FP2, no relief valve.",
    "In fire F1, vessel R1 ruptures after 4 min although plug FP1 had opened.",
    "Renew plug FP1, so that it is clean and in date.",
    "In fire F1, vessel R1 vents in time: plug FP11 opens after 2.5 min.",
]


@pytest.mark.parametrize("text", REASSURING)
def test_a_text_that_counts_on_a_rejected_device_is_found(text):
    assert rules.contradicts(text, "FP1")


@pytest.mark.parametrize("text", TAKEN_BACK)
def test_a_text_that_takes_it_back_or_speaks_of_another_is_let_pass(text):
    assert not rules.contradicts(text, "FP1")


@pytest.mark.parametrize(
    ("name", "worse"),
    [
        *((name, "") for name in sorted(tables.sample_names())),
        ("slate-quarry", "overdue"), ("dairy-hall", "at the drain"), ("sawmill", rules.SEIZED),
        ("school-laboratory", "painted over"), ("slate-quarry", "of unknown alloy"),
    ],
)  # fmt: skip
def test_no_sample_counts_on_what_it_rejects(name, worse):
    whole = rules.worsened(sample_installation(name), worse)
    answer = answer_beside(whole, bores=False) if worse else sample_answer(name)
    if worse in ("overdue", rules.SEIZED):
        assert rules.rejected(answer)
    found = list(rules.contradictions(answer, whole))
    assert not found, "\n".join(found)


@pytest.mark.parametrize(("seed", "worse"), SEEDS)
def test_no_random_system_counts_on_what_it_rejects(seed, worse):
    found = list(rules.contradictions(*rules.answered(seed, worse, bores=False)))
    assert not found, "\n".join(found)
