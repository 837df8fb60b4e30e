"""Thrust of the plugs' outlets in the record of a fire."""

from __future__ import annotations

import math

import pytest

from airrisk.study.fire_outcomes import fire_record
from tests.fire.systems import fire, installation, plug, vessel
from tests.study.one_fire import stated
from tests.study.test_fire_outcomes import DAY, FITTED


def test_an_open_outlet_pushes_as_a_choked_jet_does():
    """Analytic: for k = 1.4 the thrust is p0 A (1.2679 - p_a/p0), A with its coefficient."""
    whole = installation(vessel(), plug(**FITTED), fire())
    exposure = stated(whole)
    record = fire_record(whole, exposure, DAY, bores=False)
    assert record.curves is not None
    assert record.first_vent_s is not None
    part = record.curves.parts["R1"]
    p0 = max(
        p
        for t, p in zip(record.curves.time_s, part.pressure_pa, strict=True)
        if t >= record.first_vent_s
    )
    (fitted,) = whole.plugs
    area = fitted.discharge_coefficient * 0.25 * math.pi * fitted.bore**2
    thrust = p0 * area * (1.2679 - whole.site.ambient_pressure / p0)
    assert record.reaction_force_n == {"FP1": pytest.approx(thrust, rel=0.01)}


def test_a_wide_outlet_pipe_slows_the_jet_and_a_plug_that_holds_pushes_nothing():
    """Property: the subsonic jet of a wide pipe pushes less than the choked one of the bore."""
    piped = {"outlet": "piped", "outlet_length": 3.0, "outlet_diameter": 0.0825}
    forces = []
    for change in ({}, piped):
        whole = installation(vessel(), plug(**{**FITTED, **change}), fire())
        exposure = stated(whole)
        forces.append(fire_record(whole, exposure, DAY, bores=False).reaction_force_n["FP1"])
    assert 0.0 < forces[1] < forces[0]
    whole = installation(vessel(), plug(**{**FITTED, "condition": "corroded"}), fire())
    exposure = stated(whole)
    assert fire_record(whole, exposure, DAY, bores=False).reaction_force_n == {}
