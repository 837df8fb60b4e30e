"""Make resources/flow_table.npz: real-gas critical flow of air by stagnation state.

Run as ``python -m airrisk.physics.build_flow_table`` after the air table. The throat state
lies on the isentrope where the velocity from the enthalpy equals the speed of sound. Where
the throat is colder than the dew point the surface of the gas is followed (condensation has
no time in a throat); where it would be unstable the table is empty.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from airrisk.physics.air import _evaluate
from airrisk.physics.air_surface import cell_coefficients
from airrisk.tables import load_arrays

EVERY = 2  # nodes of the air table per node of this one


def _sound_squared(state: tuple[np.ndarray, ...], rho: np.ndarray, t: np.ndarray) -> np.ndarray:
    _, _, cv, dpdt, _, _, dpdrho = state
    return dpdrho + t * (dpdt / rho) ** 2 / cv


def critical_flow(rho0: np.ndarray, t0: np.ndarray, surface: np.ndarray):
    """Critical mass flux and throat pressure of stagnation states.

    Parameters
    ----------
    rho0 : array
        Stagnation density [kg/m3].
    t0 : array
        Stagnation temperature [K].
    surface : array
        Coefficients of the potential, with the cells inside the dome.

    Returns
    -------
    tuple
        G*/sqrt(p0 rho0) and throat over stagnation pressure; NaN where there is none.
    """
    with np.errstate(all="ignore"):
        start = _evaluate(rho0, t0, surface)
        p0, h0, s0 = start[0], start[4], start[5]

        def on_isentrope(rho: np.ndarray, t: np.ndarray) -> tuple[np.ndarray, tuple]:
            for _ in range(12):
                state = _evaluate(rho, t, surface)
                t = t * np.exp(np.clip((s0 - state[5]) / state[2], -0.2, 0.2))
            return t, _evaluate(rho, t, surface)

        low = np.full_like(rho0, np.log(0.45))
        high = np.zeros_like(rho0)
        t = t0.copy()
        for _ in range(60):
            middle = 0.5 * (low + high)
            rho = rho0 * np.exp(middle)
            t, state = on_isentrope(rho, np.where(np.isfinite(t), t, t0))
            excess = 2.0 * (h0 - state[4]) - _sound_squared(state, rho, t)
            supersonic = excess > 0.0
            low = np.where(supersonic, middle, low)
            high = np.where(supersonic, high, middle)
        velocity = np.sqrt(2.0 * (h0 - state[4]))
        stable = (state[6] > 0.0) & (state[2] > 0.0) & (start[6] > 0.0) & (p0 > 0.0)
        found = stable & (np.abs(excess) < 1e-6 * velocity**2)
        flux = np.where(found, rho * velocity / np.sqrt(p0 * rho0), np.nan)
        ratio = np.where(found, state[0] / p0, np.nan)
    return flux, ratio


def exponent_of(ratio: np.ndarray) -> np.ndarray:
    """Isentropic exponent with this critical pressure ratio.

    Parameters
    ----------
    ratio : array
        Critical pressure ratio.

    Returns
    -------
    array
        Exponent n above 1; NaN beyond 1.005 to 30.
    """
    low = np.full_like(ratio, 1.005)
    high = np.full_like(ratio, 30.0)
    with np.errstate(invalid="ignore"):
        for _ in range(70):
            n = 0.5 * (low + high)
            too_small = (2.0 / (n + 1.0)) ** (n / (n - 1.0)) > ratio
            low, high = np.where(too_small, n, low), np.where(too_small, high, n)
        reached = np.abs((2.0 / (n + 1.0)) ** (n / (n - 1.0)) - ratio) < 1e-9
    return np.where(reached, n, np.nan)


def build() -> dict[str, np.ndarray]:
    """All arrays of the table file."""
    stored = load_arrays("air_table.npz")
    surface = cell_coefficients(stored["x_axis"], stored["rho_axis"], stored["nodes"])
    x = stored["x_axis"][::EVERY]
    rho = stored["rho_axis"][::EVERY]
    at_rho = rho.copy()
    at_rho[0] = 1e-6  # the limit of a thin gas
    grid_x, grid_rho = np.meshgrid(x, at_rho, indexing="ij")
    flux, ratio = critical_flow(grid_rho, np.exp(grid_x), surface)
    return {
        "x_axis": x,
        "rho_axis": rho,
        "critical_flux": flux,
        "exponent": exponent_of(ratio),
        "coolprop_version": stored["coolprop_version"],
    }


def main() -> None:
    """Write the table into resources/."""
    target = Path(__file__).resolve().parents[2] / "resources" / "flow_table.npz"
    np.savez(target, allow_pickle=False, **build())
    print(f"{target.name}: {target.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
