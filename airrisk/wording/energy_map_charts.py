"""The student's page: charts of stored energy and rupture temperature, differences explained."""

from __future__ import annotations

import numpy as np

from airrisk.messages import Texts
from airrisk.study.energy_map import MEASURES, EnergyMap, EnergySweep
from airrisk.wording import labels
from airrisk.wording.chart_kinds import DASHES, ORDER, Axis, Chart, Guide, Mark, line_of
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text, quantity_text

LEAST_ROOM = 25.0  # K above and below, so that a small gap looks small
_AXES: Texts[dict[str, tuple[str, str]]] = {
    "pressure": ("Pressure at the start", "pressure"),
    "volume": ("Volume", "volume"),
    "temperature": ("Temperature at the start", "temperature"),
}


def _x_axis(sweep: EnergySweep) -> Axis:
    label, kind = _AXES[sweep.variable]
    return Axis(tr(label), kind, low=float(sweep.x[0]), high=float(sweep.x[-1]))


def _here(sweep: EnergySweep) -> tuple[Guide, ...]:
    return (Guide("x", sweep.here, tr("as in the file"), "neutral", DASHES["limit"]),)


def _present_point(sweep: EnergySweep) -> Mark:
    at = float(np.interp(sweep.here, sweep.x, sweep.rupture_real_k))
    return Mark(sweep.here, at, tr("now"), "rupture", "cross")


def energy_chart(found: EnergyMap, sweep: EnergySweep) -> Chart:
    """Stored energy by all five measures against one quantity."""
    series = [
        line_of(key, labels.energy_measure(key), sweep.x, sweep.energies_j[key], ORDER[index], 1.4)
        for index, key in enumerate(MEASURES)
    ]
    series.append(line_of("pcc2", labels.energy_measure("pcc2"), sweep.x, sweep.pcc2_j, "sixth"))
    return Chart(
        key=f"energy-{sweep.variable}-{found.vessel}",
        title=tr("{part}: stored energy against {what}").format(
            part=found.vessel, what=labels.uncapitalised(tr(_AXES[sweep.variable][0]))
        ),
        x=_x_axis(sweep),
        y=Axis(tr("Stored energy"), "energy", low=0.0),
        series=tuple(series),
        guides=_here(sweep),
        caption=tr("Counted from the surroundings; the other quantities as in the file."),
    )


def rupture_chart(found: EnergyMap, sweep: EnergySweep, *, tried: bool = False) -> Chart:
    """Rupture temperature of the vessel heated shut in, real air beside ideal gas.

    ``tried``: the values are tried ones and not those of the file.
    """
    both = np.concatenate([sweep.rupture_real_k, sweep.rupture_ideal_k])
    known = both[np.isfinite(both)]
    room = (float(known.min()) - LEAST_ROOM, float(known.max()) + LEAST_ROOM) if known.size else ()
    low, high = room or (None, None)
    return Chart(
        key=f"rupture-{sweep.variable}-{found.vessel}",
        title=tr("{part}: rupture temperature against {what}").format(
            part=found.vessel, what=labels.uncapitalised(tr(_AXES[sweep.variable][0]))
        ),
        x=_x_axis(sweep),
        y=Axis(tr("Rupture temperature"), "temperature", low=low, high=high),
        series=(
            line_of("real", tr("real air"), sweep.x, sweep.rupture_real_k, "first", 1.5),
            line_of("ideal", tr("ideal gas"), sweep.x, sweep.rupture_ideal_k, "second", 1.5),
        ),
        marks=(_present_point(sweep),) if tried else (),
        guides=() if tried else _here(sweep),
        caption=tr("Strength basis: {basis}.").format(basis=labels.basis(found.basis)),
    )


def energy_map_texts(found: EnergyMap, units: Units) -> tuple[str, ...]:
    """Why the lines differ, with the numbers of this vessel.

    Parameters
    ----------
    found : EnergyMap
        The sweeps of one vessel.
    units : Units
        Unit set and atmosphere.
    """
    sweep = next(s for s in found.sweeps if s.variable == "pressure")
    at = {key: float(np.interp(sweep.here, sweep.x, sweep.energies_j[key])) for key in MEASURES}
    texts = {key: quantity_text(value, "energy", units, 3) for key, value in at.items()}
    factor = float(np.interp(sweep.here, sweep.x, sweep.compressibility))
    out = [
        tr(
            "Brode ({brode}) is the heat needed to raise the pressure at constant volume. It "
            "leaves out that the air still holds energy when it has come down to the "
            "atmosphere, so it is large."
        ).format(brode=texts["brode"]),
        tr(
            "Isentropic ({isentropic}) is the work of the air as it expands quickly, without heat, "
            "to the atmosphere. It fits a burst, and the TNT figure rests on it."
        ).format(isentropic=texts["isentropic"]),
        tr(
            "Isothermal ({isothermal}) lets the air expand so slowly that the surroundings keep it "
            "warm; part of the work is their heat. It is the most."
        ).format(isothermal=texts["isothermal"])
        if at["isothermal"] >= at["brode"]
        else tr(
            "Isothermal ({isothermal}) lets the air expand so slowly that the surroundings keep it "
            "warm; part of the work is their heat."
        ).format(isothermal=texts["isothermal"]),
        tr(
            "Availability ({availability}) is the isothermal work less what goes into pushing the "
            "atmosphere back: the most useful work that can be had."
        ).format(availability=texts["availability"]),
        tr(
            "Isentropic with real air ({real}) differs from ideal gas by {share} here; "
            "compressibility factor {factor}. The gap grows with pressure and cold."
        ).format(
            real=texts["isentropic_real"],
            share=f"{number_text(100 * (at['isentropic_real'] / at['isentropic'] - 1), 2)}\u00a0%"
            if at["isentropic"] > 0
            else "–",
            factor=number_text(factor, 4),
        ),
        tr("Energy grows in proportion to volume, and somewhat faster than pressure."),
        tr(
            "Rupture temperature does not depend on volume: air and metal are compared by "
            "pressure. It falls as the start pressure rises. Air that starts hot at the same "
            "pressure is less air, so it ruptures the vessel later."
        ),
    ]
    real, ideal = (
        float(np.interp(sweep.here, sweep.x, values))
        for values in (sweep.rupture_real_k, sweep.rupture_ideal_k)
    )
    if np.isfinite(real) and np.isfinite(ideal):
        out.append(
            tr(
                "Real air ruptures this vessel at {real}, ideal gas would at {ideal}: hot dense "
                "air presses a little more than in proportion to its temperature."
                if real <= ideal
                else "Real air ruptures this vessel at {real}, ideal gas would at {ideal}."
            ).format(
                real=quantity_text(real, "temperature", units),
                ideal=quantity_text(ideal, "temperature", units),
            )
        )
    return tuple(out)
