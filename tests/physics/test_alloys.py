"""Fusible metals: complete rows, order, lookup."""

from __future__ import annotations

import pytest

from airrisk.physics.alloys import UnknownAlloy, alloy, alloys


@pytest.mark.parametrize("one", alloys(), ids=lambda a: a.key)
def test_every_alloy_is_complete(one):
    """Property: solidus not above liquidus, plausible heat, density and source."""
    assert one.solidus <= one.liquidus
    assert 20e3 < one.latent_heat < 120e3
    assert 7000.0 < one.density < 11500.0
    assert 115.0 < one.specific_heat < 400.0
    assert one.source
    assert one.standing in ("read", "memory", "judgement")


def test_alloys_come_lowest_first():
    """Property: sorted by liquidus."""
    temperatures = [one.liquidus for one in alloys()]
    assert temperatures == sorted(temperatures)


def test_the_usual_alloys_of_the_trade():
    """Common practice, no source: tin 232 C, then 183 C, then 138 C, and no others."""
    usual = sorted((one for one in alloys() if one.usual is not None), key=lambda a: a.usual)
    assert [(one.usual, round(one.liquidus - 273.15)) for one in usual] == [
        (1, 232), (2, 183), (3, 138),
    ]  # fmt: skip
    assert all(one.liquidus - one.solidus < 0.5 for one in usual)


def test_density_of_a_mixture_lies_between_its_elements():
    """Arithmetic: volumes of tin and lead add up in Sn50Pb50."""
    expected = 1.0 / (0.5 / 7290.0 + 0.5 / 11340.0)
    assert alloy("sn50pb50").density == pytest.approx(expected)
    assert alloy("Sn50Pb50").latent_heat == pytest.approx(41.5e3)


def test_an_unknown_alloy_is_named():
    """Property: the error lists what there is."""
    with pytest.raises(UnknownAlloy, match=r"cheese.*tin"):
        alloy("cheese")
