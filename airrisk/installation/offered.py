"""Values that the program filled in: offered until somebody confirms them or types another.

The keys stand in ``offered`` of the part or device. A device with an offered field gets no
credit; a vessel or line with one is computed, but its verdict is never sure.
"""

from __future__ import annotations

from collections.abc import Iterable

from airrisk.installation.model import Installation


def offered_fields(
    installation: Installation, names: Iterable[str] | None = None
) -> dict[str, tuple[str, ...]]:
    """Parts and devices that hold offered values, with the keys of these; the others are left out.

    Parameters
    ----------
    installation : Installation
        The system file, read.
    names : iterable of str, optional
        Ids to look at; left out: all.
    """
    records = (*installation.compressors, *installation.holders(), *installation.devices())
    wanted = None if names is None else {name.casefold() for name in names}
    return {
        one.id: one.offered
        for one in records
        if one.offered and (wanted is None or one.id.casefold() in wanted)
    }
