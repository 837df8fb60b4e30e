"""Which numbers of a fire case an input stands for, for many values at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from airrisk.firetest import layout as at
from airrisk.firetest.case import FireCase, wall_of
from airrisk.firetest.line_inputs import (
    COMPRESSOR,
    LINE,
    compressor_column,
    fill_junctions,
    known_line_inputs,
    line_columns,
    move_ambient,
)
from airrisk.firetest.plug_body import plug_body_rows
from airrisk.installation.model import Line, Plug, Vessel
from airrisk.physics.metal import material
from airrisk.physics.shells import (
    bore_area,
    cylinder_metal,
    cylinder_surface,
    effective_wall,
)

Floats = NDArray[np.float64]

# one number of the case each
_SPACE = {"pressure": at.S_PRESSURE}
_PLUG = {
    "discharge_coefficient": at.P_COEFFICIENT,
    "contact_conductance": at.P_CONTACT,
    "exposed_area": at.P_FLAME_AREA,
    "emissivity": at.P_EMISSIVITY,
    "fouling": at.P_FOULING,
    "latent_heat": at.P_LATENT,
    "outlet_length": at.P_PIPE_LENGTH,
    "outlet_diameter": at.P_PIPE_DIAMETER,
}
_BODY = ("bore", "body_mass", "core_length")
_RELIEF = {"area": at.R_AREA, "discharge_coefficient": at.R_COEFFICIENT}
_DISC = {"area": at.D_AREA, "discharge_coefficient": at.D_COEFFICIENT}
_FIRE = {
    "duration": at.F_FIRE_END,
    "flux": at.F_FIRE_VALUE,
    "temperature": at.F_FIRE_VALUE,
    "temperature_shift": at.F_FLAME_SHIFT,
}
_WHOLE = {
    "convection_factor": at.F_CONVECTION_FACTOR,
    "inner_emissivity": at.F_INNER_EMISSIVITY,
    "ambient_temperature": at.F_AMBIENT_T,
}
SHARES = (1e-3, 0.999)  # between which a share in the fire may vary
NODES = 25  # at which a wall's geometry is reckoned for many thicknesses


class UnknownInput(KeyError):
    """No number of the case has this name."""

    def __init__(self, name: str, known: tuple[str, ...]) -> None:
        self.name = name
        self.known = known
        super().__init__(name)

    def __str__(self) -> str:
        return f"unknown input {self.name!r}; known here are {', '.join(self.known)}"

    def __reduce__(self) -> tuple[type[UnknownInput], tuple[str, tuple[str, ...]]]:
        return type(self), (self.name, self.known)


def known_inputs(case: FireCase) -> tuple[str, ...]:
    """Names that ``columns`` understands for a case, "part.field" or a name of its own.

    ``strength_factor`` multiplies the burst pressure, ``melting_shift`` [K] moves the solidus
    and liquidus, ``fouling`` is a resistance [m2 K/W]; other fields as in the system file, SI.
    ``fire.temperature_shift`` [K] is added to the temperature of the flames. ``volume`` lengthens
    or shortens the cylinder of a vessel. Of lines, compressors and the site: see
    ``known_line_inputs``.
    ``exposed_share`` is known of a part that the fire reaches in part; it is held within
    ``SHARES`` so that both wall zones stay and plugs and valves stay where they are, in the
    flames or out of them.
    """
    names = [*_WHOLE, *(f"fire.{field}" for field in ("emissivity", "convection"))]
    if case.fire.curve == "flux":
        names.append("fire.flux")
    if case.fire.curve == "temperature":
        names.append("fire.temperature")
    if case.fire.curve != "flux":
        names.append("fire.temperature_shift")
    names.append("fire.duration")
    for name, part in case.parts.items():
        fields = ("wall_thickness", "pressure", "temperature", "strength_factor")
        names += [f"{name}.{field}" for field in fields]
        if isinstance(part, Vessel):
            names.append(f"{name}.volume")
        if name in case.fire.reaches and 0.0 < case.fire.share(name) < 1.0:
            names.append(f"{name}.exposed_share")
    for name in case.plugs:
        names += [f"{name}.{field}" for field in (*_BODY, *_PLUG, "melting_shift")]
    for name in case.relief_valves:
        names += [f"{name}.{field}" for field in ("set_pressure", *_RELIEF)]
    for name in case.discs:
        names += [f"{name}.{field}" for field in ("burst_pressure", *_DISC)]
    return (*names, *known_line_inputs(case))


def _wall_columns(
    case: FireCase, part: Vessel | Line, walls: Floats, bounds: tuple[float, float] | None
) -> dict[int, Floats]:
    """Masses and burst factor for wall thicknesses, by a polynomial through exact nodes."""
    i = case.names.index(part.id)
    block = int(case.integers[at.I_F_SPACE]) + i * at.S_SIZE
    low, high = bounds or (0.0, 0.0)
    if bounds is None or high - low <= 1e-12 * high:
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
    share = case.fire.share(part.id) if part.id in case.fire.reaches else 0.0
    return {
        block + at.S_HOT_AREA: share * found[:, 0],
        block + at.S_COLD_AREA: (1.0 - share) * found[:, 0],
        block + at.S_HOT_MASS: share * found[:, 1],
        block + at.S_COLD_MASS: (1.0 - share) * found[:, 1],
        block + at.S_BURST_FACTOR: found[:, 2],
    }


def _lengthen(
    case: FireCase, part: Vessel, volumes: Floats, walls: Floats | None, found: dict[int, Floats]
) -> None:
    """Put what a longer or shorter cylinder changes into the columns of a vessel.

    Raises
    ------
    ValueError
        A volume that leaves no cylinder between the heads.
    """
    bore = bore_area(part.inside_diameter)
    longer = (volumes - part.volume) / bore
    if not np.all(longer > -part.cylinder_length):
        raise ValueError(
            f"{part.id}: volume {float(np.min(volumes)):.4g} m3; valid: above the "
            f"{part.volume - bore * part.cylinder_length:.4g} m3 of its heads"
        )
    if walls is None:
        walls = np.full(volumes.size, part.wall_thickness)
    reckoned = np.array([effective_wall(wall, part.measured) for wall in walls.tolist()])
    surface = cylinder_surface(part.inside_diameter, reckoned) * longer
    density = material(part.material).density
    mass = cylinder_metal(part.inside_diameter, reckoned) * density * longer
    share = case.fire.share(part.id) if part.id in case.fire.reaches else 0.0
    for field, change in (
        (at.S_VOLUME, volumes - part.volume),
        (at.S_HOT_AREA, share * surface),
        (at.S_COLD_AREA, (1.0 - share) * surface),
        (at.S_HOT_MASS, share * mass),
        (at.S_COLD_MASS, (1.0 - share) * mass),
    ):
        place = case.space_at(part.id, field)
        found[place] = found.get(place, case.floats[place]) + change


def _body_columns(case: FireCase, plug: Plug, given: Mapping[str, Floats]) -> dict[int, Floats]:
    """All numbers of a plug body when its bore, mass or core length varies."""
    k = case.plugs.index(plug.id)
    block = int(case.integers[at.I_F_PLUG]) + k * at.P_SIZE
    fouling = case.floats[block + at.P_FOULING]
    table = plug_body_rows(plug, "clean", given)
    table[:, at.P_FOULING] = fouling
    return {block + field: table[:, field].copy() for field in range(table.shape[1])}


def check_lengths(variants: Mapping[str, NDArray[np.float64]]) -> int:
    """Common length of the arrays of a batch.

    Raises
    ------
    ValueError
        They are not one-dimensional or differ in length.
    """
    shapes = {np.shape(values) for values in variants.values()}
    if len(shapes) != 1 or len(next(iter(shapes))) != 1:
        raise ValueError("variants must be one-dimensional arrays of one length")
    return int(next(iter(shapes))[0])


def bounds_of(
    variants: Mapping[str, NDArray[np.float64]],
) -> dict[str, tuple[float, float]] | None:
    """Least and largest value of every input, when there are enough to interpolate between."""
    if check_lengths(variants) <= 4 * NODES:
        return None
    return {name: (float(np.min(v)), float(np.max(v))) for name, v in variants.items()}


def columns(
    case: FireCase,
    variants: Mapping[str, NDArray[np.float64]],
    bounds: Mapping[str, tuple[float, float]] | None = None,
) -> dict[int, Floats]:
    """Places in the case's floats and the values to put there.

    Parameters
    ----------
    case
        The base case.
    variants
        Values by input name, all of one length, SI units; see ``known_inputs``.
    bounds
        Range of each input over the whole batch that these are a part of (``bounds_of``);
        left out: every wall is reckoned exactly.

    Returns
    -------
    dict
        One array for each place.

    Raises
    ------
    UnknownInput
        A name that the case has not got.
    ValueError
        Arrays of different lengths; a volume smaller than the heads of its vessel; a line without
        length or bore.
    """
    given = {name: np.asarray(values, dtype=float) for name, values in variants.items()}
    check_lengths(given)
    known = known_inputs(case)
    found: dict[int, Floats] = {}
    later: list[Callable[[], None]] = []
    bodies: dict[str, dict[str, Floats]] = {}
    longer: list[tuple[Vessel, Floats]] = []
    lines: dict[str, dict[str, Floats]] = {}
    for name, values in given.items():
        if name not in known:
            raise UnknownInput(name, known)
        if name in _WHOLE:
            found[_WHOLE[name]] = values
            continue
        part, _, field = name.partition(".")
        if name == "ambient_pressure":
            later.append(partial(move_ambient, case, values, given, found))
        elif field in LINE:
            lines.setdefault(part, {})[field] = values
        elif field in COMPRESSOR:
            found.update(compressor_column(case, part, field, values))
        elif part == "fire":
            if field in _FIRE:
                found[_FIRE[field]] = values
            else:
                key = at.S_EMISSIVITY if field == "emissivity" else at.S_CONVECTION
                for space in case.parts:
                    found[case.space_at(space, key)] = values
        elif part in case.parts:
            if field == "wall_thickness":
                found.update(
                    _wall_columns(
                        case, case.parts[part], values, None if bounds is None else bounds[name]
                    )
                )
            elif field == "volume":
                tank = case.parts[part]
                assert isinstance(tank, Vessel)
                longer.append((tank, values))
            elif field == "temperature":
                found[case.space_at(part, at.S_TEMPERATURE)] = values
                found[case.space_at(part, at.S_WALL_TEMPERATURE)] = values
            elif field == "strength_factor":
                place = case.space_at(part, at.S_BURST_FACTOR)

                def scale(place: int = place, values: Floats = values) -> None:
                    found[place] = found.get(place, case.floats[place]) * values

                later.append(scale)
            elif field == "exposed_share":
                block = case.space_at(part, 0)
                shares = np.clip(values, *SHARES)

                def divide(block: int = block, shares: Floats = shares) -> None:
                    for hot, cold in (
                        (block + at.S_HOT_AREA, block + at.S_COLD_AREA),
                        (block + at.S_HOT_MASS, block + at.S_COLD_MASS),
                    ):
                        whole = found.get(hot, case.floats[hot]) + found.get(
                            cold, case.floats[cold]
                        )
                        found[hot] = shares * whole
                        found[cold] = (1.0 - shares) * whole

                later.append(divide)
            else:
                found[case.space_at(part, _SPACE[field])] = values
        elif part in case.plugs:
            if field in _BODY:
                bodies.setdefault(part, {})[field] = values
            elif field == "melting_shift":
                for key in (at.P_SOLIDUS, at.P_LIQUIDUS):
                    place = case.plug_at(part, key)

                    def shift(place: int = place, values: Floats = values) -> None:
                        found[place] = case.floats[place] + values

                    later.append(shift)
            else:
                place = case.plug_at(part, _PLUG[field])

                def put(place: int = place, values: Floats = values) -> None:
                    found[place] = values

                later.append(put)
        elif part in case.relief_valves:
            k = case.relief_valves.index(part)
            block = int(case.integers[at.I_F_RELIEF]) + k * at.R_SIZE
            if field == "set_pressure":
                found[block + at.R_SET] = values - case.floats[at.F_AMBIENT_P]
            else:
                found[block + _RELIEF[field]] = values
        else:
            k = case.discs.index(part)
            block = int(case.integers[at.I_F_DISC]) + k * at.D_SIZE
            if field == "burst_pressure":
                found[block + at.D_BURST] = values - case.floats[at.F_AMBIENT_P]
            else:
                found[block + _DISC[field]] = values
    for part, fields in bodies.items():
        found.update(_body_columns(case, case.plug_records[part], fields))
    for part, fields in lines.items():
        found.update(line_columns(case, part, fields, given.get(f"{part}.wall_thickness")))
    if lines:
        fill_junctions(case, found)
    for tank, volumes in longer:
        _lengthen(case, tank, volumes, given.get(f"{tank.id}.wall_thickness"), found)
    for change in later:
        change()
    return found
