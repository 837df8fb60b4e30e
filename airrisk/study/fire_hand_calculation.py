"""One fire at single moments as formulas with values put in, for a check with a calculator."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from airrisk.installation.model import Device, Installation, Line, Plug, Vessel
from airrisk.installation.start import start_state
from airrisk.physics import air, api521, flow, metal
from airrisk.physics.ideal_gas import EXPONENT
from airrisk.study.discharges import opening_area, outlet_flow_and_force
from airrisk.study.hand_calculation import burst_traces
from airrisk.study.records import FireRecord, Trace


@dataclass(frozen=True)
class HighestUse:
    """The moment of a part's highest strength use."""

    time_s: float
    pressure_pa: float
    wall_temperature_k: float  # of the hottest zone
    traces: tuple[Trace, ...]


def strength_use_at_its_highest(
    installation: Installation, record: FireRecord, part: Vessel | Line
) -> HighestUse | None:
    """The moment of a part's highest strength use, and how it comes about.

    Parameters
    ----------
    installation
        Gives the strength basis, the burst formula and the atmosphere.
    record
        The fire, with its curves.
    part
        A vessel or line of its section.

    Returns
    -------
    HighestUse or None
        None without curves or without pressure above the atmosphere.
    """
    if record.curves is None or part.id not in record.curves.parts:
        return None
    own = record.curves.parts[part.id]
    row = max(range(len(own.strength_use)), key=own.strength_use.__getitem__)
    ambient, pressure = installation.site.ambient_pressure, own.pressure_pa[row]
    if pressure <= ambient:
        return None
    hottest = max(own.hot_wall_temperature_k[row], own.cold_wall_temperature_k[row])
    basis = metal.resolve_basis(part.material, installation.choices.strength_basis)
    steps = tuple(burst_traces(installation, part, basis, hottest))
    least = min(step.result for step in steps if step.key.startswith("burst_"))
    if least <= 0.0:
        return None
    inputs = {"p": pressure, "p_0": ambient, "p_b": least}
    use = Trace("strength_use", inputs, (pressure - ambient) / least)
    return HighestUse(record.curves.time_s[row], pressure, hottest, (*steps, use))


def state_when_opening(record: FireRecord, plug: Plug) -> tuple[float, float, float] | None:
    """When a plug opens in a fire, and the air behind it then.

    Parameters
    ----------
    record
        The fire, with its curves.
    plug
        On a part of its section.

    Returns
    -------
    tuple or None
        Time [s], pressure [Pa absolute], temperature [K]; None: it does not open.
    """
    times = [e.time_s for e in record.events if e.event == "plug opens" and e.part == plug.id]
    if not times or record.curves is None:
        return None
    own = next(
        (c for name, c in record.curves.parts.items() if name.casefold() == plug.on.casefold()),
        None,
    )
    if own is None:
        return None
    along = record.curves.time_s
    row = min(range(len(along)), key=lambda k: abs(along[k] - times[0]))
    return times[0], own.pressure_pa[row], own.gas_temperature_k[row]


def outflow_traces(
    device: Device, pressure: float, temperature: float, ambient: float
) -> Iterator[Trace]:
    """Choked flow out of an open device: ideal gas, real air, discharge coefficient, pipe.

    Parameters
    ----------
    device
        Plug, relief valve at full lift, or disc.
    pressure, temperature
        State of the air behind it [Pa absolute, K].
    ambient
        Pressure outside [Pa absolute].

    Returns
    -------
    iterator of Trace
        Empty where the flow does not choke.

    Raises
    ------
    AirRangeError, ArithmeticError
        The state is outside the tables; the flow through the outlet pipe was not found.
    """
    if ambient > pressure * flow.critical_pressure_ratio(pressure, temperature):
        return
    k = EXPONENT
    ideal = float(flow.ideal_mass_flux(pressure, temperature, 0.0, k))
    real = float(flow.mass_flux(pressure, temperature, ambient))
    inputs = {"p_t": pressure, "k": k, "R": air.GAS_CONSTANT, "T_t": temperature}
    yield Trace("ideal_critical_flux", inputs, ideal)
    yield Trace("real_flux", {"c": real / ideal, "G_i": ideal}, real)
    area, coefficient = opening_area(device), device.discharge_coefficient
    free = coefficient * area * real
    yield Trace("opening_flow", {"C_d": coefficient, "A": area, "G": real}, free)
    if isinstance(device, Plug) and device.outlet == "piped":
        rate, _ = outlet_flow_and_force(device, pressure, temperature, ambient)
        yield Trace("piped_flow", {"s_p": rate / free, "w_0": free}, rate)


def relief_inputs(
    installation: Installation, vessel: Vessel, exposed_area: float, coefficient: float
) -> dict[str, float]:
    """What the rule for gas-filled vessels takes, for a vessel in a fire.

    Parameters
    ----------
    installation
        Gives the atmosphere.
    vessel
        That is to be protected.
    exposed_area
        Of its surface in the fire [m2].
    coefficient
        Discharge coefficient of the opening.
    """
    ambient, design = installation.site.ambient_pressure, vessel.design_pressure
    pressure, temperature = start_state(installation, vessel)
    return {
        "normal_pressure": pressure,
        "normal_temperature": temperature,
        "relieving_pressure": max(ambient + 1.21 * (design - ambient), pressure),
        "exposed_area": exposed_area,
        "discharge_coefficient": coefficient,
        "wall_temperature": api521.CARBON_STEEL_WALL,
    }


def relieving_traces(
    installation: Installation, vessel: Vessel, inputs: Mapping[str, float]
) -> Iterator[Trace]:
    """How the relieving pressure comes about; nothing where the pressure at the start is higher."""
    ambient = installation.site.ambient_pressure
    values = {"p_0": ambient, "p_d": vessel.design_pressure}
    if ambient + 1.21 * (vessel.design_pressure - ambient) >= inputs["normal_pressure"]:
        yield Trace("api521_relieving", values, inputs["relieving_pressure"])


def relief_area_traces(inputs: Mapping[str, float]) -> Iterator[Trace]:
    """The relief area of a gas-filled vessel in a fire, step by step.

    Parameters
    ----------
    inputs
        ``api521_inputs`` of a bore search; without any, or where the rule gives no area,
        nothing comes.
    """
    if not inputs:
        return
    found = api521.gas_filled_relief(**inputs)
    if found.area is None or found.factor is None:
        return
    relieving = inputs["relieving_pressure"]
    state = {
        "T_n": inputs["normal_temperature"],
        "p_1": relieving,
        "p_n": inputs["normal_pressure"],
    }
    yield Trace("api521_gas_temperature", state, found.gas_temperature)
    coefficient = api521.gas_coefficient(EXPONENT)
    yield Trace("api521_coefficient", {"k": EXPONENT}, coefficient)
    values = {
        "C": coefficient,
        "K_d": inputs["discharge_coefficient"],
        "T_wl": inputs["wall_temperature"],
        "T_1": found.gas_temperature,
    }
    yield Trace("api521_factor", values, found.factor)
    sizes = {"F": found.factor, "A_w": inputs["exposed_area"], "p_1": relieving}
    yield Trace("api521_area", sizes, found.area)
