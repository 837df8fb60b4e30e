"""Discharge temperature of each compressor, measured or computed, beside its limit."""

from __future__ import annotations

from airrisk.installation.delivery import delivery_temperature, is_oil_flooded, stages_of
from airrisk.installation.model import Compressor, Installation
from airrisk.messages import quoted, said, told_of
from airrisk.physics import air
from airrisk.physics.compression import discharge_limit, intercooler_approach
from airrisk.study.records import CompressorRecord, Failure, StageRecord


def compressor_record(installation: Installation, machine: Compressor) -> CompressorRecord:
    """Stages, discharge temperature, power and limit of one compressor.

    Suction is at the site's ambient pressure and the machine's inlet temperature. With cooling
    between stages the air comes back to the inlet temperature plus the usual approach. Of an
    oil-flooded machine see ``installation.delivery``.
    ``power_w`` is the power put into the air, without losses of the drive.

    Parameters
    ----------
    installation : Installation
    machine : Compressor

    Raises
    ------
    ValueError
        The machine's values are not possible.
    AirRangeError
        A stage would end outside the range of the air table.
    """
    site = installation.site
    approach = intercooler_approach() if machine.cooling == "between stages" else None
    stages = stages_of(machine, site.ambient_pressure)
    flow = machine.delivery * float(air.density(site.ambient_pressure, site.ambient_temperature))
    power = flow * sum(stage.work for stage in stages)
    ends = [stage.discharge_temperature for stage in stages]
    assumed = ""
    if is_oil_flooded(machine):
        assumed = "oil-flooded trip"
    elif approach is not None and machine.stages > 1:
        assumed = "intercooler approach"
    limit = discharge_limit(
        machine.lubrication,
        machine.stages,
        power,
        machine.discharge_pressure - site.ambient_pressure,
    )
    measured = machine.discharge_temperature
    return CompressorRecord(
        id=machine.id,
        discharge_temperature_k=delivery_temperature(machine, site.ambient_pressure),
        measured=measured is not None,
        computed_temperature_k=max(ends),
        stages=tuple(
            StageRecord(
                stage.suction_pressure, stage.delivery_pressure, stage.inlet_temperature, end
            )
            for stage, end in zip(stages, ends, strict=True)
        ),
        power_w=power,
        limit_k=None if limit is None else limit.temperature,
        limit_source=""
        if limit is None
        else said(
            "source-and-standing", source=quoted(limit.source), standing=quoted(limit.standing)
        ),
        limit_title="" if limit is None else limit.title,
        assumed=assumed,
        approach_k=approach,
    )


def compressor_records(
    installation: Installation,
) -> tuple[dict[str, CompressorRecord], tuple[Failure, ...]]:
    """Records of all compressors by id, and those that could not be computed."""
    records: dict[str, CompressorRecord] = {}
    failures = []
    for machine in installation.compressors:
        try:
            records[machine.id] = compressor_record(installation, machine)
        except (ValueError, ArithmeticError) as error:
            failures.append(Failure("compression", machine.id, told_of(error)))
    return records, tuple(failures)
