"""The tabulated potential of air as polynomial cells, read from the data file."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from airrisk.physics.air_kernel import AirArrays
from airrisk.tables import load_arrays

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class AirTable:
    """The potential as cell coefficients; see ``air_kernel`` for layout and equations.

    All arrays are contiguous float64: ``x_axis`` (ln T), ``rho_axis`` [kg/m3],
    ``coefficients`` (cells in ln T, cells in density, 36), NaN in cells that may condense.
    """

    x_axis: Array
    rho_axis: Array
    coefficients: Array
    gas_constant: float
    molar_mass: float
    coolprop_version: str

    def arrays(self) -> AirArrays:
        """First argument of ``air_kernel.evaluate``."""
        return AirArrays(self.coefficients, self.x_axis, self.rho_axis, self.gas_constant)


def _quintic(ends: tuple[Array, ...]) -> Array:
    """Polynomial on [0, 1] from value, slope, curvature at 0 and at 1, on a new first axis.

    Written out: a product with a small matrix would start the threads of the linear algebra.
    """
    f0, d0, e0, f1, d1, e1 = ends
    rise = f1 - f0 - d0 - 0.5 * e0
    slope = d1 - d0 - e0
    bend = 0.5 * (e1 - e0)
    return np.stack(
        (
            f0,
            d0,
            0.5 * e0,
            10.0 * rise - 4.0 * slope + bend,
            -15.0 * rise + 7.0 * slope - 2.0 * bend,
            6.0 * rise - 3.0 * slope + bend,
        )
    )


def cell_coefficients(x_axis: Array, rho_axis: Array, nodes: Array) -> Array:
    """Biquintic coefficients of every cell from nodal derivatives.

    Parameters
    ----------
    x_axis : array
        ln T at the nodes.
    rho_axis : array
        Density at the nodes [kg/m3].
    nodes : array
        Derivatives F_(mn) at index 3 m + n of the last axis.

    Returns
    -------
    array
        Coefficient of X^a Y^b at index 6 a + b of the last axis.
    """
    n_x, n_rho = x_axis.size, rho_axis.size
    step = (x_axis[-1] - x_axis[0]) / (n_x - 1)
    scale = np.array([1.0, step, step * step])[:, None, None, None]
    f = nodes.reshape(n_x, n_rho, 3, 3).transpose(2, 3, 0, 1) * scale  # (m, n, x, rho)
    width = np.diff(rho_axis)
    left = [f[:, n, :, :-1] * width**n for n in range(3)]
    right = [f[:, n, :, 1:] * width**n for n in range(3)]
    along = _quintic((*left, *right))  # (b, m, x, cells)
    cells = _quintic(
        (*(along[:, m, :-1] for m in range(3)), *(along[:, m, 1:] for m in range(3)))
    )  # (a, b, cells, cells)
    return np.ascontiguousarray(cells.transpose(2, 3, 0, 1)).reshape(n_x - 1, n_rho - 1, 36)


@cache
def air_table() -> AirTable:
    """The table of air, read once.

    Returns
    -------
    AirTable
        Arrays for the functions of this module and for compiled code.

    Source
    ------
    Lemmon et al. (2000), J. Phys. Chem. Ref. Data 29, 331, through CoolProp.
    """
    stored = load_arrays("air_table.npz")
    coefficients = cell_coefficients(stored["x_axis"], stored["rho_axis"], stored["nodes"])
    coefficients[~stored["inside"]] = np.nan
    return AirTable(
        x_axis=stored["x_axis"],
        rho_axis=stored["rho_axis"],
        coefficients=coefficients,
        gas_constant=float(stored["gas_constant"]),
        molar_mass=float(stored["molar_mass"]),
        coolprop_version=str(stored["coolprop_version"]),
    )
