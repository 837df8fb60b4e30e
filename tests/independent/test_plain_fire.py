"""The plain solver itself against closed forms and limits, before anything is compared with it."""

import math

import pytest

from tests.independent.air_state import density, properties
from tests.independent.outflow import hole_mass_flux, pipe_mass_flow
from tests.independent.plain_fire import run

AMBIENT = {"pressure": 101_300.0, "temperature": 293.15}


def _vessel(**changed):
    return {
        "id": "R1", "volume": 0.1, "pressure": 901_300.0, "temperature": 293.15, "surface": 1.2,
        "metal_mass": 45.0, "share": 1.0, "burst_factor": 0.02, "tensile": 410e6,
        "yield": 265e6, "basis": "tensile", "inner_radiation": True, **changed,
    }  # fmt: skip


def _fire(**changed):
    return {
        "kind": "standard",
        "emissivity": 0.8,
        "convection": 25.0,
        "duration": 1800.0,
        **changed,
    }


def test_choked_flux_tends_to_the_ideal_closed_form_as_pressure_falls():
    """Analytic: p sqrt(k/(R T)) (2/(k+1))^((k+1)/(2(k-1))), k = 1.4 within its own 0.1 %."""
    T, p = 300.0, 5e4
    rho = density(p, T)
    ideal = p * math.sqrt(1.4 / (287.05 * T)) * (2 / 2.4) ** 3
    assert hole_mass_flux(rho, T, 1e3) == pytest.approx(ideal, rel=1e-3)


def test_flux_is_continuous_where_it_ceases_to_choke():
    """Property."""
    rho, T = 10.0, 400.0
    p = properties(rho, T).p
    ratios = [0.50, 0.52, 0.525, 0.527, 0.5275, 0.5285, 0.53, 0.55, 0.599, 0.601]
    fluxes = [hole_mass_flux(rho, T, r * p) for r in ratios]
    assert fluxes == sorted(fluxes, reverse=True)
    assert fluxes[-1] > 0.98 * fluxes[0]


def test_pipe_flow_at_small_difference_is_that_of_an_incompressible_fluid():
    """Analytic: dp = (4 f L/D + loss + 0.5 + 1) G^2 / (2 rho)."""
    rho, T, difference, diameter = 10.0, 300.0, 500.0, 0.05
    flow = pipe_mass_flow((rho, T), properties(rho, T).p - difference, diameter, 20.0, 3.0)
    flux = flow / (math.pi / 4 * diameter**2)
    reynolds = flux * diameter / 1.85e-5
    darcy = (-1.8 * math.log10(6.9 / reynolds + (5e-5 / diameter / 3.7) ** 1.11)) ** -2
    resistance = darcy * 20.0 / diameter + 3.0 + 0.5 + 1.0
    assert resistance * flux**2 / (2 * rho) == pytest.approx(difference, rel=2e-3)


def test_pipe_flow_chokes_as_the_ideal_adiabatic_pipe_does():
    """Analytic: 4 f L/D from Mach 0.3 to 1 is 5.2993 (k = 1.4, tables of adiabatic pipe flow)."""
    T, p = 300.0, 2e5
    rho = density(p, T)
    mach = 0.3
    inlet = (1 + 0.2 * mach**2) ** -3
    flux = p * math.sqrt(1.4 / (287.05 * T)) * mach * inlet
    # friction factor of the fully rough pipe, so that the length follows from 5.2993
    diameter = 0.1
    darcy = (-1.8 * math.log10(6.9 / (flux * 0.1 / 1.85e-5) + (5e-4 / 3.7) ** 1.11)) ** -2
    length = (5.2993 - 0.5) * diameter / darcy
    flow = pipe_mass_flow((rho, T), 1e3, diameter, length, 0.0)
    assert flow == pytest.approx(flux * math.pi / 4 * diameter**2, rel=2e-3)


@pytest.mark.parametrize(("time", "pressure"), [(1.0, 0.46458), (2.0, 0.23281)])
def test_adiabatic_blowdown_follows_the_closed_form(time, pressure):
    """Analytic: p+ = (1 + (k-1)/2 (2/(k+1))^((k+1)/(2(k-1))) t+)^(-2k/(k-1)), k = 1.4.

    A plug that follows the wall and melts at the start, no heat to the gas, real air at 3 bar.
    """
    bore, volume, T = 0.02, 1.0, 300.0
    area = math.pi / 4 * bore**2
    end = time * volume / (area * math.sqrt(1.4 * 287.05 * T))
    case = {
        "ambient": {"pressure": 2000.0, "temperature": T},
        "fire": _fire(kind="temperature", temperature=T + 1.0),
        "vessels": [
            _vessel(volume=volume, pressure=3e5, temperature=T, convection_factor=0.0)
        ],
        "plugs": [
            {"id": "FP1", "on": "R1", "in_fire": True, "bore": bore, "coefficient": 1.0,
             "solidus": T + 1e-7, "liquidus": T + 1e-7, "response": "follows wall",
             "alloy_mass": 0.0, "latent_heat": 0.0}
        ],
        "end": end,
    }  # fmt: skip
    result = run(case)
    assert result.time_of("plug opens", "FP1") < 0.01 * end
    assert result.final["R1"]["pressure"] / 3e5 == pytest.approx(pressure, rel=4e-3)


def test_without_a_fire_nothing_happens():
    """Property."""
    case = {
        "ambient": AMBIENT,
        "fire": _fire(kind="temperature", temperature=293.15),
        "vessels": [_vessel()],
        "end": 3600.0,
    }
    result = run(case)
    assert result.events == [(1800.0, "fire ends", "")]
    assert result.final["R1"]["pressure"] == pytest.approx(901_300.0, rel=1e-9)
    assert result.outcome == "outlasts the fire"


def test_closed_vessel_follows_the_isochore():
    """Analytic: at constant density the pressure is that of the state equation."""
    case = {
        "ambient": AMBIENT, "fire": _fire(), "vessels": [_vessel(burst_factor=1.0)], "end": 600.0,
    }  # fmt: skip
    final = run(case).final["R1"]
    rho = density(901_300.0, 293.15)
    assert final["mass"] == pytest.approx(0.1 * rho, rel=1e-12)
    assert final["pressure"] == pytest.approx(properties(rho, final["temperature"]).p, rel=1e-9)
    assert final["temperature"] > 400.0


def test_tighter_tolerance_changes_nothing_that_is_compared():
    """Convergence."""
    case = {
        "ambient": AMBIENT,
        "fire": _fire(kind="hydrocarbon", convection=50.0),
        "vessels": [_vessel(share=0.3)],
        "valves": [
            {"id": "RV1", "on": "R1", "set_pressure": 1_201_300.0, "area": 5e-5,
             "coefficient": 0.8}
        ],
        "end": 1800.0,
    }  # fmt: skip
    coarse, fine = run(case, rtol=1e-7), run(case, rtol=1e-9)
    assert [e[1:] for e in coarse.events] == [e[1:] for e in fine.events]
    for (a, _, _), (b, _, _) in zip(coarse.events, fine.events, strict=True):
        assert a == pytest.approx(b, rel=1e-4)
    assert coarse.peak_use["R1"] == pytest.approx(fine.peak_use["R1"], rel=1e-4)
