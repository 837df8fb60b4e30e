"""Numbers in sentences are those that the program uses."""

from __future__ import annotations

import pytest

from airrisk.fire.case_building import COOL_DOWN, DEAD_RELIEF_TEMPERATURE
from airrisk.installation.model import Vessel
from airrisk.physics.alloys import alloy
from airrisk.physics.core_shear import core_limit
from airrisk.physics.fragments import BOUND_SHARE, LIKELY_SHARE
from airrisk.physics.metal import STRENGTH_USE_LIMITS
from airrisk.quantities import ZERO_CELSIUS
from airrisk.study import envelope
from airrisk.study.fire_cures import BORE_MARGIN
from airrisk.study.rules.ways_out import FURTHER_VALVES
from airrisk.tables import read_toml
from airrisk.wording import method
from airrisk.wording.cautions import assumptions

ASSUMED = " ".join(assumptions())
METHOD = " ".join(step.text for step in method.method_steps())
FINDINGS = {key: entry["meaning"] for key, entry in read_toml("findings.toml").items()}
DEAD = DEAD_RELIEF_TEMPERATURE - ZERO_CELSIUS
LIMITS = STRENGTH_USE_LIMITS
SLOWER, FASTER = (float(name.split()[1]) for name in envelope.DOUBTS if "convection" in name)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ASSUMED, f"{DEAD:g} °C ({1.8 * DEAD + 32.0:g} °F)"),
        (ASSUMED, f"not given is {Vessel.weld_factor:g}"),
        (METHOD, f"Limits are {LIMITS['tensile']:g} on the tensile basis"),
        (METHOD, f"{LIMITS['annex-a']:g} on annex A and yield"),
        (METHOD, f"{LIMITS['yield']:g} on annex A and yield"),
        (METHOD, f"{LIMITS['tensile-ky']:g} on tensile with yield factors"),
        (METHOD, f"at most {'two' if COOL_DOWN == 2 * 3600.0 else '?'} hours"),
        (METHOD, f"from {envelope.THINNER[1]:g} and {envelope.THINNER[2]:g} of the highest"),
        (METHOD, f"{'half' if envelope.HEATS == (1.0, 0.5) else '?'} of it"),
        (METHOD, f"times {SLOWER:g} and {FASTER:g}"),
        (METHOD, f"a {'third' if envelope.CONTACT_SHARE == 1 / 3 else '?'} of the contact"),
        (METHOD, f"{envelope.MORE_METAL / 520.0:g} kg more metal"),
        (METHOD, f"{LIKELY_SHARE:g} of the energy likely, {BOUND_SHARE:g} at most"),
        (FINDINGS["verdict-depends-on-convection"], f"some {100.0 * (FASTER - 1.0):.0f} %"),
    ],
)
def test_a_threshold_is_said_as_it_is_used(text: str, said: str) -> None:
    assert said in text


def test_thresholds_of_rules_are_said_as_they_are_used() -> None:
    """Each stands in the meaning of exactly one rule."""
    for said in (
        f"at most {100.0 * BORE_MARGIN:g} % of the fitted one",
        f"up to {core_limit(alloy('Bi50Pb26.7Sn13.3Cd10')).gauge_pressure / 1e5:g} bar only",
        f"from about {core_limit(alloy('tin')).gauge_pressure / 1e5:g} bar this",
        f"up to {100.0 * FURTHER_VALVES:g} % above",
    ):
        assert sum(said in meaning for meaning in FINDINGS.values()) == 1, said
