"""How an input of the register enters the numbers of a fire case, for many values at once.

An entry of ``resources/inputs.toml`` names a number of ``layout`` under ``enters``, which then
simply takes the value, or a rule of ``RULES``, some with the number that they work on. A rule gives
the present value in a case, none where the case has no such input, and puts values in. What was
decided when the case was built stays: gas spaces, and which plugs stand in the flames.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import NEVER_BURSTS, FireCase, largest_step, wall_of
from airrisk.fire.covers import hottest_of_variants
from airrisk.fire.line_inputs import (
    LINE,
    as_built,
    fill_junctions,
    free_density,
    line_columns,
    move_ambient,
    start_columns,
)
from airrisk.fire.plug_body import dimensions, plug_body_rows
from airrisk.fire.pool_inputs import SHAPE, pool_at, water_columns, wetted_columns
from airrisk.installation.geometry import reckoned_wall
from airrisk.installation.inputs import Input
from airrisk.installation.insulation import MARGIN
from airrisk.installation.model import Vessel
from airrisk.kernel import layout as at
from airrisk.messages import said
from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN
from airrisk.physics.metal import material
from airrisk.physics.shells import bore_area, cylinder_metal, cylinder_surface

Floats = NDArray[np.float64]

SHARES = (1e-3, 0.999)  # between which a share in the fire may vary
NODES = 25  # at which a wall's geometry is reckoned for many thicknesses
NEVER = 1e4  # K above its melting point, for a plug that does not work
BODY = ("bore", "body_mass", "core_length", "boss_mass")


@dataclass(frozen=True)
class Varied:
    """One input of one part of a case; ``name`` is that of the part, device or fire."""

    entry: Input
    name: str
    key: str


@dataclass(frozen=True)
class Change:
    """Variants of a case in the making.

    Parameters
    ----------
    case
        The base case.
    given
        Values by key, all of one length [SI].
    bounds
        Range of each input over the whole batch that these are a part of; None: every wall is
        reckoned exactly.
    found
        Places in the case's floats with the values to put there.
    """

    case: FireCase
    given: Mapping[str, Floats]
    bounds: Mapping[str, tuple[float, float]] | None
    found: dict[int, Floats] = field(default_factory=dict)

    def of(self, name: str, *fields: str) -> dict[str, Floats]:
        """What is given of some fields of a part."""
        keys = {one: f"{name}.{one}" for one in fields}
        return {one: self.given[key] for one, key in keys.items() if key in self.given}

    def now(self, place: int) -> Floats:
        """What stands at a place so far."""
        return self.found.get(place, np.array(self.case.floats[place]))

    def scale(self, place: int, factors: Floats) -> None:
        """Multiply what stands at a place so far."""
        self.found[place] = factors * self.now(place)


Present = Callable[[FireCase, Varied, str], float | None]
Enter = Callable[[Change, Varied, str, Floats], None]


@dataclass(frozen=True)
class Rule:
    """Present value of an input and how values enter.

    ``number`` is the word behind the rule's. ``after``: it works on what the others have put.
    """

    present: Present
    enter: Enter
    after: bool = False


def rule_of(entry: Input) -> tuple[Rule, str]:
    """The rule of an entry and the number that it works on.

    Raises
    ------
    KeyError
        There is no such rule.
    """
    word, _, number = entry.enters.partition(" ")
    return (RULES[word], number) if word in RULES or number else (_NUMBER, word)


def places_of(case: FireCase, varied: Varied, number: str) -> list[int]:
    """Where a number of the layout stands; of a fire in every part, else in the one named."""
    offset = int(getattr(at, number))
    if number.startswith("F_"):
        return [offset]
    if varied.entry.of == "fire":
        return case.follows_fire("emissivity" if number == "S_EMISSIVITY" else "convection")
    if number.startswith("S_"):
        return [case.space_at(varied.name, offset)]
    block, size, names = {
        "P_": (at.I_F_PLUG, at.P_SIZE, case.plugs),
        "R_": (at.I_F_RELIEF, at.R_SIZE, case.relief_valves),
        "D_": (at.I_F_DISC, at.D_SIZE, case.discs),
        "C_": (at.I_F_FEED, at.C_SIZE, case.feeds),
    }[number[:2]]
    return [int(case.integers[block]) + names.index(varied.name) * size + offset]


def _read(case: FireCase, varied: Varied, number: str) -> float:
    return float(case.floats[places_of(case, varied, number)[0]])


def _read_if_there(case: FireCase, varied: Varied, number: str) -> float | None:
    """A number of the fire that no wall takes, all having their own, is no input."""
    places = places_of(case, varied, number)
    return float(case.floats[places[0]]) if places else None


def _put(change: Change, varied: Varied, number: str, values: Floats) -> None:
    for place in places_of(change.case, varied, number):
        change.found[place] = values


_NUMBER = Rule(_read_if_there, _put)


def _of_record(case: FireCase, varied: Varied, _: str) -> float | None:
    """The number of the part's own record; a line without space of its own has none here."""
    part = case.parts.get(varied.name)
    return None if part is None else float(getattr(part, varied.entry.field))


