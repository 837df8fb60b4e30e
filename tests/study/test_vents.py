"""Which open device lets the air of which part out."""

import pytest

from airrisk.installation.reading import read
from airrisk.study.records import EventRecord
from airrisk.study.vents import first_vents
from airrisk.tables import sample_path


def installation(name):
    return read(sample_path(name).read_bytes(), name)


def test_a_plug_before_a_non_return_valve_vents_nothing_behind_it():
    """Property: FP1 stands on the line before NRV1, so R1 waits for its own FP2."""
    events = (EventRecord(134.0, "plug opens", "FP1"), EventRecord(259.0, "plug opens", "FP2"))
    found = first_vents(installation("slate-quarry"), ("V2",), ("C1", "L1", "R1"), events)
    assert found == {"L1": 134.0, "R1": 259.0}


def test_without_its_own_plug_open_a_vessel_has_no_vent():
    events = (EventRecord(134.0, "plug opens", "FP1"),)
    found = first_vents(installation("slate-quarry"), ("V2",), ("C1", "L1", "R1"), events)
    assert found == {"L1": 134.0}


@pytest.mark.parametrize(("shut", "vents"), [((), {"SB2": 64.0}), (("V2",), {})])
def test_an_isolating_valve_decides(shut, vents):
    events = (
        EventRecord(64.0, "plug opens", "FP2"),
        EventRecord(70.0, "relief valve lifts", "RV1"),
    )
    assert first_vents(installation("river-ferry"), shut, ("SB2",), events) == vents
