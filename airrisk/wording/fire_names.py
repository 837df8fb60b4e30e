"""Names of fires for people, before and after they have been run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from airrisk.wording import labels
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.exposures import Exposure
    from airrisk.study.records import FireClass, FireRecord


def stated_name(fire: FireRecord) -> str:
    """A fire of the file, or a pool of it that burns, with its kind: "fire F1", "pool P1"."""
    return labels.named("fire source" if fire.is_pool else "fire", [fire.id])


def class_title(fire_class: FireClass, fire: str, on: str, is_pool: bool = False) -> str:
    """A fire as a heading: "Fire F1", "Fire beside vessel R1".

    Parameters
    ----------
    fire_class
        Class of the fire.
    fire
        Its id; of a stated one.
    on
        The part with its kind that an assumed fire heats.
    is_pool
        Whether what is stated is a pool that burns.
    """
    return {
        "stated": (tr("Pool {id} burns") if is_pool else tr("Fire {id}")).format(id=fire),
        "whole": tr("All in flames"),
        "beside": tr("Fire beside {part}").format(part=on),
        "spot": tr("Small spot on {part}").format(part=on),
    }[fire_class]


def exposure_title(exposure: Exposure) -> str:
    """A fire that has not been run yet, as a heading."""
    part = exposure.fire.reaches[0]
    kind = "vessel" if part in exposure.section.vessels else "line"
    return class_title(
        exposure.fire_class, exposure.fire.id, labels.named(kind, [part]), bool(exposure.patches)
    )
