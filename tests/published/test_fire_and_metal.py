"""Fire curves, heating of steel, strengths and bursts against printed values.

read: taken from published text. memory: well known, recalled. arithmetic: the published
formula worked out, which checks our arithmetic and nothing else.
"""

from __future__ import annotations

import numpy as np
import pytest

from airrisk.fire.case_building import WALL_LOSS
from airrisk.physics import air, fires, heat_kernel, metal, shells
from airrisk.physics.metal_kernel import heat_capacity

ZERO = 273.15
MEGA = 1e6
PSI = 6894.757
INCH = 0.0254


def thin(key: str) -> metal.Grade:
    """The metal in the thinnest wall of its standard."""
    return metal.grades(key)[0]


CURVES = {
    "standard": (576.41, 678.43, 738.56, 841.80, 945.34, 1049.04),
    "external": (588.46, 661.52, 676.27, 679.97, 680.00, 680.00),
    "hydrocarbon": (947.71, 1033.93, 1071.33, 1097.66, 1099.98, 1100.00),
}


@pytest.mark.parametrize("curve", CURVES)
def test_nominal_fire_curves(curve: str):
    """Arithmetic: EN 1991-1-2 3.2 at 5, 10, 15, 30, 60, 120 min."""
    minutes = np.array([5, 10, 15, 30, 60, 120])
    found = fires.fire_temperature(curve, minutes * 60.0) - ZERO
    np.testing.assert_allclose(found, CURVES[curve], atol=0.006)


def test_slow_fire():
    """Published (memory): EN 1363-2, 20 + 154 t^0.25 to 21 min, then the standard one 20 later."""
    found = fires.fire_temperature("slow", np.array([960.0, 3600.0])) - ZERO
    assert found[0] == pytest.approx(20 + 154 * 2.0)
    assert found[1] == pytest.approx(
        float(fires.fire_temperature("standard", 2400.0)) - ZERO, abs=1e-9
    )


def test_cold_wall_flux():
    """Arithmetic: emissivity 0.7, wall at 20 C, kW/m2."""
    for curve, minutes, flux in (
        ("standard", 15, 59.2), ("standard", 30, 81.6), ("standard", 60, 110.3),
        ("hydrocarbon", 5, 134.2), ("hydrocarbon", 600, 194.8),
    ):  # fmt: skip
        flame = float(fires.fire_temperature(curve, minutes * 60.0))
        found = float(heat_kernel.net_flux(flame, 293.15, 0.7, fires.CONVECTION[curve]))
        assert found / 1e3 == pytest.approx(flux, abs=0.1)


def test_measured_fire_fluxes_are_of_the_same_size():
    """Published (memory): cold-wall fluxes of fire tests, as a bound of the hydrocarbon curve.

    ASTM E1529 158 +-8, UL 1709 204 +-16 kW/m2; the curve's steady flux lies between them.
    """
    steady = float(heat_kernel.net_flux(1373.15, 293.15, 0.7, 50.0)) / 1e3
    assert 150.0 < steady < 220.0


STEEL = {
    ("standard", 15): (230.6, 383.5, 564.6, 681.9),
    ("standard", 30): (498.5, 690.4, 767.4, 828.2),
    ("hydrocarbon", 10): (425.3, 660.9, 856.8, 1013.9),
    ("hydrocarbon", 30): (920.1, 1087.8, 1096.6, 1097.2),
}


@pytest.mark.parametrize("curve", ["standard", "hydrocarbon"])
def test_heating_of_unprotected_steel(curve: str):
    """Arithmetic: EN 1993-1-2 (4.25), emissivity 0.7, no shadow, 25/50/100/200 1/m; 3 K."""
    factors = np.array([25.0, 50.0, 100.0, 200.0])
    wall = np.full(4, 293.15)
    step = 1.0
    h = fires.CONVECTION[curve]
    for second in range(1800):
        flame = float(fires.fire_temperature(curve, second + 0.5 * step))
        c = np.array([heat_capacity(0, t) for t in wall])
        half = wall + 0.5 * step * factors * heat_kernel.net_flux(flame, wall, 0.7, h) / (
            7850.0 * c
        )
        c = np.array([heat_capacity(0, t) for t in half])
        wall = wall + step * factors * heat_kernel.net_flux(flame, half, 0.7, h) / (7850.0 * c)
        minutes = (second + 1) / 60.0
        if (curve, minutes) in STEEL:
            np.testing.assert_allclose(wall - ZERO, STEEL[curve, minutes], atol=3.0)


