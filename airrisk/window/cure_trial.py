"""A proven cure, or one change of it, to be tried in Explore and then made an edit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from airrisk.study.brief_fire import exposures_of
from airrisk.study.cure_changes import unwritten
from airrisk.study.overview import overview
from airrisk.wording.cure_plans import unwritten_sentences
from airrisk.wording.matrix import fire_of
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.editing import Document
    from airrisk.installation.model import Installation
    from airrisk.study.cure_changes import Change
    from airrisk.study.cure_plan import PlanRecord
    from airrisk.study.records import Assessment, FireRecord, VerdictRecord
    from airrisk.window.part_edits import PartEdits
    from airrisk.wording.units import Units


@dataclass(frozen=True)
class CureTrial:
    """Changes to try, and the fire that shows what they do.

    Attributes
    ----------
    changes
        What is tried, as if it were done and confirmed.
    plan
        The proven plan that they are all of, or one of.
    text
        The system file that they were found for.
    answer
        Its assessment.
    part
        Vessel or line whose fire is shown.
    fire
        Id of that fire as things stand.
    back
        Key of the view that asked.
    """

    changes: tuple[Change, ...]
    plan: PlanRecord
    text: str
    answer: Assessment
    part: str
    fire: str
    back: str

    @property
    def is_whole(self) -> bool:
        """Whether all of the proven plan is tried."""
        return self.changes == self.plan.changes

    def fits(self, document: Document | None) -> bool:
        """Whether the file still says what the changes were found for."""
        return document is not None and document.text == self.text


def trial_of(
    answer: Assessment,
    installation: Installation,
    text: str,
    plan: PlanRecord,
    only: int | None = None,
    back: str = "work",
) -> CureTrial:
    """A plan, or the ``only``-th of its changes, with the fire that it is tried in.

    That is the worst of those that are not safe; of one change the worst on its part's section.
    """
    changes = plan.changes if only is None else (plan.changes[only],)
    part, fire = _place(answer, installation, changes[0] if only is not None else None)
    return CureTrial(changes, plan, text, answer, part, fire, back)


def _place(
    answer: Assessment, installation: Installation, change: Change | None
) -> tuple[str, str]:
    """The part and the id of the fire to show; the first vessel where no fire is not safe."""
    found = [one for row in overview(answer).rows for one in row.unsafe]
    if change is not None:
        holder = _holder(installation, change)
        found = [one for one in found if holder in one.members] or found
    for verdict in found:
        fire = fire_of(answer, verdict)
        part = None if fire is None else _part_in(installation, verdict, fire)
        if fire is not None and part is not None:
            return part, fire.id
    return installation.holders()[0].id, ""


def _holder(installation: Installation, change: Change) -> str:
    """The vessel or line that a change is made to or that its device stands on."""
    holders = {one.id for one in installation.holders()}
    devices = {one.id: one.on for one in installation.devices()}
    return change.part if change.part in holders else devices.get(change.part, "")


def _part_in(installation: Installation, verdict: VerdictRecord, fire: FireRecord) -> str | None:
    """A part that this fire heats, the one that the verdict names if it does."""
    for name in (verdict.part, *verdict.members):
        if name and any(one.fire.id == fire.id for one in exposures_of(installation, name)):
            return str(name)
    return None


def fire_then(before: Installation, after: Installation, part: str, fire: str) -> str | None:
    """Id of the same fire in a changed installation; None: it does not reach the part any more."""
    now = next((one for one in exposures_of(before, part) if one.fire.id == fire), None)
    then = exposures_of(after, part)
    if any(one.fire.id == fire for one in then):
        return fire
    if now is None or now.fire_class == "stated":
        return None
    # an assumed fire is named by its section, which a changed valve makes another one
    return next((one.fire.id for one in then if one.fire_class == now.fire_class), None)


def apply_changes(
    edits: PartEdits, label: str, changes: Sequence[Change], answer: Assessment, units: Units
) -> str:
    """Write changes as one step, each value offered; what came of it.

    Empty where ``edits`` has told why nothing was written.
    """
    left = unwritten_sentences(unwritten(changes), answer.kinds, units)
    if len(unwritten(changes)) == len(changes):
        return " ".join(left)
    if not edits.change_by(label, changes):
        return ""
    told = tr("The plan is in the file. Its values are offered: confirm each when it is done.")
    return " ".join([told, *left])
