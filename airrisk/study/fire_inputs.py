"""The inputs of a fire run under the names of the system file: "ID.field", SI values.

Some do not stand in the file: ``strength_factor`` (real strength over that of the basis),
``melting`` (temperature at which all of the metal is molten), ``fouling``, ``works`` (1 or 0),
``flux_factor`` (real net heat flux over that of the curve) and ``temperature_shift`` (of the
flames over the curve). A ``volume`` lengthens or shortens the cylinder.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from airrisk.firetest import layout as at
from airrisk.firetest.case import FireCase
from airrisk.firetest.line_inputs import present_line_inputs
from airrisk.firetest.plug_body import plug_body, plug_body_rows
from airrisk.firetest.variants import known_inputs
from airrisk.installation.model import Vessel
from airrisk.study.spreads import Array

NEVER = 1e4  # K above its melting point, for a plug that does not work
_PLUG_PLACES = {
    "discharge_coefficient": (at.P_COEFFICIENT, "number"),
    "fouling": (at.P_FOULING, "heat_resistance"),
    "contact_conductance": (at.P_CONTACT, "conductance"),
    "exposed_area": (at.P_FLAME_AREA, "area"),
    "outlet_length": (at.P_PIPE_LENGTH, "length"),
}


def variable_inputs(case: FireCase) -> dict[str, tuple[float, str]]:
    """Every input that can be varied in a case: its present value and its kind of quantity.

    Parameters
    ----------
    case
        The run as stated.

    Returns
    -------
    dict
        In the order parts, plugs, relief valves, discs, lines, compressors, fire.
    """
    known = set(known_inputs(case))
    return {
        key: (float(present), kind) for key, present, kind, needs in _listed(case) if needs in known
    }


def with_every_plug(case: FireCase) -> FireCase:
    """The case in which every plug with an alloy may open; ``kernel_inputs`` keeps shut the rest.

    Parameters
    ----------
    case
        The run as stated.
    """
    block = int(case.integers[at.I_I_PLUG])
    return case.changed(
        integers={
            block + number * at.PI_SIZE + at.PI_ENABLED: 1
            for number, name in enumerate(case.plugs)
            if name in case.bodies
        }
    )


def _listed(case: FireCase) -> Iterator[tuple[str, float, str, str]]:
    """Key, present value, kind, and the name of the input below that it stands on."""
    f = case.floats
    for name, part in case.parts.items():
        yield f"{name}.wall_thickness", part.wall_thickness, "length", f"{name}.wall_thickness"
        for field, place, kind in (
            ("pressure", at.S_PRESSURE, "pressure"),
            ("temperature", at.S_TEMPERATURE, "temperature"),
        ):
            yield f"{name}.{field}", f[case.space_at(name, place)], kind, f"{name}.{field}"
        if isinstance(part, Vessel):
            yield f"{name}.volume", part.volume, "volume", f"{name}.volume"
        yield f"{name}.strength_factor", 1.0, "number", f"{name}.strength_factor"
        share = case.fire.share(part.id) if part.id in case.fire.reaches else 0.0
        if share > 0.0:
            key = f"{name}.exposed_share"
            yield f"{case.fire.id}.exposed_share.{name}", share, "share", key
    for name in case.bodies:
        plug = case.plug_records[name]
        yield f"{name}.bore", plug.bore, "length", f"{name}.bore"
        for field, (place, kind) in _PLUG_PLACES.items():
            if field != "outlet_length" or plug.outlet == "piped":
                yield f"{name}.{field}", f[case.plug_at(name, place)], kind, f"{name}.{field}"
        liquidus = f[case.plug_at(name, at.P_LIQUIDUS)]
        yield f"{name}.melting", liquidus, "temperature", f"{name}.melting_shift"
        yield f"{name}.works", float(name not in case.uncredited), "share", f"{name}.melting_shift"
    yield from _devices(case)
    for key, (present, kind) in present_line_inputs(case).items():
        if key != "ambient_pressure":
            yield key, present, kind, key
    fire = case.fire
    yield f"{fire.id}.emissivity", fire.emissivity, "number", "fire.emissivity"
    yield f"{fire.id}.convection", fire.convection, "heat_transfer", "fire.convection"
    yield f"{fire.id}.flux_factor", 1.0, "number", "fire.emissivity"
    key = "fire.temperature_shift"
    yield f"{fire.id}.temperature_shift", 0.0, "temperature_difference", key
    if fire.flux is not None:
        yield f"{fire.id}.flux", fire.flux, "flux", "fire.flux"
    if fire.temperature is not None:
        yield f"{fire.id}.temperature", fire.temperature, "temperature", "fire.temperature"
    yield f"{fire.id}.duration", fire.duration, "time", "fire.duration"


def _devices(case: FireCase) -> Iterator[tuple[str, float, str, str]]:
    f, i = case.floats, case.integers
    ambient = f[at.F_AMBIENT_P]
    for number, name in enumerate(case.relief_valves):
        row = int(i[at.I_F_RELIEF]) + number * at.R_SIZE
        set_pressure = f[row + at.R_SET] + ambient
        yield f"{name}.set_pressure", set_pressure, "pressure", f"{name}.set_pressure"
        key = f"{name}.discharge_coefficient"
        yield key, f[row + at.R_COEFFICIENT], "number", key
    for number, name in enumerate(case.discs):
        row = int(i[at.I_F_DISC]) + number * at.D_SIZE
        bursts = f[row + at.D_BURST] + ambient
        yield f"{name}.burst_pressure", bursts, "pressure", f"{name}.burst_pressure"
        key = f"{name}.discharge_coefficient"
        yield key, f[row + at.D_COEFFICIENT], "number", key


def kernel_inputs(case: FireCase, values: Mapping[str, Array]) -> dict[str, Array]:
    """Values by the names of ``variable_inputs`` as values by the names of the batch.

    Parameters
    ----------
    case
        The run as stated; every plug with an alloy may open in it.
    values
        One array for each input, all of one length. A plug without credit stays shut where its
        ``works`` is not among them.

    Returns
    -------
    dict
        Of the same length.
    """
    count = len(next(iter(values.values())))
    out: dict[str, Array] = {}
    fire = case.fire
    shift: dict[str, Array] = {
        name: np.full(count, NEVER) for name in case.bodies if name in case.uncredited
    }
    for key, array in values.items():
        part, _, field = key.partition(".")
        if part == fire.id and field.startswith("exposed_share."):
            out[f"{field.split('.', 1)[1]}.exposed_share"] = array
        elif part == fire.id:
            out[f"fire.{field}"] = array
        elif field == "works":
            shift[part] = np.where(array > 0.5, 0.0, NEVER)
        elif field != "melting":
            out[key] = array
    for key, array in values.items():
        part, _, field = key.partition(".")
        if field == "melting" and part in case.bodies:
            present = case.floats[case.plug_at(part, at.P_LIQUIDUS)]
            shift[part] = shift.get(part, np.zeros(count)) + (array - present)
    _follow_bore(case, out)
    out.update({f"{name}.melting_shift": array for name, array in shift.items()})
    _scale_flux(case, out)
    return out


def _follow_bore(case: FireCase, out: dict[str, Array]) -> None:
    """Contact and area that the file leaves out grow with a varied bore, times their own change."""
    for name in case.bodies:
        bores = out.get(f"{name}.bore")
        plug = case.plug_records[name]
        for field, place in (
            ("contact_conductance", at.P_CONTACT),
            ("exposed_area", at.P_FLAME_AREA),
        ):
            key = f"{name}.{field}"
            if bores is None or key not in out or getattr(plug, field) is not None:
                continue
            present = plug_body(plug, "clean").row()[place]
            grown = plug_body_rows(plug, "clean", {"bore": bores})[:, place]
            out[key] = out[key] * (grown / present)


def _scale_flux(case: FireCase, out: dict[str, Array]) -> None:
    """Put a factor on the net flux into what it is proportional to."""
    factor = out.pop("fire.flux_factor", None)
    if factor is None:
        return
    fire = case.fire
    if fire.curve == "flux":
        out["fire.flux"] = factor * out.get("fire.flux", np.array(fire.flux or 0.0))
        return
    # Net flux = emissivity x radiation + convection x difference, for the wall and for plugs.
    out["fire.emissivity"] = factor * out.get("fire.emissivity", np.array(fire.emissivity))
    out["fire.convection"] = factor * out.get("fire.convection", np.array(fire.convection))
    for name in case.bodies:
        out[f"{name}.emissivity"] = factor * case.floats[case.plug_at(name, at.P_EMISSIVITY)]