def _one(_case: FireCase, _varied: Varied, _number: str) -> float:
    return 1.0


# -- walls and shells ----------------------------------------------------------------


def _share(case: FireCase, name: str) -> float:
    return case.fire.share(name) if name in case.fire.reaches else 0.0


def _wall(change: Change, varied: Varied, _: str, walls: Floats) -> None:
    """Masses and burst factor for wall thicknesses, by a polynomial through exact nodes."""
    case, part = change.case, change.case.parts[varied.name]
    low, high = (0.0, 0.0) if change.bounds is None else change.bounds[varied.key]
    if change.bounds is None or high - low <= 1e-12 * high:
        nodes = walls
    else:
        angles = (np.arange(NODES) + 0.5) * np.pi / NODES
        nodes = 0.5 * (low + high) + 0.5 * (high - low) * np.cos(angles)
    exact = []
    for wall in nodes.tolist():
        shape, factor = wall_of(
            replace(part, wall_thickness=wall), case.burst_formula, case.basis, part
        )
        exact.append((shape.outer_surface, shape.metal_mass, factor))
    found = np.array(exact)
    if nodes is not walls:
        smooth = [
            np.polynomial.Chebyshev.fit(nodes, found[:, k], 12, domain=[low, high])(walls)
            for k in range(2)
        ]
        # the least of shell and heads has a corner, so it is taken between close neighbours
        order = np.linspace(low, high, 400)
        factors = [
            wall_of(replace(part, wall_thickness=w), case.burst_formula, case.basis, part)[1]
            for w in order.tolist()
        ]
        found = np.column_stack((*smooth, np.interp(walls, order, factors)))
    change.found.update(case.wall_columns(part.id, found[:, 0], found[:, 1]))
    change.found[case.space_at(part.id, at.S_BURST_FACTOR)] = found[:, 2]


def _lengthen(change: Change, varied: Varied, _: str, volumes: Floats) -> None:
    """A longer or shorter cylinder between the heads of a vessel."""
    case, part = change.case, change.case.parts[varied.name]
    assert isinstance(part, Vessel)
    bore = bore_area(part.inside_diameter)
    longer = (volumes - part.volume) / bore
    if not np.all(longer > -part.cylinder_length):
        raise ValueError(
            said(
                "volume-below-heads",
                part=part.id,
                volumes=f"{float(np.min(volumes)):.4g}",
                volume=f"{part.volume - bore * part.cylinder_length:.4g}",
            )
        )
    walls = change.of(part.id, "wall_thickness").get("wall_thickness")
    if walls is None:
        walls = np.full(volumes.size, part.wall_thickness)
    reckoned = np.array([reckoned_wall(replace(part, wall_thickness=w)) for w in walls.tolist()])
    surface = cylinder_surface(part.inside_diameter, reckoned) * longer
    density = material(part.material).density
    mass = cylinder_metal(part.inside_diameter, reckoned) * density * longer
    grown = {case.space_at(part.id, at.S_VOLUME): volumes - part.volume}
    grown |= case.wall_columns(part.id, surface, mass)
    for place, more in grown.items():
        change.found[place] = change.now(place) + more


