"""Make resources/burst_table.npz: ``python -m airrisk.physics.build_burst_table``.

Computes one spherical burst for each pressure and temperature ratio of the table (minutes on one
core) and a convergence study beside it, resources/burst_table_convergence.csv.
"""

from __future__ import annotations

import argparse
import csv
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from airrisk.physics.burst_wave import Array, burst_wave, table_axes, vessel_radius
from airrisk.physics.shock_tube import starting_overpressure
from airrisk.tables import resource_path

FARTHEST = 10.0
GAUGES = 41
CELL = 0.0015
CONVERGENCE_CASES = ((2.0, 1.0), (20.0, 1.0), (20.0, 2.8), (500.0, 1.0))
CONVERGENCE_CELLS = (0.012, 0.006, 0.003, 0.0015)
CONVERGENCE_RADII = np.array([0.6, 1.0, 2.0, 4.0, 8.0])


def burst_arrays(
    cell: float = CELL, report: Callable[[int, int, float, float], None] | None = None
) -> dict[str, Array]:
    """Compute the table.

    Parameters
    ----------
    cell : largest cell width, R*
    report : called before each burst with its number, the total, p1/p0 and T1/T0

    Returns
    -------
    Arrays of the file: axes, R* of the vessel's surface, natural logarithms of Ps/p0, i* and the
    arrival time in t a0 (p0/E)^(1/3) over equal steps of ln R* from surface to ``farthest``.

    Source: own solution of the Euler equations; the first point is the exact shock tube, the
    second (an eighth of the radius farther) at most halfway to the third.
    """
    pressures, temperatures = table_axes()
    shape = (pressures.size, temperatures.size, GAUGES)
    peak, impulse, arrival = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    worst_energy = 0.0
    for i, p in enumerate(pressures):
        for j, t in enumerate(temperatures):
            if report:
                report(i * temperatures.size + j, shape[0] * shape[1], p, t)
            wave = burst_wave(p, t, cell=cell, farthest=FARTHEST, gauges=GAUGES)
            start = starting_overpressure(p, t)
            peak[i, j] = np.log(wave.overpressure)
            peak[i, j, 0] = np.log(start)
            # a strong cold vessel's own air follows the shock within a few cells there
            peak[i, j, 1] = min(peak[i, j, 1], 0.5 * (peak[i, j, 0] + peak[i, j, 2]))
            impulse[i, j] = np.log(wave.impulse)
            arrival[i, j] = wave.arrival
            worst_energy = max(worst_energy, wave.energy_error)
    return {
        "pressure_ratio": pressures,
        "temperature_ratio": temperatures,
        "surface": np.array([vessel_radius(p) for p in pressures]),
        "farthest": np.array(FARTHEST),
        "log_overpressure": peak,
        "log_impulse": impulse,
        "arrival": arrival,
        "cell": np.array(cell),
        "worst_energy_error": np.array(worst_energy),
        "format": np.array(1),
    }


def convergence_rows() -> list[dict[str, float]]:
    """Peak and impulse of a few bursts on ever finer grids."""
    rows = []
    for p, t in CONVERGENCE_CASES:
        for cell in CONVERGENCE_CELLS:
            wave = burst_wave(p, t, cell=cell, radii=CONVERGENCE_RADII)
            for k, radius in enumerate(CONVERGENCE_RADII):
                rows.append(
                    {
                        "pressure_ratio": p,
                        "temperature_ratio": t,
                        "cell": cell,
                        "radius": float(radius),
                        "overpressure": round(float(wave.overpressure[k]), 6),
                        "impulse": round(float(wave.impulse[k]), 7),
                    }
                )
    return rows


def main() -> None:
    """Build the table and the convergence study and write both."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=None, help="folder to write to")
    parser.add_argument("--cell", type=float, default=CELL, help="largest cell width, R*")
    options = parser.parse_args()
    folder = options.out or resource_path("harm.toml").parent
    begin = time.monotonic()

    def report(done: int, total: int, p: float, t: float) -> None:
        left = (time.monotonic() - begin) / done * (total - done) if done else float("nan")
        print(f"{done + 1}/{total}  p1/p0 {p:g}  T1/T0 {t:g}  {left:.0f} s left", flush=True)

    np.savez_compressed(
        folder / "burst_table.npz",
        **burst_arrays(options.cell, report),  # type: ignore[arg-type]
    )
    rows = convergence_rows()
    with (folder / "burst_table_convergence.csv").open("w", newline="", encoding="utf-8") as file:
        file.write(
            "# spherical burst of air, free air: Ps/p0 and i* at R* (radius) on grids of largest\n"
            "# cell width (cell, in R*); the table uses 0.0015\n"
        )
        writer = csv.DictWriter(file, rows[0], lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    print(f"done in {time.monotonic() - begin:.0f} s")


if __name__ == "__main__":
    main()
