"""The printed formulas of blast, fragments and discharge give what the program computes."""

import ast
import math

import numpy as np
import pytest

from airrisk.physics import blast, discharge, fragments, noise, shock_tube, vessel_burst
from airrisk.tables import read_toml
from tests.calculator import FUNCTIONS, recomputed

TABLE = read_toml("formulas_blast.toml")


@pytest.mark.parametrize("key", TABLE)
def test_every_formula_is_complete(key):
    entry = TABLE[key]
    assert entry["title"]
    assert entry["source"]
    assert entry["unit"]
    assert entry["standing"] in ("read", "memory", "judgement", "arithmetic")
    assert entry["expression"].partition(" = ")[2] == entry["evaluate"]
    used = {n.id for n in ast.walk(ast.parse(entry["evaluate"])) if isinstance(n, ast.Name)}
    assert used - set(FUNCTIONS) == set(entry["symbols"])
    assert all(", " in text for text in entry["symbols"].values())


def test_blast_formulas():
    # arithmetic
    burst = vessel_burst.vessel_burst(31e5, 400.0, 0.25, 1.013e5, 290.0)
    energy = recomputed("ground_burst_energy", p=31e5, p_0=1.013e5, V=0.25, k=1.4)
    assert energy == pytest.approx(burst.scaled_energy)
    scaled = recomputed("burst_scaled_distance", r_v=7.0, p_0=1.013e5, E_b=energy)
    assert scaled == pytest.approx(burst.scaled_radius(7.0))
    x = shock_tube.starting_overpressure(31 / 1.013, 400 / 290)
    ratio = recomputed("starting_pressure_ratio", x_s=x, T=400.0, T_0=290.0, k=1.4)
    assert ratio == pytest.approx(31 / 1.013)
    reflected = recomputed("reflected_overpressure", p_s=5e4, p_0=1.013e5)
    assert reflected == pytest.approx(blast.reflected_from_incident(5e4, 1.013e5))
    assert recomputed("tnt_scaled_distance", r_v=12.0, W=3.0) == pytest.approx(
        blast.tnt_blast(12.0, 3.0).scaled_distance[0]
    )


def test_fragment_formulas():
    # arithmetic
    assert recomputed("moore_speed", E=2e6, M_c=300.0, m=9.0) == pytest.approx(
        fragments.moore_speed(2e6, 300.0, 9.0)
    )
    assert recomputed("energy_share_speed", s_k=0.2, E=2e6, M_c=300.0) == pytest.approx(
        fragments.energy_share_speed(2e6, 300.0)
    )
    force = fragments.baum_force(30e5, 0.24, 27.0 / (math.pi * 0.24**2), 350.0)
    assert recomputed("baum_end_cap_speed", a=350.0, p=31e5, p_0=1e5, r_i=0.24, M_h=27.0) == (
        pytest.approx(fragments.baum_end_cap_speed(force, 350.0))
    )
    force = fragments.baum_force(30e5, 0.24, 110.0, 350.0)
    assert recomputed("baum_many_speed", a=350.0, p=31e5, p_0=1e5, r_i=0.24, m_A=110.0) == (
        pytest.approx(fragments.baum_many_speed(force, 350.0))
    )
    assert recomputed("vacuum_range", u=30.0, g=9.80665) == pytest.approx(91.77, rel=1e-4)


