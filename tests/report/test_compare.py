"""Comparing two versions lists what changed, and nothing else."""

import dataclasses

from airrisk.report.compare import compare
from tests.report import hand_made


def test_equal_versions_have_no_change():
    pair = hand_made.assessment(), hand_made.installation()
    assert compare(pair, pair) == ()


def test_a_changed_bore_and_its_verdict_are_listed():
    installation = hand_made.installation()
    smaller = dataclasses.replace(
        installation, plugs=(dataclasses.replace(installation.plugs[0], bore=0.005),)
    )
    late = hand_made.answered(hand_made.unsafe())
    changes = compare((hand_made.assessment(), installation), (late, smaller))
    assert [(c.kind, c.where, c.before.replace("\u00a0", " "), c.after.replace("\u00a0", " "))
            for c in changes] == [
        ("input", "FP1", "10 mm", "5 mm"),
        ("section", "Vessel R1 and line L1, with valve V1 shut", "● vents in time, 53 %, not sure",
         "✖ ruptures, after 4.3 min"),
        ("fire", "F1, L1+R1, valve V1",
         "vents in time, 53 % of the allowed load (strength use 0.351, limit 0.667), not sure: "
         "passes the limit on the cautious basis (yield strength)",
         "ruptures, after 4.3 min, 150 % of the allowed load (strength use 1, limit 0.667)"),
    ]  # fmt: skip


def test_a_part_that_went_away_and_a_finding_that_came_are_listed():
    installation = hand_made.installation()
    bare = dataclasses.replace(installation, relief_valves=())
    without = dataclasses.replace(hand_made.assessment(), findings=())
    changes = compare((without, installation), (hand_made.assessment(), bare))
    gone = [c for c in changes if c.where == "RV1"]
    assert gone
    assert all(c.after == "" for c in gone)
    found = [c for c in changes if c.kind == "finding"]
    assert len(found) == 1
    assert "-" not in found[0].what  # a title and no identifier
    assert found[0].before == ""


def test_of_two_findings_of_one_rule_on_one_part_none_is_lost():
    (one,) = hand_made.assessment().findings
    pair = [dataclasses.replace(one, values={**one.values, "fire": name}) for name in ("F1", "F2")]
    answers = [
        dataclasses.replace(hand_made.assessment(), findings=tuple(kept))
        for kept in (pair, pair[1:])
    ]
    installation = hand_made.installation()
    changes = compare((answers[0], installation), (answers[1], installation))
    assert [(c.kind, c.after) for c in changes] == [("finding", "")]
    assert changes[0].what.endswith(", F1")
