"""Lines, compressors and the site's pressure as inputs of many variants.

Each variant must be the case that is built from an installation with those numbers.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from airrisk.fire.batch import Stepping, run_batch
from airrisk.fire.case import FireCase
from airrisk.fire.outcome import classify
from airrisk.fire.run import run
from airrisk.fire.variants import columns, variable_inputs
from airrisk.installation.model import Compressor, Junction, Site
from airrisk.kernel import layout as at
from tests.fire.systems import case_of, fire, line, plug, relief, vessel

SHORT = {"length": 0.4, "inside_diameter": 0.0272, "wall_thickness": 0.0026, "loss": 1.0}


def network(changed: dict[str, dict[str, float]], ambient: float = 101_325.0) -> FireCase:
    """Three vessels around a tee, a long line between two of them, a compressor at the first."""
    gauge = ambient - 101_325.0
    long = {"length": 30.0, "inside_diameter": 0.0703, "wall_thickness": 0.0032}
    parts = [
        vessel(pressure=9e5 + gauge),
        vessel("R2", pressure=9e5 + gauge),
        vessel("R3", pressure=9e5 + gauge),
        Junction(id="J1"),
        Compressor(
            id="C1",
            cut_in_pressure=8e5 + gauge,
            discharge_pressure=9.5e5 + gauge,
            delivery=0.05,
        ),
        line("L0", "R2", "R3", **long),
        line("L1", "J1", "R1", **SHORT),
        line("L2", "J1", "R2", **{**SHORT, "length": 0.6}),
        line("L3", "R3", "J1", **SHORT),
        line("LC", "C1", "R1", **long),
        plug("FP1", "R2", bore=0.02),
        relief("RV1", "R1", set_pressure=11e5 + gauge),
        fire(("R1", "R2", "L0"), share=0.5, plugs_in_fire=("FP1",)),
    ]
    parts = [
        replace(part, **changed[part.id]) if part.id in changed else part  # type: ignore[type-var]
        for part in parts
    ]
    return case_of(*parts, site=Site(ambient_pressure=ambient))


@pytest.mark.parametrize(
    ("given", "changed"),
    [
        ({"L0.loss": 7.0}, {"L0": {"loss": 7.0}}),
        ({"L0.length": 21.0}, {"L0": {"length": 21.0}}),
        (
            {"L0.inside_diameter": 0.0825, "L0.wall_thickness": 0.0036},
            {"L0": {"inside_diameter": 0.0825, "wall_thickness": 0.0036}},
        ),
        ({"L1.length": 0.9, "L2.loss": 3.0}, {"L1": {"length": 0.9}, "L2": {"loss": 3.0}}),
        ({"L1.inside_diameter": 0.0217}, {"L1": {"inside_diameter": 0.0217}}),
        (
            {"L1.inside_diameter": 0.0359, "L2.inside_diameter": 0.0419},
            {"L1": {"inside_diameter": 0.0359}, "L2": {"inside_diameter": 0.0419}},
        ),
        ({"C1.delivery": 0.08}, {"C1": {"delivery": 0.08}}),
        ({"C1.cut_in_pressure": 7e5}, {"C1": {"cut_in_pressure": 7e5}}),
    ],
)
def test_a_varied_line_or_compressor_is_that_of_a_case_built_with_it(given, changed):
    # property
    case, built = network({}), network(changed)
    assert case.names == built.names
    found = columns(case, {name: np.array([value]) for name, value in given.items()})
    variant = case.changed({place: float(np.ravel(v)[0]) for place, v in found.items()})
    np.testing.assert_allclose(variant.floats, built.floats, rtol=1e-9)
    assert not np.array_equal(case.floats, built.floats)


def test_another_pressure_of_the_site_keeps_gauge_readings():
    # property; the delivered air stays as hot as it was
    case, built = network({}), network({}, ambient=85_000.0)
    found = columns(case, {"site.ambient_pressure": np.array([85_000.0])})
    variant = case.changed({place: float(np.ravel(v)[0]) for place, v in found.items()})
    enthalpy = int(case.integers[at.I_F_FEED]) + at.C_ENTHALPY
    rest = np.arange(case.floats.size) != enthalpy
    np.testing.assert_allclose(variant.floats[rest], built.floats[rest], rtol=1e-4)


def test_variants_of_lines_run_as_single_runs_do():
    # property
    case = network({}).with_tolerance(1e-6)
    given = {
        "L0.length": np.array([20.0, 30.0, 45.0]),
        "L1.loss": np.array([0.5, 1.0, 8.0]),
        "C1.delivery": np.array([0.03, 0.05, 0.1]),
        "site.ambient_pressure": np.array([8e4, 101_325.0, 104e3]),
    }
    found = run_batch(case, given, stepping=Stepping(tolerance=1e-6))
    places = columns(case, given)
    for k in range(3):
        one = run(
            case.changed({p: float(np.broadcast_to(v, 3)[k]) for p, v in places.items()}),
            store=False,
        )
        assert found.peak_use[k] == pytest.approx(classify(one).peak_use, rel=1e-12)
    assert len(set(found.limit_time.tolist())) == 3


def test_present_values_change_nothing():
    # property
    case = network({})
    for name, (value, _) in variable_inputs(case).items():
        for place, v in columns(case, {name: np.array([value])}).items():
            assert float(np.ravel(v)[0]) == pytest.approx(case.floats[place], rel=1e-12), name


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("L0.length", 0.0, r"L0: length 0 m; valid: above 0 m"),
        ("L0.inside_diameter", -0.1, r"L0: inside_diameter -0.1 m; valid: above 0 m"),
        ("L1.loss", -1.0, r"L1: loss -1; valid: 0 or more"),
    ],
)
def test_a_line_of_no_length_or_bore_is_refused(name, value, says):
    with pytest.raises(ValueError, match=says):
        columns(network({}), {name: np.array([value])})
