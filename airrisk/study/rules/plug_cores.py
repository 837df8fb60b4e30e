"""Cores of plugs that pressure pushes out of their bore in years of service."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from airrisk.fire.plug_body import dimensions
from airrisk.installation.model import Installation, Plug
from airrisk.physics.alloys import Alloy, UnknownAlloy, alloy
from airrisk.physics.core_shear import (
    CoreLimit,
    core_limit,
    core_shear,
    pressure_on_usual_core,
)
from airrisk.study.records import Finding, Trace
from airrisk.study.rules.asking import all_plugs, for_each
from airrisk.study.rules.context import RuleContext, finding

ROUNDING = 1e-6  # of a limit


@dataclass(frozen=True)
class _Core:
    """A core under the highest pressure that can stand behind it."""

    metal: Alloy
    limit: CoreLimit
    gauge: float  # Pa
    bore: float  # m
    length: float  # m

    @property
    def like(self) -> float:
        """Gauge pressure that strains a core of the usual length as hard, Pa."""
        return pressure_on_usual_core(self.gauge, self.bore, self.length)


def _core(context: RuleContext, plug: Plug) -> _Core | None:
    if plug.alloy is None:
        return None
    part = context.part_of(plug)
    gauge = max(context.pressure(part), context.highest_pressure(part)) - context.ambient
    sizes = dimensions(plug, {"bore": np.array([plug.bore])})
    metal = alloy(plug.alloy)
    return _Core(metal, core_limit(metal), gauge, plug.bore, float(sizes["core_length"][0]))


@for_each(all_plugs)
def low_melting_plugs(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Low-melting plugs at a pressure that their metal does not hold for years."""
    yield from _pushed_out(context, plug, "low_melting", "low-melting-plug-above-its-pressure")


@for_each(all_plugs)
def plugs_pushed_out(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs of tin and other alloys at a pressure that pushes their core out in years."""
    yield from _pushed_out(context, plug, "other", "plug-core-above-its-pressure")


def _pushed_out(context: RuleContext, plug: Plug, kind: str, rule: str) -> Iterator[Finding]:
    core = _core(context, plug)
    if core is None or core.limit.kind != kind:
        return
    limit = core.limit.gauge_pressure
    if core.like <= limit * (1.0 + ROUNDING):
        return
    part = context.part_of(plug)
    yield finding(
        rule,
        "warning",
        plug.id,
        variant="short" if core.gauge <= limit * (1.0 + ROUNDING) else "pressure",
        on=part,
        alloy=core.metal.name,
        solidus_k=core.metal.solidus,
        running_temperature_k=context.running[part],
        pressure_gauge_pa=core.gauge,
        like_gauge_pa=core.like,
        limit_gauge_pa=limit,
        bore_m=core.bore,
        core_length_m=core.length,
        core_stress_pa=core_shear(core.gauge, core.bore, core.length),
    )


def core_traces(installation: Installation, on: dt.date, vessel: str) -> Iterator[Trace]:
    """The shear in the core of each plug on a vessel, for a check with a calculator.

    Parameters
    ----------
    installation
        What was assessed.
    on
        Date of the assessment; it decides which relief valves may be counted on.
    vessel
        Id of the vessel.
    """
    context = RuleContext(installation, on)
    for plug in installation.plugs:
        if context.part_of(plug) != vessel:
            continue
        try:
            core = _core(context, plug)
        except UnknownAlloy:
            continue  # told where the rules are asked
        if core is not None and core.gauge > 0.0:
            yield Trace(
                "core_shear",
                {"p_g": core.gauge, "d": core.bore, "L_c": core.length},
                core_shear(core.gauge, core.bore, core.length),
            )
