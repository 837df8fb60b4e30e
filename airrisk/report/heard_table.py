"""The plug as a warning: a table of places where its air is likely to be heard, or not."""

from __future__ import annotations

from collections.abc import Sequence

from airrisk.messages import Texts
from airrisk.report.blocks import Block, Heading, Paragraph, table_of
from airrisk.study.audibility import HeardRecord
from airrisk.study.records import Assessment
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, quantity_text, time_text

_HEARD: Texts[dict[str, str]] = {
    "likely": "is likely to be heard", "not sure": "not sure",
    "not likely": "is not likely to be heard",
}  # fmt: skip


def heard_blocks(assessment: Assessment, units: Units) -> list[Block]:
    """The table with what it rests on; empty: no background level is stated.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    units : Units
        Unit set and atmosphere.
    """
    found: Sequence[HeardRecord] = assessment.heard
    if not found:
        return []
    return [
        Heading(tr("An open plug as a warning")),
        Paragraph(
            tr(
                "No plug is a fire alarm: it opens when the metal around it is hot already. "
                "Levels are over open ground, 6 dB either way, without walls between."
            )
        ),
        table_of(
            [tr("Place"), tr("Plug"), tr("Distance"), tr("Level"), tr("Needed"), tr("Heard"),
             tr("Opens after, as stated"), tr("Alarm after")],
            [_row(one, units) for one in found],
            [1.0, 0.8, 0.8, 1.0, 0.8, 1.4, 1.5, 0.8],
            strong_first=True,
            caption=tr("Needed: 65 dB(A) at least and 15 dB above the background (ISO 7731, "
                       "edition not checked). Likely: with the scatter and the absorption of air "
                       "taken off, outdoors, from an open outlet."),
        ),
    ]  # fmt: skip


def _row(one: HeardRecord, units: Units) -> list[str]:
    return [
        one.place,
        one.device,
        quantity_text(one.distance_m, "distance", units, 2),
        quantity_text(one.level_db, "sound_level", units, 2),
        quantity_text(one.needed_db, "sound_level", units, 2),
        tr(_HEARD[one.heard]),
        _opening(one),
        tr("not stated") if one.alarm_after_s is None else time_text(one.alarm_after_s),
    ]


def _opening(one: HeardRecord) -> str:
    """When it opens in the runs as stated, and in how many of them it does not."""
    if not one.fires:
        return tr("not run")
    if one.first_open_s is None or one.last_open_s is None:
        return tr("opens in none of {fires} fires").format(fires=one.fires)
    first, last = time_text(one.first_open_s, 2), time_text(one.last_open_s, 2)
    told = first if first == last else tr("{first} to {last}").format(first=first, last=last)
    if one.fires_opened == one.fires:
        return told
    return tr("{times}; in {none} of {fires} fires it does not").format(
        times=told, none=one.fires - one.fires_opened, fires=one.fires
    )
