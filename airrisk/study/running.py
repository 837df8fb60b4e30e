"""The hottest that each part gets in normal running."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from airrisk.installation.model import Installation, Line
from airrisk.installation.start import start_state
from airrisk.study.records import CompressorRecord


@dataclass(frozen=True)
class Running:
    """The hottest that a part gets in normal running, K, and what makes it so hot."""

    temperature: float
    compressor: str = ""  # whose discharge heats it; empty: the part's own temperature
    carried: bool = False  # whether that heat comes from further up than the part's own inlet


def running_temperatures(
    installation: Installation, compressors: Mapping[str, CompressorRecord]
) -> dict[str, float]:
    """Hottest normal running temperature of every vessel and line, K: see ``hottest_running``."""
    found = hottest_running(installation, compressors)
    return {name: one.temperature for name, one in found.items()}


def hottest_running(
    installation: Installation, compressors: Mapping[str, CompressorRecord]
) -> dict[str, Running]:
    """Hottest normal running of every vessel and line, and where the heat comes from.

    A line that begins at a compressor is as hot as its discharge, whatever temperature is
    stated. Further on the discharge temperature is carried along the lines as drawn, until a
    part whose temperature is stated, and into an aftercooler, which is as hot at its inlet; what
    follows it and everything else has its own temperature.

    Parameters
    ----------
    installation : Installation
    compressors : mapping of str to CompressorRecord
        By compressor id; a machine without a record heats nothing.
    """
    result = {
        part.id: Running(start_state(installation, part)[1]) for part in installation.holders()
    }
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
            if hot > result[line.id].temperature:
                result[line.id] = Running(hot, machine.id, carried=not first)
            vessel = vessels.get(line.to.casefold())
            if vessel is not None:
                stated = "temperature" in vessel.given
                if hot > result[vessel.id].temperature and not stated:
                    result[vessel.id] = Running(hot, machine.id, carried=True)
                if stated or vessel.role == "aftercooler":
                    continue
            waiting += [(following, False) for following in leaving.get(line.to.casefold(), ())]
    return result
