"""Alloys named by their metals in words or signs, as people write them: lead-tin, Sn/Pb."""

from __future__ import annotations

import re
from collections.abc import Iterable

METALS = {
    "tin": "sn", "lead": "pb", "bismuth": "bi", "indium": "in", "cadmium": "cd", "silver": "ag",
    "copper": "cu", "zinc": "zn", "antimony": "sb",
}  # fmt: skip
_SIGN = re.compile(r"[A-Z][a-z]")


def of_the_same_metals(name: str, known: Iterable[str]) -> tuple[str, ...]:
    """The known alloys of just those two or more metals that a name speaks of.

    Parameters
    ----------
    name : str
        As a person wrote it.
    known : iterable of str
        Names of alloys made of signs and percentages, and of other words.
    """
    wanted = _metals_of(name)
    if len(wanted) < 2:
        return ()
    return tuple(alloy for alloy in known if _metals_of(alloy) == wanted)


def _metals_of(name: str) -> frozenset[str]:
    words = {METALS[word] for word in re.findall(r"[a-z]+", name.casefold()) if word in METALS}
    signs = {sign.casefold() for sign in _SIGN.findall(name)} & set(METALS.values())
    return frozenset(words or signs)