def _scale(change: Change, varied: Varied, number: str, factors: Floats) -> None:
    """A factor on a number."""
    for place in places_of(change.case, varied, number):
        change.scale(place, factors)


def _in_proportion(change: Change, varied: Varied, number: str, values: Floats) -> None:
    """A number that is proportional to one of the part's own record."""
    stated = getattr(change.case.parts[varied.name], varied.entry.field)
    _scale(change, varied, number, values / stated)


def _partial_share(case: FireCase, varied: Varied, _: str) -> float | None:
    """Known where the fire reaches a part in part: plugs and valves stay where they are."""
    if varied.name in case.patches:
        return None
    share = _share(case, varied.name)
    return share if 0.0 < share < 1.0 else None


def _divide(change: Change, varied: Varied, _: str, values: Floats) -> None:
    """Surface and metal divided anew; off the ends, so that both wall zones stay."""
    block, shares = change.case.space_at(varied.name, 0), np.clip(values, *SHARES)
    for hot, cold in (
        (block + at.S_HOT_AREA, block + at.S_COLD_AREA),
        (block + at.S_HOT_MASS, block + at.S_COLD_MASS),
    ):
        whole = change.now(hot) + change.now(cold)
        change.found[hot] = shares * whole
        change.found[cold] = (1.0 - shares) * whole


def _creeps(case: FireCase, varied: Varied, _: str) -> float | None:
    """Over the life of the lower bound of the tests; metal without tests has none."""
    known = case.space_at(varied.name, at.S_CREEP) if varied.name in case.parts else None
    return None if known is None or case.floats[known] == 0.0 else 1.0


def _live_longer(change: Change, varied: Varied, _: str, factors: Floats) -> None:
    """A factor on the life is a part of the constant of its curve, whose power is ten."""
    place = change.case.space_at(varied.name, at.S_CREEP + 4)
    change.found[place] = change.now(place) - np.log10(factors)


# -- the air at the start ------------------------------------------------------------


def _start_pressure(change: Change, varied: Varied, _: str, values: Floats) -> None:
    change.found.update(start_columns(change.case, varied.name, values, change.given))


def _start_temperature(change: Change, varied: Varied, _: str, values: Floats) -> None:
    """Air, wall and condensate, and the plugs that stand on it."""
    case = change.case
    for key in (at.S_TEMPERATURE, at.S_WALL_TEMPERATURE):
        change.found[case.space_at(varied.name, key)] = values
    if varied.name in case.pools:
        change.found[pool_at(case, varied.name, at.W_TEMPERATURE)] = values
    rows, space = int(case.integers[at.I_I_PLUG]), case.names.index(varied.name)
    for k, plug in enumerate(case.plugs):
        if plug in case.bodies and case.integers[rows + k * at.PI_SIZE + at.PI_SPACE] == space:
            change.found[case.plug_at(plug, at.P_START)] = values


# -- condensate ----------------------------------------------------------------------


def _water(case: FireCase, varied: Varied, _: str) -> float | None:
    """A part without any has no pool to fill."""
    name = varied.name
    return float(case.parts[name].condensate) if name in case.pools else None


def _fill(change: Change, varied: Varied, _: str, values: Floats) -> None:
    case, name = change.case, varied.name
    volume = change.now(case.space_at(name, at.S_VOLUME))
    change.found.update(water_columns(case, name, values, volume))


def wet_again(change: Change) -> None:
    """The surface over the condensate, once walls, shares and water are what they will be."""
    case = change.case
    for name in case.pools:
        struck = case.struck_at(name)
        given = change.of(name, *SHAPE)
        if given or any(area_at in change.found for area_at, _ in struck):
            areas = {place: change.now(area_at) for area_at, place in struck}
            smooth = change.bounds is not None
            change.found.update(wetted_columns(case, name, given, areas, smooth))


# -- insulation ----------------------------------------------------------------------