def test_emissivities_and_unexposed_convection():
    """Published (read): EN 1991-1-2 and its companions."""
    assert metal.material("P265GH").emissivity == 0.7
    assert metal.material("304L").emissivity == 0.4
    assert metal.material("6061-T6").emissivity == 0.3
    assert WALL_LOSS == 9.0  # W/m2/K, radiation included


def test_yield_factor_of_carbon_steel():
    """Published (read): EN 1993-1-2 table 3.1."""
    table = {400: 1, 500: 0.78, 600: 0.47, 700: 0.23, 800: 0.11, 900: 0.06, 1000: 0.04,
             1100: 0.02, 1200: 0}  # fmt: skip
    cold = thin("S235").yield_min
    for celsius, factor in table.items():
        found = float(metal.strength(thin("S235"), "yield", celsius + ZERO)) / cold
        assert found == pytest.approx(factor, abs=1e-12)


def test_heat_capacity_and_density_of_steel():
    """Published (read): EN 1993-1-2, 20 C 439.80, 300 C 564.74, 600 C 760.22 J/kg/K."""
    for celsius, value in ((20, 439.80), (300, 564.74), (600, 760.22), (1000, 650.0)):
        found = heat_capacity(0, celsius + ZERO + 1e-9)
        assert found == pytest.approx(value, abs=0.01)
    assert metal.material("P265GH").density == 7850.0


def test_the_basis_decides_the_rupture_temperature():
    """Arithmetic: a P265 shell stressed to 123 MPa at 10 bar(g) from 20 C, shut in.

    With an ideal gas 327 C on yield, 370 on annex A, 425 on the tensile strength, 482 C on
    Rm x k_y; real air, which stiffens, ruptures it 3 to 8 K earlier.
    """
    expected = {"yield": 327.0, "annex-a": 370.0, "tensile": 425.0, "tensile-ky": 482.0}
    start = 10e5 + 101325.0
    t = np.linspace(293.15, 1273.15, 9801)
    ideal = start * t / 293.15
    real = air.pressure(air.density(start, 293.15), t)
    for basis, celsius in expected.items():
        strength = metal.strength(thin("P265GH"), basis, t)
        at = [
            t[int(np.argmax(123e6 * (p - 101325.0) / 10e5 >= strength))] - ZERO
            for p in (ideal, real)
        ]
        assert at[0] == pytest.approx(celsius, abs=1.0), basis
        assert 3.0 < at[0] - at[1] < 8.0, basis


def test_the_chosen_curve_beside_test_based_ones():
    """Published (memory): measured strength ratios bracket the choice of basis.

    NIST TN 1907 and AISC 360 yield ratios; "tensile" lies within 0.12 below them at 400 to
    700 C, never above by more than 0.05.
    """

    def tests_of_nist(celsius: float) -> float:
        dt = celsius - 20.0
        return 0.09 + 0.91 * np.exp(-0.5 * (dt / 588.0) ** 7.514 - 0.5 * (dt / 676.0))

    for celsius, printed in ((300, 0.828), (400, 0.764), (500, 0.662), (600, 0.467), (700, 0.214)):
        assert tests_of_nist(celsius) == pytest.approx(printed, abs=1.5e-3)
    for celsius in (400.0, 500.0, 600.0, 700.0):
        ours = float(metal.strength(thin("P265GH"), "tensile", celsius + ZERO)) / (410 * MEGA)
        assert tests_of_nist(celsius) - 0.12 < ours < tests_of_nist(celsius) + 0.05


