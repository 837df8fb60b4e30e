"""Discharge, jet, noise and room effect."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from airrisk.physics.discharge import (
    free_jet,
    pipe_exit,
    room_effect,
    time_to_empty,
)
from airrisk.physics.noise import CRITICAL, vent_noise


@pytest.mark.parametrize(
    ("t", "p", "isothermal"),
    [
        # arithmetic of the closed form, k = 1.4: p/p_start at t A sqrt(k R T) / V
        (1, 0.46458, 0.56062),
        (2, 0.23281, 0.31430),
        (3, 0.12414, 0.17620),
    ],
)
def test_choked_blow_down_vectors(t, p, isothermal):
    start, temperature, volume, area, ambient = 100e5, 313.0, 0.25, 1e-4, 1e5
    scale = area * math.sqrt(1.4 * 287.05 * temperature) / volume
    for share, held in ((p, False), (isothermal, True)):
        found = time_to_empty(
            start, temperature, volume, area, ambient, isothermal=held,
            end_gauge=share * start - ambient,
        )  # fmt: skip
        assert scale * found == pytest.approx(t, rel=3e-5)


@pytest.mark.parametrize(("bore_in", "seconds"), [(0.25, 198.7), (0.5, 49.7), (1.0, 12.4)])
def test_time_constant_of_one_cubic_metre(bore_in, seconds):
    # arithmetic: Cd 0.8, air at 20 degC; time constant V / (Cd A sqrt(kRT)) / 0.5787
    area = 0.8 * math.pi / 4 * (bore_in * 0.0254) ** 2
    first = time_to_empty(100e5, 293.15, 1.0, area, 1e5, isothermal=True, end_gauge=39e5)
    second = time_to_empty(40e5, 293.15, 1.0, area, 1e5, isothermal=True,
                           end_gauge=40e5 / math.e - 1e5)  # fmt: skip
    assert second == pytest.approx(seconds, rel=2e-3)
    assert first == pytest.approx(seconds * math.log(2.5), rel=2e-3)


@pytest.mark.parametrize("isothermal", [True, False])
def test_time_to_empty_agrees_with_an_ordinary_solver(isothermal):
    # property: the same ideal-gas balance marched in time
    k, r, p0, v, area, t1, p1 = 1.4, 287.05, 1.013e5, 0.5, 8e-5, 330.0, 12e5
    crit = (2 / (k + 1)) ** (k / (k - 1))

    def rate(_, y):
        p = y[0]
        t = t1 if isothermal else t1 * (p / p1) ** ((k - 1) / k)
        x = max(p0 / p, crit)
        flux = (
            p / math.sqrt(r * t) * math.sqrt(2 * k / (k - 1) * (x ** (2 / k) - x ** ((k + 1) / k)))
        )
        return [-(1 if isothermal else k) * flux * area * r * t / v]

    def done(_, y):
        return y[0] - p0 - 0.01 * (p1 - p0)

    done.terminal = True
    march = solve_ivp(rate, (0, 500), [p1], events=done, rtol=1e-9, atol=1e-3, max_step=0.5)
    got = time_to_empty(p1, t1, v, area, p0, isothermal=isothermal)
    assert got == pytest.approx(march.t_events[0][0], rel=1e-5)


def test_empty_vessel_needs_no_time_and_bad_input_is_refused():
    assert time_to_empty(1.05e5, 293.0, 1.0, 1e-4, 1.013e5, isothermal=True) == 0.0
    with pytest.raises(ValueError, match="area"):
        time_to_empty(5e5, 293.0, 1.0, 0.0, 1.013e5, isothermal=True)


def test_vent_noise_of_the_worked_example():
    # published, from memory: API 521 example, 14.6 kg/s, 353 m/s, ratio 3 -> 114 dB at 30 m
    noise = vent_noise(14.6, 353.0, 3.0)
    assert noise.level_at_30_m_db == pytest.approx(114.0, abs=0.6)
    assert noise.level_at(300.0) == pytest.approx(noise.level_at_30_m_db - 20.0)
    assert noise.distance_for(noise.level_at(77.0)) == pytest.approx(77.0)


def test_noise_grows_with_pressure_and_dies_with_it():
    levels = [vent_noise(1.0, 340.0, r).level_at_30_m_db for r in (1.01, 1.3, 1.89, 2, 4, 40)]
    assert np.all(np.diff(levels) >= -1e-9)
    below, above = (vent_noise(1.0, 340.0, CRITICAL + d).level_at_30_m_db for d in (-1e-6, 1e-6))
    assert above == pytest.approx(below, abs=1e-3)
    assert vent_noise(0.0, 340.0, 4.0).level_at_30_m_db == -math.inf
    assert not vent_noise(1.0, 340.0, 40.0).in_range


def test_jet_keeps_momentum_and_decays_with_distance():
    jet = free_jet(0.5, 260.0, 1.013e5, 288.15)
    density = 1.013e5 / (287.05 * 288.15)
    assert density * jet.speed**2 * math.pi / 4 * jet.diameter**2 == pytest.approx(260.0)
    x = jet.reach(10.0)
    assert jet.speed_at(x) == pytest.approx(10.0)
    assert jet.speed_at(2 * x) == pytest.approx(5.0)
    assert jet.speed_at(0.0) == jet.speed


def test_room_effect_follows_energy_and_mass():
    # arithmetic: 0.25 m3 at 30 bar gauge into 240 m3
    effect = room_effect([(31.013e5, 288.15, 0.25)], 240.0, 1.013e5, 288.15)
    assert effect.free_air == pytest.approx(30e5 * 0.25 / 1.013e5)
    assert effect.room_share == pytest.approx(0.03085, rel=1e-3)
    assert effect.sealed_pressure_rise == pytest.approx(30e5 * 0.25 / 240.25)
    assert not effect.spoils_gas
    assert room_effect([(31.013e5, 288.15, 1.25)] * 2, 240.0, 1.013e5, 288.15).spoils_gas


def test_pipe_exit_carries_the_flow_and_its_force():
    # property: flow through the end from the state at the end; limits of slow and choked flow
    p0, t0, d = 1.013e5, 313.15, 0.0531
    area = math.pi / 4 * d**2
    for rate in (0.02, 0.3, 0.8, 2.5):
        end = pipe_exit(rate, t0, p0, d)
        t = t0 - end.speed**2 / (2 * 3.5 * 287.05)
        assert end.pressure / (287.05 * t) * end.speed * area == pytest.approx(rate, rel=1e-9)
        assert end.force == pytest.approx(rate * end.speed + (end.pressure - p0) * area)
        assert end.stagnation_pressure > end.pressure >= p0
    choked = pipe_exit(2.5, t0, p0, d)
    assert choked.pressure > p0
    assert choked.speed == pytest.approx(math.sqrt(1.4 * 287.05 * t0 / 1.2))
    # analytic: a choked open nozzle, F = A (p* (1 + k) - p0)
    assert choked.force == pytest.approx(area * (2.4 * choked.pressure - p0))
    with pytest.raises(ValueError, match="above 0"):
        pipe_exit(0.0, t0, p0, d)
