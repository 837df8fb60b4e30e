"""Rows of heat into a wall: of a whole fire, none of one that stands somewhere or lasts no step."""

from dataclasses import replace

import pytest

from airrisk.study.heat_by_hand import fire_of_record, heat_by_hand
from tests.samples.answers import sample_answer, sample_installation


def school():
    installation = sample_installation("school-laboratory")
    vessel = installation.vessels[0]
    fires = sample_answer("school-laboratory").fires
    record = next(one for one in fires if one.id == "F1" and vessel.id in one.members)
    return installation, record, vessel


def test_the_rows_end_with_the_run_and_tell_when_the_plug_opens():
    installation, record, vessel = school()
    found = heat_by_hand(installation, record, vessel)
    assert found is not None
    assert record.curves is not None
    assert found.rows[0].time_s == 0.0
    assert found.rows[-1].time_s == pytest.approx(min(3600.0, record.curves.time_s[-1]))
    opened = next(one.time_s for one in record.events if one.event == "plug opens")
    assert found.plug_opens_s == opened
    assert 10 <= len(found.rows) <= 33


def test_a_plug_that_nobody_may_count_on_has_no_columns():
    installation, record, vessel = school()
    plug = next(one.id for one in installation.plugs if one.on == vessel.id)
    found = heat_by_hand(installation, replace(record, uncredited={plug: "overdue"}), vessel)
    assert found is not None
    assert (found.plug, found.rows[0].plug_k) == ("", None)


def test_a_run_without_a_step_and_a_fire_that_stands_somewhere_give_no_rows():
    installation, record, vessel = school()
    assert record.curves is not None
    own = record.curves.parts[vessel.id]
    first = {
        name: getattr(own, name)[:1]
        for name in ("pressure_pa", "gas_temperature_k", "hot_wall_temperature_k",
                     "cold_wall_temperature_k", "strength_use", "gas_mass_kg")
    }  # fmt: skip
    at_once = replace(own, **first, creep_damage=())
    curves = replace(record.curves, time_s=(0.0,), parts={vessel.id: at_once}, plugs={})
    assert heat_by_hand(installation, replace(record, curves=curves), vessel) is None
    assert fire_of_record(installation, replace(record, source_kind="pool")) is None
    assert heat_by_hand(installation, replace(record, source_kind="pool"), vessel) is None
