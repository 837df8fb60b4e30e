"""Names on the distance plan stand clear of each other."""

from __future__ import annotations

import itertools

from PySide6.QtCore import QPointF
from pytestqt.qtbot import QtBot

from airrisk.window.reach.distance_plan import DistancePlan, Person
from airrisk.wording.units import Units


def test_no_name_of_people_stands_on_the_vessel_or_on_another_name(qtbot: QtBot) -> None:
    plan = DistancePlan()
    qtbot.addWidget(plan)
    near = tuple(
        Person(f"Bench-hands {number}", "building", place, False)
        for number, place in enumerate(((12.0, 0.5), (14.0, 1.0), (-6.0, 1.0)))
    )
    plan.show_reach("R1", (0.0, 0.0), (), near, (), Units())
    middle = QPointF(280.0, 290.0)
    boxes = [plan.vessel_box(middle), *plan.person_boxes(middle, 5.2)]
    for one, other in itertools.combinations(boxes, 2):
        assert not one.intersects(other)