def lose_insulation(change: Change) -> None:
    """In variants with a hotter fire than it holds to, insulation that counted is not there."""
    case = change.case
    counted = {name: one for name, one in case.covers.items() if one.counted}
    fluxes = [case.patch_at(place, at.Q_FLUX) for place in case.records("radiation")]
    heats = (at.F_FIRE_END, at.F_FIRE_VALUE, at.F_FLAME_FACTOR, at.F_FLAME_SHIFT)
    if not counted or change.found.keys().isdisjoint((*heats, *fluxes)):
        return
    ambient = float(case.floats[at.F_AMBIENT_T])
    duration, value, factor, shift = (change.now(place) for place in heats)
    hottest = hottest_of_variants(case.fire, duration, value, factor, shift, ambient)
    for place in fluxes:
        radiating = (change.now(place) / STEFAN_BOLTZMANN + ambient**4) ** 0.25
        hottest = np.maximum(hottest, radiating)
    for name, cover in counted.items():
        holds = hottest <= (cover.insulation.holds_to or 0.0) - MARGIN
        for place in case.resistances_at(name):
            change.found[place] = np.where(holds, change.now(place), 0.0)


# -- plugs ---------------------------------------------------------------------------


def _dimension(case: FireCase, varied: Varied, _: str) -> float:
    plug = case.plug_records[varied.name]
    return float(dimensions(plug, {"bore": np.array([plug.bore])})[varied.entry.field][0])


def _body(change: Change, varied: Varied, _: str, _values: Floats) -> None:
    """All numbers of a plug's body when its bore, mass or core length varies."""
    case, block = change.case, change.case.plug_at(varied.name, 0)
    plug, given = case.plug_records[varied.name], change.of(varied.name, *BODY)
    if "bore" in given and "boss_mass" in given and plug.boss_mass is None:
        # what the file leaves out grows with the bore, times its own change
        given["boss_mass"] = given["boss_mass"] * (
            dimensions(plug, {"bore": given["bore"]})["boss_mass"]
            / dimensions(plug, {"bore": np.array([plug.bore])})["boss_mass"]
        )
    rows = plug_body_rows(plug, "clean", given)
    rows[:, at.P_FOULING] = case.floats[block + at.P_FOULING]
    change.found.update({block + k: rows[:, k].copy() for k in range(rows.shape[1])})


def _with_bore(change: Change, varied: Varied, number: str, values: Floats) -> None:
    """What the file leaves out grows with a varied bore, times its own change."""
    case, plug = change.case, change.case.plug_records[varied.name]
    bores = change.of(varied.name, "bore")
    if bores and getattr(plug, varied.entry.field) is None:
        at_present = plug_body_rows(plug, "clean", {"bore": np.array([plug.bore])})
        column = getattr(at, number)
        values = values * (plug_body_rows(plug, "clean", bores)[:, column] / at_present[0, column])
    change.found[case.plug_at(varied.name, getattr(at, number))] = values


def _of_outlet(case: FireCase, varied: Varied, number: str) -> float | None:
    piped = case.plug_records[varied.name].outlet == "piped"
    return _read(case, varied, number) if piped else None


def _shift(change: Change, name: str) -> None:
    """The melting range where the plug's metal melts elsewhere, or beyond reach if it fails."""
    case, given = change.case, change.of(name, "works", "melting")
    shift = np.array(0.0)
    if "works" in given:
        shift = np.where(given["works"] > 0.5, 0.0, NEVER)
    if "melting" in given:
        shift = shift + (given["melting"] - case.floats[case.plug_at(name, at.P_LIQUIDUS)])
    for key in (at.P_SOLIDUS, at.P_LIQUIDUS):
        place = case.plug_at(name, key)
        change.found[place] = case.floats[place] + shift


def _melts(change: Change, varied: Varied, _number: str, _values: Floats) -> None:
    _shift(change, varied.name)


def _credited(case: FireCase, varied: Varied, _: str) -> float:
    return float(varied.name not in case.uncredited)


# -- relief valves and discs ---------------------------------------------------------


def _setting(case: FireCase, varied: Varied, number: str) -> float | None:
    gauge = _read(case, varied, number)
    # a disc without credit never bursts, whatever its tag says
    return None if gauge >= NEVER_BURSTS else gauge + float(case.floats[at.F_AMBIENT_P])


def _set(change: Change, varied: Varied, number: str, values: Floats) -> None:
    _put(change, varied, number, values - change.case.floats[at.F_AMBIENT_P])


