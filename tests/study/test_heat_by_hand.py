"""Rows of heat into a wall: of a whole fire, none of one that stands somewhere or lasts no step."""

from dataclasses import replace

import pytest

from airrisk.study.heat_by_hand import fire_of_record, flux_of_fire, heat_by_hand
from tests.fire.systems import fire, installation, vessel
from tests.samples.answers import sample_answer, sample_installation
from tests.study.test_envelope import record_of


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


def test_the_rows_of_an_insulated_vessel_repeat_its_run():
    """Arithmetic: through the outer face goes what it takes up, and the step rule follows."""
    layer = {"insulation_resistance": 0.2, "insulation_known_at": 1123.15,
             "insulation_holds_to": 1423.15}  # fmt: skip
    whole = installation(vessel(**layer), fire())
    found = heat_by_hand(whole, record_of(whole), whole.vessels[0])
    assert found is not None
    assert found.resistance_m2_k_w == pytest.approx(0.2)
    middle = len(found.rows) // 2
    row = found.rows[middle]
    assert row.flame_k is not None
    assert row.wall_k + 300.0 < row.face_k < row.flame_k
    taken = 0.8 * 5.670374419e-8 * (row.flame_k**4 - row.face_k**4)
    taken += 50.0 * (row.flame_k - row.face_k)
    assert row.from_fire_w_m2 == pytest.approx(taken, rel=1e-6)
    assert row.from_fire_w_m2 == pytest.approx((row.face_k - row.wall_k) / 0.2, rel=1e-9)
    assert flux_of_fire(found.fire, found.ambient_k, row)[1]["T_w"] == row.face_k
    assert found.step(middle) == pytest.approx(found.rows[middle + 1].wall_k, abs=0.2)
