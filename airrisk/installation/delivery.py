"""How hot the air is that a compressor delivers: the one place that says so.

An oil-flooded machine, by its cooling or by its lubrication, takes its heat out with the oil,
whose flow is not known: unless its temperature is measured, the usual trip temperature counts as
its hottest normal running. With cooling between stages the air comes back to the inlet
temperature plus the usual approach.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from airrisk.installation.model import Compressor
from airrisk.physics.compression import (
    StageEnd,
    compress,
    intercooler_approach,
    oil_flooded_running_temperature,
)


def is_oil_flooded(machine: Compressor) -> bool:
    """Whether oil takes the heat out, by the machine's cooling or by its lubrication."""
    return "oil-flooded" in (machine.cooling, machine.lubrication)


@lru_cache(maxsize=256)
def stages_of(machine: Compressor, ambient_pressure: float) -> tuple[StageEnd, ...]:
    """The stages of a compressor that draws air at ambient pressure [Pa].

    Raises
    ------
    ValueError
        The machine's values are not possible.
    AirRangeError
        A stage would end outside the range of the air table.
    """
    cooled = None
    if machine.cooling == "between stages":
        cooled = machine.inlet_temperature + intercooler_approach()
    stages = compress(
        ambient_pressure,
        machine.inlet_temperature,
        machine.discharge_pressure,
        machine.efficiency,
        stages=machine.stages,
        intercooled_to=cooled,
    )
    if not is_oil_flooded(machine):
        return tuple(stages)
    most = oil_flooded_running_temperature()
    return tuple(
        replace(stage, discharge_temperature=min(stage.discharge_temperature, most))
        for stage in stages
    )


def delivery_temperature(machine: Compressor, ambient_pressure: float) -> float:
    """Temperature of the air a compressor delivers: as measured, else computed, K.

    Raises
    ------
    ValueError, AirRangeError
        See ``stages_of``; not where it is measured.
    """
    if machine.discharge_temperature is not None:
        return machine.discharge_temperature
    return max(stage.discharge_temperature for stage in stages_of(machine, ambient_pressure))
