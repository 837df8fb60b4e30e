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


def come_apart(joints: str) -> bool:
    """Whether a line parts or bursts once its joints let go; else they only leak.

    Parameters
    ----------
    joints : str
        Kind of joints, in the words of the system file.

    Source
    ------
    Judgement, resources/joints.toml.
    """
    return bool(read_toml("joints.toml")[joints].get("comes_apart", False))
