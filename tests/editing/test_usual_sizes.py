"""Usual sizes: with source and standing, and always offered."""

from __future__ import annotations

import pytest

from airrisk.editing.usual_sizes import nominal_sizes, pipe_of, usual_sizes, with_size
from airrisk.installation.model import Line
from airrisk.installation.reading import check
from airrisk.installation.splice import SystemText
from tests.editing.systems import SMALL


@pytest.mark.parametrize("kind", ["line", "vessel", "plug"])
def test_every_size_has_a_source_and_a_standing(kind: str) -> None:
    for size in usual_sizes(kind):
        assert size.source
        assert size.standing in ("read", "memory", "judgement", "arithmetic")


def test_a_size_that_is_taken_from_a_list_is_only_offered() -> None:
    size = next(one for one in usual_sizes("line") if one.name.startswith("DN 50 (60.3 x 3.6"))
    text = with_size(SystemText(SMALL), "L1", size)
    installation, problems = check(text.text)
    assert problems == []
    assert installation is not None
    line = installation.find("L1")
    assert isinstance(line, Line)
    assert line.inside_diameter == pytest.approx(0.0531)  # 60.3 - 2 x 3.6
    assert line.offered == ("inside_diameter", "wall_thickness")
    again = with_size(text.confirm("L1", "wall_thickness"), "L1", size)
    assert again.block("L1")["offered"] == ["inside_diameter", "wall_thickness"]


def test_a_wall_of_the_list_is_no_measured_one() -> None:
    """Its minus tolerance would else not be taken off."""
    text = SystemText(SMALL).set("L1", "measured", True)
    after = with_size(text, "L1", usual_sizes("line")[0])
    installation, _problems = check(after.text)
    assert installation is not None
    assert installation.lines[0].measured is False


def test_a_nominal_size_alone_is_offered_the_thinnest_wall_of_the_list() -> None:
    for nominal in nominal_sizes():
        offered = pipe_of(nominal)
        assert offered is not None
        walls = [
            float(dict(one.fields)["wall_thickness"].split()[0])
            for one in usual_sizes("line")
            if one.name.startswith(f"DN {nominal} ")
        ]
        assert float(dict(offered.fields)["wall_thickness"].split()[0]) == min(walls)
    assert pipe_of(51) is None
