"""The map as a figure and as data: everything it says can be read without colour."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import numpy as np
import pytest

from airrisk.installation.model import Wall
from airrisk.report.content import units_for
from airrisk.report.fire_map_data import fire_map_csv, fire_map_json
from airrisk.report.fire_map_drawing import ON_DARK, ON_WHITE, draw_fire_map, level_pieces
from airrisk.report.png import figure_png
from airrisk.report.svg import figure_svg
from airrisk.study.fire_map import fire_map
from airrisk.study.fire_map_grid import pool_to_move
from airrisk.study.fire_map_records import (
    BETWEEN,
    BY_FOUR,
    BY_WIND,
    CLASSES,
    NOT_ASKED,
    NOT_SURE,
    RUPTURES,
    FireMap,
)
from airrisk.wording import fire_map_texts as texts
from airrisk.wording.figures import Clip, Stroke, Words
from tests.study.map_plants import DAY, two_vessels

WHOLE = two_vessels()
UNITS = units_for(WHOLE)


@pytest.fixture(scope="module")
def seen() -> FireMap:
    return fire_map(WHOLE, pool_to_move("diesel", 1.0), DAY, positions=150, borders=False)


def inside(figure):
    return max((one.items for one in figure.items if isinstance(one, Clip)), key=len)


def words(figure) -> str:
    return " ".join(item.text for item in figure.items if isinstance(item, Words))


def test_a_square_shows_the_worst_of_its_corners():
    kinds = np.zeros((3, 3), dtype=np.int8)
    kinds[1, 1] = texts.BURSTS
    assert (texts.squares_of(kinds) == texts.BURSTS).all()
    kinds[1, 1] = texts.SAFE
    kinds[0, 0] = texts.OVER
    assert texts.squares_of(kinds).tolist() == [[texts.OVER, 0], [0, 0]]


def test_every_kind_of_area_has_a_hatch_or_dots_of_its_own_and_stands_in_the_key(seen):
    for inks in (ON_WHITE, ON_DARK):
        figure = draw_fire_map(seen, WHOLE, UNITS, 500.0, inks=inks).figure
        told = words(figure)
        kinds = np.unique(texts.squares_of(texts.kinds_of(seen))).tolist()
        assert len(kinds) >= 3
        for kind in kinds:
            assert texts.area_name(kind) in told
        lines = [one for one in inside(figure) if isinstance(one, Stroke) and not one.closed]
        red = [one for one in lines if one.colour == inks.bursts[1]]
        dots = [one for one in lines if one.colour == inks.unsure[1] and one.dash]
        assert red
        assert dots


def test_the_border_is_broken_until_all_runs_along_it_are_made(seen):
    def border(of: FireMap):
        figure = draw_fire_map(of, WHOLE, UNITS, 500.0).figure
        return {one.dash for one in inside(figure) if isinstance(one, Stroke) and one.width == 1.8
                and one.colour == ON_WHITE.clear}, words(figure)  # fmt: skip

    dashes, told = border(seen)
    assert () not in dashes
    assert "not checked by all runs yet" in told
    dashes, told = border(replace(seen, stage="borders"))
    assert dashes == {()}
    assert "not checked" not in told


def test_the_border_runs_through_no_square_with_an_unsafe_corner(seen):
    """All that is not hatched as unsafe lies between positions that are not unsafe."""
    squares = texts.squares_of(texts.kinds_of(seen))
    rows, columns = np.nonzero(squares < texts.UNKNOWN)
    for down in (0, 1):
        for right in (0, 1):
            assert not seen.unsafe[rows + down, columns + right].any()


def test_the_plan_is_to_scale_and_pointing_finds_the_place_again(seen):
    frame = draw_fire_map(seen, WHOLE, UNITS, 500.0).frame
    x0, y0 = frame.at((0.0, 0.0))
    x1, y1 = frame.at((3.0, 3.0))
    assert x1 - x0 == pytest.approx(y1 - y0)
    assert frame.place(*frame.at((2.5, -1.5))) == pytest.approx((2.5, -1.5))


def test_walls_stand_on_the_plan(seen):
    walled = replace(WHOLE, walls=(Wall(id="W1", points=((1.0, 2.0), (4.0, 2.0)), height=3.0),))
    drawn = draw_fire_map(seen, walled, UNITS, 500.0)
    ends = tuple(drawn.frame.at(one) for one in ((1.0, 2.0), (4.0, 2.0)))
    assert any(isinstance(one, Stroke) and one.points == ends for one in inside(drawn.figure))


def test_a_contour_line_lies_where_the_value_is():
    x = y = np.arange(5.0)
    value = np.add.outer(np.zeros(5), x)
    pieces = list(level_pieces(x, y, value, 1.5))
    assert len(pieces) == 4
    assert all(a[0] == b[0] == 1.5 for a, b in pieces)
    value[2, 2] = np.nan
    assert len(list(level_pieces(x, y, value, 1.5))) == 2


def test_svg_and_png_hold_the_picture(seen):
    figure = draw_fire_map(seen, WHOLE, UNITS, 500.0).figure
    assert "at most four runs" in figure_svg(figure)
    assert figure_png(figure, 1.0)[:8] == b"\x89PNG\r\n\x1a\n"


def test_json_and_csv_give_every_position(seen):
    found = json.loads(fire_map_json(seen, "Two", "00"))["fire_map"]
    rows, columns = seen.outcome.shape
    assert (len(found["y_m"]), len(found["x_m"])) == (rows, columns)
    for key in ("outcome", "grounds", "doubtful", "section", "peak_strength_use", "rupture_s"):
        assert [len(row) for row in found[key]] == [columns] * rows
    table = list(csv.DictReader(io.StringIO(fire_map_csv(seen))))
    assert len(table) == rows * columns
    ruptured = [row for row in table if row["outcome"] == "ruptures"]
    assert len(ruptured) == int((seen.outcome == RUPTURES).sum())
    assert all(float(row["rupture_s"]) > 0.0 for row in ruptured)


def test_pointing_says_which_vessel_and_why(seen):
    row, column = seen.nearest(0.0, 0.0)
    told = " ".join(texts.place_sentences(seen, row, column, UNITS))
    assert "R1" in told
    assert CLASSES[int(seen.outcome[row, column])] in told or "survives" in told
    rows, columns = np.nonzero(seen.outcome == RUPTURES)
    for r, c in zip(rows.tolist(), columns.tolist(), strict=True):
        assert "ruptures" in texts.place_sentences(seen, r, c, UNITS)[0]
    waiting = replace(seen, outcome=np.full_like(seen.outcome, NOT_ASKED))
    assert texts.place_sentences(waiting, 0, 0, UNITS) == ("Not asked yet.",)


def test_cautions_say_what_it_rests_on_and_what_is_left_out(seen):
    told = " ".join(texts.cautions(seen, UNITS))
    assert "at most four runs" in told
    assert "may move outwards" in told
    lost = replace(seen, not_placed=("R2",), stage="borders")
    told = " ".join(texts.cautions(lost, UNITS))
    assert "The position of R2 is not stated: it is left out of the map." in told
    assert "nothing on the map reads survived" in told
    assert "all runs were made" in told


def test_every_safe_place_of_few_runs_says_so_whatever_else_is_doubted(seen):
    few = np.isin(seen.grounds, (BY_FOUR, BETWEEN)) & (seen.outcome == NOT_SURE)
    assert (few & (seen.doubtful == BY_WIND)).any()
    rows, columns = np.nonzero(few)
    for r, c in zip(rows.tolist(), columns.tolist(), strict=True):
        told = " ".join(texts.place_sentences(seen, r, c, UNITS))
        assert "Only the few runs of the picture were made" in told
    assert any("may be unsafe when all runs are made" in one for one in texts.cautions(seen, UNITS))
    sure = replace(seen, grounds=np.zeros_like(seen.grounds))
    assert not any("may be unsafe" in one for one in texts.cautions(sure, UNITS))
