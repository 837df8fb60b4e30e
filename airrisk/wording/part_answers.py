"""The answer of one part in two short lines, for the block that it carries in the drawing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from airrisk.installation.model import FIRE_CLASSES, Installation
from airrisk.study.overview import section_rows, verdict_rank
from airrisk.study.records import Assessment, VerdictRecord
from airrisk.verdict.rule import OUTCOMES, SAFE_OUTCOMES
from airrisk.wording import labels
from airrisk.wording.margins import share_text
from airrisk.wording.reasons import after_text
from airrisk.wording.translation import tr

NOT_SURE = "⬖"
CARRIERS = frozenset({"vessel", "compressor", "line"})  # kinds that can carry a block


@dataclass(frozen=True)
class PartAnswer:
    """What a block says. ``safe`` None: there is no verdict; ``sure`` is that of a safe one."""

    shape: str
    word: str
    margin: str = ""  # with the part that decides, where that is another one
    outcome: str | None = None
    safe: bool | None = None
    sure: bool | None = None
    old: bool = False  # of the file as it was before the last change

    @property
    def heading(self) -> str:
        """Shape and word."""
        return f"{self.shape} {self.word}"

    @property
    def spoken(self) -> str:
        """All of it in words, for tips and screen readers."""
        told = ", ".join(piece for piece in (self.word, self.margin) if piece)
        if self.old and self.outcome is not None:
            return tr("answer before the last change: {answer}").format(answer=told)
        return tr("answer: {answer}").format(answer=told)


def no_answer() -> PartAnswer:
    """The block of a part of which nothing is known."""
    return PartAnswer(labels.outcome_shape(None), labels.outcome(None))


def out_of_date(answer: PartAnswer) -> PartAnswer:
    """The same after a change of the file: what was not safe still warns, the rest is nothing."""
    if answer.safe is False:
        return PartAnswer(answer.shape, answer.word, answer.margin, answer.outcome, False, old=True)
    return PartAnswer(labels.outcome_shape(None), tr("out of date"), old=True)


def part_answers(assessment: Assessment) -> dict[str, PartAnswer]:
    """The answer of each part, the worst over all positions of the valves and classes of fires."""
    found: dict[str, list[VerdictRecord]] = {}
    whole: dict[str, bool] = {}
    shut = {(one.id, one.closed_valves) for one in assessment.shut_in}
    for row in section_rows(assessment):
        ran = {one.fire_class for one in row.asked}
        for name in row.members:
            found.setdefault(name, []).extend(row.asked)
            if (row.section, row.closed_valves) in shut:
                # a class that was not run can hide the worst fire; a stated one may be missing
                all_ran = ran >= set(FIRE_CLASSES) - {"stated"}
                whole[name] = whole.get(name, True) and all_ran
    failed = {failure.part for failure in assessment.failures}
    return {
        name: _answer(name, verdicts, whole.get(name, False) and name not in failed)
        for name, verdicts in found.items()
    }


def _answer(name: str, verdicts: Iterable[VerdictRecord], whole: bool) -> PartAnswer:
    """The worst of some verdicts; nothing safe where one of them is missing."""
    asked = list(verdicts)
    unsafe = [one for one in asked if one.safe is False]
    if unsafe:
        worst = max(unsafe, key=verdict_rank)
        # of those equally grave its own end: the line that goes before it has a block too
        worst = max((one for one in unsafe if (one.outcome, one.part) == (worst.outcome, name)),
                    key=verdict_rank, default=worst)  # fmt: skip
        if worst.outcome in SAFE_OUTCOMES:
            return _told(name, worst, labels.answer_shape(worst.outcome, False), tr("not safe"))
        return _told(name, worst, labels.outcome_shape(worst.outcome), block_word(worst.outcome))
    if not asked or not whole or not all(one.safe for one in asked):
        return no_answer()
    unsure = [one for one in asked if not one.sure]
    worst = max(unsure or asked, key=verdict_rank)
    if unsure:
        return _told(name, worst, NOT_SURE, tr("not sure"))
    return _told(name, worst, labels.outcome_shape(worst.outcome), block_word(worst.outcome))


def _told(name: str, verdict: VerdictRecord, shape: str, word: str) -> PartAnswer:
    margin = _margin(verdict)
    if margin and verdict.part not in (name, ""):
        margin = tr("{part} {time}").format(part=verdict.part, time=margin)
    return PartAnswer(shape, word, margin, verdict.outcome, verdict.safe, verdict.sure)


def _margin(verdict: VerdictRecord) -> str:
    """When it ruptures, or how much of the allowed load it takes."""
    if verdict.rupture_s is not None and verdict.outcome == "ruptures":
        return after_text(verdict.rupture_s)
    if verdict.outcome == "not converged" or verdict.peak_strength_use is None:
        return ""
    if verdict.reason is not None and verdict.reason.code == "line ruptured":
        return ""
    return share_text(verdict.peak_strength_use, verdict.limit, verdict.creep_damage)


def block_word(outcome: str | None) -> str:
    """The word of an outcome, short enough for a block."""
    return tr("over the limit") if outcome == "passes the limit" else labels.outcome(outcome)


def deciding_parts(assessment: Assessment) -> frozenset[str]:
    """Of each section the part that decides its worst verdict."""
    worst = (
        max(row.unsafe or row.asked, key=verdict_rank) for row in section_rows(assessment)
        if row.asked
    )  # fmt: skip
    return frozenset(one.part for one in worst if one.part)


def carriers(installation: Installation, deciding: Iterable[str] = ()) -> frozenset[str]:
    """The parts that carry a block: the vessels, and what else decides."""
    found = {vessel.id for vessel in installation.vessels}
    can = {one.id for one in (*installation.lines, *installation.compressors)}
    return frozenset(found | (can & set(deciding)))


def longest_texts(installation: Installation) -> tuple[str, ...]:
    """Texts of which none that a block may hold is wider: the room that is kept for it."""
    answers = [no_answer(), PartAnswer(NOT_SURE, tr("not sure")), PartAnswer("△", tr("not safe")),
               PartAnswer("–", tr("out of date"))]  # fmt: skip
    headings = [one.heading for one in answers]
    headings += [f"{labels.outcome_shape(one)} {block_word(one)}" for one in OUTCOMES]
    times = (after_text(8.88 * 60), after_text(88 * 60), share_text(1.88, 1.0, None))
    names = [part.id for part in installation.parts()]
    longest = max(names, key=len, default="")
    return (*headings, *(tr("{part} {time}").format(part=longest, time=one) for one in times))
