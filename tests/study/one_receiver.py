"""A receiver with one plug in one fire, and a what-if study of few runs."""

from __future__ import annotations

import datetime as dt

import pytest

from airrisk.study import index_runs
from airrisk.study import what_if as study

ON = dt.date(2026, 11, 1)
SYSTEM = """
format = 1
title = "One receiver"

[[vessel]]
id = "R1"
inside_diameter = "1000 mm"
volume = "2 m3"
wall_thickness = "8 mm"
measured = true
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"
temperature = "20 degC"
material = "P265GH"

[[plug]]
id = "FP1"
on = "R1"
alloy = "tin"
bore = "25 mm"
fitted = 2026-01-01
condition = "clean"

[[fire]]
id = "F1"
curve = "hydrocarbon"
reaches = ["R1"]
exposed_share = 1.0
plugs_in_fire = ["FP1"]
emissivity = 0.8
convection = "50 W/m2/K"
duration = "60 min"
"""


def few_runs(patch: pytest.MonkeyPatch) -> None:
    """Make the sampled study small."""
    patch.setattr(index_runs, "INDEX_SAMPLES", 16)
    patch.setattr(study, "BORE_SAMPLES", 8)
    patch.setattr(study, "TIME_SAMPLES", 64)
