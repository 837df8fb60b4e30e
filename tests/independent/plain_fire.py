"""A plain fire run for one or two vessels, to compare another program with.

Written from the description of the physics alone; nothing is shared with the program under
test. State: inner energy and mass of each gas space, temperatures of two wall zones a vessel,
enthalpy of each plug body, lift of each relief valve, temperature of the boss under each plug,
creep damage of each vessel, temperatures of the patches where walls are cut into such,
 and for water in a vessel the liquid, its temperature and the
vapour. scipy's LSODA with the reference equation of air at every step, restarted at every event.

The case is a dict of SI numbers, pressures absolute::

    {"ambient": {"pressure": Pa, "temperature": K},
     "fire": {"kind": "standard" | "external" | "hydrocarbon" | "slow" | "temperature" | "flux",
              "temperature": K, "flux": W/m2, "absorbed": bool, "emissivity": -,
              "convection": W/m2/K, "duration": s},
     "vessels": [{"id", "volume", "pressure", "temperature", "surface" (m2), "metal_mass" (kg),
                  "share" (in the fire), "burst_factor" (gauge burst pressure / strength),
                  "tensile", "yield" (least strengths when cold, Pa),
                  "basis": "tensile" | "yield" | "annex-a",
                  "inner_radiation": bool, "convection_factor": -,
                  "creep": (a0, a1, a2, a3, C) of the Larson-Miller curve (left out: no creep),
                  "patches": [{"name", "share", "kind": "flames" | "radiation" | "ambient",
                               "emissivity", "convection", "flux" (W/m2), "begins", "ends" (s),
                               "wetted": m2}]
                  (left out: the share in the flames and the rest at ambient),
                  "insulation": (m2 K/W where the fire strikes, elsewhere; left out: bare),
                  "water": kg (left out: none), "wetted": m2 (outer surface over it that the fire
                  heats), "water_surface": m2}],
     "plugs": [{"id", "on", "in_fire": bool, "hot_zone": bool (left out: as in_fire), "bore",
                "coefficient", "solidus", "liquidus", "alloy_mass", "latent_heat",
                "patch": name (on a wall of patches),
                "response": "follows wall" | "own body", and for the latter
                "body_heat_capacity" (J/K, without alloy), "alloy_specific_heat",
                "contact" (W/K), "flame_area" (m2), "emissivity",
                "boss_heat_capacity" (J/K, left out or 0: none), "boss_contact"
                (W/K), "boss_area" (m2), "gas_area" (m2), "fouling" (m2 K/W),
                "blocked": bool (warms but never opens)}],
     "valves": [{"id", "on", "set_pressure", "area", "coefficient", "in_fire": bool}],
     "discs": [{"id", "on", "burst_pressure", "area", "coefficient"}],
     "lines": [{"id", "from", "to", "length", "diameter", "loss"}],
     "limit": - (strength use), "end": s, "stop_at_rupture": bool}
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from CoolProp.CoolProp import PropsSI
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from .air_state import (
    density,
    film_coefficient,
    pressure,
    properties,
    temperature_of_energy,
)
from .outflow import hole_mass_flux, pipe_mass_flow
from .walls import (
    STEFAN_BOLTZMANN,
    fire_temperature,
    steel_specific_heat,
    steel_strength,
)

OUTER_LOSS = 9.0  # W/m2/K, unexposed face, radiation included (EN 1991-1-2 3.1)
BARE_LOSS = 4.0  # the same with radiation apart
WALL_EMISSIVITY = 0.8
LIFT_TIME = 0.05  # s
COOL_METAL = 573.15  # K: below it steel has its whole strength
DEAD_VALVE = 673.15  # K: a relief valve in the fire is not credited above


STEAM_GAS_CONSTANT = 8.314462618 / 0.01801527  # J/kg/K
MOLES = 28.96546 / 18.01527  # kg of air with the moles of a kg of steam


def boiling_pressure(T: float) -> float:
    """Saturation pressure of water at T, Pa (IAPWS-95 as programmed in CoolProp)."""
    return float(PropsSI("P", "T", min(max(T, 273.16), 640.0), "Q", 0, "Water"))


def evaporation_heat(T: float) -> float:
    """Watson's rule from 2.257 MJ/kg at 100 degC, J/kg."""
    return 2.257e6 * ((647.096 - min(T, 640.0)) / 273.946) ** 0.38


