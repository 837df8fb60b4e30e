"""What is proposed where no plug of a section can do its work."""

import datetime as dt

from airrisk.installation.reading import read
from airrisk.study.exposures import exposures
from airrisk.study.fire_outcomes import fire_record
from airrisk.tables import sample_path

DAY = dt.date(2026, 11, 1)


def test_a_plug_under_water_does_not_keep_a_new_one_from_being_tried():
    dairy = read(sample_path("dairy-hall").read_bytes(), "dairy-hall")
    (stated,) = (
        one
        for one in exposures(dairy)
        if one.fire_class == "stated" and "R1" in one.section.members
    )
    record = fire_record(dairy, stated, DAY)
    assert record.safe is False
    assert record.uncredited == {"FP3": "under water"}
    assert record.no_cure is None
    (cure,) = record.cures
    assert cure.kind == "fit"
    assert {("on", '"R1"'), ("place", '"top"')} <= set(cure.added)
