"""Walls cut into patches by both solvers: two implementations of one description.

Convergence check between independent solvers, not a validation. The plain one solves the radiation
inside as a network of surface and space resistances.
"""

from __future__ import annotations

import pytest

from airrisk.fire.patches import Exposure, Exposures, Patch
from airrisk.fire.run import run
from tests.independent import plain_fire
from tests.independent.same_case import cases_of, installation_of, plain_case
from tests.independent.test_agreement import HEAD, RELIEF, WATER, _fire, _plug, _vessel, differences


def _cut(*patches: tuple[str, float, Exposure]) -> Exposures:
    return {"R1": tuple(Patch(*one) for one in patches)}


AMBIENT = Exposure("ambient")
# text, patches, patch of the plug
CASES: dict[str, tuple[str, Exposures, str]] = {
    "flames, a source that burns for a while, and a back": (
        _vessel() + _plug(16, "Bi58Sn42") + RELIEF + _fire("hydrocarbon", 0.25, False),
        _cut(
            ("flames", 0.15, Exposure("flames")),
            ("side", 0.35, Exposure("radiation", flux=40e3, begins=120.0, ends=900.0)),
            ("back", 0.5, AMBIENT),
        ),
        "back",
    ),
    "two sources, the plug with its head in the weaker one": (
        _vessel() + _plug(10) + _fire("standard", 0.25, True),
        _cut(
            ("near", 0.25, Exposure("radiation", flux=75e3, convection=10.0, emissivity=0.9)),
            ("far", 0.25, Exposure("radiation", flux=60e3)),
            ("back", 0.3, AMBIENT),
            ("stronger flames", 0.2, Exposure("flames", emissivity=0.9, convection=60.0)),
        ),
        "far",
    ),
    "radiation all around and a relief valve that fails in the heat": (
        _vessel() + _plug(4, "tin", "corroded") + RELIEF + _fire("external", 0.25, False),
        _cut(
            ("near", 0.5, Exposure("radiation", flux=50e3)),
            ("far", 0.5, Exposure("radiation", flux=25e3, ends=1500.0)),
        ),
        "far",
    ),
    "water under a source": (
        _vessel()
        + WATER.format(10)
        + _plug(16)
        + RELIEF
        + _fire("hydrocarbon", 0.25, False, minutes=15),
        _cut(
            ("side", 0.4, Exposure("radiation", flux=35e3)),
            ("flames", 0.05, Exposure("flames")),
            ("back", 0.55, AMBIENT),
        ),
        "back",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_patches_agree_with_the_plain_solver(name):
    text, exposures, patch = CASES[name]
    installation = installation_of(HEAD.format(basis="tensile") + text)
    (fire,) = installation.fires
    at = {"FP1": patch}
    (case,) = cases_of(installation, fire, exposures=exposures, plug_patches=at)
    ours = run(case)
    plain = plain_fire.run(
        plain_case(installation, fire, case, "tensile", True, exposures, at), rtol=1e-7
    )
    assert ours.converged
    assert plain.outcome != "not converged", plain.message
    assert differences(ours, plain) == []
