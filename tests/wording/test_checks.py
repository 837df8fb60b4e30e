"""What is checked against what: every row complete, its tests there, no experiment left alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from airrisk.wording.checks import (
    KINDS,
    Measured,
    ModelCheck,
    against_text,
    checks_lead,
    experiments,
    model_checks,
)

ROOT = Path(__file__).parents[2]
NAMED = {test for one in model_checks() for test in one.tests}


def model(key: str) -> ModelCheck:
    return next(one for one in model_checks() if one.key == key)


@pytest.mark.parametrize("key", [one.key for one in model_checks()])
def test_every_model_says_how_it_is_checked_and_what_stays_open(key: str):
    one = model(key)
    assert one.title
    assert one.checked.endswith(".")
    assert one.open.endswith(".")
    assert one.kinds
    assert set(one.kinds) <= set(KINDS)
    assert one.tests


def test_every_named_test_file_is_there():
    assert sorted(test for test in NAMED if not (ROOT / test).is_file()) == []


def test_every_file_of_published_values_and_of_the_plain_solver_is_named():
    """Property: a new file of outside values belongs to a model."""
    outside = {
        path.relative_to(ROOT).as_posix()
        for room in ("published", "independent")
        for path in (ROOT / "tests" / room).glob("test_*.py")
    }
    outside |= {
        path.relative_to(ROOT).as_posix() for path in (ROOT / "tests").rglob("test_published*.py")
    }
    assert outside - NAMED == set()


def test_a_model_has_an_experiment_just_where_it_says_so():
    beside = {one.model for one in experiments()}
    assert {one.key for one in model_checks() if "published experiment" in one.kinds} == beside


@pytest.mark.parametrize("one", experiments(), ids=lambda one: one.key)
def test_every_experiment_says_how_it_differs_its_scatter_source_and_standing(one):
    assert one.title
    assert one.differs.endswith(".")
    assert one.scatter.endswith(".")
    assert one.source
    assert one.standing.partition(",")[0] in ("read", "memory")
    assert one.points
    assert "tests/published/test_experiments.py" in model(one.model).tests


def test_no_sentence_is_longer_than_thirty_words():
    texts = [text for one in model_checks() for text in (one.checked, one.open)]
    texts += [text for one in experiments() for text in (one.differs, one.scatter)]
    sentences = [part for text in (*texts, *checks_lead()) for part in text.split(". ")]
    assert [part for part in sentences if len(part.split()) > 30] == []


@pytest.mark.parametrize(
    ("unit", "measured", "computed", "told"),
    [
        ("min", (10.0, 15.0), (5.0, 19.0), "0.33 to 1.9 times"),
        ("MPa", (20.0, 20.0), (19.0, 19.0), "0.95 times"),
        ("°C", (711.0, 711.0), (802.0, 802.0), "91 K more"),
        ("K", (215.0, 225.0), (206.0, 216.0), "19 K less to 1 K more"),
        ("K", (215.0, 220.0), (206.0, 210.0), "5 to 14 K less"),
    ],
)
def test_how_computed_stands_against_measured(unit, measured, computed, told):
    """Arithmetic: quotients of the far ends, of temperatures the difference."""
    point = Measured("here", unit, measured, computed)
    assert against_text(point).replace("\u00a0", " ") == told
