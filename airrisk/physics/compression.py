"""Discharge temperature and power of a compressor, stage by stage, with real air."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from airrisk.physics import air
from airrisk.physics.roots import bracketed_root
from airrisk.tables import read_toml

LIMITS_FILE = "compression_limits.toml"


@dataclass(frozen=True)
class StageEnd:
    """One stage: its ends and the work put into each kilogramme of air."""

    suction_pressure: float  # Pa absolute
    delivery_pressure: float  # Pa absolute
    inlet_temperature: float  # K
    discharge_temperature: float  # K
    work: float  # J/kg


@dataclass(frozen=True)
class DischargeLimit:
    """Highest discharge temperature that applies to a machine."""

    temperature: float  # K
    title: str
    source: str
    standing: str


def stage_discharge(
    suction_pressure: float, inlet_temperature: float, delivery_pressure: float, efficiency: float
) -> StageEnd:
    """Discharge temperature of one adiabatic stage.

    The enthalpy rise is the isentropic one divided by the efficiency.

    Parameters
    ----------
    suction_pressure, delivery_pressure : float
        Absolute pressures [Pa], delivery not below suction.
    inlet_temperature : float
        Temperature at the suction [K].
    efficiency : float
        Isentropic efficiency, above 0 and up to 1.

    Returns
    -------
    StageEnd
        Real-gas temperatures [K] and work [J/kg].

    Raises
    ------
    ValueError
        The efficiency or the pressures are not possible.
    AirRangeError
        The stage would end outside the range of the air table.
    """
    if not 0.0 < efficiency <= 1.0:
        raise ValueError(f"isentropic efficiency {efficiency!r}: must be above 0 and up to 1")
    if not 0.0 < suction_pressure <= delivery_pressure:
        raise ValueError(
            f"stage from {suction_pressure:.6g} Pa to {delivery_pressure:.6g} Pa absolute: "
            "the delivery must not be below the suction"
        )
    rho = float(air.density(suction_pressure, inlet_temperature))
    start = float(air.enthalpy(rho, inlet_temperature))
    ideal = air.isentropic_state(rho, inlet_temperature, delivery_pressure)
    work = max(ideal.enthalpy - start, 0.0) / efficiency

    def excess(temperature: float) -> float:
        reached = air.enthalpy(air.density(delivery_pressure, temperature), temperature)
        return float(reached) - start - work

    if work == 0.0:
        end = inlet_temperature
    elif excess(air.HIGHEST_TEMPERATURE) < 0.0:
        raise air.AirRangeError("discharge temperature", delivery_pressure, ideal.temperature)
    else:
        end = bracketed_root(excess, inlet_temperature, air.HIGHEST_TEMPERATURE, tolerance=1e-9)
    return StageEnd(suction_pressure, delivery_pressure, inlet_temperature, end, work)


def compress(
    suction_pressure: float,
    inlet_temperature: float,
    delivery_pressure: float,
    efficiency: float,
    *,
    stages: int = 1,
    intercooled_to: float | None = None,
) -> tuple[StageEnd, ...]:
    """Stages of equal pressure ratio in a row.

    Parameters
    ----------
    suction_pressure, delivery_pressure : float
        Absolute pressures before the first and after the last stage [Pa].
    inlet_temperature : float
        Temperature at the first suction [K].
    efficiency : float
        Isentropic efficiency of each stage.
    stages : int
        Number of stages, 1 or more.
    intercooled_to : float, optional
        Temperature after each intercooler [K]; left out: no cooling between the stages. A cooler
        never heats.

    Returns
    -------
    tuple of StageEnd
        In flow order.

    Raises
    ------
    ValueError
        Fewer than one stage, or see ``stage_discharge``.
    AirRangeError
        A stage would end outside the range of the air table.
    """
    if stages < 1:
        raise ValueError(f"number of stages {stages!r}: must be 1 or more")
    ratio = (delivery_pressure / suction_pressure) ** (1.0 / stages)
    result: list[StageEnd] = []
    pressure, temperature = suction_pressure, inlet_temperature
    for number in range(1, stages + 1):
        goal = delivery_pressure if number == stages else suction_pressure * ratio**number
        end = stage_discharge(pressure, temperature, goal, efficiency)
        result.append(end)
        pressure, temperature = goal, end.discharge_temperature
        if intercooled_to is not None:
            temperature = min(temperature, intercooled_to)
    return tuple(result)


def intercooler_approach() -> float:
    """How much warmer than the first inlet the air leaves an intercooler, K."""
    return float(read_toml(LIMITS_FILE)["intercooling"]["approach_k"])


def oil_flooded_running_temperature() -> float:
    """Hottest normal running of an oil-flooded machine whose temperature is not stated, K."""
    return float(read_toml(LIMITS_FILE)["oil_flooded_running"]["temperature_k"])


def deposit_ignition() -> tuple[float, float]:
    """Range of temperatures in which oil deposits ignite, K."""
    row = read_toml(LIMITS_FILE)["deposits"]
    return float(row["ignition_low_k"]), float(row["ignition_high_k"])


def oil_ignition() -> tuple[float, float]:
    """Ignition temperature of lubricating oil, under pressure and at one atmosphere, K."""
    row = read_toml(LIMITS_FILE)["oil"]
    high = float(row["ignition_k"])
    return high - float(row["lower_under_pressure_k"]), high


def _applies(
    row: Mapping[str, Any], lubrication: str, stages: int, power: float, gauge: float
) -> bool:
    return (
        row["lubrication"] == lubrication
        and row.get("multi_stage", stages > 1) == (stages > 1)
        and power <= row.get("power_up_to_w", float("inf"))
        and power > row.get("power_above_w", -1.0)
        and gauge > row.get("pressure_above_gauge_pa", float("-inf"))
    )


def discharge_limit(
    lubrication: str, stages: int, power: float, discharge_gauge: float
) -> DischargeLimit | None:
    """Highest discharge temperature by lubrication, number of stages, power and pressure.

    Parameters
    ----------
    lubrication : str
        "oil-lubricated", "oil-flooded" or "oil-free".
    stages : int
    power : float
        Power put into the air [W]; the limits go by that of the shaft, which is larger by the
        losses of the drive.
    discharge_gauge : float
        Discharge pressure above the atmosphere [Pa].

    Returns
    -------
    DischargeLimit or None
        The lowest limit that applies; none for a machine without oil in the air.

    Source
    ------
    resources/compression_limits.toml, each row with its standing.
    """
    table = read_toml(LIMITS_FILE)
    shaft = power / table["drive"]["efficiency"]
    rows = [
        row for row in table["limit"] if _applies(row, lubrication, stages, shaft, discharge_gauge)
    ]
    if not rows:
        return None
    row = min(rows, key=lambda r: r["temperature_k"])
    return DischargeLimit(float(row["temperature_k"]), row["title"], row["source"], row["standing"])
