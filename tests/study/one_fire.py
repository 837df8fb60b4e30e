"""The fires of small installations: the one that the file states, and those that are assumed."""

from __future__ import annotations

from airrisk.installation.model import Installation
from airrisk.study.exposures import Exposure, FireClass, exposures


def of_class(whole: Installation, fire_class: FireClass) -> list[Exposure]:
    """The fires of one class."""
    return [one for one in exposures(whole) if one.fire_class == fire_class]


def stated(whole: Installation) -> Exposure:
    """The only fire that the file states, against the only section that it reaches."""
    (one,) = of_class(whole, "stated")
    return one