def test_discharge_formulas():
    # arithmetic
    vent = noise.vent_noise(0.7, 355.0, 3.0)
    assert recomputed("vent_noise", Y=54.0, w=0.7, a=355.0) == pytest.approx(vent.level_at_30_m_db)
    effect = discharge.room_effect([(31e5, 320.0, 0.25)], 240.0, 1.013e5, 290.0)
    free = recomputed("free_air", V=0.25, p=31e5, T=320.0, p_0=1.013e5, T_0=290.0)
    assert free == pytest.approx(effect.free_air)
    rise = recomputed("sealed_room_rise", p=31e5, p_0=1.013e5, V=0.25, V_r=240.0)
    assert rise == pytest.approx(effect.sealed_pressure_rise)
    assert recomputed("agent_left", V_f=free, V_r=240.0) == pytest.approx(effect.agent_left)
    jet = discharge.free_jet(0.7, 360.0, 1.013e5, 290.0)
    assert recomputed("jet_speed", d_j=jet.diameter, u_e=jet.speed, x=9.0) == pytest.approx(
        jet.speed_at(9.0)
    )
    area = 0.6 * math.pi / 4 * 0.014**2
    time = discharge.time_to_empty(31e5, 313.0, 0.25, area, 1e5, isothermal=True, end_gauge=9e5)
    assert recomputed(
        "isothermal_emptying", V=0.25, C_d=0.6, A=math.pi / 4 * 0.014**2, k=1.4, R=287.05,
        T=313.0, p=31e5, p_z=10e5,
    ) == pytest.approx(time, rel=1e-5)  # fmt: skip


def test_rocket_speed_is_the_impulse_of_blow_down():
    # property: the same thrust summed up over small steps of time
    k, r = 1.4, 287.05
    source = fragments.BurstSource(
        pressure=10e5, temperature=300.0, volume=1.0, ambient_pressure=1e5,
        ambient_temperature=288.0, casing_mass=300.0, head_mass=30.0, inside_diameter=0.8,
        length=2.2, wall_thickness=0.006, metal_density=7850.0,
    )  # fmt: skip
    area, volume = math.pi / 4 * 0.8**2, 1.0
    p, impulse, dt = 10e5, 0.0, 2e-6
    while p > 1.0005e5:
        t = 300.0 * (p / 10e5) ** ((k - 1) / k)
        out = max(p * (2 / (k + 1)) ** (k / (k - 1)), 1e5)
        t_out = t * (out / p) ** ((k - 1) / k)
        speed = math.sqrt(2 * k / (k - 1) * r * (t - t_out))
        flow = out / (r * t_out) * speed * area
        impulse += (flow * speed + (out - 1e5) * area) * dt
        p -= k * flow * r * t / volume * dt
    assert fragments.rocket_speed(source, 270.0) == pytest.approx(impulse / 270.0, rel=5e-3)
    assert fragments.rocket_speed(source, 540.0) == pytest.approx(
        0.5 * fragments.rocket_speed(source, 270.0)
    )


def test_spread_of_pieces_is_ordered_and_repeatable():
    source = fragments.BurstSource(
        pressure=31e5, temperature=313.0, volume=0.25, ambient_pressure=1.013e5,
        ambient_temperature=288.0, casing_mass=269.0, head_mass=27.0, inside_diameter=0.48,
        length=1.5, wall_thickness=0.014, metal_density=7850.0,
    )  # fmt: skip
    few = fragments.Launch(60.0, *fragments.few_piece_sample(source), True)
    fast = fragments.Launch(120.0, *fragments.few_piece_sample(source), True)
    slow_spread, fast_spread = fragments.fly_pieces([few, fast], source, 79.0)
    again = fragments.fly_pieces([few], source, 79.0)[0]
    np.testing.assert_array_equal(again.ranges, slow_spread.ranges)
    assert np.all(np.diff(slow_spread.ranges) >= 0)
    ranges = slow_spread.range_at([0.5, 0.9, 0.99])
    assert np.all(np.diff(ranges) > 0)
    assert np.all(fast_spread.range_at([0.5, 0.9, 0.99]) > ranges)
    # property: drag only shortens; lift of flat pieces may add a little
    assert slow_spread.longest < 60.0**2 / 9.80665
    assert slow_spread.ranges[-1] < 1.15 * slow_spread.longest
    median, quick = fragments.speed_at(slow_spread, [0.0, 50.0])
    assert median[0] == quick[0] == 60.0
    assert median[1] < quick[1] < 60.0
