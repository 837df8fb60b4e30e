"""Stored energy, fusible alloys and the gas-vessel relief formula against printed values.

read: taken from published text. memory: well known, recalled. arithmetic: the published
formula worked out, which checks our arithmetic and nothing else.
"""

from __future__ import annotations

import pytest

from airrisk.physics import energy
from airrisk.physics.alloys import alloy
from airrisk.physics.api521 import gas_filled_relief

ZERO = 273.15
PSI = 6894.757293168
PCC2_AMBIENT = 101e3


def test_pressure_test_rule():
    """Arithmetic on ASME PCC-2 (read): 2.5 p V [1 - (101 kPa/p)^0.286], TNT by 4 266 920."""
    for gauge, volume, joule, tnt in (
        (0.8e6, 1.0, 1_047_882, 0.24558),
        (1.1e6, 1.0, 1_523_495, 0.35705),
        (1.1e6, 10.0, 15_234_950, 3.57048),
        (4.0e6, 2.0, 13_395_989, 3.13950),
        (20e6, 0.05, 1_959_729, 1_959_729 / 4_266_920),
    ):
        found = energy.pcc2_energy(gauge + PCC2_AMBIENT, volume)
        assert found == pytest.approx(joule, abs=6.0 * max(1.0, volume))
        assert energy.tnt_mass(found, energy.PCC2_TNT_ENERGY) == pytest.approx(tnt, abs=1e-5)


def test_four_measures_of_one_cubic_metre_at_500_bar():
    """Arithmetic: 500 bar(a), 1.01 bar, k 1.4 (inputs of a printed example), MJ."""
    p, v, p0 = 500e5, 1.0, 1.01e5
    assert energy.brode_energy(p, v, p0) / 1e6 == pytest.approx(124.75, abs=0.01)
    assert energy.isentropic_energy(p, v, p0) / 1e6 == pytest.approx(103.77, abs=0.01)
    assert energy.isothermal_energy(p, v, p0) / 1e6 == pytest.approx(310.23, abs=0.01)
    assert energy.availability(p, v, p0) / 1e6 == pytest.approx(260.33, abs=0.01)


def test_isothermal_energy_of_a_diving_cylinder():
    """Published (read): 12 L, 232 bar, isothermal nRT ln(P/Pa), printed 1536 kJ; 2 %.

    The printed value does not say its ambient pressure, hence the tolerance.
    """
    found = energy.isothermal_energy(232e5, 12e-3, 101325.0)
    assert found / 1e3 == pytest.approx(1536.0, rel=0.02)


def test_fixed_points():
    """Published (read): ITS-90 freezing points; tin 232 C / 450 F in common practice."""
    for key, celsius in (("indium", 156.5985), ("tin", 231.928), ("zinc", 419.527)):
        one = alloy(key)
        assert one.solidus == one.liquidus == pytest.approx(celsius + ZERO, abs=1e-9)
    assert alloy("tin").liquidus - ZERO == pytest.approx(232.0, abs=0.5)
    fahrenheit = 1.8 * (alloy("tin").liquidus - ZERO) + 32.0
    assert fahrenheit == pytest.approx(450.0, abs=1.0)


def test_melting_ranges():
    """Published (read, Bi58Sn42 memory): solidus and liquidus in C.

    Bi50Pb28Sn22 is printed as 94 to 98; some tables end at 110 (memory), and devices sold for
    100 C yield to 106.7 (read), so that the later end is taken.
    """
    printed = {
        "Bi44.7Pb22.6In19.1Sn8.3Cd5.3": (47, 47), "Bi49In21Pb18Sn12": (58, 58),
        "Bi50Pb26.7Sn13.3Cd10": (70, 70), "Bi42.5Pb37.7Sn11.3Cd8.5": (71, 88),
        "In66.3Bi33.7": (72, 72), "Bi57In26Sn17": (79, 79), "Bi52.5Pb32Sn15.5": (95, 95),
        "Bi50Pb28Sn22": (94, 110), "In52Sn48": (118, 118), "Bi55.5Pb44.5": (124, 124),
        "Bi58Sn42": (138, 138), "Sn63Pb37": (183, 183), "Sn60Pb40": (183, 191),
        "Sn50Pb50": (183, 212), "Sn40Pb60": (183, 238), "Sn96.5Ag3.5": (221, 221),
        "Sn99.3Cu0.7": (227, 227),
    }  # fmt: skip
    for key, (solidus, liquidus) in printed.items():
        one = alloy(key)
        assert one.solidus - ZERO == pytest.approx(solidus)
        assert one.liquidus - ZERO == pytest.approx(liquidus)


def test_heat_of_the_elements():
    """Published (memory, 3 %): latent heat, density and heat capacity of the pure metals."""
    for key, latent, density, c in (
        ("tin", 60.0, 7290, 228), ("lead", 23.0, 11340, 129), ("indium", 28.6, 7310, 233),
        ("zinc", 108.0, 7140, 388),
    ):  # fmt: skip
        one = alloy(key)
        assert one.latent_heat / 1e3 == pytest.approx(latent)
        assert one.density == pytest.approx(density)
        assert one.specific_heat == pytest.approx(c)


def test_relief_of_a_gas_filled_vessel():
    """Arithmetic on API 521 (memory): air, 50 ft2, Kd 0.975, Tw 1560 R.

    T1 888.93 R, F' 0.016687 in US customary units (304.50 in SI), 0.059567 in2
    (38.457 mm2), 732.3 lb/h; the two unit systems differ by 0.06 % through rounded constants.
    """
    found = gas_filled_relief(
        normal_pressure=114.696 * PSI,
        normal_temperature=519.67 / 1.8,
        relieving_pressure=(150 * 1.21 + 14.696) * PSI,
        exposed_area=50 * 0.3048**2,
        discharge_coefficient=0.975,
        wall_temperature=1560 / 1.8,
    )
    assert found.gas_temperature * 1.8 == pytest.approx(888.93, abs=0.01)
    assert found.factor == pytest.approx(304.50, rel=1e-3)
    assert found.area * 1e6 == pytest.approx(38.457, rel=1e-3)
    assert found.mass_flow * 3600 / 0.45359237 == pytest.approx(732.3, rel=1e-3)
