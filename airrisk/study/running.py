"""The hottest that each part gets in normal running."""

from __future__ import annotations

from collections.abc import Mapping

from airrisk.installation.model import Installation, Line, Vessel
from airrisk.installation.start import start_state
from airrisk.study.records import CompressorRecord


def running_temperatures(
    installation: Installation, compressors: Mapping[str, CompressorRecord]
) -> dict[str, float]:
    """Hottest normal running temperature of every vessel and line, K.

    A line that begins at a compressor is as hot as its discharge, whatever temperature is
    stated. Further on the discharge temperature is carried along the lines as drawn, until a
    part whose temperature is stated or an aftercooler; everything else has its own temperature.

    Parameters
    ----------
    installation : Installation
    compressors : mapping of str to CompressorRecord
        By compressor id; a machine without a record heats nothing.
    """
    result = {part.id: start_state(installation, part)[1] for part in installation.holders()}
    vessels = {vessel.id.casefold(): vessel for vessel in installation.vessels}
    leaving: dict[str, list[Line]] = {}
    for line in installation.lines:
        leaving.setdefault(line.from_.casefold(), []).append(line)

    for machine in installation.compressors:
        record = compressors.get(machine.id)
        if record is None:
            continue
        hot = record.discharge_temperature_k
        waiting = [(line, True) for line in leaving.get(machine.id.casefold(), ())]
        seen: set[str] = set()
        while waiting:
            line, first = waiting.pop()
            if line.id in seen or (not first and "temperature" in line.given):
                continue
            seen.add(line.id)
            result[line.id] = max(result[line.id], hot)
            vessel = vessels.get(line.to.casefold())
            if vessel is not None:
                if _cools(vessel):
                    continue
                result[vessel.id] = max(result[vessel.id], hot)
            waiting += [(following, False) for following in leaving.get(line.to.casefold(), ())]
    return result


def _cools(vessel: Vessel) -> bool:
    return vessel.role == "aftercooler" or "temperature" in vessel.given
