"""Fusible metals: where they begin and finish melting, and the heat it takes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from airrisk.quantities import ZERO_CELSIUS
from airrisk.tables import read_toml


class UnknownAlloy(KeyError):
    """No fusible metal has this key; ``known`` are the keys there are."""

    def __init__(self, key: str, known: tuple[str, ...]) -> None:
        self.key = key
        self.known = known
        super().__init__(key)

    def __str__(self) -> str:
        return f"unknown alloy {self.key!r}; known are {', '.join(self.known)}"

    def __reduce__(self):
        return type(self), (self.key, self.known)


@dataclass(frozen=True)
class Alloy:
    """One fusible metal; a plug yields between solidus and liquidus."""

    key: str
    name: str
    solidus: float  # K
    liquidus: float  # K
    latent_heat: float  # J/kg
    density: float  # kg/m3
    specific_heat: float  # J/kg/K
    source: str
    standing: str  # read | memory | judgement, of the temperatures
    usual: int | None = None  # place among those that the trade asks for; common practice


@cache
def alloys() -> tuple[Alloy, ...]:
    """All fusible metals, lowest liquidus first."""
    data = read_toml("alloys.toml")
    elements = data["elements"]
    found = []
    for key, row in data["alloy"].items():
        total = sum(row["parts"].values())
        shares = {element: amount / total for element, amount in row["parts"].items()}
        latent = sum(share * elements[element][0] for element, share in shares.items())
        room = sum(share / elements[element][1] for element, share in shares.items())
        heat = sum(share * elements[element][2] for element, share in shares.items())
        found.append(
            Alloy(
                key=key,
                name=row["name"],
                solidus=row["solidus_c"] + ZERO_CELSIUS,
                liquidus=row["liquidus_c"] + ZERO_CELSIUS,
                latent_heat=latent * 1e3,
                density=1.0 / room,
                specific_heat=heat,
                source=row["source"],
                standing=row["standing"],
                usual=row.get("usual"),
            )
        )
    return tuple(sorted(found, key=lambda metal: (metal.liquidus, metal.key)))


@cache
def _by_key() -> dict[str, Alloy]:
    return {metal.key.casefold(): metal for metal in alloys()}


def alloy(key: str) -> Alloy:
    """The fusible metal with this key, compared without case.

    Parameters
    ----------
    key : str
        "tin", "indium", "lead", "zinc" or a composition such as "Bi58Sn42".

    Raises
    ------
    UnknownAlloy
        No fusible metal has the key.
    """
    try:
        return _by_key()[key.casefold()]
    except KeyError:
        raise UnknownAlloy(key, tuple(metal.key for metal in alloys())) from None
