"""What the fields of a place with people say about each other."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from airrisk.messages import said

if TYPE_CHECKING:
    from airrisk.installation.items import Item

Report = Callable[..., None]
RING = ("distance", "from")


def people_places(items: Mapping[str, list[Item]], report: Report) -> None:
    """Report places with people that stand nowhere, or are told twice.

    Parameters
    ----------
    items : mapping
        The tables of the file by kind; values that could not be read are missing.
    report : callable
        Called as ``report(item, key, message, valid)`` for each mistake.
    """
    for item in items["people"]:
        if not item.values:
            continue
        given = [key for key in RING if key in item.raw]
        if "at" in item.raw:
            for key in given:
                report(item, key, said("place-given-too"), said("one-of-the-two"))
        elif not given:
            report(item, "at", said("place-missing"), said("place-or-distance"))
        elif len(given) == 1:
            missing = next(key for key in RING if key not in given)
            example = '"25 m"' if missing == "distance" else said("id-of-one-part")
            report(item, missing, said("missing-beside", other=given[0]), example)