@dataclass
class PlainRun:
    """What happened: events in order, highest strength use of each vessel, final state."""

    events: list[tuple[float, str, str]] = field(default_factory=list)
    peak_use: dict[str, float] = field(default_factory=dict)
    peak_pressure: float = 0.0
    final: dict[str, dict[str, float]] = field(default_factory=dict)
    outcome: str = ""
    evaluations: int = 0
    message: str = ""

    def time_of(self, event: str, part: str) -> float | None:
        """First time of an event, None when it did not happen."""
        return next((t for t, e, p in self.events if e == event and p == part), None)


class _Model:
    """Right-hand side and watched quantities of one case."""

    def __init__(self, case: dict[str, Any]) -> None:
        self.case = case
        self.p0 = case["ambient"]["pressure"]
        self.T0 = case["ambient"]["temperature"]
        self.vessels = case["vessels"]
        self.plugs = case.get("plugs", [])
        self.valves = case.get("valves", [])
        self.discs = case.get("discs", [])
        self.lines = case.get("lines", [])
        self.number = {v["id"]: i for i, v in enumerate(self.vessels)}
        self.open = [False] * len(self.plugs)
        self.burst = [False] * len(self.discs)
        self.dead = [False] * len(self.valves)
        self.burning = True
        self.shown_at = 0.0  # s, a time of the present stretch: sources change between stretches
        n = len(self.vessels)
        self.wet = [i for i, v in enumerate(self.vessels) if v.get("water", 0.0) > 0.0]
        self.plug_at = 4 * n
        self.valve_at = 4 * n + len(self.plugs)
        self.guess = [v["temperature"] for v in self.vessels]
        self.evaluations = 0

    def start(self) -> np.ndarray:
        y: list[float] = []
        self.scale: list[float] = []
        for v in self.vessels:
            rho = density(v["pressure"], v["temperature"])
            mass = rho * v["volume"]
            y += [mass, mass * properties(rho, v["temperature"]).u]
            self.scale += [mass, mass * 2e5]
            y += [v["temperature"]] * 2
            self.scale += [300.0, 300.0]
        for plug in self.plugs:
            T = self.vessels[self.number[plug["on"]]]["temperature"]
            heat = self.plug_heat(plug, T)
            y.append(heat)
            self.scale.append(max(heat, 1.0))
        y += [0.0] * len(self.valves)
        self.scale += [1.0] * len(self.valves)
        self.boss_at = len(y)
        for plug in self.plugs:
            y.append(self.vessels[self.number[plug["on"]]]["temperature"])
            self.scale.append(300.0)
        self.damage_at = len(y)
        y += [0.0] * len(self.vessels)
        self.scale += [0.1] * len(self.vessels)
        self.patch_at: dict[int, int] = {}
        for i, v in enumerate(self.vessels):
            if v.get("patches"):
                self.patch_at[i] = len(y)
                y += [v["temperature"]] * len(v["patches"])
                self.scale += [300.0] * len(v["patches"])
        self.water_at = len(y)
        for i in self.wet:
            v = self.vessels[i]
            T = v["temperature"]
            vapour = boiling_pressure(T) * v["volume"] / (STEAM_GAS_CONSTANT * T)
            vapour = min(vapour, v["water"])
            y += [v["water"] - vapour, T, vapour]
            self.scale += [v["water"], 300.0, 0.2 * v["volume"]]
        return np.array(y)

    def damage_rate(self, y: np.ndarray, i: int) -> float:
        """Share of the life of the hottest metal that a second uses up (Larson-Miller)."""
        v = self.vessels[i]
        T = self.hottest(y, i)
        stress = (self.gas(y, i)[2] - self.p0) / v["burst_factor"] / 1e6
        if "creep" not in v or T <= 673.15 or stress <= 1.0:
            return 0.0
        a0, a1, a2, a3, C = v["creep"]
        s = math.log10(stress)
        hours = 10.0 ** ((a0 + a1 * s + a2 * s**2 + a3 * s**3) / T - C)
        return 1.0 / max(3600.0 * hours, 1e-3)

    def boil(
        self, t: float, y: np.ndarray, dy: np.ndarray, states: list[Any], out: list[float]
    ) -> None:
        """Water that the fire heats, its steam as so many moles of air."""
        fire = self.case["fire"]
        for k, i in enumerate(self.wet):
            v = self.vessels[i]
            at = self.water_at + 3 * k
            liquid, T, vapour = y[at : at + 3]
            gas = states[i][1]
            mass = y[4 * i]
            last = 0.003 * v["water"]
            there = liquid / (abs(liquid) + last)
            room = v["volume"] / (STEAM_GAS_CONSTANT * gas)
            saturated, above = boiling_pressure(T), states[i][2]
            # the vapour lags by 5 % of the pressure at 200 kW/m2, at most a second
            lag = min(max(0.05 * above * room / (v["water_surface"] * 0.1), 0.01), 1.0)
            moles = MOLES * vapour / mass
            steam = max(saturated - moles * above, 0.0) * max((1.0 - moles) / lag, 1.0)
            steam = there * room * (steam + max(saturated - above, 0.0) / lag)
            above = 0.95 * STEFAN_BOLTZMANN * (self.hottest(y, i) ** 4 - T**4) + 10.0 * (gas - T)
            flux = self.behind(v, True, lambda face: self.fire_flux(t, face, fire["emissivity"]), T)
            struck = v["wetted"] * max(flux, 0.0)
            if i in self.patch_at:
                struck = sum(
                    patch["wetted"] * max(self.covered_flux(v, patch, t, T), 0.0)
                    for patch in v["patches"]
                )
            heat = there * (struck + v["water_surface"] * above)
            dy[at] = -steam
            dy[at + 1] = (heat - steam * evaporation_heat(T)) / ((abs(liquid) + last) * 4190.0)
            dy[at + 2] = steam - out[i] * vapour / mass
            rho = mass / v["volume"]
            dy[4 * i] += MOLES * steam
            dy[4 * i + 1] += MOLES * steam * (properties(rho, gas).h + 1005.0 * (T - gas))

    # the plug: heat content against temperature, J above 0 degC
    @staticmethod
    def _capacity(plug: dict[str, Any]) -> float:
        if plug["response"] == "follows wall":
            return 1.0
        return plug["body_heat_capacity"] + plug["alloy_mass"] * plug["alloy_specific_heat"]

    def plug_heat(self, plug: dict[str, Any], T: float) -> float:
        return self._capacity(plug) * (T - 273.15)

    def plug_temperature(self, plug: dict[str, Any], heat: float) -> float:
        """Enthalpy method: the latent heat lies between solidus and liquidus."""
        capacity = self._capacity(plug)
        latent = plug["alloy_mass"] * plug["latent_heat"]
        soft, liquid = plug["solidus"], plug["liquidus"]
        at_solidus = capacity * (soft - 273.15)
        at_liquidus = capacity * (liquid - 273.15) + latent
        if heat <= at_solidus:
            return 273.15 + heat / capacity
        if heat >= at_liquidus:
            return 273.15 + (heat - latent) / capacity
        if at_liquidus == at_solidus:
            return liquid
        return soft + (liquid - soft) * (heat - at_solidus) / (at_liquidus - at_solidus)

    def plug_molten_heat(self, plug: dict[str, Any]) -> float:
        return (
            self._capacity(plug) * (plug["liquidus"] - 273.15)
            + plug["alloy_mass"] * plug["latent_heat"]
        )

    def zone_of(self, plug: dict[str, Any]) -> int:
        """Place of the wall temperature that the plug is screwed into."""
        i = self.number[plug["on"]]
        if i in self.patch_at:
            names = [patch["name"] for patch in self.vessels[i]["patches"]]
            return self.patch_at[i] + names.index(plug["patch"])
        hot = plug.get("hot_zone", plug["in_fire"])
        return 4 * self.number[plug["on"]] + (2 if hot else 3)

    def patch_of(self, plug: dict[str, Any]) -> dict[str, Any] | None:
        """The patch that a plug stands on, of a wall that is cut into patches."""
        patches = self.vessels[self.number[plug["on"]]].get("patches") or []
        return next((one for one in patches if one["name"] == plug["patch"]), None)

    # gas
    def gas(self, y: np.ndarray, i: int) -> tuple[float, float, float]:
        """Density, temperature and pressure in vessel ``i``."""
        mass = max(y[4 * i], 1e-3 * self.scale[4 * i])
        rho = mass / self.vessels[i]["volume"]
        T = temperature_of_energy(rho, y[4 * i + 1] / mass, self.guess[i])
        self.guess[i] = T
        return rho, T, pressure(rho, T)

    def fire_flux(
        self,
        t: float,
        wall: float,
        emissivity: float,
        cooling: float = math.inf,
        convection: float | None = None,
    ) -> float:
        """Net heat flux into a surface in the fire, W/m2; most convection after it."""
        fire = self.case["fire"]
        convection = fire["convection"] if convection is None else convection
        if fire["kind"] == "flux" and self.burning:
            if fire.get("absorbed"):
                return fire["flux"]
            lost = STEFAN_BOLTZMANN * (wall**4 - self.T0**4)
            return emissivity * (fire["flux"] - lost) - convection * (wall - self.T0)
        flame = (
            fire_temperature(fire["kind"], t, fire.get("temperature")) if self.burning else self.T0
        )
        if not self.burning:
            convection = min(convection, cooling)
        return emissivity * STEFAN_BOLTZMANN * (flame**4 - wall**4) + convection * (flame - wall)

    def patch_flux(
        self,
        patch: dict[str, Any],
        t: float,
        wall: float,
        emissivity: float,
        cooling: float = math.inf,
    ) -> float:
        """Net heat flux into a surface that is exposed as a patch is, W/m2."""
        if patch["kind"] == "ambient":
            return -OUTER_LOSS * (wall - self.T0)
        if patch["kind"] == "flames":
            return self.fire_flux(t, wall, emissivity, cooling, patch["convection"])
        shining = self.burning and patch["begins"] <= self.shown_at < patch["ends"]
        convection = patch["convection"] if self.burning else min(patch["convection"], cooling)
        absorbed = emissivity * patch["flux"] if shining else 0.0
        lost = emissivity * STEFAN_BOLTZMANN * (wall**4 - self.T0**4)
        return absorbed - lost - convection * (wall - self.T0)

    @staticmethod
    def behind(
        v: dict[str, Any], struck: bool, flux: Callable[[float], float], wall: float
    ) -> float:
        """Heat flux into a wall behind its insulation, whose outer face takes ``flux``, W/m2."""
        resistance = v.get("insulation", (0.0, 0.0))[0 if struck else 1]
        if resistance == 0.0:
            return flux(wall)

        def left(face: float) -> float:
            return flux(face) - (face - wall) / resistance

        low, high = 1.0, 5000.0
        if left(high) > 0.0:  # a flux that nothing bounds
            high = 1e6
        return (float(brentq(left, low, high, xtol=1e-9, rtol=1e-14)) - wall) / resistance

    def covered_flux(
        self,
        v: dict[str, Any],
        patch: dict[str, Any],
        t: float,
        wall: float,
        cooling: float = math.inf,
    ) -> float:
        """Net heat flux into the wall of a patch, W/m2."""
        struck = patch["kind"] != "ambient"
        return self.behind(
            v,
            struck,
            lambda face: self.patch_flux(patch, t, face, patch["emissivity"], cooling),
            wall,
        )

    def patch_rates(self, i: int, t: float, y: np.ndarray, dy: np.ndarray) -> float:
        """Warming of the patches of a wall; returns the heat into the air, W."""
        v = self.vessels[i]
        rho, T, _ = self.gas(y, i)
        first = self.patch_at[i]
        temperatures = y[first : first + len(v["patches"])]
        areas = [patch["share"] * v["surface"] for patch in v["patches"]]
        # one node that every patch meets through its surface and its space resistance
        e = WALL_EMISSIVITY
        meeting = [1.0 / ((1 - e) / (e * area) + 1 / area) for area in areas]
        black = [STEFAN_BOLTZMANN * wall**4 for wall in temperatures]
        node = sum(g * b for g, b in zip(meeting, black, strict=True)) / sum(meeting)
        to_gas = 0.0
        for k, patch in enumerate(v["patches"]):
            wall = temperatures[k]
            film = film_coefficient(rho, T, wall) * v.get("convection_factor", 1.0)
            given = film * areas[k] * (wall - T)
            to_gas += given
            heat = areas[k] * self.covered_flux(v, patch, t, wall, BARE_LOSS)
            heat -= given
            if v["inner_radiation"]:
                heat -= meeting[k] * (black[k] - node)
            mass = patch["share"] * v["metal_mass"]
            dy[first + k] = heat / (mass * steel_specific_heat(wall))
        return to_gas

    def zone_flux(self, v: dict[str, Any], t: float, wall: float) -> float:
        """Net heat flux into the wall in the flames, W/m2."""
        emissivity = self.case["fire"]["emissivity"]
        return self.behind(
            v, True, lambda face: self.fire_flux(t, face, emissivity, BARE_LOSS), wall
        )

    def loss(self, v: dict[str, Any], wall: float) -> float:
        """Heat that the wall out of the fire loses, W/m2."""
        return -self.behind(v, False, lambda face: -OUTER_LOSS * (face - self.T0), wall)

    def lift_rate(self, valve: dict[str, Any], p: float, lift: float) -> float:
        """Lift follows the pressure with slack: opens along one line, closes along another."""
        band = 0.1 * (valve["set_pressure"] - self.p0)
        opening = min(max((p - valve["set_pressure"]) / band, 0.0), 1.0)
        closing = min(max((p - valve["set_pressure"]) / band + 1.0, 0.0), 1.0)
        return (max(opening - lift, 0.0) - max(lift - closing, 0.0)) / LIFT_TIME

    def rates(self, t: float, y: np.ndarray) -> np.ndarray:
        self.evaluations += 1
        dy = np.zeros_like(y)
        leaving = [0.0] * len(self.vessels)
        states = [self.gas(y, i) for i in range(len(self.vessels))]
        for i, v in enumerate(self.vessels):
            rho, T, _ = states[i]
            if i in self.patch_at:
                dy[4 * i + 1] += self.patch_rates(i, t, y, dy)
                continue
            hot, cold = y[4 * i + 2], y[4 * i + 3]
            share = v["share"]
            area_hot, area_cold = share * v["surface"], (1.0 - share) * v["surface"]
            factor = v.get("convection_factor", 1.0)
            to_gas_hot = factor * film_coefficient(rho, T, hot) * area_hot * (hot - T)
            to_gas_cold = factor * film_coefficient(rho, T, cold) * area_cold * (cold - T)
            across = 0.0
            if v["inner_radiation"] and area_hot > 0.0 and area_cold > 0.0:
                view = area_cold / (area_hot + area_cold)
                e = WALL_EMISSIVITY
                resistance = (
                    (1 - e) / (e * area_hot) + 1 / (area_hot * view) + (1 - e) / (e * area_cold)
                )
                across = STEFAN_BOLTZMANN * (hot**4 - cold**4) / resistance
            if area_hot > 0.0:
                heat = area_hot * self.zone_flux(v, t, hot) - to_gas_hot - across
                dy[4 * i + 2] = heat / (share * v["metal_mass"] * steel_specific_heat(hot))
            if area_cold > 0.0:
                heat = across - to_gas_cold - area_cold * self.loss(v, cold)
                dy[4 * i + 3] = heat / ((1 - share) * v["metal_mass"] * steel_specific_heat(cold))
            dy[4 * i + 1] += to_gas_hot + to_gas_cold
        for j, plug in enumerate(self.plugs):
            i = self.number[plug["on"]]
            v = self.vessels[i]
            rho, T, _ = states[i]
            zone = self.zone_of(plug)
            if plug["response"] == "own body" and not self.open[j]:
                body = self.plug_temperature(plug, y[self.plug_at + j])
                # through the boss, where there is one
                boss_capacity = plug.get("boss_heat_capacity", 0.0)
                if boss_capacity > 0.0:
                    boss = y[self.boss_at + j]
                    contact = plug["contact"] * (boss - body)
                    drawn = plug["boss_contact"] * (y[zone] - boss)
                    patch = self.patch_of(plug)
                    if patch is not None:
                        outer = self.covered_flux(v, patch, t, boss, BARE_LOSS)
                    elif zone == 4 * i + 2:
                        outer = self.zone_flux(v, t, boss)
                    else:
                        outer = -self.loss(v, boss)
                    dy[self.boss_at + j] = (
                        drawn + plug["boss_area"] * outer - contact
                    ) / boss_capacity
                else:
                    contact = drawn = plug["contact"] * (y[zone] - body)
                heat = contact
                if plug["in_fire"]:
                    patch = self.patch_of(plug)
                    flux = (
                        self.fire_flux(t, body, plug["emissivity"])
                        if patch is None
                        else self.patch_flux(patch, t, body, plug["emissivity"])
                    )
                    heat += plug["flame_area"] * flux
                inner = film_coefficient(rho, T, body)
                gas_side = plug["gas_area"] * (T - body)
                if inner > 0.0:
                    from_gas = gas_side / (1.0 / inner + plug["fouling"])
                    heat += from_gas
                    dy[4 * i + 1] -= from_gas
                dy[self.plug_at + j] = heat
                # what plug and boss take up is missing in the wall
                part = v["share"] if zone == 4 * i + 2 else 1.0 - v["share"]
                patch = self.patch_of(plug)
                if patch is not None:
                    part = patch["share"]
                dy[zone] -= drawn / (part * v["metal_mass"] * steel_specific_heat(y[zone]))
            if self.open[j]:
                area = 0.25 * math.pi * plug["bore"] ** 2
                out = plug["coefficient"] * area * hole_mass_flux(rho, T, self.p0)
                leaving[i] += out
                dy[4 * i] -= out
                dy[4 * i + 1] -= out * properties(rho, T).h
        for j, valve in enumerate(self.valves):
            i = self.number[valve["on"]]
            rho, T, p = states[i]
            lift = min(max(y[self.valve_at + j], 0.0), 1.0)
            if self.dead[j]:
                dy[self.valve_at + j] = -lift / LIFT_TIME
            else:
                dy[self.valve_at + j] = self.lift_rate(valve, p, lift)
            if lift > 0.0:
                out = valve["coefficient"] * valve["area"] * lift * hole_mass_flux(rho, T, self.p0)
                leaving[i] += out
                dy[4 * i] -= out
                dy[4 * i + 1] -= out * properties(rho, T).h
        for j, disc in enumerate(self.discs):
            if self.burst[j]:
                i = self.number[disc["on"]]
                rho, T, _ = states[i]
                out = disc["coefficient"] * disc["area"] * hole_mass_flux(rho, T, self.p0)
                leaving[i] += out
                dy[4 * i] -= out
                dy[4 * i + 1] -= out * properties(rho, T).h
        for line in self.lines:
            a, b = self.number[line["from"]], self.number[line["to"]]
            if states[a][2] < states[b][2]:
                a, b = b, a
            rho, T, _ = states[a]
            flow = pipe_mass_flow(
                (rho, T), states[b][2], line["diameter"], line["length"], line["loss"]
            )
            heat = flow * properties(rho, T).h
            leaving[a] += flow
            dy[4 * a] -= flow
            dy[4 * a + 1] -= heat
            dy[4 * b] += flow
            dy[4 * b + 1] += heat
        self.boil(t, y, dy, states, leaving)
        for i in range(len(self.vessels)):
            dy[self.damage_at + i] = self.damage_rate(y, i)
        return dy

    # watched quantities
    def hottest(self, y: np.ndarray, i: int) -> float:
        """Temperature of the hottest metal of a vessel, K."""
        if i in self.patch_at:
            first = self.patch_at[i]
            return float(max(y[first : first + len(self.vessels[i]["patches"])]))
        share = self.vessels[i]["share"]
        if 0.0 < share < 1.0:
            return max(y[4 * i + 2], y[4 * i + 3])
        return float(y[4 * i + 2] if share > 0 else y[4 * i + 3])

    def is_spent(self, y: np.ndarray) -> bool:
        """Whether all water has boiled away and all vessels are empty."""
        for k, i in enumerate(self.wet):
            if y[self.water_at + 3 * k] > 0.003 * self.vessels[i]["water"]:
                return False
        return all(
            self.gas(y, i)[2] - self.p0 <= max(0.01 * (v["pressure"] - self.p0), 5e3)
            for i, v in enumerate(self.vessels)
        )

    def is_cool(self, y: np.ndarray) -> bool:
        """Whether no metal is hot any more."""
        return max(self.hottest(y, i) for i in range(len(self.vessels))) < COOL_METAL

    def use(self, y: np.ndarray, i: int) -> float:
        v = self.vessels[i]
        strength = steel_strength(self.hottest(y, i), v["basis"], v["tensile"], v["yield"])
        gauge = self.gas(y, i)[2] - self.p0
        return gauge / max(v["burst_factor"] * strength, 1e-6)

    def is_falling(self, t: float, y: np.ndarray) -> bool:
        """Whether strength use and gas temperature fall in every vessel."""
        step = 1e-3
        ahead = y + step * self.rates(t, y)
        return all(
            self.use(ahead, i) <= self.use(y, i) and self.gas(ahead, i)[1] <= self.gas(y, i)[1]
            for i in range(len(self.vessels))
        )

    def until_open(self, y: np.ndarray, j: int) -> float:
        plug = self.plugs[j]
        if plug["response"] == "follows wall":
            return y[self.zone_of(plug)] - plug["liquidus"]
        return (y[self.plug_at + j] - self.plug_molten_heat(plug)) / self._capacity(plug)