def test_stainless_ultimate_factors():
    """Published (read for 1.4301, memory for 1.4404): 100 to 1000 C."""
    printed = {
        "304L": (0.87, 0.77, 0.73, 0.72, 0.67, 0.58, 0.43, 0.27, 0.15, 0.07),
        "316L": (0.93, 0.87, 0.84, 0.83, 0.79, 0.72, 0.55, 0.34, 0.18, 0.09),
    }
    at = np.arange(100.0, 1001.0, 100.0) + ZERO
    for key, factors in printed.items():
        found = metal.strength(thin(key), "ultimate", at) / (485 * MEGA)
        np.testing.assert_allclose(found, factors)


def test_aluminium_proof_factors():
    """Published (read for 6061-T6, memory for 5083-O): EN 1999-1-2 table 1a, 0.2 % proof.

    6061-T6 as printed; 5083-O never above it, and below it from 100 to 300 C, where the
    handbooks of ASM (typical, memory) print less.
    """
    celsius = np.array([20.0, 100, 150, 200, 250, 300, 350, 550])
    one = thin("6061-T6")
    np.testing.assert_allclose(
        metal.strength(one, "proof", celsius + ZERO) / one.yield_min,
        (1, 0.95, 0.91, 0.79, 0.55, 0.31, 0.10, 0),
    )
    one = thin("5083")
    code = np.array([1, 1, 0.98, 0.90, 0.75, 0.40, 0.22, 0])
    ours = metal.strength(one, "proof", celsius + ZERO) / one.yield_min
    assert np.all(ours <= code + 1e-9)
    np.testing.assert_allclose(ours[[0, 1, 5, 6, 7]], code[[0, 1, 5, 6, 7]], atol=0.01)
    for at, printed in ((149, 131), (204, 117), (260, 76)):
        found = float(metal.strength(one, "proof", at + ZERO)) / one.yield_min
        assert printed / 145 - 0.01 < found <= printed / 145


def test_aluminium_ultimate_strength():
    """Published (memory): handbooks of ASM, typical, MPa.

    5083-O after 10 000 h, over 290 MPa cold; 6061-T6 after half an hour, as factors. The factors
    of the proof strength, once put on the ultimate strength, made 5083-O 1.3 times too strong at
    150 C and 1.8 times at 250 C.
    """
    one = thin("5083")
    for at, printed in ((100, 276), (149, 214), (204, 152), (260, 117), (316, 76), (371, 41)):
        found = float(metal.strength(one, "ultimate", at + ZERO)) / one.tensile_min
        assert printed / 290 - 0.01 < found <= printed / 290 + 1e-9, at
    one = thin("6061-T6")
    for at, factor in ((149, 0.86), (204, 0.74), (260, 0.48), (316, 0.23)):
        found = float(metal.strength(one, "ultimate", at + ZERO)) / one.tensile_min
        assert found == pytest.approx(factor), at


def test_metal_beside_welds_of_aluminium():
    """Published (read): EN 1999-1-1 table 3.2b, f0/fu and what the heat of welding leaves, MPa.

    6061-T6 115/175 of 240/260, times 0.8 for an unknown way of welding (memory); the tensile
    strength left is then also below the 165 MPa that ASME IX asks of a welded specimen
    (memory). Temper O of 5083 loses nothing.
    """
    one = metal.grade("6061-T6", 0.02)
    assert (one.yield_min, one.tensile_min) == (240 * MEGA, 260 * MEGA)
    assert (one.weld_yield, one.weld_tensile) == (0.8 * 115 * MEGA, 0.8 * 175 * MEGA)
    assert one.weld_tensile < 165 * MEGA
    one = metal.grade("5083", 0.2)
    assert (one.yield_min, one.tensile_min) == (110 * MEGA, 270 * MEGA)
    assert (one.weld_yield, one.weld_tensile) == (110 * MEGA, 270 * MEGA)


def test_strength_by_thickness():
    """Published (read): P355GH plate, P265GH tube of EN 10216-2, 16Mo3 plate; mm and MPa."""
    printed = {
        "P355GH": {16: (355, 510), 40: (345, 510), 60: (335, 510)},
        "P265GH": {16: (265, 410), 40: (255, 410), 60: (245, 410)},
        "16Mo3": {16: (275, 440), 40: (270, 440), 60: (260, 440), 100: (240, None),
                  150: (220, None)},
    }  # fmt: skip
    for key, rows in printed.items():
        low = 0
        for high, (yield_, tensile) in rows.items():
            for mm in (low + 0.1, high):
                one = metal.grade(key, mm * 1e-3)
                assert one.yield_min == yield_ * MEGA, (key, mm)
                assert tensile is None or one.tensile_min == tensile * MEGA, (key, mm)
            low = high


