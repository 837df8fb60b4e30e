"""Where the air can go and where not: non-return and closed valves, lines, compressors, water."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from airrisk.fire.curves import curves
from airrisk.fire.run import FireRun, run
from airrisk.installation.model import Compressor, Site, Valve
from airrisk.kernel import layout as at
from airrisk.physics import air
from airrisk.physics.flow import mass_flux
from tests.fire.systems import case_of, fire, line, plug, vessel

MILD = Site(ambient_temperature=293.15, ambient_pressure=101325.0)
OVEN = {"curve": "temperature", "temperature": 600.0, "duration": 600.0}


def pair(**line_changes: Any) -> tuple[Any, ...]:
    return (
        vessel(temperature=293.15),
        vessel("R2", temperature=293.15),
        line("L1", "R1", "R2", **line_changes),
    )


def mass_of(result: FireRun, part: str) -> np.ndarray:
    return result.mass[:, result.case.names.index(part)]


def events_of(result: FireRun, event: str) -> dict[str, float]:
    return {e.part: e.time for e in result.events if e.event == event}


def test_air_moves_from_the_vessel_in_the_fire_to_the_one_out_of_it():
    # property, the ground for the two tests that follow
    result = run(case_of(*pair(), fire(("R2",), **OVEN), site=MILD))
    assert mass_of(result, "R1").max() > 1.05 * mass_of(result, "R1")[0]


def test_a_non_return_valve_lets_no_air_back():
    # property: it opens from R1 to R2, and R2 burns; the formula of the steps leaves 1e-8 of 26 kg
    valve = Valve(id="NV", on="L1", end="to", kind="non-return")
    held = run(case_of(*pair(), valve, fire(("R2",), **OVEN), site=MILD))
    assert np.all(np.diff(mass_of(held, "R1")) <= 1e-8)
    turned = Valve(id="NV", on="L1", end="to", kind="non-return", reverse=True)
    passing = run(case_of(*pair(), turned, fire(("R2",), **OVEN), site=MILD))
    assert mass_of(passing, "R1")[-1] > 1.05 * mass_of(passing, "R1")[0]


def test_a_non_return_valve_gives_the_pressure_of_the_vessel_alone():
    # limit: with the valve shut by the higher pressure R2 burns as if R1 were not there
    valve = Valve(id="NV", on="L1", end="to", kind="non-return")
    held = run(case_of(*pair(), valve, fire(("R2",), **OVEN), site=MILD))
    alone = run(case_of(vessel("R2", temperature=293.15), fire(("R2",), **OVEN), site=MILD))
    index = held.case.names.index("R2")
    assert held.peak_pressure[index] == pytest.approx(alone.peak_pressure[0], rel=1e-4)


def test_a_closed_valve_parts_two_vessels():
    # property: R2 is no part of the case, and R1 keeps its air
    shut = Valve(id="V1", on="L1", end="to", state="closed")
    result = run(case_of(*pair(), shut, fire(**OVEN), site=MILD))
    assert "R2" not in result.case.names
    assert result.mass[-1].sum() == pytest.approx(result.mass[0].sum(), rel=1e-7)
    joined = run(case_of(*pair(), fire(**OVEN), site=MILD))
    assert result.peak_pressure[0] > joined.peak_pressure[0]


def test_two_alike_vessels_in_one_fire_behave_as_one():
    # analytic: by symmetry nothing flows between them
    both = run(case_of(*pair(), fire(("R1", "R2"), **OVEN), site=MILD))
    alone = run(case_of(vessel(temperature=293.15), fire(**OVEN), site=MILD))
    assert both.peak_pressure[:2] == pytest.approx(alone.peak_pressure[0], rel=1e-4)
    assert np.ptp(mass_of(both, "R1")) < 1e-4 * mass_of(both, "R1")[0]


def test_two_vessels_and_a_wide_line_hold_the_pressure_of_their_mean_heat():
    # analytic: ideal gas of constant heat capacity shares one pressure, p V = (k - 1) U, so the
    # pressure follows from the heat alone: dp = (k - 1) Q / V; air between 293 and 600 K: 3 %
    case = case_of(*pair(inside_diameter=0.3, length=1.0), fire(**OVEN), site=MILD)
    result = run(case)
    volume = float(sum(case.floats[case.space_at(name, at.S_VOLUME)] for name in case.names))
    rise = curves(result).parts["R1"].pressure_pa[-1] - 11.0e5
    assert rise == pytest.approx(0.4 * result.cumulated.heat / volume, rel=0.03)


def test_a_neighbour_lags_behind_the_more_the_narrower_the_line():
    # property
    lags = []
    for bore in (0.0545, 0.0161):
        result = run(
            case_of(*pair(inside_diameter=bore), plug(bore=0.02), fire(("R1",)), site=MILD)
        )
        drawn = curves(result)
        assert result.first_vent is not None
        time = result.first_vent + 40.0
        one, two = (
            np.interp(time, drawn.time_s, drawn.parts[name].pressure_pa) for name in ("R1", "R2")
        )
        lags.append(two - one)
    assert 0.0 < lags[0] < lags[1]


def test_a_broken_line_is_no_device_that_vents():
    # property: the section empties through it, and the plug may still open later
    thin = {"wall_thickness": 0.0012, "inside_diameter": 0.1}
    result = run(case_of(*pair(**thin), fire(("L1",)), site=MILD))
    (broken,) = events_of(result, "line ruptures").values()
    empty = events_of(result, "empty")
    assert {"R1", "R2"} <= set(empty)
    assert min(empty.values()) > broken
    assert result.first_vent is None


# compressor


def fed(in_fire: str, alloy: str = "tin", **changes: Any) -> FireRun:
    machine = Compressor(
        id="C1", delivery=0.1, discharge_pressure=11e5, discharge_temperature=373.15,
        cut_in_pressure=10e5, in_fire=in_fire,  # type: ignore[arg-type]
    )  # fmt: skip
    return run(
        case_of(
            vessel(wall_thickness=0.03),
            line("L1", "C1", "R1"),
            plug(bore=0.02, alloy=alloy),
            machine,
            fire(duration=1800.0, **changes),
            site=MILD,
        )
    )


def test_a_compressor_that_stops_in_the_fire_delivers_nothing():
    # property
    stopped = fed("stops")
    assert not events_of(stopped, "compressor starts")
    assert stopped.cumulated.mass_in == 0.0
    assert "R1" in events_of(stopped, "empty")


def test_a_compressor_that_keeps_running_starts_at_its_cut_in_pressure():
    # property
    running = fed("keeps running")
    start = events_of(running, "compressor starts")["C1"]
    drawn = curves(running)
    pressure = float(np.interp(start, drawn.time_s, drawn.parts["R1"].pressure_pa))
    assert pressure == pytest.approx(10e5, rel=0.02)
    assert running.cumulated.mass_in > 0.0
    assert "R1" not in events_of(running, "empty")


def test_a_running_compressor_holds_the_pressure_at_which_the_plug_passes_its_delivery():
    # analytic: delivery x free air density = discharge coefficient x bore area x choked mass flux
    running = fed("keeps running", "Bi58Sn42", curve="temperature", temperature=600.0)
    drawn = curves(running)
    row = int(np.searchsorted(drawn.time_s, 1700.0))
    part = drawn.parts["R1"]
    delivered = 0.1 * float(air.density(101325.0, 293.15))
    let_out = (
        0.6 * 0.25 * np.pi * 0.02**2
        * mass_flux(part.pressure_pa[row], part.gas_temperature_k[row], 101325.0)
    )  # fmt: skip
    assert let_out == pytest.approx(delivered, rel=0.01)


# condensate


def test_condensate_takes_room_from_the_air():
    # arithmetic: 2 m3 with 100 L of water hold the air of 1.9 m3
    dry = case_of(vessel(), fire(), site=MILD)
    wet = case_of(vessel(condensate=0.1), fire(), site=MILD)
    volumes = [c.floats[c.space_at("R1", at.S_VOLUME)] for c in (dry, wet)]
    assert volumes == pytest.approx([2.0, 1.9])


def test_a_plug_in_a_dead_leg_gets_its_air_through_the_whole_leg():
    """Analytic: long thin pipe, isothermal flow with friction, choked or not, within 4 %."""
    length, bore = 50.0, 0.010
    leg = line("L1", "R1", "closed", length=length, inside_diameter=bore, loss=0.0)
    case = case_of(vessel(wall_thickness=0.02), leg, plug(on="L1", bore=0.02), fire(("R1", "L1")))
    result = run(case)
    shown = curves(result)
    opens = events_of(result, "plug opens")["FP1"]
    when = opens + 60.0
    p, t, m = (
        np.interp(when + step, shown.time_s, values)
        for values, step in (
            (shown.parts["R1"].pressure_pa, 0.0),
            (shown.parts["R1"].gas_temperature_k, 0.0),
            (shown.parts["R1"].gas_mass_kg, -5.0),
        )
    )
    flow = (m - np.interp(when + 5.0, shown.time_s, shown.parts["R1"].gas_mass_kg)) / 10.0
    area = 0.25 * np.pi * bore**2
    viscosity = 1.716e-5 * (t / 273.15) ** 1.5 * (273.15 + 110.4) / (t + 110.4)  # Sutherland
    reynolds = 4.0 * flow / (np.pi * bore * viscosity)
    friction = (-1.8 * np.log10((5e-5 / bore / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2  # Haaland
    end = np.linspace(101325.0, 0.999 * p, 4000)
    resistance = friction * length / bore + 1.5 + 2.0 * np.log(p / end)
    by_hand = area * np.max(np.sqrt((p**2 - end**2) / (287.05 * t * resistance)))
    assert flow == pytest.approx(by_hand, rel=0.04)
