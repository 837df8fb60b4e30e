"""Records of compressors: measured and computed temperatures, assumptions, failures."""

from __future__ import annotations

import pytest

from airrisk.installation.model import Compressor, Installation, Site
from airrisk.physics import air
from airrisk.physics.compression import intercooler_approach, oil_flooded_running_temperature
from airrisk.study.compressors import compressor_records
from airrisk.study.records import CompressorRecord

ATM = 101325.0


def record(**fields: object) -> CompressorRecord:
    values = {
        "id": "C1",
        "delivery": 0.1,
        "discharge_pressure": 8 * ATM,
        "inlet_temperature": 293.15,
        "efficiency": 0.75,
    } | fields
    plant = Installation(compressors=(Compressor(**values),), site=Site())  # type: ignore[arg-type]
    records, failures = compressor_records(plant)
    assert failures == ()
    return records["C1"]


def test_computed_temperature_near_the_ideal_law() -> None:
    # arithmetic, perfect gas k 1.4: 293.15 (1 + (8^0.2857 - 1)/0.75) = 610.6 K; real air a
    # little lower because its heat capacity grows
    one = record()
    ideal = 293.15 * (1.0 + (8.0 ** (0.4 / 1.4) - 1.0) / 0.75)
    assert 0.97 * ideal < one.discharge_temperature_k < ideal
    assert not one.measured
    assert one.assumed == ""


def test_measured_temperature_rules_and_the_computed_one_stands_beside_it() -> None:
    one = record(discharge_temperature=438.15)
    assert (one.measured, one.discharge_temperature_k) == (True, 438.15)
    assert one.computed_temperature_k == record().discharge_temperature_k


def test_power_is_mass_flow_times_enthalpy_rise() -> None:
    # analytic
    one = record()
    rho = float(air.density(ATM, 288.15))
    end = one.stages[-1]
    rise = air.enthalpy(
        air.density(end.delivery_pa, end.discharge_temperature_k), end.discharge_temperature_k
    ) - air.enthalpy(air.density(ATM, 293.15), 293.15)
    assert one.power_w == pytest.approx(0.1 * rho * float(rise), rel=1e-9)


def test_cooling_between_stages_comes_back_to_inlet_and_approach() -> None:
    one = record(stages=2, cooling="between stages")
    assert one.stages[1].inlet_temperature_k == 293.15 + intercooler_approach()
    assert one.stages[0].delivery_pa == pytest.approx(8**0.5 * ATM)
    assert one.assumed == "intercooler approach"
    assert one.discharge_temperature_k == max(s.discharge_temperature_k for s in one.stages)
    assert one.discharge_temperature_k < record(stages=2).discharge_temperature_k


def test_oil_flooded_machine_counts_at_its_usual_trip() -> None:
    one = record(lubrication="oil-flooded", cooling="oil-flooded")
    assert one.discharge_temperature_k == oil_flooded_running_temperature()
    assert one.assumed == "oil-flooded trip"
    weak = record(lubrication="oil-flooded", discharge_pressure=1.3 * ATM)
    assert weak.discharge_temperature_k < oil_flooded_running_temperature()


def test_limit_stands_with_its_source() -> None:
    assert record().limit_k == pytest.approx(473.15)  # some 33 kW
    assert "from memory" in record().limit_source
    assert record(lubrication="oil-free").limit_k is None


def test_impossible_machine_is_a_failure_with_its_name() -> None:
    plant = Installation(
        compressors=(
            Compressor(id="C1", delivery=0.1, discharge_pressure=4e7, efficiency=0.3),
            Compressor(id="C2", delivery=0.1, discharge_pressure=8e5),
        )
    )
    records, failures = compressor_records(plant)
    assert list(records) == ["C2"]
    assert [(f.step, f.part) for f in failures] == [("compression", "C1")]
