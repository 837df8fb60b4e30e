"""Metals: strength curves on their bases, heat capacity, lookup."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

from airrisk.physics import metal
from airrisk.physics.metal_kernel import heat_capacity

ZERO = 273.15
MEGA = 1e6


@pytest.mark.parametrize("one", metal.materials(), ids=lambda m: m.key)
def test_every_metal_is_complete_and_weakens_when_heated(one: metal.Material):
    """Property: each basis starts at its cold strength, never rises, ends at zero."""
    assert one.source
    assert one.curve_source
    assert one.standing in ("read", "memory", "judgement")
    assert one.curve_standing in ("read", "memory", "judgement")
    assert one.yield_min < one.tensile_min < one.high_strength
    assert 0.0 < one.emissivity <= 1.0
    for basis in one.bases:
        t, s = metal.strength_curve(one.key, basis)
        assert np.all(np.diff(t) > 0.0)
        assert np.all(np.diff(s) <= 1e-6)
        assert s[-1] == 0.0
        assert t[-1] == pytest.approx(one.max_temperature)
        assert float(metal.strength(one.key, basis, t[-1] + 1.0)) == 0.0
        assert s[0] <= one.tensile_min
        assert float(metal.strength(one.key, basis, 250.0)) == s[0]
        assert basis in metal.STRENGTH_USE_LIMITS


def test_carbon_steel_bases_at_their_nodes():
    """Arithmetic: the four bases of P265GH from k_y and annex A of EN 1993-1-2."""
    at = np.array([20.0, 300.0, 350.0, 400.0, 500.0, 600.0, 700.0, 800.0]) + ZERO
    expected = {
        "tensile": 410.0 * np.array([1.0, 1.0, 0.9, 0.8, 0.624, 0.376, 0.184, 0.088]),
        "annex-a": 265.0 * np.array([1.25, 1.25, 1.125, 1.0, 0.78, 0.47, 0.23, 0.11]),
        "yield": 265.0 * np.array([1.0, 1.0, 1.0, 1.0, 0.78, 0.47, 0.23, 0.11]),
        "tensile-ky": 410.0 * np.array([1.0, 1.0, 1.0, 1.0, 0.78, 0.47, 0.23, 0.11]),
    }
    for basis, values in expected.items():
        np.testing.assert_allclose(
            metal.strength("P265GH", basis, at) / MEGA, values, rtol=1e-12, err_msg=basis
        )


def test_annex_a_is_capped_at_the_tensile_strength(monkeypatch: pytest.MonkeyPatch):
    """Arithmetic: where 1.25 Re exceeds Rm the curve is flat to the corner, then annex A."""
    strong = metal.Material(**{**vars(metal.material("S355")), "yield_min": 400.0 * MEGA})
    monkeypatch.setattr(metal, "material", lambda key: strong)
    t, s = metal.strength_curve.__wrapped__("S355", "annex-a")
    corner = (2.0 - 470.0 / 400.0) / 0.0025 + ZERO
    assert np.interp(corner, t, s) == pytest.approx(470.0 * MEGA)
    assert np.interp(corner - 5.0, t, s) == pytest.approx(470.0 * MEGA)
    hot = corner + 20.0
    assert np.interp(hot, t, s) == pytest.approx(400.0 * MEGA * (2.0 - 0.0025 * (hot - ZERO)))


def test_bases_of_other_metals_stand_for_those_of_carbon_steel():
    """Property: tensile-like falls to ultimate, yield-like to proof, and back."""
    assert metal.bases("304L") == ("ultimate", "proof")
    assert metal.resolve_basis("304L", "tensile") == "ultimate"
    assert metal.resolve_basis("304L", "tensile-ky") == "ultimate"
    assert metal.resolve_basis("304L", "annex-a") == "proof"
    assert metal.resolve_basis("304L", "yield") == "proof"
    assert metal.resolve_basis("P265GH", "ultimate") == "tensile"
    assert metal.resolve_basis("P265GH", "proof") == "yield"
    assert float(metal.strength("304L", "yield", 293.15)) == 170.0 * MEGA
    assert metal.is_proof_like("yield")
    assert not metal.is_proof_like("tensile")


def test_unknown_keys_are_named():
    """Property: the errors say what was asked for and what there is."""
    with pytest.raises(metal.UnknownMaterial, match=r"unobtainium.*P265GH") as caught:
        metal.material("unobtainium")
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)
    with pytest.raises(metal.UnknownBasis, match="guess"):
        metal.strength("P265GH", "guess", 300.0)
    assert metal.material("p265gh") is metal.material("P265GH")


def test_enthalpy_is_the_integral_of_the_heat_capacity():
    """Analytic: carbon steel below 600 C integrates in closed form."""
    t, h = metal.enthalpy_curve("P265GH")

    def exact(c: float) -> float:
        return 425.0 * c + 0.773 / 2 * c**2 - 1.69e-3 / 3 * c**3 + 2.22e-6 / 4 * c**4

    for c in (100.0, 350.0, 590.0):
        found = np.interp(c + ZERO, t, h)
        assert found == pytest.approx(exact(c), rel=1e-5)


def test_heat_capacity_joins_at_the_steps():
    """Property: the pieces of the carbon steel curve meet within 1 %."""
    for c in (600.0, 735.0, 900.0):
        below, above = heat_capacity(0, c + ZERO - 1e-6), heat_capacity(0, c + ZERO + 1e-6)
        assert below == pytest.approx(above, rel=0.01)


def test_conductivity_at_room_temperature():
    """Arithmetic: straight lines of the standards at 20 C."""
    for key, value in (("P265GH", 53.334), ("304L", 14.854), ("6061-T6", 191.4), ("5083", 142.0)):
        assert float(metal.conductivity(key, 293.15)) == pytest.approx(value, rel=1e-6)
    assert float(metal.conductivity("P265GH", 1200.0)) == 27.3
