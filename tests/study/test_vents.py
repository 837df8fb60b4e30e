"""Which open device lets the air of which part out."""

import pytest

from airrisk.installation.reading import read
from airrisk.installation.sections import devices_in_reach
from airrisk.study.records import EventRecord
from airrisk.study.vents import first_vents
from airrisk.tables import sample_path


def installation(name):
    return read(sample_path(name).read_bytes(), name)


def vents(name, shut, parts, events):
    whole = installation(name)
    reach = {part: devices_in_reach(whole, shut, part) for part in parts}
    return first_vents(reach, parts, events)


def test_a_plug_before_a_non_return_valve_vents_nothing_behind_it():
    """Property: FP1 stands on the line before NRV1, so R1 waits for its own FP2."""
    events = (EventRecord(134.0, "plug opens", "FP1"), EventRecord(259.0, "plug opens", "FP2"))
    found = vents("slate-quarry", ("V2",), ("L1", "R1"), events)
    assert found == {"L1": 134.0, "R1": 259.0}


def test_without_its_own_plug_open_a_vessel_has_no_vent():
    events = (EventRecord(134.0, "plug opens", "FP1"),)
    found = vents("slate-quarry", ("V2",), ("L1", "R1"), events)
    assert found == {"L1": 134.0}


@pytest.mark.parametrize(("shut", "found"), [((), {"SB2": 64.0}), (("V2",), {})])
def test_an_isolating_valve_decides(shut, found):
    events = (
        EventRecord(64.0, "plug opens", "FP2"),
        EventRecord(70.0, "relief valve lifts", "RV1"),
    )
    assert vents("river-ferry", shut, ("SB2",), events) == found
