"""The printed formulas give what the program computes, from the printed symbols alone."""

from __future__ import annotations

import ast

import pytest

from airrisk.physics import air, api521, energy, fires, flow, heat_kernel, metal, shells
from airrisk.physics.harm import stand_off
from airrisk.quantities import GRAVITY
from airrisk.tables import read_toml
from tests.calculator import FUNCTIONS, recomputed

TABLE = read_toml("formulas.toml")


@pytest.mark.parametrize("key", TABLE)
def test_every_formula_is_complete(key: str):
    """Property: title, source, standing; the machine form is the printed right-hand side and
    uses each symbol that is explained and no other."""
    entry = TABLE[key]
    assert entry["title"]
    assert entry["source"]
    assert entry["standing"] in ("read", "memory", "judgement", "arithmetic")
    assert entry["unit"]
    assert entry["expression"].partition(" = ")[2] == entry["evaluate"]
    used = {n.id for n in ast.walk(ast.parse(entry["evaluate"])) if isinstance(n, ast.Name)}
    assert used - set(FUNCTIONS) == set(entry["symbols"])
    for text in entry["symbols"].values():
        assert ", " in text


def test_energies():
    """Arithmetic."""
    p, v, p0, k = 11e5, 2.0, 101325.0, 1.4
    assert recomputed("brode_energy", p=p, p_0=p0, V=v, k=k) == pytest.approx(
        energy.brode_energy(p, v, p0)
    )
    assert recomputed("isentropic_energy", p=p, p_0=p0, V=v, k=k) == pytest.approx(
        energy.isentropic_energy(p, v, p0)
    )
    assert recomputed("isothermal_energy", p=p, p_0=p0, V=v) == pytest.approx(
        energy.isothermal_energy(p, v, p0)
    )
    assert recomputed("availability_energy", p=p, p_0=p0, V=v) == pytest.approx(
        energy.availability(p, v, p0)
    )
    assert recomputed("pcc2_energy", p=p, V=v, p_at=101e3) == pytest.approx(
        energy.pcc2_energy(p, v)
    )
    assert recomputed("tnt_mass", E=1e6, e_T=4.184e6) == pytest.approx(energy.tnt_mass(1e6))
    assert recomputed("pcc2_distance", Z_p=20.0, W_p=100.0) == pytest.approx(
        stand_off(100.0 * energy.PCC2_TNT_ENERGY, 100.0).scaled_m["glass windows"]
    )
    real = energy.real_isentropic_expansion(p, 300.0, v, p0)
    rho = float(air.density(p, 300.0))
    u1 = float(air.internal_energy(rho, 300.0))
    u2 = air.isentropic_state(rho, 300.0, p0).internal_energy
    assert recomputed("isentropic_real_energy", m=rho * v, u_1=u1, u_2=u2) == pytest.approx(
        real.energy
    )


def test_air():
    """Arithmetic."""
    z = float(air.compressibility(11e5, 300.0))
    rho = recomputed("air_density", p=11e5, Z=z, R=air.GAS_CONSTANT, T=300.0)
    assert rho == pytest.approx(float(air.density(11e5, 300.0)))
    assert recomputed("isochore_pressure", Z=z, rho=rho, R=air.GAS_CONSTANT, T=300.0) == (
        pytest.approx(11e5)
    )
    assert recomputed("gas_mass", rho=rho, V=2.0) == pytest.approx(2.0 * rho)
    assert recomputed("condensate_pressure", m_w=1.0, R_w=461.526, T=400.0, V=2.0) == (
        pytest.approx(air.WATER_GAS_CONSTANT * 200.0)
    )


def test_steam():
    """Arithmetic, and published: 200 degC, 15.55 bar (steam tables, from memory)."""
    critical = {"p_cr": 22.064e6, "T_cr": 647.096, "T": 473.15, "v_w": 1.0 - 473.15 / 647.096}
    found = recomputed("saturation_pressure", **critical)
    assert found == pytest.approx(float(air.saturation_pressure_water(473.15)))
    assert found == pytest.approx(15.55e5, rel=1e-3)
    assert recomputed("wet_pressure", p_a=1e5, p_w=found) == pytest.approx(1e5 + found)


@pytest.mark.parametrize("formula", shells.BURST_FORMULAS)
def test_burst_of_a_cylinder(formula: str):
    """Arithmetic."""
    d, t, s, z, q = 1.1, 0.008, 410e6, 0.85, 265 / 410
    found = shells.burst_pressure(d, t, s, formula=formula, weld_factor=z, yield_ratio=q)
    values = {
        "mean diameter": ("burst_mean_diameter", {"t": t, "D": d}),
        "thick wall": ("burst_thick_wall", {"D_o": d + 2 * t, "D": d}),
        "Faupel": ("burst_faupel", {"D_o": d + 2 * t, "D": d, "q_y": q}),
    }
    key, sizes = values[formula]
    assert recomputed(key, z=z, S=s, **sizes) == pytest.approx(found)


