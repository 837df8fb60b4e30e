"""The rules of the audit, in the order in which they are asked and documented."""

from __future__ import annotations

from airrisk.study.rules import (
    confirmed,
    doubts,
    fires,
    machines,
    outlets,
    plugs,
    plugs_in_fires,
    pressures,
    reach,
    ways_out,
)
from airrisk.study.rules.context import Rule, RuleContext

RULES: tuple[Rule, ...] = (
    Rule("nothing-to-assess", machines.nothing_to_assess),
    Rule("calculation-failed", fires.failed_calculations),
    Rule("fire-outcome", fires.fire_outcomes),
    Rule("people-within-reach", reach.people_within_reach),
    Rule("verdict-depends-on-strength-basis", doubts.on_strength_basis),
    Rule("verdict-depends-on-relief-valve", doubts.on_relief_valve),
    Rule("verdict-depends-on-convection", doubts.on_convection),
    Rule("verdict-depends-on-slow-plug", doubts.on_slow_plug),
    Rule("flame-away-from-plugs", fires.flames_away_from_plugs),
    Rule("no-fire-stated", fires.no_fire_stated),
    Rule("unprotected-section", ways_out.unprotected_sections),
    Rule("kept-by-pressure-alone", ways_out.kept_by_pressure_alone),
    Rule("no-plug-after-compressor", ways_out.discharge_without_plug),
    Rule("plug-behind-non-return-valve", ways_out.plugs_behind_non_return_valves),
    Rule("plug-out-of-reach-of-fire", plugs_in_fires.plugs_out_of_reach),
    Rule("outlet-can-be-shut", ways_out.outlets_that_can_be_shut),
    Rule("bore-too-small", plugs_in_fires.bores_too_small),
    Rule("bore-without-margin", plugs_in_fires.bores_without_margin),
    Rule("outlet-line-too-tight", plugs.outlets_too_tight),
    Rule("outlet-into-occupied-place", outlets.outlets_into_occupied_places),
    Rule("plug-without-heat-lag", plugs.plugs_without_heat_lag),
    Rule("plug-in-liquid", plugs.plugs_in_liquid),
    Rule("plug-melts-too-low", plugs.plugs_melt_too_low),
    Rule("plug-melts-too-high", plugs.plugs_melt_too_high),
    Rule("low-melting-plug-above-its-pressure", plugs.low_melting_plugs),
    Rule("plug-alloy-unstated", plugs.plugs_of_unknown_alloy),
    Rule("plug-overdue", plugs.overdue_plugs),
    Rule("plug-due-soon", plugs.plugs_due_soon),
    Rule("plug-condition", plugs.plugs_in_poor_condition),
    Rule("relief-valve-can-be-isolated", ways_out.isolated_relief_valves),
    Rule("relief-set-above-design", ways_out.relief_set_above_design),
    Rule("relief-set-below-running", pressures.relief_set_below_running),
    Rule("pressure-above-design", pressures.pressures_above_design),
    Rule("wall-thinner-than-design-needs", pressures.walls_too_thin),
    Rule("condensate-raises-pressure", pressures.condensate_pressures),
    Rule("compressor-cannot-deliver", machines.compressors_that_cannot_deliver),
    Rule("discharge-temperature-too-hot", machines.hot_discharges),
    Rule("oil-film-can-burn-inside", machines.oil_inside),
    Rule("no-stop-on-fire-alarm", machines.compressors_without_stop),
    Rule("inspection-found-fault", confirmed.faults_found),
    Rule("value-offered", confirmed.offered_values),
    Rule("value-assumed", machines.assumed_values),
)

__all__ = ["RULES", "Rule", "RuleContext"]
