"""Make resources/flight_table.npz: ``python -m airrisk.physics.build_flight_table``."""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np

from airrisk.physics.flight import ELEVATION_GRID, LAUNCH_GRID, LIFT_GRID, Array, fly
from airrisk.tables import resource_path


def flight_arrays(step: float = 0.01) -> dict[str, Array]:
    """Integrate every grid point of the flight table.

    Parameters
    ----------
    step : path increment of the integration in drag lengths

    Returns
    -------
    Arrays of the file; ranges are stored as R*/u*, which is smooth towards small u*.
    """
    u = LAUNCH_GRID[:, None, None]
    result = fly(u, ELEVATION_GRID[None, :, None], LIFT_GRID[None, None, :], step)
    return {
        "launch": LAUNCH_GRID,
        "elevation_rad": ELEVATION_GRID,
        "lift_to_drag": LIFT_GRID,
        "range_over_launch": result.range_star / u,
        "speed_ratio": result.speed_ratio,
        "step": np.array(step),
    }


def main() -> None:
    """Build the table and write it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=None, help="file to write")
    out = parser.parse_args().out or resource_path("harm.toml").with_name("flight_table.npz")
    np.savez_compressed(out, **flight_arrays())  # type: ignore[arg-type]
    print(f"wrote {out}")


if __name__ == "__main__":
    main()
