"""Thrust of the plugs' outlets in a fire."""

from __future__ import annotations

import numpy as np

from airrisk.fire.changes import space_of_plug
from airrisk.fire.curves import curves
from airrisk.fire.run import FireRun
from airrisk.installation.model import Installation
from airrisk.physics.air import AirRangeError
from airrisk.study.discharges import outlet_flow_and_force


def outlet_forces(installation: Installation, run: FireRun) -> dict[str, float]:
    """Largest reaction force on the outlet of each plug that opened.

    Parameters
    ----------
    installation
        Its site's ambient pressure.
    run
        A stored run.

    Returns
    -------
    dict
        Force [N] by plug, of the steady jet at the highest pressure from the opening on; a plug
        is missing where that state is outside the tables of flow.
    """
    opened = {event.part: event.time for event in run.events if event.event == "plug opens"}
    if not opened or run.time.size < 2:
        return {}
    case = run.case
    whole = curves(run, most=10**9)
    found = {}
    for name, time in opened.items():
        home = whole.parts.get(space_of_plug(case, name))
        if home is None:
            continue
        after = np.flatnonzero(whole.time_s >= time)
        row = int(after[np.argmax(home.pressure_pa[after])])
        pressure, temperature = float(home.pressure_pa[row]), float(home.gas_temperature_k[row])
        ambient = installation.site.ambient_pressure
        if pressure <= ambient:
            continue
        plug = case.plug_records[name]
        try:
            found[name] = outlet_flow_and_force(plug, pressure, temperature, ambient)[1]
        except (AirRangeError, ArithmeticError):
            continue
    return found
