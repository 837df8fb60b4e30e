"""What makes an installation weaker never makes its verdict better.

Where a larger bore or a hotter fire seems to help there is a reason: a larger core melts later, and
a hotter fire melts the plug before the air is hot. Such pairs are left out here or are held to the
verdict without any plug.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from airrisk.installation.model import Installation
from airrisk.physics.alloys import alloys
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.records import FireRecord
from tests.fire.systems import fire, installation, plug, vessel
from tests.study.one_fire import stated
from tests.study.test_fire_outcomes import DAY, FITTED

TIN = {**FITTED, "alloy": "tin", "bore": 0.012}
MELTING = sorted({alloy.liquidus: alloy.key for alloy in alloys()}.items())


@cache
def record_of(whole: Installation) -> FireRecord:
    exposure = stated(whole)
    return fire_record(whole, exposure, DAY, bores=False)


def plant(tank: dict[str, Any], fitted: dict[str, Any] | None, burning: dict[str, Any]) -> Any:
    plugs = [] if fitted is None else [plug(**{**TIN, **fitted})]
    return installation(vessel(**tank), *plugs, fire(**burning))


def assert_never_better(made: Sequence[Installation]) -> None:
    """From one to the next no verdict turns safe, and the strength use does not fall.

    Neither as stated nor in the worst of all runs.
    """
    for first, second in pairwise(record_of(whole) for whole in made):
        assert not (second.safe and not first.safe)
        for before, after in (
            (first.peak_strength_use, second.peak_strength_use),
            (first.worst_use, second.worst_use),
        ):
            assert before is not None
            assert after is not None
            if before < 1.0:
                # a film on the plug also keeps air off that is colder than its boss
                assert after >= before * (1.0 - 5e-4)


WEAKER: dict[str, tuple[Sequence[Any], Callable[[Any], tuple[Any, Any, Any]]]] = {
    "thinner wall": ((0.016, 0.01, 0.007, 0.005, 0.003), lambda t: ({"wall_thickness": t}, {}, {})),
    "poorer welds": ((1.0, 0.85, 0.7, 0.5), lambda z: ({"weld_factor": z}, {}, {})),
    "higher start pressure": ((5e5, 8e5, 11e5, 12e5), lambda p: ({"pressure": p}, {}, {})),
    "more condensate": ((0.0, 0.002, 0.02, 0.2, 0.6, 1.0), lambda w: ({"condensate": w}, {}, {})),
    "oil film on the plug": (("clean", "oil film"), lambda c: ({}, {"condition": c}, {})),
    "poorer flow": ((0.8, 0.6, 0.4, 0.2), lambda c: ({}, {"discharge_coefficient": c}, {})),
    "longer outlet": (
        (0.5, 5.0, 50.0),
        lambda x: ({}, {"outlet": "piped", "outlet_length": x, "outlet_diameter": 0.016}, {}),
    ),
    "higher melting point of a plug as hot as its wall": (
        [key for liquidus, key in MELTING if liquidus > 330.0],
        lambda key: ({}, {"alloy": key, "response": "follows wall"}, {}),
    ),
    "larger share in the fire, plug out of it": (
        (0.01, 0.05, 0.25, 0.6, 0.95),
        lambda s: ({}, {}, {"share": s, "plugs_in_fire": ()}),
    ),
    "hotter fire, no plug": ((0.1, 0.3, 0.6, 1.0), lambda e: ({}, None, {"emissivity": e})),
    "longer fire, no plug": ((60.0, 150.0, 240.0, 3600.0), lambda d: ({}, None, {"duration": d})),
}


@pytest.mark.parametrize("change", WEAKER)
@pytest.mark.parametrize("curve", ["hydrocarbon", "standard"])
def test_a_weaker_installation_never_has_a_better_verdict(change, curve):
    """Property, over values from harmless to hopeless."""
    values, changed = WEAKER[change]
    made = []
    for value in values:
        tank, fitted, burning = changed(value)
        made.append(plant(tank, fitted, {"curve": curve, **burning}))
    assert_never_better(made)


def test_a_larger_bore_with_the_same_core_never_vents_worse():
    """Property: the body stays as it is; only the opening grows."""
    same = {"body_mass": 0.07, "core_length": 0.02, "response": "follows wall"}
    sizes = (0.03, 0.02, 0.012, 0.008, 0.004, 0.002)
    assert_never_better([plant({}, {**same, "bore": size}, {}) for size in sizes])


def test_a_plug_never_makes_a_verdict_worse():
    for share in (0.1, 1.0):
        for wall in (0.004, 0.008, 0.02):
            bare, fitted = (
                record_of(plant({"wall_thickness": wall}, made, {"share": share}))
                for made in (None, {"bore": 0.02})
            )
            assert fitted.safe or not bare.safe
