"""Every sentence that samples, random systems and wrong files can produce keeps the rules."""

from __future__ import annotations

import pytest

from airrisk import tables
from airrisk.installation.reading import check
from tests.installation.test_mistakes import BASE, CASES
from tests.samples.answers import sample_answer, sample_installation
from tests.wording import sentence_rules as rules
from tests.wording.said import Said

SEEDS = (2, 4, 9)  # some seconds; ``python -m tests.wording.sentence_rules`` reads hundreds
IDS = frozenset({"FP1", "FP2", "R1", "L1", "V1"})

# a rule, a text that it must refuse, and the nearest one that it must let pass
BROKEN = [
    (rules.too_long, "Plug FP1 " + "very " * 30 + "late opens.", "Plug FP1 opens."),
    (rules.too_long, "lines " + "L1, " * 40 + "V1 " + "and so on " * 12, "lines " + "L1, " * 40),
    (rules.id_without_kind, "The air of R1 is hot.", "The air of vessel R1 is hot. R1 is small."),
    (rules.id_without_kind, "The plug on R1 is old.", "Plugs FP1 and FP2 are old."),
    (rules.id_without_kind, "With V1 shut", "With valve V1 shut"),
    (rules.two_units_of_time, "It opens after 4 min, 20 s later than R1.", "It opens after 4 min."),
    (rules.file_key, "State in_fire.", "State what it does in a fire."),
    (rules.file_key, "The exposed_share is 1.", "All of the shell is in the fire."),
    (rules.rule_name, "See fire-outcome.", "See the findings."),
    (rules.rule_name, "basis: tensile-ky", "basis: tensile strength"),
    (rules.absurd_number, "RV1 lifts after 2.31e-07\u00a0min.", "RV1 lifts after 2.31\u00a0min."),
    (rules.absurd_number, "at 12.345\u00a0bar(g)", "at 12.34\u00a0bar(g), by EN 1991-1-2"),
    (rules.absurd_number, "a bore of 0.000\u00a0mm", "a bore of 0.001\u00a0mm, due on 2026-12-14"),
    (rules.double_space, "It opens.  It is hot.", "It opens. It is hot."),
    (rules.double_space, "It opens. ", "It opens."),
    (rules.no_verb, "A wider or shorter outlet pipe.", "Fit a wider or shorter outlet pipe."),
    (rules.margin_without_measure, "at most strength use 0.62", "strength use 0.62, limit 0.667"),
    (rules.margin_without_measure, "damage 0.8", "damage 0.8, limit 0.5"),
    (rules.margin_without_measure, "a margin of 12 K", "a margin of 12 K, wanted 30 K"),
    (rules.forbidden, "138 C alloy (Bi58Sn42)", "138\u00a0°C alloy (Bi58Sn42)"),
    (rules.forbidden, "Its place is None.", "None of 5 sections is safe."),
    (rules.forbidden, "ASME VIII (from memory)", "ASME VIII (edition not checked)"),
    (rules.forbidden, "{part} opens.", "Plug FP1 opens."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "bad", "good"), BROKEN, ids=[f"{rule.__name__} {bad[:20]}" for rule, bad, _ in BROKEN]
)
def test_a_rule_refuses_what_breaks_it_and_lets_the_nearest_pass(rule, bad, good):
    assert list(rule(bad, IDS))
    assert not list(rule(good, IDS))


def test_every_rule_is_tried():
    assert {rule for rule, _, _ in BROKEN} == {*rules.EVERYWHERE, rules.no_verb}


@pytest.mark.parametrize("name", sorted(tables.sample_names()))
def test_what_is_said_of_a_sample_keeps_the_rules(name):
    found = rules.faults(sample_answer(name), sample_installation(name))
    assert not found, "\n".join(found)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_said_of_a_random_system_keeps_the_rules(seed):
    found = rules.faults(*rules.answered(seed, bores=False))
    assert not found, "\n".join(found)


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case[2]}, {case[3]}: {case[4]}")
def test_what_is_said_of_a_wrong_file_keeps_the_rules(case):
    """The place names the field by its key, the values are those of the file: both are asked."""
    problems = check(BASE.replace(case[0], case[1], 1), "yard.toml")[1]
    for one in problems:
        text = one.message
        found = [
            fault
            for rule in (rules.too_long, rules.two_units_of_time, rules.double_space)
            for fault in rule(text, ())
        ]
        assert not found, "\n".join(found)
        assert "None" not in text
        assert "{" not in text.replace("{...}", "")


def test_only_findings_and_deeds_are_asked_for_a_verb():
    bare = "A wider or shorter outlet pipe."
    assert rules.faults_of(Said("finding", "", bare), IDS)
    assert not rules.faults_of(Said("verdict", "", bare), IDS)
