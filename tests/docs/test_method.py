"""The page on the method states the numbers that the program uses."""

from __future__ import annotations

import re

import pytest

from airrisk.fire import case_building, network
from airrisk.kernel import rhs
from airrisk.physics import fires, metal, shells
from airrisk.study import envelope, exposures, fire_cures
from airrisk.study.rules import RULES
from tests.docs.marked_block import DOCS

PAGE = (DOCS / "method.md").read_text(encoding="utf-8")


def row(first: str) -> list[str]:
    """The cells of the table row that begins with a cell."""
    (found,) = re.findall(rf"^\| {re.escape(first)} \|(.*)\|$", PAGE, re.M)
    return [cell.strip() for cell in found.split(" | ")]


@pytest.mark.parametrize(
    ("basis", "first"),
    [
        ("tensile", "`tensile` (the usual one)"),
        ("annex-a", "`annex-a`"),
        ("yield", "`yield` (the cautious one)"),
        ("tensile-ky", "`tensile-ky` (optimistic, for comparison)"),
    ],
)
def test_the_limit_of_a_strength_basis(basis: str, first: str):
    assert float(row(first)[-1]) == metal.STRENGTH_USE_LIMITS[basis]


def test_the_limits_of_other_metals():
    limits = re.findall(r"`(ultimate|proof)` \((?:limit )?([\d.]+)\)", PAGE)
    assert {name: float(value) for name, value in limits} == {
        name: metal.STRENGTH_USE_LIMITS[name] for name in ("ultimate", "proof")
    }


def test_the_corners_of_the_envelope():
    shares = ", ".join(f"{share:g}" for share in envelope.SHARES)
    assert shares in row("Share in the fire")[1]
    first, second, third = envelope.THINNER
    assert f"{first:g}, {second:g} and {third:g} of the highest" in row("Start pressure")[1]
    heats = " and ".join(f"{heat:g}" for heat in envelope.HEATS)
    assert row("Heat") == [heats, heats]
    assert f"a use above {envelope.NEAR_LIMIT:g} of the limit" in PAGE
    assert envelope.HALVINGS == 3
    assert "by three halvings" in PAGE
    assert f"full lift ({envelope.FULL_LIFT:g} times the set gauge pressure)" in PAGE


def test_the_doubts_of_a_safe_verdict():
    """One clause for each; the two of convection and the three of the plug share a line."""
    (block,) = re.findall(r"## Doubts: sure or not sure\n(.*?)\n## ", PAGE, re.S)
    clauses = [line for line in block.splitlines() if line.startswith("- ")]
    assert len(clauses) == 7
    told = sum(len(re.split(r", and |; ", line.removesuffix(";"))) for line in clauses)
    assert told == len(envelope.DOUBTS)


def test_assumed_fires():
    assert (exposures.QUARTER, exposures.TWENTIETH) == (0.25, 0.05)
    assert "a quarter of one vessel" in row("fire beside it")[0]
    assert "twentieth" in row("small spot")[0]


def test_numbers_of_the_walls_and_flows():
    plain, hot = fires.USUAL_CONVECTION, fires.CONVECTION["hydrocarbon"]
    assert f"`h` {plain:g}, for the hydrocarbon curve {hot:g} W/m2K" in PAGE
    assert f"with `h` {fires.CONVECTION['flux']:g}; " in PAGE
    assert f"loses {case_building.WALL_LOSS:g} W/m2K to ambient" in PAGE
    assert f"at most {rhs.COOLING_CONVECTION:g} W/m2K by convection" in PAGE
    assert f"above {case_building.DEAD_RELIEF_TEMPERATURE - 273.15:g} °C (judgement)" in PAGE
    assert f"more than {100.0 * network.OWN_SPACE_SHARE:g} % of its smaller neighbour" in PAGE
    assert f"after {rhs.CYCLES} starts and stops" in PAGE
    assert rhs.LIFT_BAND == 0.1
    assert f"follows within {rhs.LIFT_TIME:g} s" in PAGE


def test_numbers_of_shells_bores_and_rules():
    assert f"plate {1e3 * shells.PLATE_MINUS_TOLERANCE:g} mm" in PAGE
    assert f"pipe {100.0 * shells.PIPE_MINUS_TOLERANCE:g} %" in PAGE
    assert f"with the {fire_cures.BORE_MARGIN:g} margin" in PAGE
    assert "Some seventy rules" in PAGE
    assert 65 <= len(RULES) < 80
