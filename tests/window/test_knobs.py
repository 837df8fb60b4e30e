"""The knobs of the Try-out are those that the register of inputs offers."""

from __future__ import annotations

import pytest

from airrisk.installation.inputs import input_at, inputs
from airrisk.installation.reading import read
from airrisk.tables import sample_names, sample_path
from airrisk.window.tryout.knobs import knobs_of

SAMPLES = {name: read(sample_path(name).read_bytes()) for name in sample_names()}


@pytest.mark.parametrize("name", SAMPLES)
def test_every_number_that_can_be_turned_is_in_the_register(name: str):
    system = SAMPLES[name]
    seen = set()
    for part in system.holders():
        for fire in system.fires or (None,):
            for knob in knobs_of(system, part.id, fire.id if fire else ""):
                if not knob.words:
                    one = input_at(system, f"{knob.part}.{knob.spec.key}")
                    assert one is not None
                    assert one.knob
                    assert one.spec == knob.spec
                    seen.add((one.of, one.field))
    assert ("vessel", "wall_thickness") in seen


def test_every_knob_of_the_register_is_offered_somewhere():
    seen = set()
    for system in SAMPLES.values():
        for part in system.holders():
            for fire in system.fires:
                for knob in knobs_of(system, part.id, fire.id):
                    one = input_at(system, f"{knob.part}.{knob.spec.key}")
                    seen |= set() if one is None else {(one.of, one.field)}
    assert {(one.of, one.field) for one in inputs() if one.knob} - seen <= {("line", "pressure")}
