"""Names of fires for people, before and after they have been run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from airrisk.messages import Texts
from airrisk.wording import labels
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.exposures import Exposure
    from airrisk.study.records import Burning, FireClass, FireRecord


def stated_name(fire: FireRecord) -> str:
    """A fire of the file, or a source of it, with its kind: "fire F1", "pool P1"."""
    return labels.named(fire.source_kind or "fire", [fire.id])


# A source of fire that burns, as a heading and as the beginning of a sentence.
_BURNS: Texts[dict[str, str]] = {
    "pool": "Pool {id} burns", "jet": "Jet {id} burns", "goods": "Stack {id} burns",
    "room": "Fire in room {id}",
}  # fmt: skip
_BURNING: Texts[dict[str, str]] = {
    "pool": "With pool {id} burning", "jet": "With jet {id} burning",
    "goods": "With stack {id} burning", "room": "With a fire in room {id}",
}  # fmt: skip


def stated_lead(fire: FireRecord) -> str:
    """A stated fire as the beginning of a sentence."""
    pattern = tr(_BURNING[fire.source_kind]) if fire.source_kind else tr("In fire {id}")
    return pattern.format(id=fire.id)


def class_title(
    fire_class: FireClass, fire: str, on: str, source_kind: Burning | None = None
) -> str:
    """A fire as a heading: "Fire F1", "Fire beside vessel R1".

    Parameters
    ----------
    fire_class
        Class of the fire.
    fire
        Its id; of a stated one.
    on
        The part with its kind that an assumed fire heats.
    source_kind
        What kind of source burns, if what is stated is one.
    """
    return {
        "stated": (tr(_BURNS[source_kind]) if source_kind else tr("Fire {id}")).format(id=fire),
        "whole": tr("All in flames"),
        "beside": tr("Fire beside {part}").format(part=on),
        "spot": tr("Small spot on {part}").format(part=on),
    }[fire_class]


def exposure_title(exposure: Exposure) -> str:
    """A fire that has not been run yet, as a heading."""
    part = exposure.fire.reaches[0]
    kind = "vessel" if part in exposure.section.vessels else "line"
    return class_title(
        exposure.fire_class, exposure.fire.id, labels.named(kind, [part]), exposure.source_kind
    )