@pytest.mark.parametrize("heads", shells.HEADS)
def test_burst_of_heads(heads: str):
    """Arithmetic."""
    found = 410e6 * 0.85 * shells.head_stress_factor(1.1, 0.012, heads)
    again = recomputed(f"burst_head_{heads}", z=0.85, S=410e6, t_h=0.012, D=1.1)
    assert again == pytest.approx(found)


def test_geometry():
    """Arithmetic."""
    d, t = 1.1, 0.008
    shape = shells.vessel_geometry(d, t, volume=2.0)
    head = shells.head_geometry(d, "torispherical", t)
    length = shape.cylinder_length
    assert recomputed("cylinder_volume", D=d, L=length, V_h=head.volume) == pytest.approx(2.0)
    mass = recomputed("metal_mass", rho_m=7850.0, D=d, t=t, L=length, B_h=head.metal_volume)
    assert mass == pytest.approx(shape.metal_mass)


def test_strengths():
    """Arithmetic: at 350 C."""
    hot = 623.15
    re, rm = 265e6, 410e6
    for key, values in {
        "tensile": {"R_m": rm, "f": 0.9},
        "annex-a": {"R_e": re, "f": 1.125, "R_m": rm},
        "yield": {"R_e": re, "k_y": 1.0},
        "tensile-ky": {"R_m": rm, "k_y": 1.0},
    }.items():
        found = recomputed("strength_" + key.replace("-", "_"), **values)
        assert found == pytest.approx(
            float(metal.strength(metal.grade("P265GH", 0.01), key, hot))
        ), key
    ultimate = recomputed("strength_ultimate", R_m=485e6, k_u=0.725)
    assert ultimate == pytest.approx(
        float(metal.strength(metal.grade("304L", 0.01), "ultimate", hot))
    )
    proof = recomputed("strength_proof", R_p=170e6, k_p=0.62)
    assert proof == pytest.approx(float(metal.strength(metal.grade("304L", 0.01), "proof", hot)))


def test_fires_and_heat():
    """Arithmetic."""
    for curve in ("standard", "external", "hydrocarbon"):  # the slow one has two parts
        found = float(fires.fire_temperature(curve, 754.0))
        assert recomputed(f"fire_{curve}", tau=754.0) == pytest.approx(found)
    sigma = heat_kernel.STEFAN_BOLTZMANN
    assert recomputed("net_flux", eps=0.8, sigma=sigma, T_f=1300.0, T_w=500.0, h=50.0) == (
        pytest.approx(float(heat_kernel.net_flux(1300.0, 500.0, 0.8, 50.0)))
    )
    assert recomputed(
        "inner_radiation", sigma=sigma, T_h=800.0, T_c=400.0, eps=0.8, A_h=2.0, A_c=6.0
    ) == pytest.approx(heat_kernel.inner_radiation(800.0, 400.0, 2.0, 6.0, 0.8))
    film = 450.0
    assert recomputed(
        "natural_convection",
        lambda_f=float(air.conductivity(film)),
        g=GRAVITY,
        dT=300.0,
        rho=12.0,
        Pr=float(air.prandtl(film)),
        T_k=film,
        mu=float(air.viscosity(film)),
    ) == pytest.approx(heat_kernel.convection_coefficient(12.0, 600.0, 300.0), rel=2e-5)


def test_flows():
    """Arithmetic."""
    found = float(flow.ideal_mass_flux(11e5, 300.0, 1e5))
    assert recomputed(
        "ideal_critical_flux", p_t=11e5, k=1.4, R=air.GAS_CONSTANT, T_t=300.0
    ) == pytest.approx(found)
    assert recomputed("opening_flow", C_d=0.6, A=1e-4, G=2500.0) == pytest.approx(0.15)
    assert recomputed("reaction_force", w=0.1, v=300.0, p_e=3e5, p_0=1e5, A_e=1e-4) == (
        pytest.approx(flow.reaction_force(0.1, 300.0, 3e5, 1e5, 1e-4))
    )


def test_relief_of_gas_filled_vessels():
    """Arithmetic."""
    found = api521.gas_filled_relief(
        normal_pressure=11e5,
        normal_temperature=300.0,
        relieving_pressure=14e5,
        exposed_area=5.0,
        discharge_coefficient=0.8,
    )
    t1 = recomputed("api521_gas_temperature", T_n=300.0, p_1=14e5, p_n=11e5)
    assert t1 == pytest.approx(found.gas_temperature)
    factor = recomputed(
        "api521_factor", C=api521.gas_coefficient(1.4), K_d=0.8, T_wl=866.15, T_1=t1
    )
    assert factor == pytest.approx(found.factor)
    assert recomputed("api521_area", F=factor, A_w=5.0, p_1=14e5) == pytest.approx(found.area)
