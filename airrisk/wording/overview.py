"""The line above everything: how many sections are not safe, the worst, how far people keep."""

from __future__ import annotations

from airrisk.study.overview import Overview, overview
from airrisk.study.records import Assessment, VerdictRecord
from airrisk.wording import labels
from airrisk.wording.cure_plans import cheapest_cure_sentence
from airrisk.wording.matrix import fire_of, shortest_away_sentences, weaker_fires_sentences
from airrisk.wording.reasons import after_text
from airrisk.wording.sentences import count_sentence, verdict_sentence
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, kept_distance


def overview_sentences(assessment: Assessment, units: Units) -> list[str]:
    """The answer in three or four sentences, the count of sections first.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    units : Units
        Unit set and atmosphere.
    """
    if not assessment.parts:
        return [count_sentence(assessment)]
    seen = overview(assessment)
    return [
        count_sentence(assessment),
        *weaker_fires_sentences(assessment, units),
        *_worst_sentences(assessment, seen),
        *([cure] if (cure := cheapest_cure_sentence(assessment, units)) else []),
        *_distance_sentences(assessment, seen, units),
    ]


def _worst_sentences(assessment: Assessment, seen: Overview) -> list[str]:
    found = []
    if seen.worst is not None:
        fire = fire_of(assessment, seen.worst)
        if fire is not None:
            told = labels.uncapitalised(verdict_sentence(fire))
            found.append(tr("Worst: {sentence}").format(sentence=told))
    if seen.soonest is not None:
        found.append(_soonest_sentence(assessment, seen.soonest))
    return found


def _soonest_sentence(assessment: Assessment, verdict: VerdictRecord) -> str:
    assert verdict.rupture_s is not None
    return tr("The first to rupture is {part}, {time}.").format(
        part=labels.named_all([verdict.part], assessment.kinds),
        time=after_text(verdict.rupture_s),
    )


def _distance_sentences(assessment: Assessment, seen: Overview, units: Units) -> list[str]:
    found = []
    if seen.worst is None:
        found += shortest_away_sentences(assessment)
        if not found:
            return []
    far = seen.keep_away
    if far is not None:
        pattern = (
            tr("People: in a fire keep {distance} away from {vessel}.")
            if seen.worst is None
            else tr("People: keep {distance} away from {vessel} in a fire until all are safe.")
        )
        found.append(
            pattern.format(
                distance=kept_distance(far.farthest_m, units),
                vessel=labels.named("vessel", [far.vessel]),
            )
        )
    if seen.without_distance:
        parts = labels.named_all(seen.without_distance, assessment.kinds)
        found.append(tr("No distance is worked out for {parts}.").format(parts=parts))
    return found