# -- pipes and compressors -----------------------------------------------------------


def _of_pipe(case: FireCase, varied: Varied, _: str) -> float | None:
    return as_built(case, varied.name).get(varied.entry.field)


def _pipe(change: Change, varied: Varied, _number: str, _values: Floats) -> None:
    """All of a pipe at once, and the junctions that it counts to."""
    case, name = change.case, varied.name
    walls = change.of(name, "wall_thickness").get("wall_thickness")
    change.found.update(line_columns(case, name, change.of(name, *LINE), walls))
    fill_junctions(case, change.found)


def _delivered(case: FireCase, varied: Varied, _: str) -> float:
    return _read(case, varied, "C_FLOW") / free_density(case)


def _deliver(change: Change, varied: Varied, _: str, values: Floats) -> None:
    _put(change, varied, "C_FLOW", values * free_density(change.case))


# -- fires and the site --------------------------------------------------------------


def _factor_on_flux(change: Change, _varied: Varied, _: str, factors: Floats) -> None:
    """A factor on the net flux is one on all that it is proportional to."""
    case = change.case
    for place in case.records("radiation"):
        change.scale(case.patch_at(place, at.Q_FLUX), factors)
    if case.fire.curve == "flux":
        change.scale(at.F_FIRE_VALUE, factors)
        return
    # emissivity x radiation + convection x difference, for walls and for plugs
    for name in case.parts:
        for key in (at.S_EMISSIVITY, at.S_CONVECTION):
            change.scale(case.space_at(name, key), factors)
    for place in case.records("flames"):
        for key in (at.Q_EMISSIVITY, at.Q_CONVECTION):
            change.scale(case.patch_at(place, key), factors)
    for name in case.bodies:
        change.scale(case.plug_at(name, at.P_EMISSIVITY), factors)


def _of_flames(case: FireCase, varied: Varied, number: str) -> float | None:
    return None if case.fire.curve == "flux" else _read_if_there(case, varied, number)


def _of_curve(case: FireCase, varied: Varied, number: str) -> float | None:
    """The value of a constant fire: the curve has the name of the field."""
    return _read(case, varied, number) if case.fire.curve == varied.entry.field else None


def _last(change: Change, _varied: Varied, _: str, values: Floats) -> None:
    change.found[at.F_FIRE_END] = values
    change.found[at.F_LARGEST_STEP] = largest_step(values)


def _site_pressure(change: Change, _varied: Varied, _: str, values: Floats) -> None:
    move_ambient(change.case, values, change.given, change.found)


RULES: dict[str, Rule] = {
    "wall": Rule(_of_record, _wall),
    "volume": Rule(_of_record, _lengthen, after=True),
    "factor": Rule(_one, _scale, after=True),
    "proportion": Rule(_of_record, _in_proportion, after=True),
    "creep_life": Rule(_creeps, _live_longer),
    "share": Rule(_partial_share, _divide, after=True),
    "start_pressure": Rule(lambda c, v, _: _read(c, v, "S_PRESSURE"), _start_pressure),
    "start_temperature": Rule(lambda c, v, _: _read(c, v, "S_TEMPERATURE"), _start_temperature),
    "condensate": Rule(_water, _fill, after=True),
    "body": Rule(_dimension, _body),
    "with_bore": Rule(_read, _with_bore),
    "outlet": Rule(_of_outlet, _put),
    "melting": Rule(lambda c, v, _: _read(c, v, "P_LIQUIDUS"), _melts),
    "works": Rule(_credited, _melts),
    "gauge": Rule(_setting, _set),
    "pipe": Rule(_of_pipe, _pipe),
    "delivery": Rule(_delivered, _deliver),
    "flux_factor": Rule(_one, _factor_on_flux, after=True),
    "flames": Rule(_of_flames, _put),
    "curve": Rule(_of_curve, _put),
    "duration": Rule(lambda c, _v, _: float(c.floats[at.F_FIRE_END]), _last),
    "site_pressure": Rule(
        lambda c, _v, _: float(c.floats[at.F_AMBIENT_P]), _site_pressure, after=True
    ),
}
