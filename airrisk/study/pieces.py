"""Pieces of a burst vessel: speeds by several methods and ranges by way of breaking."""

from __future__ import annotations

import math

import numpy as np

from airrisk.installation.geometry import part_geometry
from airrisk.installation.model import Installation, Vessel
from airrisk.messages import said
from airrisk.physics import fragments, harm, metal
from airrisk.quantities import GRAVITY
from airrisk.study.consequence_records import FlightSpeedRow, FragmentRecord, WayOfBreaking

FLAT_DISTANCES = (1.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
MANY_PIECES = 40
QUANTILES = tuple(round(0.05 * i, 2) for i in range(21))


def burst_source(
    installation: Installation, vessel: Vessel, pressure: float, temperature: float
) -> fragments.BurstSource:
    """The vessel as a source of fragments at a given state of its air."""
    shape = part_geometry(vessel)
    return fragments.BurstSource(
        pressure=pressure,
        temperature=temperature,
        volume=vessel.volume - vessel.condensate,
        ambient_pressure=installation.site.ambient_pressure,
        ambient_temperature=installation.site.ambient_temperature,
        casing_mass=shape.metal_mass,
        head_mass=shape.head_metal_mass,
        inside_diameter=vessel.inside_diameter,
        length=shape.overall_length,
        wall_thickness=vessel.wall_thickness,
        metal_density=metal.material(vessel.material).density,
    )


def _way(name: str, pieces: str, spread: fragments.FlightSpread) -> WayOfBreaking:
    quantiles = spread.range_at(QUANTILES)
    mid = spread.range_at([0.5, 0.9, 0.99])
    return WayOfBreaking(
        way=name,
        launch_speed_m_s=spread.launch_speed,
        pieces=pieces,
        mass_10_kg=spread.mass_quantiles[0],
        mass_50_kg=spread.mass_quantiles[1],
        mass_90_kg=spread.mass_quantiles[2],
        range_50_m=float(mid[0]),
        range_90_m=float(mid[1]),
        range_99_m=float(mid[2]),
        longest_range_m=spread.longest,
        vacuum_range_m=spread.launch_speed**2 / GRAVITY,
        hazardous_share=spread.hazardous_share,
        hazardous_range_m=spread.hazardous_range,
        range_quantiles_m=tuple(quantiles.tolist()),
        farthest_drag_length_m=spread.farthest_drag_length,
    )


def fragment_record(
    installation: Installation,
    vessel: Vessel,
    pressure: float,
    temperature: float,
    brode: float,
) -> FragmentRecord:
    """Speeds and ranges of the pieces of one vessel at a given state of its air.

    Parameters
    ----------
    installation
        Gives the surroundings.
    vessel
        Gives size and metal.
    pressure, temperature
        Of the air inside [Pa absolute, K].
    brode
        Brode's energy of that state [J], the measure of the energy shares.

    Returns
    -------
    FragmentRecord
        Five ways of breaking; no way may take more than the bound share of the energy.
    """
    source = burst_source(installation, vessel, pressure, temperature)
    casing, head = source.casing_mass, source.head_mass
    difference = pressure - source.ambient_pressure
    sound, radius = source.sound_speed, 0.5 * vessel.inside_diameter
    share_speed = fragments.energy_share_speed
    likely = float(share_speed(brode, casing, fragments.LIKELY_SHARE))
    bound = float(share_speed(brode, casing, fragments.BOUND_SHARE))
    shell_force = fragments.baum_force(
        difference, radius, source.metal_density * vessel.wall_thickness, sound
    )
    cap_force = fragments.baum_force(difference, radius, head / (math.pi * radius**2), sound)
    many = fragments.baum_many_speed(shell_force, sound)
    cap = fragments.baum_end_cap_speed(cap_force, sound)
    rest = casing - head
    rocket = fragments.rocket_speed(source, rest)
    dangerous = harm.hazardous_fragment_energy()

    # no way of breaking may take more than the bound share of the energy
    cap_speed = min(cap, float(share_speed(brode, head, fragments.BOUND_SHARE)))
    rocket_speed = min(rocket, float(share_speed(brode, rest, fragments.BOUND_SHARE)))
    few = fragments.few_piece_sample(source)
    launch = fragments.Launch
    names = (
        ("few pieces, likely", said("one-to-three"), launch(likely, *few, True)),
        ("few pieces, bound", said("one-to-three"), launch(bound, *few, True)),
        (
            "many pieces",
            said("about-number", number=MANY_PIECES),
            launch(min(many, bound), *fragments.many_piece_sample(source, MANY_PIECES), True),
        ),
        ("one head", "1", launch(cap_speed, *fragments.end_cap_sample(source), False)),
        (
            "vessel takes off",
            "1",
            launch(rocket_speed, *fragments.whole_vessel_sample(source), False),
        ),
    )
    spreads = fragments.fly_pieces([row[2] for row in names], source, dangerous)
    likely_flight = spreads[0]
    ways = tuple(
        _way(name, pieces, spread) for (name, pieces, _), spread in zip(names, spreads, strict=True)
    )
    median, fast = fragments.speed_at(likely_flight, np.array(FLAT_DISTANCES))
    middle = likely_flight.mass_quantiles[1]
    return FragmentRecord(
        casing_mass_kg=casing,
        head_mass_kg=head,
        gas_mass_kg=source.gas_mass,
        kinetic_share_likely=fragments.LIKELY_SHARE,
        kinetic_share_bound=fragments.BOUND_SHARE,
        speed_likely_m_s=likely,
        speed_bound_m_s=bound,
        speed_moore_m_s=float(fragments.moore_speed(brode, casing, source.gas_mass)),
        speed_baum_many_m_s=many,
        speed_baum_end_cap_m_s=cap,
        speed_rocket_m_s=rocket,
        ways=ways,
        flat_flight=tuple(
            FlightSpeedRow(x, float(v), float(f), float(0.5 * middle * v**2))
            for x, v, f in zip(FLAT_DISTANCES, median, fast, strict=True)
        ),
        hazardous_energy_j=dangerous,
    )
