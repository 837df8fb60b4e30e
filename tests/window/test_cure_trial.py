"""What a tried cure shows: the same fire in the changed file, and what its bar says of it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from airrisk.installation.reading import read
from airrisk.study.brief_fire import exposures_of
from airrisk.study.cure_changes import Change
from airrisk.window.cure_trial import CureTrial, fire_then
from airrisk.window.tryout.cure_bar import CureBar
from airrisk.wording.units import Units
from tests.study.cure_plants import HEAD, LINE, VESSEL

POOL = """
[[fire_source]]
id = "Pool1"
kind = "pool"
at = [{east}, 0.0]
fuel = "diesel"
diameter = "2 m"
"""
LOCK = Change("lock", "V1", values={"valves": ("V1",)})
RENEW = Change("renew", "FP1")


def plant(state: str = "open", east: float = 2.0) -> Any:
    vessels = [VESSEL.format(name=n, wall="5 mm", more="at = [0.0, 0.0]") for n in ("R1", "R2")]
    text = HEAD.format(choices="") + "".join(vessels) + LINE
    assert text.endswith('end = "from"\n')
    text += f'state = "{state}"\n'
    return read(text + POOL.format(east=east))


def fires(installation: Any) -> dict[str, str]:
    return {one.fire_class: one.fire.id for one in exposures_of(installation, "R1")}


def test_the_fire_of_a_section_that_a_change_makes_larger_is_the_same_fire() -> None:
    before, after = plant("open"), plant("locked open")
    whole = fires(before)["whole"]
    assert fires(after)["whole"] != whole  # it is named by the section
    assert fire_then(before, after, "R1", whole) == fires(after)["whole"]
    assert fire_then(before, after, "R1", fires(before)["beside"]) == fires(after)["beside"]


def test_a_fire_that_reaches_the_part_no_more_is_no_other_fire() -> None:
    before, after = plant(), plant(east=400.0)
    assert fires(before)["stated"] == "Pool1"
    assert "stated" not in fires(after)
    assert fire_then(before, after, "R1", "Pool1") is None


def trial(*changes: Change, of: int) -> CureTrial:
    plan: Any = SimpleNamespace(
        changes=changes if of == len(changes) else (*changes, RENEW),
        on_the_place=False,
        after=SimpleNamespace(verdicts=(), findings=(), flame_away={}, kinds={}),
    )
    answer: Any = SimpleNamespace(kinds={"V1": "valve", "FP1": "plug"})
    return CureTrial(changes, plan, "", answer, "R1", "F1", "work")


def test_one_change_of_a_plan_is_not_told_as_proven(qtbot: QtBot) -> None:
    page = QWidget()
    qtbot.addWidget(page)
    bar = CureBar(page)
    bar.show_trial(trial(RENEW, of=2), True, Units())
    assert "one of 2 changes of a plan: alone it was not assessed" in bar.words.text()
    assert "every verdict is safe" not in bar.words.text()
    assert bar.apply.isEnabled()


def test_what_a_file_cannot_hold_as_offered_is_not_applied(qtbot: QtBot) -> None:
    page = QWidget()
    qtbot.addWidget(page)
    bar = CureBar(page)
    bar.show_trial(trial(LOCK, of=2), False, Units())
    assert "Lock valve V1 open. It is one" in bar.words.text()
    assert "cannot hold it as offered" in bar.words.text()
    assert "does not reach R1" in bar.words.text()
    assert not bar.apply.isEnabled()


@pytest.mark.parametrize("told", [True, False])
def test_a_trial_belongs_to_one_text(told: bool) -> None:
    document: Any = SimpleNamespace(text="" if told else "changed")
    assert trial(RENEW, of=1).fits(document) is told
