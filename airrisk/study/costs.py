"""What changes cost, relative to each other; a person can give costs of their own."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from typing import Any

from airrisk.messages import said
from airrisk.tables import read_toml

TABLE = "costs.toml"
MOST = 1e6


class CostError(ValueError):
    """Costs that nobody can mean; the message names the key and what would be valid."""


def usual_costs() -> dict[str, float]:
    """The program's own costs by kind of change; judgement."""
    return {key: float(value) for key, value in read_toml(TABLE)["cost"].items()}


def costs_from(text: str) -> dict[str, float]:
    """Costs out of a file of a person's own; what it leaves out counts as usual.

    Parameters
    ----------
    text
        TOML with a table ``[cost]``.

    Raises
    ------
    CostError
        It is not TOML, or a key or value in it is not valid.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise CostError(said("costs-not-toml", error=str(error))) from None
    table = raw.get("cost")
    if not isinstance(table, Mapping) or set(raw) != {"cost"}:
        raise CostError(said("costs-one-table"))
    usual = usual_costs()
    for key, value in table.items():
        if key not in usual:
            raise CostError(said("costs-no-such-key", key=key, keys=", ".join(usual)))
        if not _is_cost(value):
            raise CostError(said("costs-no-number", key=key, value=str(value)))
    return usual | {key: float(value) for key, value in table.items()}


def _is_cost(value: Any) -> bool:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return False
    return math.isfinite(value) and 0.0 < value <= MOST
