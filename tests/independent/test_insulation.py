"""Insulated walls by both solvers: two implementations of one description.

Convergence check between independent solvers, not a validation. The plain one finds the outer face
by bisection at every step.
"""

from __future__ import annotations

import pytest

from airrisk.fire.patches import Exposure, Exposures, Patch
from airrisk.fire.run import run
from tests.independent import plain_fire
from tests.independent.same_case import cases_of, installation_of, plain_case
from tests.independent.test_agreement import HEAD, RELIEF, _fire, _plug, _vessel, differences

THIN = (
    'insulation_thickness = "12 mm"\ninsulation_conductivity = "0.3 W/m/K"\n'
    'insulation_known_at = "850 degC"\ninsulation_holds_to = "1150 degC"\n'
)
FREE = "stands_free = true\n"
PATCHES: Exposures = {
    "R1": (
        Patch("side", 0.5, Exposure("radiation", flux=60e3, ends=1200.0)),
        Patch("flames", 0.2, Exposure("flames")),
        Patch("back", 0.3, Exposure("ambient")),
    )
}
CASES: dict[str, tuple[str, Exposures]] = {
    "engulfed, a plug that stands free": (
        _vessel() + THIN + _plug(12) + FREE + _fire("hydrocarbon"), {}
    ),
    "patches, nothing opens but a relief valve": (
        _vessel(wall=5) + THIN + RELIEF + _fire("standard", 0.25, False), PATCHES
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_insulated_walls_agree_with_the_plain_solver(name):
    text, exposures = CASES[name]
    whole = HEAD.format(basis="tensile").replace("format = 1", "format = 2") + text
    installation = installation_of(whole)
    (fire,) = installation.fires
    (case,) = cases_of(installation, fire, exposures=exposures)
    assert case.covers["R1"].struck > 0.0
    ours = run(case)
    plain = plain_fire.run(
        plain_case(installation, fire, case, "tensile", True, exposures), rtol=1e-7
    )
    assert ours.converged
    assert plain.outcome != "not converged", plain.message
    assert differences(ours, plain) == []
