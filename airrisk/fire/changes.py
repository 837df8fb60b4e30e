"""What a question changes in a case, named by what it means: start, heat, doubts.

The studies ask in these words; where a number stands in the arrays of a case is known to the
rooms ``fire`` and ``kernel`` only. ``Changes`` are such places with their new values, for
``FireCase.changed`` and ``run_table``.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from airrisk.fire.case import FireCase
from airrisk.kernel import layout as at
from airrisk.kernel.events import strength_at
from airrisk.physics.fires import hottest_wall

Changes = dict[int, float]
NEVER_LIFTS = 1e12  # Pa


def starts_at(case: FireCase, pressures: Mapping[str, float]) -> Changes:
    """Every part starts at its pressure, Pa absolute.

    A point without volume is filled by the parts beside it and takes the lowest of them.
    """
    lowest = min(pressures.values())
    return {
        case.space_at(space.id, at.S_PRESSURE): pressures.get(space.id, lowest)
        for space in case.spaces
    }


def heat(case: FireCase, share: float) -> Changes:
    """The share of the radiation that comes in: of a flux itself, else of its flames' T^4."""
    sources = [case.patch_at(place, at.Q_FLUX) for place in case.records("radiation")]
    found = {place: share * float(case.floats[place]) for place in sources}
    if case.fire.curve == "flux":
        return {**found, at.F_FIRE_VALUE: share * float(case.floats[at.F_FIRE_VALUE])}
    return {**found, at.F_FLAME_FACTOR: share**0.25}


def fire_lasts(duration: float) -> Changes:
    """The fire ends after ``duration`` seconds."""
    return {at.F_FIRE_END: duration}


def inner_convection(factor: float) -> Changes:
    """The heat transfer between wall and air times ``factor``."""
    return {at.F_CONVECTION_FACTOR: factor}


def relief_valves_stay_shut(case: FireCase) -> Changes:
    """No relief valve lifts."""
    block = int(case.integers[at.I_F_RELIEF])
    return {block + k * at.R_SIZE + at.R_SET: NEVER_LIFTS for k in range(len(case.relief_valves))}


def insulation_resists(case: FireCase, factor: float) -> Changes:
    """What insulation resists where the fire strikes it times ``factor``."""
    return {
        place: factor * float(case.floats[place])
        for name in case.covers
        for place in case.resistances_at(name)
    }


def _of_plugs(
    case: FireCase, plugs: Collection[str], field: int, factor: float, more: float = 0.0
) -> Changes:
    return {
        place: factor * float(case.floats[place]) + more
        for place in (case.plug_at(plug, field) for plug in plugs)
    }


def plug_contact(case: FireCase, plugs: Collection[str], factor: float) -> Changes:
    """The conductances between wall, boss and body of these plugs times ``factor``."""
    return {
        **_of_plugs(case, plugs, at.P_CONTACT, factor),
        **_of_plugs(case, plugs, at.P_BOSS_CONTACT, factor),
    }


def no_flames_on(case: FireCase, plugs: Collection[str]) -> Changes:
    """Heads and bosses of these plugs are out of the flames."""
    return {
        **_of_plugs(case, plugs, at.P_FLAME_AREA, 0.0),
        **_of_plugs(case, plugs, at.P_BOSS_AREA, 0.0),
    }


def more_metal_at(case: FireCase, plugs: Collection[str], heat_capacity: float) -> Changes:
    """The bosses of these plugs have to warm ``heat_capacity`` more, J/K."""
    return _of_plugs(case, plugs, at.P_BOSS_CAPACITY, 1.0, heat_capacity)


def slow_plugs(
    case: FireCase, plugs: Collection[str], contact: float, heat_capacity: float
) -> Changes:
    """All that holds a plug back at once: contacts, no flames on it, a heavy boss."""
    return {
        **plug_contact(case, plugs, contact),
        **no_flames_on(case, plugs),
        **more_metal_at(case, plugs, heat_capacity),
    }


def bore_opens_in_part(case: FireCase, plugs: Collection[str], share: float) -> Changes:
    """A share of the bore of these plugs opens; the rest stays filled."""
    return _of_plugs(case, plugs, at.P_AREA, share)


def start_temperature(case: FireCase, name: str) -> float:
    """Temperature of the air of a space at the start, K."""
    return float(case.floats[case.space_at(name, at.S_TEMPERATURE)])


def hottest_wall_of(case: FireCase) -> float:
    """The highest temperature that a wall in the fire of a case can come to, K."""
    fire = case.fire
    ambient = float(case.floats[at.F_AMBIENT_T])
    by_flames = hottest_wall(
        fire.curve,
        fire.duration,
        ambient,
        flux=fire.flux,
        absorbed=fire.absorbed,
        temperature=fire.temperature,
        points=fire.points,
    )
    fluxes = [float(case.floats[case.patch_at(k, at.Q_FLUX)]) for k in case.records("radiation")]
    found = [hottest_wall("flux", fire.duration, ambient, flux=flux) for flux in fluxes]
    return max([by_flames, *found])


def relief_valve_dies_at(case: FireCase) -> float:
    """Temperature above which a relief valve in the fire is not credited, K."""
    return float(case.floats[at.F_DEAD_RELIEF])


def burst_gauge(case: FireCase, index: int, temperature: float) -> float:
    """Gauge burst pressure of a space with all its metal at one temperature [K], Pa."""
    numbers = int(case.integers[at.I_I_SPACE]) + index * at.SI_SIZE
    first = int(case.integers[at.I_F_STRENGTH]) + int(case.integers[numbers + at.SI_STRENGTH])
    points = int(case.integers[numbers + at.SI_STRENGTH_POINTS])
    factor = float(case.floats[case.space_at(case.names[index], at.S_BURST_FACTOR)])
    return factor * float(strength_at(case.floats, first, points, temperature))


def space_of_plug(case: FireCase, plug: str) -> str:
    """Id of the gas space that a plug stands on."""
    place = int(case.integers[at.I_I_PLUG]) + case.plugs.index(plug) * at.PI_SIZE
    return case.names[int(case.integers[place + at.PI_SPACE])]