def test_boiler_steel_by_thickness_above_sixty():
    """Published (memory): EN 10028-2, Re and Rm in MPa over 60, 100 and 150 mm."""
    printed = {
        "P235GH": ((200, 360), (185, 350), (170, 340)),
        "P265GH": ((215, 410), (200, 400), (185, 390)),
        "P355GH": ((315, 490), (295, 480), (280, 470)),
    }
    for key, rows in printed.items():
        for mm, (yield_, tensile) in zip((100, 150, 250), rows, strict=True):
            one = metal.grade(key, mm * 1e-3)
            assert (one.yield_min, one.tensile_min) == (yield_ * MEGA, tensile * MEGA)


def test_cold_strengths():
    """Published (read: P235GH, P265GH, S235, SA-516-70, 304L, 316L; memory: the others), MPa."""
    printed = {
        "P235GH": (235, 360, 480), "P265GH": (265, 410, 530), "S235": (235, 360, None),
        "SA-516-70": (260, 485, 620), "304L": (None, 485, None), "316L": (None, 485, None),
        "P275SL": (275, 390, 510), "A106B": (240, 415, None),
    }  # fmt: skip
    for key, values in printed.items():
        one = thin(key)
        for found, value in zip(
            (one.yield_min, one.tensile_min, one.tensile_max), values, strict=True
        ):
            if value is not None:
                assert found == pytest.approx(value * MEGA), key


def test_hot_proof_strength_of_boiler_steel_lies_below_the_fire_curve():
    """Published (memory): EN 10028-2 guaranteed proof strength to 400 C, MPa.

    Below k_y = 1 of the fire curve: the "yield" basis is that of fire design, not of
    long-term design; to 400 C it exceeds the guaranteed values, by less than the 1.25 Re of
    annex A allows.
    """
    guaranteed = {100: 241, 200: 205, 300: 173, 400: 150}
    for celsius, value in guaranteed.items():
        ours = float(metal.strength(thin("P265GH"), "yield", celsius + ZERO)) / MEGA
        assert value < ours < 1.8 * value


def test_burst_formulas():
    """Arithmetic: outside diameter x wall, MPa; mean diameter on Su, Faupel on Sy/Su."""
    for do, t, sy, su, mean, faupel in (
        (500e-3, 5e-3, 265e6, 410e6, 8.283, 8.368),
        (114.3e-3, 6.02e-3, 241e6, 414e6, 46.034, 43.919),
    ):
        d = do - 2 * t
        found = shells.burst_pressure(d, t, su)
        assert found / MEGA == pytest.approx(mean, abs=6e-4)
        found = shells.burst_pressure(d, t, su, formula="Faupel", yield_ratio=sy / su)
        assert found / MEGA == pytest.approx(faupel, abs=6e-4)


COPPER = {(0.625, 0.049): 4535, (0.625, 0.040): 3885, (0.875, 0.045): 2935,
          (1.125, 0.050): 2650, (2.125, 0.070): 1910}  # fmt: skip


def test_measured_bursts_of_annealed_copper_tube():
    """Published (memory): outside diameter x wall in inches, burst in psi.

    With the standard's 30 ksi the mean diameter overpredicts by 5 to 13 %; the strength in
    our table does not overpredict by more than 1 %, and underpredicts by less than 10 %.
    """
    ours = thin("copper").tensile_min
    for (do, t), measured in COPPER.items():
        d = (do - 2 * t) * INCH
        standard = shells.burst_pressure(d, t * INCH, 30e3 * PSI) / PSI
        assert 1.04 < standard / measured < 1.14
        found = shells.burst_pressure(d, t * INCH, ours) / PSI
        assert 0.90 < found / measured < 1.01
