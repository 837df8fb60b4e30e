"""What the inspections say, and what free words about a fault mean."""

from __future__ import annotations

import datetime as dt

import pytest

from airrisk.installation.inspected import last_found, speaks_of_fault
from airrisk.installation.model import Inspection, Installation
from airrisk.installation.reading import check
from tests.editing.systems import SMALL

DAY = dt.date(2026, 11, 1)


@pytest.mark.parametrize(
    ("remark", "fault"),
    [
        ("corroded, seized", True),
        ("Spindle stuck", True),
        ("leaks at the seat", True),
        ("passing", True),
        ("does not lift by hand", True),
        ("cannot shut", True),
        ("no corrosion, but the spindle is bent", True),
        ("no leak found", False),
        ("free of rust, does not leak", False),
        ("not seized", False),
        ("no corrosion or leaks", False),
        ("leak at the flange repaired", False),
        ("passing the test at 11 bar", False),
        ("lifted at 11 bar", False),
        ("", False),
    ],
)
def test_free_words_speak_of_a_fault_or_deny_it(remark: str, fault: bool) -> None:
    assert speaks_of_fault(remark) is fault


def test_the_last_entry_about_the_condition_rules_and_a_later_one_is_not_known_yet() -> None:
    entries = (
        Inspection(on="RV1", date=dt.date(2026, 3, 1), condition="seized", note="stuck"),
        Inspection(on="rv1", date=dt.date(2026, 5, 1), note="looked at"),
        Inspection(on="RV1", date=dt.date(2026, 12, 1), condition="clean"),
        Inspection(on="RV2", date=dt.date(2026, 5, 1), condition="clean"),
    )
    plant = Installation(inspections=entries)
    found = last_found(plant, "RV1", DAY)
    assert (found.condition, found.date, found.remark) == (
        "seized", dt.date(2026, 3, 1), "looked at",
    )  # fmt: skip
    assert found.faulty
    assert not last_found(plant, "RV1", dt.date(2026, 12, 1)).faulty
    assert last_found(plant, "V1", DAY).condition is None


def test_a_renewal_without_a_condition_counts_as_clean() -> None:
    entries = (
        Inspection(on="RV1", date=dt.date(2026, 3, 1), condition="seized"),
        Inspection(on="RV1", date=dt.date(2026, 4, 1), renewed=True),
    )
    assert last_found(Installation(inspections=entries), "RV1", DAY).condition == "clean"


def system(on: str, condition: str) -> tuple[Installation | None, list[str]]:
    entry = f'[[inspection]]\non = "{on}"\ndate = 2026-06-01\ncondition = "{condition}"\n'
    found, problems = check(SMALL + "\n" + entry)
    return found, [str(one) for one in problems]


@pytest.mark.parametrize("on", ["V1", "R1"])
@pytest.mark.parametrize("condition", ["seized", "leaking", "corroded"])
def test_valves_and_parts_may_be_found_seized_or_leaking(on: str, condition: str) -> None:
    plant, problems = system(on, condition)
    assert plant is not None, problems
    assert plant.inspections[-1].condition == condition


def test_a_plug_is_not_found_seized() -> None:
    plant, problems = system("FP1", "seized")
    assert plant is None
    (message,) = problems
    assert "FP1 is a fusible plug" in message
    assert "painted over" in message
    assert system("FP1", "scaled")[0] is not None
