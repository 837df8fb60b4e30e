"""Labels of charts and rulers: inside the picture, never on one another, beside the curves."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from PySide6.QtCore import QPointF, QRectF, QSizeF
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from airrisk.window.charts.bars import Bars
from airrisk.window.charts.placing import Obstacles, Slide, columns, place_labels, stack_rows
from airrisk.window.charts.plot import Plot
from airrisk.window.charts.ruler import OrderRuler
from airrisk.window.charts.view import ChartView
from airrisk.wording.chart_kinds import (
    Axis,
    Band,
    Bar,
    BarChart,
    Chart,
    Guide,
    Mark,
    Ruler,
    Tick,
    line_of,
)
from airrisk.wording.units import Units

FRAME = QRectF(0, 0, 600, 240)
SIZE = QSizeF(70, 14)
points = some.lists(
    some.tuples(some.floats(0, 600), some.floats(0, 240)), min_size=1, max_size=12
)  # fmt: skip


def apart(places: list[QRectF]) -> bool:
    return not any(one.intersects(other) for one, other in combinations(places, 2))


@given(points=points, slide=some.sampled_from(["around", "along x", "along y"]))
def test_labels_stay_inside_and_apart(points: list[tuple[float, float]], slide: Slide) -> None:
    """Property."""
    curve = columns([(np.array([0.0, 600.0]), np.array([240.0, 0.0]))], 0.0, 600)
    found = place_labels(
        [QPointF(*point) for point in points], [SIZE] * len(points), FRAME, 5.0,
        Obstacles(0.0, *curve), [slide] * len(points),
    )  # fmt: skip
    places = [place for place in found if place is not None]
    assert all(FRAME.contains(place) for place in places)
    assert apart(places)


def test_a_label_goes_beside_the_end_of_a_curve() -> None:
    x = np.linspace(0.0, 400.0, 50)
    obstacles = Obstacles(0.0, *columns([(x, 200.0 - 0.4 * x)], 0.0, 600))
    end = QPointF(400.0, 40.0)
    (place,) = place_labels([end], [SIZE], FRAME, 5.0, obstacles)
    assert place is not None
    assert obstacles.cost(place) == 0.0
    assert abs(place.center().y() - 40.0) < 30.0


def test_a_label_without_any_free_place_covers_least() -> None:
    full = QRectF(0, 0, 80, 20)
    curve = columns([(np.array([0.0, 80.0]), np.array([10.0, 10.0]))], 0.0, 80)
    (place,) = place_labels([QPointF(5, 20)], [SIZE], full, 2.0, Obstacles(0.0, *curve), ["around"])
    assert place is not None


@given(
    some.lists(some.tuples(some.floats(0, 600), some.floats(10, 160)), max_size=14),
    some.floats(200, 900),
)
def test_rows_of_a_ruler_stay_inside_and_apart(
    ticks: list[tuple[float, float]], width: float
) -> None:
    """Property."""
    ticks = sorted((min(x, width), wide) for x, wide in ticks)
    places = stack_rows([x for x, _ in ticks], [wide for _, wide in ticks], 4.0, width - 4.0)
    boxes = [
        QRectF(left, row * 15.0, wide, 14.0)
        for (left, row), (_, wide) in zip(places, ticks, strict=True)
    ]
    assert all(box.left() >= 4.0 and box.right() <= width - 3.9 for box in boxes)
    assert apart(boxes)


def strength_chart(end: float) -> Chart:
    """A use that rises to its end close under the events at the right edge."""
    x = np.linspace(0.0, end, 200)
    use = 0.2 + 0.75 * (x / end) ** 2
    return Chart(
        key="use", title="Use", x=Axis("Time", "time", low=0.0), y=Axis("Use", "number", low=0.0),
        series=(line_of("R1", "R1", x, use, "air"), line_of("R2", "R2", x, 1.1 - use, "metal")),
        marks=(Mark(end, float(use[-1]), "highest use", "air"),),
        guides=(
            Guide("y", 1.0, "rupture", "rupture", ()), Guide("y", 0.667, "limit 0.667", "limit"),
            Guide("x", 0.93 * end, "RV1 lifts", "device"),
            Guide("x", 0.97 * end, "FP1 opens", "plug"), Guide("x", end, "R1 is empty", "neutral"),
        ),
        bands=(Band("x", 0.2 * end, 0.3 * end, "band", "device"),),
    )  # fmt: skip


@pytest.mark.parametrize(("width", "height"), [(420, 220), (640, 240), (900, 420)])
@pytest.mark.parametrize("end", [60.0, 4000.0])
def test_the_labels_of_a_strength_chart_leave_its_curves_alone(
    qtbot: QtBot, width: int, height: int, end: float
) -> None:
    holder = QWidget()
    qtbot.addWidget(holder)
    plot = Plot(holder)
    holder.resize(width, height)
    plot.resize(width, height)
    plot.show_chart(strength_chart(end), Units())
    holder.show()
    plot.grab()
    layer, view = plot._layer, plot._layer._view.viewRect()
    to_pixels = layer.sceneTransform()
    frame = to_pixels.mapRect(QRectF(view))
    found = layer.label_places(view, to_pixels, frame)
    assert {label.text for label, _ in found} == {
        "highest use", "rupture", "limit 0.667", "RV1 lifts", "FP1 opens", "R1 is empty",
    }  # fmt: skip
    places = [place for _, place in found]
    assert all(frame.contains(place) for place in places)
    assert apart(places)
    obstacles = layer._obstacles(to_pixels, frame)
    on_curve = Obstacles(obstacles.left, obstacles.tops, obstacles.bottoms, obstacles.marks)
    for label, place in found:
        assert on_curve.cost(place) == 0.0, label.text


@pytest.mark.parametrize("width", [300, 460, 800])
def test_a_ruler_shows_every_label_inside_and_apart(qtbot: QtBot, width: int) -> None:
    ticks = [
        Tick("t", f"{name} of the vessel", 300.0 + at, "plug", "diamond")
        for name, at in (("plug", 0), ("valve", 4), ("design", 5), ("rupture", 200), ("end", 201))
    ]
    ruler = OrderRuler()
    qtbot.addWidget(ruler)
    ruler.resize(width, 80)
    ruler.show_ruler(
        Ruler("r", "Order", Axis("Temperature", "temperature"), tuple(ticks), None, ()), Units()
    )
    ruler.resize(width, ruler.minimumSizeHint().height())
    ruler.show()
    qtbot.waitExposed(ruler)
    ruler.grab()
    boxes = ruler.label_boxes()
    assert len(boxes) == len(ticks)
    assert all(QRectF(ruler.rect()).contains(box) for box in boxes)
    assert apart(boxes)


def test_every_bar_says_what_it_is(qtbot: QtBot) -> None:
    """Two bars of one measure differ by a word, not by their colour alone."""
    bars = Bars()
    qtbot.addWidget(bars)
    kinds = (("now", 1.0e6), ("at rupture", 3.2e6))
    chart = BarChart(
        "e", "Energy", Axis("Energy", "energy", low=0.0),
        tuple(
            Bar(name, value, "first", note) for note, value in kinds for name in ("brode", "ideal")
        ),
    )  # fmt: skip
    bars.show_chart(chart, Units())
    texts = [text.replace("\u00a0", " ") for text in bars.texts()]
    assert texts == ["1 MJ, now", "1 MJ, now", "3.2 MJ, at rupture", "3.2 MJ, at rupture"]
    names = {(bar.label, text) for bar, text in zip(chart.bars, texts, strict=True)}
    assert len(names) == len(chart.bars)


def test_small_energies_are_written_in_a_small_unit(qtbot: QtBot) -> None:
    bars = Bars()
    qtbot.addWidget(bars)
    chart = BarChart("e", "E", Axis("Energy", "energy", low=0.0), (Bar("brode", 5400.0, "first"),))
    bars.show_chart(chart, Units())
    assert [text.replace("\u00a0", " ") for text in bars.texts()] == ["5.4 kJ"]


@pytest.mark.parametrize("width", [260, 430, 900])
def test_no_line_of_a_legend_is_cut_off_in_a_low_chart(qtbot: QtBot, width: int) -> None:
    holder = QWidget()
    qtbot.addWidget(holder)
    holder.resize(width, 150)
    view = ChartView(holder)
    x = np.array([0.0, 1.0])
    names = [f"{word}, at the working pressure" for word in ("cold", "hot", "TNT", "air", "fire")]
    chart = Chart(
        "c", "C", Axis("Time", "time"), Axis("Use", "number"),
        tuple(line_of(name, name, x, x, "air") for name in names),
    )  # fmt: skip
    view.show_picture(chart, Units())
    view.resize(width, 150)
    holder.show()
    legend = view._legend
    qtbot.waitUntil(lambda: legend._places(legend.width())[-1].bottom() <= legend.height())
