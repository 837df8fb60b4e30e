"""Property: whatever field of a system file is changed alone, comparing the two tells it."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from airrisk.editing.document import Document
from airrisk.installation.fields import all_fields
from airrisk.installation.reading import read
from airrisk.report.compare import input_changes
from tests.editing.random_edits import EVERY_KIND, NEVER_CHANGED, RandomEdits, changed_fields

FIELDS = [(kind, spec.key) for kind, spec in all_fields() if (kind, spec.key) in changed_fields()]


@pytest.mark.parametrize(("kind", "key"), FIELDS)
def test_a_field_changed_alone_is_told(kind, key):
    document = Document(EVERY_KIND)
    before = document.installation
    assert before is not None
    said = RandomEdits(random.Random(f"{kind} {key}")).change_field(document, kind, key)
    assert said, f"{kind} {key}: nothing was changed"
    after = document.installation
    assert after is not None
    assert after != before
    changes = input_changes(before, after, "metric")
    assert changes, said
    assert all(one.before != one.after for one in changes)
    assert not any(one.what == "Order of the entries" for one in changes)


def test_every_field_but_two_is_tried():
    assert {(kind, spec.key) for kind, spec in all_fields()} - set(FIELDS) == NEVER_CHANGED


def test_the_same_file_has_no_change_and_another_order_is_told():
    plant = read(EVERY_KIND)
    assert input_changes(plant, plant, "metric") == []
    turned = replace(plant, vessels=plant.vessels[::-1])
    (change,) = input_changes(plant, turned, "metric")
    assert change.what == "Order of the entries"


def test_a_value_that_was_offered_and_is_confirmed_is_told():
    plant = read(EVERY_KIND)
    vessel = replace(plant.vessels[0], offered=("wall_thickness",))
    offered = replace(plant, vessels=(vessel, *plant.vessels[1:]))
    (change,) = input_changes(offered, plant, "metric")
    assert change.before.endswith("offered, not confirmed")
    assert change.after.endswith("typed")
