"""No change for the worse makes an unsafe fire safe."""

from __future__ import annotations

from tests.study.worse_pairs import CHANGES, run_pairs


def test_no_change_for_the_worse_takes_a_verdict_to_safe():
    # property, on a few of the pairs of ``python -m tests.study.worse_pairs``
    tally = run_pairs(range(90))
    assert tally.faults == []
    assert set(tally.pairs) == set(CHANGES)
