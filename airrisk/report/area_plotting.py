"""Span charts and maps drawn as figures."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from airrisk.report.axes import GRID, INK, SMALL, TINY, Scale, linear_ticks
from airrisk.report.text_width import text_width
from airrisk.wording.charts import (
    COLOURS,
    MapChart,
    SpanChart,
    axis_numbers,
    axis_range,
    axis_title,
)
from airrisk.wording.figures import Clip, Figure, Item, Stroke, Words, rectangle, sign
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text

LOW_FILL, HIGH_FILL = "#C9DDEA", "#8C5A33"  # told apart in grey by darkness
SIGN_STEP = 34.0  # points between two signs on a map


def draw_spans(chart: SpanChart, units: Units, width: float) -> Figure:
    """Rows of spans about the middle line, the ends of the input beside the name.

    Parameters
    ----------
    chart : SpanChart
        The description.
    units : Units
        Unit set and atmosphere.
    width : float
        Points.
    """
    step, bottom = 15.0, 44.0
    height = bottom + step * len(chart.spans) + 14.0
    names = [f"{span.label}, {span.note}" if span.note else span.label for span in chart.spans]
    left = 10.0 + max((text_width(name, TINY) for name in names), default=0.0)
    numbers = [
        tuple(
            number_text(float(v), 3) for v in axis_numbers([s.at_low, s.at_high], chart.axis, units)
        )
        for s in chart.spans
    ]
    ends = [f"{low} / {high}" for low, high in numbers]
    right = width - 12.0 - max((text_width(text, TINY) for text in ends), default=0.0)
    values = [chart.middle, *(guide.value for guide in chart.guides)]
    values += [value for span in chart.spans for value in (span.at_low, span.at_high)]
    scale = Scale(*axis_range(chart.axis, values, units), left, right, False)
    top = height - 14.0
    items: list[Item] = []
    for tick in linear_ticks(scale.low, scale.high, max(2, int((right - left) / 50.0))):
        x = scale.at(tick)
        items.append(Stroke(((x, bottom), (x, top)), GRID, 0.5))
        items.append(Words(x, bottom - 9.0, number_text(tick), SMALL, "middle"))

    def at(value: float) -> float:
        return scale.at(float(axis_numbers(value, chart.axis, units)))

    middle = at(chart.middle)
    for index, span in enumerate(chart.spans):
        y = top - step * (index + 1) + 3.0
        items.append(Words(left - 4.0, y + 2.5, names[index], TINY, "end"))
        bars = [(span.at_low, LOW_FILL), (span.at_high, HIGH_FILL)]
        # The longer one first, so that the shorter one stays in sight where both go one way.
        for value, fill in sorted(bars, key=lambda bar: -abs(bar[0] - chart.middle)):
            x0, x1 = sorted((middle, at(value)))
            items.append(
                rectangle((x0, y), (max(x1 - x0, 0.4), step - 6.0), colour=INK, line=0.5, fill=fill)
            )
        items.append(Words(right + 6.0, y + 2.5, ends[index], TINY))
    items.append(Stroke(((middle, bottom), (middle, top)), INK, 0.9))
    for guide in chart.guides:
        x, colour = at(guide.value), COLOURS[guide.role][0]
        items.append(Stroke(((x, bottom), (x, top)), colour, 1.0, guide.dash))
        items.append(Words(x, top + 3.0, guide.label, TINY, "middle", colour))
    title = axis_title(chart.axis, units)
    items.append(Words((left + right) / 2, bottom - 19.0, title, SMALL, "middle"))
    x = 10.0
    for fill, text in (
        (LOW_FILL, tr("input at its low end")),
        (HIGH_FILL, tr("input at its high end")),
    ):
        items.append(rectangle((x, 4.0), (14.0, 7.0), colour=INK, line=0.5, fill=fill))
        items.append(Words(x + 18.0, 5.0, text, SMALL))
        x += 34.0 + text_width(text, SMALL)
    return Figure(width, height, tuple(items), chart.title, chart.caption)


def _edges(middles: Sequence[float]) -> list[float]:
    """Sides of cells from their middles."""
    inner = [0.5 * (a + b) for a, b in itertools.pairwise(middles)]
    if not inner:
        return [middles[0] - 0.5, middles[0] + 0.5]
    return [2 * middles[0] - inner[0], *inner, 2 * middles[-1] - inner[-1]]


def draw_map(chart: MapChart, units: Units, width: float, height: float) -> Figure:
    """Cells by kind of answer with signs, the border as a strong line, a key below.

    Parameters
    ----------
    chart : MapChart
        The description.
    units : Units
        Unit set and atmosphere.
    width, height : float
        Points; the key may add rows.
    """
    xs = _edges(axis_numbers(chart.xs, chart.x, units).tolist())
    ys = _edges(axis_numbers(chart.ys, chart.y, units).tolist())
    used = sorted({cell for row in chart.cells for cell in row})
    key = _key_rows([(chart.classes[n].sign, chart.classes[n].label, n) for n in used], width - 20)
    bottom = 30.0 + 12.0 * (len(key) + 1)
    top = height + 12.0 * len(key) - 6.0
    ticks_y = linear_ticks(ys[0], ys[-1], max(2, int((top - bottom) / 28.0)))
    left = 22.0 + max((text_width(number_text(t), SMALL) for t in ticks_y), default=20.0)
    right = width - 12.0
    across = Scale(xs[0], xs[-1], left, right, False)
    up = Scale(ys[0], ys[-1], bottom, top, False)
    inside: list[Stroke | Words] = []
    for row, cells in enumerate(chart.cells):
        start = 0
        for column in range(1, len(cells) + 1):
            if column < len(cells) and cells[column] == cells[start]:
                continue  # one area for equal neighbours
            x0, x1 = across.at(xs[start]), across.at(xs[column])
            y0, y1 = up.at(ys[row]), up.at(ys[row + 1])
            fill = chart.classes[cells[start]].fill
            inside.append(
                rectangle((x0, y0), (x1 - x0 + 0.2, y1 - y0 + 0.2), colour=None, fill=fill)
            )
            start = column
    inside += _signs(chart, xs, ys, across, up)
    for (x0, y0), (x1, y1) in chart.border:
        px = axis_numbers([x0, x1], chart.x, units).tolist()
        py = axis_numbers([y0, y1], chart.y, units).tolist()
        points = tuple((across.at(a), up.at(b)) for a, b in zip(px, py, strict=True))
        inside.append(Stroke(points, "#000000", 2.0))
    items: list[Item] = [Clip((left, bottom, right - left, top - bottom), tuple(inside))]
    for tick in linear_ticks(xs[0], xs[-1], max(2, int((right - left) / 55.0))):
        items.append(Stroke(((across.at(tick), bottom), (across.at(tick), bottom - 3.0)), INK, 0.6))
        items.append(Words(across.at(tick), bottom - 11.0, number_text(tick), SMALL, "middle"))
    for tick in ticks_y:
        items.append(Stroke(((left, up.at(tick)), (left - 3.0, up.at(tick))), INK, 0.6))
        items.append(Words(left - 5.0, up.at(tick) - 2.4, number_text(tick), SMALL, "end"))
    items.append(
        rectangle((left, bottom), (right - left, top - bottom), colour="#505050", line=0.8)
    )
    for mark in chart.marks:
        x = across.at(float(axis_numbers(mark.x, chart.x, units)))
        y = up.at(float(axis_numbers(mark.y, chart.y, units)))
        if left <= x <= right and bottom <= y <= top:
            items += sign(mark.shape, x, y, 8.0, COLOURS[mark.role][0])
            wide = text_width(mark.label, SMALL)
            at = x + 7.0 if x + 9.0 + wide < right else x - 7.0 - wide
            items.append(rectangle((at - 1.0, y + 1.5), (wide + 2.0, 8.0), colour=None,
                                   fill="#FFFFFF", opacity=0.85))  # fmt: skip
            items.append(Words(at, y + 3.0, mark.label, SMALL))
    items.append(Words((left + right) / 2, bottom - 21.0, axis_title(chart.x, units), SMALL,
                       "middle"))  # fmt: skip
    items.append(Words(9.0, (bottom + top) / 2, axis_title(chart.y, units), SMALL, "middle",
                       angle=90.0))  # fmt: skip
    y = bottom - 36.0
    for line in key:
        x = 12.0
        for mark_sign, label, number in line:
            fill = chart.classes[number].fill
            items.append(rectangle((x, y - 1.5), (14.0, 9.0), colour=INK, line=0.5, fill=fill))
            items.append(Words(x + 7.0, y + 0.5, mark_sign, TINY, "middle", _ink_on(fill)))
            items.append(Words(x + 18.0, y, label, SMALL))
            x += 30.0 + text_width(label, SMALL)
        y -= 12.0
    if chart.border:
        items.append(Stroke(((12.0, y + 2.5), (34.0, y + 2.5)), "#000000", 2.0))
        items.append(Words(38.0, y, tr("border between safe and unsafe"), SMALL))
    return Figure(width, top + 6.0, tuple(items), chart.title, chart.caption)


def _signs(
    chart: MapChart, xs: Sequence[float], ys: Sequence[float], across: Scale, up: Scale
) -> list[Words]:
    """Signs in cells far enough apart to be read."""
    found = []
    wide = (across.end - across.start) / max(len(chart.xs), 1)
    tall = (up.end - up.start) / max(len(chart.ys), 1)
    skip_x, skip_y = (max(1, round(SIGN_STEP / size)) for size in (wide, tall))
    for row in range(skip_y // 2, len(chart.cells), skip_y):
        for column in range(skip_x // 2, len(chart.cells[row]), skip_x):
            kind = chart.classes[chart.cells[row][column]]
            x = across.at(0.5 * (xs[column] + xs[column + 1]))
            y = up.at(0.5 * (ys[row] + ys[row + 1]))
            found.append(Words(x, y - 2.4, kind.sign, SMALL, "middle", _ink_on(kind.fill)))
    return found


def _ink_on(fill: str) -> str:
    red, green, blue = (int(fill[k : k + 2], 16) for k in (1, 3, 5))
    return "#FFFFFF" if 0.299 * red + 0.587 * green + 0.114 * blue < 128 else "#202020"


def _key_rows(
    entries: Sequence[tuple[str, str, int]], room: float
) -> list[list[tuple[str, str, int]]]:
    rows: list[list[tuple[str, str, int]]] = [[]]
    used = 0.0
    for entry in entries:
        wide = 30.0 + text_width(entry[1], SMALL)
        if used + wide > room and rows[-1]:
            rows.append([])
            used = 0.0
        rows[-1].append(entry)
        used += wide
    return rows