def _solve(
    rates: Callable[[float, np.ndarray], np.ndarray],
    span: tuple[float, float],
    y: np.ndarray,
    rtol: float,
    atol: np.ndarray,
    watched: list[Callable[[float, np.ndarray], float]],
) -> Any:
    """Integrate to the first event; a crossing lost in the interpolant is sought more finely."""
    for finer in (1.0, 0.3, 0.1):
        try:
            return solve_ivp(
                rates,
                span,
                y,
                method="LSODA",
                rtol=rtol * finer,
                atol=atol * finer,
                max_step=10.0 * finer,
                events=watched,
                dense_output=True,
            )
        except ValueError as error:
            if "different signs" not in str(error):
                raise
    raise ArithmeticError("an event could not be located")


def run(case: dict[str, Any], rtol: float = 1e-8) -> PlainRun:
    """Run one case to its end."""
    model = _Model(case)
    y = model.start()
    atol = rtol * np.array(model.scale)
    result = PlainRun(peak_use={v["id"]: 0.0 for v in model.vessels})
    start_gauge = [v["pressure"] - model.p0 for v in model.vessels]
    empty = [False] * len(model.vessels)
    ruptured: set[int] = set()
    lifted = [False] * len(model.valves)
    t, end = 0.0, case["end"]
    vented = False

    for i, v in enumerate(model.vessels):
        result.peak_use[v["id"]] = model.use(y, i)
        if result.peak_use[v["id"]] >= 1.0:
            ruptured.add(i)
            result.events.append((0.0, "rupture", v["id"]))
            result.outcome = "ruptures"
    if ruptured and case.get("stop_at_rupture", True):
        end = 0.0
    while t < end:
        out = case["fire"]["duration"]
        # after the fire: until strength use and gas temperature fall everywhere and no metal is
        # hot any more
        limit = min(end, out) if model.burning else min(end, t + max(1.0, 0.05 * (t - out)))
        turns = [
            float(patch[when])
            for v in model.vessels
            for patch in v.get("patches") or []
            if patch["kind"] == "radiation"
            for when in ("begins", "ends")
        ]
        limit = min([limit, *(one for one in turns if one > t + 1e-9)])
        model.shown_at = t + 1e-6
        if model.wet and vented:
            limit = min(limit, t + 10.0)
        names: list[tuple[str, int]] = []
        watched: list[Callable[[float, np.ndarray], float]] = []

        def watch(
            name: str, index: int, value: Callable[[np.ndarray], float], direction: float
        ) -> None:
            def crossing(_t: float, state: np.ndarray) -> float:
                return value(state)

            crossing.terminal = True  # type: ignore[attr-defined]
            crossing.direction = direction  # type: ignore[attr-defined]
            names.append((name, index))  # noqa: B023
            watched.append(crossing)  # noqa: B023

        for j in range(len(model.plugs)):
            if not (model.open[j] or model.plugs[j].get("blocked")):
                watch("plug opens", j, lambda s, j=j: model.until_open(s, j), 1)
        for i in range(len(model.vessels)):
            if i not in ruptured:
                watch(
                    "rupture",
                    i,
                    lambda s, i=i: max(model.use(s, i), s[model.damage_at + i]) - 1.0,
                    1,
                )
            if not empty[i]:
                floor = max(0.01 * start_gauge[i], 5e3)
                watch("empty", i, lambda s, i=i, f=floor: model.gas(s, i)[2] - model.p0 - f, -1)
        for j, valve in enumerate(model.valves):
            if not lifted[j]:
                i = model.number[valve["on"]]
                watch(
                    "relief valve lifts",
                    j,
                    lambda s, i=i, p=valve["set_pressure"]: model.gas(s, i)[2] - p,
                    1,
                )
            if valve.get("in_fire") and not model.dead[j]:
                i = model.number[valve["on"]]
                watch("relief valve fails", j, lambda s, i=i: model.hottest(s, i) - DEAD_VALVE, 1)
        for j, disc in enumerate(model.discs):
            if not model.burst[j]:
                i = model.number[disc["on"]]
                watch(
                    "disc bursts",
                    j,
                    lambda s, i=i, p=disc["burst_pressure"]: model.gas(s, i)[2] - p,
                    1,
                )

        solution = _solve(model.rates, (t, limit), y, rtol, atol, watched)
        if solution.status < 0:
            result.outcome, result.message = "not converged", solution.message
            break
        _keep_peaks(model, solution, result)
        t, y = float(solution.t[-1]), solution.y[:, -1].copy()
        if solution.status == 0:
            if model.wet and vented and model.is_spent(y):
                break
            if model.burning and t >= case["fire"]["duration"]:
                model.burning = False
                result.events.append((t, "fire ends", ""))
            elif not model.burning and model.is_falling(t, y) and model.is_cool(y):
                break
            continue
        done = False
        for (name, index), times in zip(names, solution.t_events, strict=True):
            if len(times) == 0:
                continue
            if name == "plug opens":
                model.open[index] = vented = True
                result.events.append((t, name, model.plugs[index]["id"]))
            elif name == "rupture":
                ruptured.add(index)
                result.events.append((t, name, model.vessels[index]["id"]))
                result.outcome = "ruptures"
                done = case.get("stop_at_rupture", True)
            elif name == "empty":
                empty[index] = True
                result.events.append((t, name, model.vessels[index]["id"]))
            elif name == "disc bursts":
                model.burst[index] = vented = True
                result.events.append((t, name, model.discs[index]["id"]))
            elif name == "relief valve fails":
                model.dead[index] = True
            else:
                lifted[index] = True
                result.events.append((t, name, model.valves[index]["id"]))
        if done or (all(empty) and not model.wet):
            break

    result.evaluations = model.evaluations
    uses = [model.use(y, i) for i in range(len(model.vessels))]
    for i, v in enumerate(model.vessels):
        rho, T, p = model.gas(y, i)
        result.final[v["id"]] = {
            "pressure": p, "temperature": T, "mass": rho * v["volume"], "use": uses[i],
            "hot_wall": y[4 * i + 2], "cold_wall": y[4 * i + 3], "time": t,
            "damage": y[model.damage_at + i],
        }  # fmt: skip
    if not result.outcome:
        peak = max(result.peak_use.values())
        damage = max(one["damage"] for one in result.final.values())
        if peak > case.get("limit", 0.667) or damage > 0.5:
            result.outcome = "passes the limit"
        else:
            result.outcome = "vents in time" if vented else "outlasts the fire"
    return result


def _keep_peaks(model: _Model, solution: Any, result: PlainRun) -> None:
    """Highest strength use and pressure, looked for within the steps as well."""
    for i, v in enumerate(model.vessels):
        best_t, best = float(solution.t[0]), -1.0
        for k in range(len(solution.t)):
            value = model.use(solution.y[:, k], i)
            result.peak_pressure = max(result.peak_pressure, model.gas(solution.y[:, k], i)[2])
            if value > best:
                best, best_t = value, float(solution.t[k])
        k = int(np.searchsorted(solution.t, best_t))
        left = float(solution.t[max(k - 1, 0)])
        right = float(solution.t[min(k + 1, len(solution.t) - 1)])
        for t in np.linspace(left, right, 41):
            best = max(best, model.use(solution.sol(t), i))
        result.peak_use[v["id"]] = max(result.peak_use[v["id"]], best)
