"""A fusible plug as a thermal body: its mass, contact, surfaces and fouling."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.model import Plug
from airrisk.physics.alloys import alloy
from airrisk.physics.shells import bore_area
from airrisk.tables import read_toml


@dataclass(frozen=True)
class PlugBody:
    """Body and core as one node, the boss under them as another.

    The numbers are in the order of the kernel's layout.
    """

    area: float  # m2, bore
    coefficient: float
    heat_capacity: float  # J/K
    latent_heat: float  # J, whole core
    solidus: float  # K
    liquidus: float  # K
    contact: float  # W/K to the wall
    flame_area: float  # m2
    emissivity: float
    air_area: float  # m2
    fouling: float  # m2 K/W between air and body
    pipe_diameter: float  # m, 0: open outlet
    pipe_length: float  # m
    boss_capacity: float  # J/K, 0: screwed straight into the wall
    boss_contact: float  # W/K, wall to boss
    boss_area: float  # m2, outside

    def row(self) -> tuple[float, ...]:
        """The numbers in the order of the kernel's layout."""
        return (
            self.area,
            self.coefficient,
            self.heat_capacity,
            self.latent_heat,
            self.solidus,
            self.liquidus,
            self.contact,
            self.flame_area,
            self.emissivity,
            self.air_area,
            self.fouling,
            self.pipe_diameter,
            self.pipe_length,
            self.boss_capacity,
            self.boss_contact,
            self.boss_area,
        )


@cache
def _defaults() -> dict[str, float]:
    return {
        key: row["value"]
        for key, row in read_toml("plug_body.toml")["body"].items()
        if isinstance(row, dict)
    }


def fouling_resistance(condition: str) -> float:
    """Resistance to heat between the air inside and the plug.

    Parameters
    ----------
    condition : str
        Condition of the plug.

    Returns
    -------
    float
        Resistance [m2 K/W].

    Source
    ------
    Layers of assumed thickness and conductivity, judgement; see resources/plug_body.toml.
    """
    return float(read_toml("plug_body.toml")["fouling"][condition]["value"])


def plug_body(plug: Plug, condition: str) -> PlugBody:
    """The thermal body of a plug, defaults filled in.

    Parameters
    ----------
    plug : Plug
        As in the file, with an alloy.
    condition : str
        Its present condition.

    Returns
    -------
    PlugBody

    Raises
    ------
    UnknownAlloy
        The alloy is not known.
    ValueError
        No alloy is stated.

    Source
    ------
    Defaults are judgement, see resources/plug_body.toml.
    """
    (row,) = plug_body_rows(plug, condition, {"bore": np.array([plug.bore])}).tolist()
    return PlugBody(*row)


def dimensions(
    plug: Plug, given: Mapping[str, NDArray[np.float64]]
) -> dict[str, NDArray[np.float64]]:
    """``bore`` [m], ``body_mass``, ``core_length`` [m] and ``boss_mass`` [kg] of a plug.

    Defaults are filled in.

    Parameters
    ----------
    plug : Plug
        As in the file.
    given : mapping
        Some of the four as arrays of one length; what is left out is that of the plug, else
        follows the bore.

    Source
    ------
    Defaults are judgement, see resources/plug_body.toml.
    """
    default = _defaults()
    count = next(iter(given.values())).size
    bore = given.get("bore", np.full(count, plug.bore))
    length = given.get("core_length")
    if length is None and plug.core_length is not None:
        length = np.full(count, plug.core_length)
    if length is None:
        length = np.maximum(default["core_length_per_bore"] * bore, default["smallest_core_length"])
    mass = given.get("body_mass")
    if mass is None and plug.body_mass is not None:
        mass = np.full(count, plug.body_mass)
    if mass is None:
        mass = np.maximum(default["mass_per_bore2"] * bore**2, default["smallest_mass"])
    boss = given.get("boss_mass")
    if boss is None and plug.boss_mass is not None:
        boss = np.full(count, plug.boss_mass)
    if boss is None:
        boss = np.maximum(default["boss_mass_per_bore2"] * bore**2, default["smallest_boss_mass"])
    return {"bore": bore, "body_mass": mass, "core_length": length, "boss_mass": boss}


def plug_body_rows(
    plug: Plug, condition: str, given: Mapping[str, NDArray[np.float64]]
) -> NDArray[np.float64]:
    """Bodies of a plug with many bores, masses or core lengths; a column for each number.

    Parameters
    ----------
    plug : Plug
        As in the file, with an alloy.
    condition : str
        Its present condition.
    given : mapping
        ``bore`` [m], ``body_mass`` [kg], ``core_length`` [m] and ``boss_mass`` [kg] as arrays
        of one length; what is left out is that of the plug.

    Returns
    -------
    array
        One row for each, as ``PlugBody.row``.

    Raises
    ------
    UnknownAlloy, ValueError
        As for ``plug_body``.

    Source
    ------
    Defaults are judgement, see resources/plug_body.toml.
    """
    if plug.alloy is None:
        raise ValueError(f"{plug.id}: no alloy is stated")
    metal = alloy(plug.alloy)
    default = _defaults()
    count = next(iter(given.values())).size
    bore, mass, length, boss = dimensions(plug, given).values()
    thread = math.pi * default["thread_diameter_per_bore"] * bore * length
    core = metal.density * 0.25 * math.pi * bore**2 * length
    contact, exposed = plug.contact_conductance, plug.exposed_area
    pipe = (plug.outlet_length or 0.0, plug.outlet_diameter or bore)
    if plug.outlet != "piped":
        pipe = (0.0, 0.0)
    elif exposed is None:
        exposed = 0.0  # the pipe is screwed over the head and hides it from the flames
    numbers: dict[str, float | NDArray[np.float64]] = {
        "area": bore_area(bore),
        "coefficient": plug.discharge_coefficient,
        "heat_capacity": mass * default["specific_heat"] + core * metal.specific_heat,
        "latent_heat": core * metal.latent_heat,
        "solidus": metal.solidus,
        "liquidus": metal.liquidus,
        "contact": default["contact_coefficient"] * thread if contact is None else contact,
        "flame_area": default["exposed_area_per_bore2"] * bore**2 if exposed is None else exposed,
        "emissivity": default["emissivity"] if plug.emissivity is None else plug.emissivity,
        "air_area": default["air_area_per_bore2"] * bore**2,
        "fouling": fouling_resistance(condition),
        "pipe_length": pipe[0],
        "pipe_diameter": pipe[1],
        "boss_capacity": boss * default["boss_specific_heat"],
        "boss_contact": default["boss_contact_per_bore"] * bore,
        "boss_area": default["boss_area_factor"] * (boss / default["boss_density"]) ** (2.0 / 3.0),
    }
    columns = [np.broadcast_to(numbers[field.name], (count,)) for field in fields(PlugBody)]
    return np.column_stack(columns)
