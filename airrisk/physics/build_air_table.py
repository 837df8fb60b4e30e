"""Make resources/air_table.npz from the reference equation for air.

Run as ``python -m airrisk.physics.build_air_table``. The file holds, at each node of
density and ln T, the potential F of ``air_kernel`` and its derivatives up to the second in
each direction, all analytic; ``inside`` marks the cells clear of the two-phase region.

Source: Lemmon, Jacobsen, Penoncello and Friend (2000), J. Phys. Chem. Ref. Data 29, 331, in
the implementation of CoolProp, whose version is stamped into the file.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from airrisk.physics.air_kernel import STRETCH

LOWEST_TEMPERATURE = 80.0  # K
HIGHEST_TEMPERATURE = 1600.0
LARGEST_DENSITY = 600.0  # kg/m3
TEMPERATURE_NODES = 151
DENSITY_NODES = 81
TINY_DENSITY = 1e-9  # stands for zero in the equation, which takes logarithms


def node_axes() -> tuple[np.ndarray, np.ndarray]:
    """Axes of the table.

    Returns
    -------
    tuple
        ln T (T in K) and density [kg/m3] at the nodes.
    """
    x = np.linspace(np.log(LOWEST_TEMPERATURE), np.log(HIGHEST_TEMPERATURE), TEMPERATURE_NODES)
    s = np.linspace(0.0, 1.0, DENSITY_NODES)
    return x, LARGEST_DENSITY * (STRETCH * s + (1.0 - STRETCH) * s * s)


def potential_at(rho: float, temperature: float, state=None) -> np.ndarray:
    """The potential F and its derivatives by the reference equation.

    Parameters
    ----------
    rho : float
        Density [kg/m3].
    temperature : float
        Temperature [K].
    state : object
        Equation-of-state object to reuse.

    Returns
    -------
    array
        F_(mn) at index 3 m + n, m-th derivative in ln T, n-th in density.
    """
    import CoolProp.CoolProp as CP

    if state is None:
        state = reference_state()
    state.update(CP.DmassT_INPUTS, max(rho, TINY_DENSITY), temperature)
    tau = state.T_reducing() / temperature
    d = 1.0 / state.rhomass_reducing()
    delta = max(rho, TINY_DENSITY) * d
    # derivatives in tau of the potential and of its density derivatives
    values = (
        (
            state.alphar() + state.alpha0() - np.log(delta) + np.log(d),
            state.dalphar_dTau() + state.dalpha0_dTau(),
            state.d2alphar_dTau2() + state.d2alpha0_dTau2(),
        ),
        (
            state.dalphar_dDelta() * d,
            state.d2alphar_dDelta_dTau() * d,
            state.d3alphar_dDelta_dTau2() * d,
        ),
        (
            state.d2alphar_dDelta2() * d * d,
            state.d3alphar_dDelta2_dTau() * d * d,
            state.d4alphar_dDelta2_dTau2() * d * d,
        ),
    )
    result = np.empty(9)
    for n, (value, slope, bend) in enumerate(values):
        result[n] = value
        result[3 + n] = -tau * slope  # d/d ln T = -tau d/dtau
        result[6 + n] = tau * tau * bend + tau * slope
    return result


def reference_state():
    """Equation-of-state object kept on the single-phase surface, also inside the dome."""
    import CoolProp.CoolProp as CP

    state = CP.AbstractState("HEOS", "Air")
    state.specify_phase(CP.iphase_gas)
    return state


def cells_inside(x: np.ndarray, rho: np.ndarray) -> np.ndarray:
    """Cells that lie wholly in the single-phase region.

    Parameters
    ----------
    x : array
        ln T at the nodes.
    rho : array
        Density at the nodes [kg/m3].

    Returns
    -------
    array
        True where the cell may be used, one less than nodes each way.
    """
    import CoolProp.CoolProp as CP

    state = CP.AbstractState("HEOS", "Air")
    highest = 132.6  # K, a little above the maximum of the dome of the pseudo-pure equation
    inside = np.ones((x.size - 1, rho.size - 1), dtype=bool)
    for i in range(x.size - 1):
        low = float(np.exp(x[i]))
        if low >= highest:
            break
        state.update(CP.QT_INPUTS, 1.0, low)
        dew = state.rhomass()
        state.update(CP.QT_INPUTS, 0.0, low)
        bubble = state.rhomass()
        inside[i] = (rho[1:] < dew) | (rho[:-1] > bubble)
    return inside


def build() -> dict[str, np.ndarray]:
    """All arrays of the table file."""
    import CoolProp.CoolProp as CP

    x, rho = node_axes()
    state = reference_state()
    nodes = np.empty((x.size, rho.size, 9))
    for i, temperature in enumerate(np.exp(x)):
        for j, density in enumerate(rho):
            nodes[i, j] = potential_at(float(density), float(temperature), state)
    return {
        "x_axis": x,
        "rho_axis": rho,
        "nodes": nodes,
        "inside": cells_inside(x, rho),
        "gas_constant": np.array(state.gas_constant() / state.molar_mass()),
        "molar_mass": np.array(state.molar_mass()),
        "coolprop_version": np.array(CP.get_global_param_string("version")),
    }


def main() -> None:
    """Write the table into resources/."""
    target = Path(__file__).resolve().parents[2] / "resources" / "air_table.npz"
    np.savez(target, allow_pickle=False, **build())
    print(f"{target.name}: {target.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
