"""What is safe in a fire is safe in each that ends sooner: the hot metal heats the air on."""

from __future__ import annotations

import pytest

from airrisk.installation.reading import read
from airrisk.study import envelope
from airrisk.study.assessment import assess
from airrisk.study.records import FireRecord
from airrisk.wording.margins import corner_text
from airrisk.wording.units import Units
from tests.study.cure_plants import CALM, HEAD, ON, plug, vessel

FIRE = """
[[fire]]
id = "F1"
curve = "{curve}"
reaches = ["R1"]
duration = "{duration}"
"""
# found among 1,500 random vessels: diameter, volume, wall, pressure, curve, and a duration in s
# that ends before the plug of tin opens
BORE = "32 mm"
FOUND = (
    ("1248 mm", "4.026 m3", "8.09 mm", 12.1, "hydrocarbon", 140),
    ("1193 mm", "4.851 m3", "8.57 mm", 13.9, "hydrocarbon", 138),
)


def answered(which: tuple, duration: str, wall: str = "") -> FireRecord:
    diameter, volume, own, pressure, curve, _ = which
    text = HEAD.format(choices=CALM) + vessel(wall=wall or own) + plug("FP1", "R1")
    for old, new in (
        ("20 mm", BORE), ("600 mm", diameter), ("0.5 m3", volume),
        ('"8 bar(g)"', f'"{pressure:.1f} bar(g)"'),
        ('"11 bar(g)"', f'"{pressure * 1.05:.1f} bar(g)"'), ("Bi58Sn42", "tin"),
    ):  # fmt: skip
        text = text.replace(old, new)
    text += FIRE.format(curve=curve, duration=duration)
    answer = assess(read(text), ON, bores=False)
    return next(one for one in answer.fires if one.id == "F1")


@pytest.mark.parametrize("which", FOUND)
def test_a_vessel_that_a_shorter_fire_endangers_is_not_safe_in_the_longer_one(which):
    long = answered(which, "60 min")
    assert long.outcome == "vents in time"
    assert long.safe is False
    corner = long.envelope.corner
    assert corner.lasts_s == pytest.approx(which[-1], rel=0.2)
    assert "in a fire that ends after" in corner_text(long, Units())
    assert answered(which, f"{corner.lasts_s:.0f} s").safe is False


@pytest.mark.parametrize("which", FOUND)
def test_what_is_safe_in_a_long_fire_is_safe_in_shorter_ones(which):
    """Property, with a wall a tenth thicker."""
    wall = f"{1.1 * float(which[2].split()[0]):.2f} mm"
    long = answered(which, "60 min", wall)
    assert long.safe
    for share in (0.8, 0.9, 0.97, 1.0, 1.1):
        assert answered(which, f"{share * which[-1]:.0f} s", wall).safe


def test_no_fire_is_asked_that_lasts_longer_than_the_stated_one(monkeypatch):
    """A plug that opens after the fire has ended asks for none that goes on until then."""
    asked = []
    run = envelope.run_corners

    def noting(study, some):
        asked.extend((one.lasts, study.fire.duration) for one in some if one.lasts is not None)
        return run(study, some)

    monkeypatch.setattr(envelope, "run_corners", noting)
    which = FOUND[0]
    wall = f"{1.1 * float(which[2].split()[0]):.2f} mm"
    answered(which, "153 s", wall)
    assert 153.0 in {stated for _, stated in asked}
    assert all(lasts < stated for lasts, stated in asked)
