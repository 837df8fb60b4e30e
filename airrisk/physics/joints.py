"""At which temperature the joints of a line let go."""

from __future__ import annotations

from functools import cache

from airrisk.quantities import ZERO_CELSIUS
from airrisk.tables import read_toml


@cache
def lets_go(joints: str) -> float | None:
    """Wall temperature at which joints begin to leak.

    Parameters
    ----------
    joints : str
        Kind of joints, in the words of the system file.

    Returns
    -------
    float or None
        Temperature [K]; None: they hold as long as the pipe does.

    Raises
    ------
    KeyError
        There is no such kind.

    Source
    ------
    resources/joints.toml, each with source and standing; mostly judgement.
    """
    celsius = read_toml("joints.toml")[joints].get("lets_go_c")
    return None if celsius is None else float(celsius) + ZERO_CELSIUS
