"""Spaces that have blown down are followed less closely, and nothing that counts changes."""

from __future__ import annotations

import numpy as np
import pytest

from airrisk.fire.case import FireCase
from airrisk.fire.run import FireRun, Workspace, new_state, run
from airrisk.installation.model import Valve
from airrisk.kernel import moments, spent_spaces
from airrisk.kernel.rhs import G_EASE, G_P
from airrisk.kernel.spent_spaces import SPENT_EASE, ease_spent
from tests.fire.systems import case_of, fire, line, plug, relief, vessel

TWO = (vessel("R1", volume=0.6), vessel("R2"), line("L1", "R1", "R2"))


def two_vessels(*more: object) -> FireCase:
    """Two vessels and their line, a plug on each vessel, a relief valve on the first."""
    plugs = (plug("FP1", "R1"), plug("FP2", "R2"), relief(on="R1"))
    return case_of(*TWO, *plugs, *more, fire(("R1", "R2")))


def eased(
    case: FireCase, opened: tuple[str, ...], easy: tuple[str, ...], **also: float
) -> set[str]:
    """Parts whose air is followed less closely.

    ``opened`` are the plugs that are open, ``easy`` the parts far below their worst; ``also``
    are pressures by part [bar], 5 where none is given, and ``lifted`` 1 for the relief valve.
    """
    state, use = new_state(case), Workspace()
    use.fit(case)
    for name in opened:
        state.modes[1 + case.plugs.index(name)] = 1
    if also.get("lifted"):
        state.modes[1 + len(case.plugs)] = 1
    state.worst[:, moments.K_PEAK_USE] = 0.5
    for index, name in enumerate(case.names):
        state.worst[index, moments.K_END_USE] = 0.3 if name in easy else 0.4
        use.work.air[G_P, index] = 1e5 * also.get(name, 5.0)
    ease_spent(case, state, use.work.air)
    found = use.work.air[G_EASE, : len(case.names)]
    assert set(found.tolist()) <= {1.0, SPENT_EASE}
    return {name for name, ease in zip(case.names, found, strict=True) if ease > 1.0}


def test_a_space_is_spent_when_it_is_open_and_far_below_its_worst():
    # property: a shut non-return valve holds the second vessel off, the line has no opening of
    # its own and the first vessel breathes with it
    valve = Valve(id="NV1", on="L1", end="to", kind="non-return")
    case = two_vessels(valve)
    apart = {"R1": 1.5, "L1": 1.5, "R2": 6.0}
    assert eased(case, ("FP1", "FP2"), case.names, **apart) == {"R2"}
    assert eased(case, ("FP1",), case.names, **apart) == set()
    assert eased(case, ("FP1", "FP2"), (), **apart) == set()
    # a pressure that may turn the valve holds nothing off
    assert eased(case, ("FP1", "FP2"), case.names, **{**apart, "R2": 1.6}) == set()


def test_what_can_reach_a_space_that_is_not_spent_is_followed_closely():
    # property: the error of a spent space would pass the open line
    case = two_vessels()
    everything = case.names
    assert eased(case, ("FP1",), everything) == set()
    assert eased(case, ("FP1", "FP2"), ("R1",)) == set()
    assert eased(case, ("FP1", "FP2"), everything, lifted=1.0) == set()


def test_a_single_space_is_followed_closely_to_its_end():
    # property: its balance is told to more figures
    case = case_of(vessel(), plug(), fire())
    assert eased(case, ("FP1",), ("R1",)) == set()


def blown_down() -> FireCase:
    """A vessel and the line that fills it through a non-return valve, each with its plug."""
    long = line("L1", "R2", "R1", inside_diameter=0.0545, length=8.0)
    valve = Valve(id="NV1", on="L1", end="to", kind="non-return")
    plugs = (plug("FP1", "R1"), plug("FP2", "L1"), plug("FP3", "R2"))
    return case_of(*TWO[:2], long, valve, *plugs, fire(("R1", "R2", "L1")))


def test_following_spent_spaces_less_closely_changes_nothing_that_counts(
    monkeypatch: pytest.MonkeyPatch,
):
    # convergence: against the same steps without it
    case = blown_down()

    def ran() -> FireRun:
        return run(case, interpreted=True, store=False)

    spared = ran()
    monkeypatch.setattr(spent_spaces, "SPENT_EASE", 1.0)
    close = ran()
    assert spared.evaluations < 0.97 * close.evaluations
    assert spared.status == close.status == "ended"
    assert [(e.event, e.part) for e in spared.events] == [(e.event, e.part) for e in close.events]
    assert spared.peak_use == pytest.approx(close.peak_use, rel=1e-5)
    assert spared.peak_pressure == pytest.approx(close.peak_pressure, rel=1e-5)
    held = list(case.vessel_indices)
    assert np.allclose(spared.empty_time[held], close.empty_time[held], rtol=0.0, atol=0.1)
