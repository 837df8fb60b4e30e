"""Chart descriptions drawn as figures: scales, ticks, labels that keep clear of each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from airrisk.report.axes import GRID, INK, SMALL, TINY, Scale, linear_ticks, ticks
from airrisk.report.text_width import text_width
from airrisk.wording.charts import (
    COLOURS,
    BarChart,
    Chart,
    MapChart,
    Picture,
    Ruler,
    SpanChart,
    axis_numbers,
    axis_range,
    axis_title,
    bar_ends,
    bars_title,
    chart_values,
    thin_out,
)
from airrisk.wording.figures import Clip, Figure, Item, Stroke, Words, rectangle, sign
from airrisk.wording.units import (
    Units,
    number_text,
    unit_of,
)


@dataclass
class _Placer:
    """Remembers where texts stand, so that the next one keeps clear."""

    taken: list[tuple[float, float, float, float]] = field(default_factory=list)

    def free(self, x: float, y: float, width: float, height: float) -> bool:
        return not any(
            x < tx + tw and tx < x + width and y < ty + th and ty < y + height
            for tx, ty, tw, th in self.taken
        )

    def take(self, x: float, y: float, width: float, height: float) -> None:
        self.taken.append((x, y, width, height))


def draw(picture: Picture | Figure, units: Units, width: float, height: float = 0.0) -> Figure:
    """Any picture as a figure of the given width.

    Parameters
    ----------
    picture : Chart, BarChart, Ruler or Figure
        The description; a finished figure is returned as it is.
    units : Units
        Unit set and atmosphere.
    width, height : float
        Points; height 0: by content.
    """
    if isinstance(picture, Figure):
        return picture
    if isinstance(picture, Chart):
        return draw_chart(picture, units, width, height or 0.5 * width)
    if isinstance(picture, BarChart):
        return draw_bars(picture, units, width)
    if isinstance(picture, (SpanChart, MapChart)):
        from airrisk.report.area_plotting import draw_map, draw_spans

        if isinstance(picture, SpanChart):
            return draw_spans(picture, units, width)
        return draw_map(picture, units, width, height or 0.6 * width)
    return draw_ruler(picture, units, width)


def _scales(
    chart: Chart, units: Units, box: tuple[float, float, float, float]
) -> tuple[Scale, Scale]:
    x0, y0, x1, y1 = box
    scales = []
    for which, axis, start, end in (("x", chart.x, x0, x1), ("y", chart.y, y0, y1)):
        low, high = axis_range(axis, chart_values(chart, which), units)  # type: ignore[arg-type]
        if axis.scale == "log":
            low, high = max(low, 1e-12), max(high, 2e-12)
        scales.append(Scale(low, high, start, end, axis.scale == "log"))
    return scales[0], scales[1]


def draw_chart(chart: Chart, units: Units, width: float, height: float) -> Figure:
    """A line chart as a figure: frame, grid, lines, labelled guides and marks, key below."""
    key_rows = _key_rows(chart, width - 20.0)
    bottom = 30.0 + 11.0 * len(key_rows)
    top = height + 11.0 * max(0, len(key_rows) - 1) - 6.0
    total = top + 6.0
    rough = _scales(chart, units, (0.0, bottom, 1.0, top))
    labels_y = [number_text(t) for t in ticks(rough[1], top - bottom, 28.0)]
    left = 22.0 + max((text_width(t, SMALL) for t in labels_y), default=20.0)
    right = width - 10.0
    xs, ys = _scales(chart, units, (left, bottom, right, top))
    items: list[Item] = []
    items += _bands(chart, units, xs, ys, (left, bottom, right, top))
    items += _grid(chart, units, xs, ys, (left, bottom, right, top))
    lines: list[Stroke] = []
    for series in chart.series:
        keep = [g.value for g in chart.guides if g.axis == "x"]
        thin = thin_out(series, 300, keep)
        px = [xs.at(v) for v in axis_numbers(thin.x, chart.x, units).tolist()]
        py = [ys.at(v) for v in axis_numbers(thin.y, chart.y, units).tolist()]
        if px:
            colour = COLOURS[series.role][0]
            lines.append(Stroke(tuple(zip(px, py, strict=True)), colour, series.width, series.dash))
    items.append(Clip((left, bottom, right - left, top - bottom), tuple(lines)))
    placer = _Placer()
    items += _marks(chart, units, xs, ys, placer, right)
    curves = [stroke.points for stroke in lines]
    items += _guides(chart, units, xs, ys, placer, (left, bottom, right, top), curves)
    items.append(
        rectangle((left, bottom), (right - left, top - bottom), colour="#707070", line=0.7)
    )
    items += _key(key_rows, left=12.0, top=bottom - 30.0)
    return Figure(width, total, tuple(items), chart.title, chart.caption)


def _bands(
    chart: Chart, units: Units, xs: Scale, ys: Scale, box: tuple[float, float, float, float]
) -> list[Item]:
    left, bottom, right, top = box
    items: list[Item] = []
    for band in chart.bands:
        axis, scale = (chart.x, xs) if band.axis == "x" else (chart.y, ys)
        low, high = (scale.at(float(v)) for v in axis_numbers([band.low, band.high], axis, units))
        colour = COLOURS[band.role][0]
        area = (
            rectangle(
                (low, bottom), (high - low, top - bottom), colour=None, fill=colour, opacity=0.15
            )
            if band.axis == "x"
            else rectangle(
                (left, low), (right - left, high - low), colour=None, fill=colour, opacity=0.15
            )
        )
        items.append(Clip((left, bottom, right - left, top - bottom), (area,)))
    return items


def _grid(
    chart: Chart, units: Units, xs: Scale, ys: Scale, box: tuple[float, float, float, float]
) -> list[Item]:
    left, bottom, right, top = box
    items: list[Item] = []
    for tick in ticks(xs, right - left, 55.0):
        x = xs.at(tick)
        items.append(Stroke(((x, bottom), (x, top)), GRID, 0.5))
        items.append(Words(x, bottom - 9.0, number_text(tick), SMALL, "middle"))
    for tick in ticks(ys, top - bottom, 28.0):
        y = ys.at(tick)
        items.append(Stroke(((left, y), (right, y)), GRID, 0.5))
        items.append(Words(left - 4.0, y - 2.4, number_text(tick), SMALL, "end"))
    middle = (left + right) / 2
    items.append(Words(middle, bottom - 19.0, axis_title(chart.x, units), SMALL, "middle"))
    items.append(
        Words(9.0, (bottom + top) / 2, axis_title(chart.y, units), SMALL, "middle", angle=90.0)
    )
    return items


def _marks(
    chart: Chart, units: Units, xs: Scale, ys: Scale, placer: _Placer, right: float
) -> list[Item]:
    items: list[Item] = []
    for mark in chart.marks:
        x = xs.at(float(axis_numbers(mark.x, chart.x, units)))
        y = ys.at(float(axis_numbers(mark.y, chart.y, units)))
        colour = COLOURS[mark.role][0]
        items += sign(mark.shape, x, y, 7.0, colour)
        placer.take(x - 4, y - 4, 8, 8)
        if mark.label:
            wide = text_width(mark.label, SMALL)
            for dx, dy, anchor in ((7.0, -9.0, "start"), (-7.0, 4.0, "end"), (7.0, 4.0, "start")):
                start = x + dx if anchor == "start" else x + dx - wide
                if start + wide < right and placer.free(start, y + dy, wide, 8.0):
                    items.append(_paper(start, y + dy, wide, 8.0))
                    items.append(Words(x + dx, y + dy, mark.label, SMALL, anchor, colour))  # type: ignore[arg-type]
                    placer.take(start, y + dy, wide, 8.0)
                    break
    return items


def _guides(
    chart: Chart, units: Units, xs: Scale, ys: Scale, placer: _Placer,
    box: tuple[float, float, float, float],
    curves: Sequence[Sequence[tuple[float, float]]],
) -> list[Item]:  # fmt: skip
    left, bottom, right, top = box
    items: list[Item] = []
    upright = sorted((g for g in chart.guides if g.axis == "x"), key=lambda g: g.value)
    level = sorted((g for g in chart.guides if g.axis == "y"), key=lambda g: g.value)
    heights = [ys.at(float(axis_numbers(g.value, chart.y, units))) for g in level]
    for guide, y in zip(level, heights, strict=True):
        if not bottom - 0.5 <= y <= top + 0.5:
            continue
        colour = COLOURS[guide.role][0]
        items.append(Stroke(((left, y), (right, y)), colour, 0.8, guide.dash))
        wide = text_width(guide.label, TINY)
        level_spots = [
            (right - wide - 4, 2.5), (right - wide - 4, -8.0), (left + 5, 2.5),
            (left + 5, -8.0), ((left + right - wide) / 2, 2.5),
        ]  # fmt: skip
        level_spots.sort(key=lambda p: _crossed(curves, p[0], y + p[1], wide, 6.5))
        for spot, dy in level_spots:
            inside = bottom < y + dy and y + dy + 6 < top
            struck = any(y + dy - 1.5 < other < y + dy + 6.5 for other in heights)
            if inside and not struck and placer.free(spot, y + dy, wide, 7.0):
                items.append(_paper(spot, y + dy, wide, 6.5))
                items.append(Words(spot, y + dy, guide.label, TINY, "start", colour))
                placer.take(spot, y + dy, wide, 7.0)
                break
    stems = [xs.at(float(axis_numbers(g.value, chart.x, units))) for g in upright]
    for guide in upright:
        x = xs.at(float(axis_numbers(guide.value, chart.x, units)))
        if not left - 0.5 <= x <= right + 0.5:
            continue
        colour = COLOURS[guide.role][0]
        items.append(Stroke(((x, bottom), (x, top)), colour, 0.8, guide.dash))
        tall = text_width(guide.label, TINY)
        side = -2.5 if x - 9.0 > left else 8.0
        spots: list[tuple[float, float]] = []
        for shift in (side, 8.0, -2.5):
            spots += [(x + shift, top - 4 - tall - k * 12.0) for k in range(0, 14)]
        spots.sort(
            key=lambda p: (
                any(p[0] - 7.0 < line < p[0] + 1.5 for line in stems),
                _crossed(curves, p[0] - 6.5, p[1], 7.5, tall),
            )
        )
        for sx, sy in spots:
            # A quarter-turned text stands to the left of its base line.
            if sy > bottom + 2 and sx < right - 1 and placer.free(sx - 6.5, sy, 7.5, tall):
                items.append(_paper(sx - 5.5, sy, 6.5, tall))
                items.append(Words(sx, sy, guide.label, TINY, "start", colour, angle=90.0))
                placer.take(sx - 6.5, sy, 7.5, tall)
                break
    return items


def _crossed(
    curves: Sequence[Sequence[tuple[float, float]]], x: float, y: float, width: float, height: float
) -> bool:
    """Whether a curve runs through a box; sorted by it, places clear of curves come first."""
    across = np.linspace(x - 1.0, x + width + 1.0, 9)
    for points in curves:
        px, py = (np.array(values) for values in zip(*points, strict=True))
        if np.any(np.diff(px) < 0.0):
            continue  # not a function of x: its label keeps the usual place
        heights = np.interp(across, px, py, left=np.nan, right=np.nan)
        low, high = np.fmin.reduce(heights), np.fmax.reduce(heights)
        if low < y + height + 1.0 and high > y - 1.0:
            return True
    return False


def _paper(x: float, y: float, width: float, height: float) -> Stroke:
    """A pale ground under a label, so that lines do not strike it through."""
    return rectangle(
        (x - 0.8, y - 1.2), (width + 1.6, height), colour=None, fill="#FFFFFF", opacity=0.8
    )


def _key_rows(chart: Chart, room: float) -> list[list[tuple[str, str, tuple[float, ...], float]]]:
    rows: list[list[tuple[str, str, tuple[float, ...], float]]] = [[]]
    used = 0.0
    for series in chart.series:
        wide = 36.0 + text_width(series.label, SMALL)
        if used + wide > room and rows[-1]:
            rows.append([])
            used = 0.0
        rows[-1].append((series.label, COLOURS[series.role][0], series.dash, series.width))
        used += wide
    return rows


def _key(
    rows: Sequence[Sequence[tuple[str, str, tuple[float, ...], float]]], left: float, top: float
) -> list[Item]:
    items: list[Item] = []
    y = top
    for row in rows:
        x = left
        for label, colour, dash, line in row:
            items.append(Stroke(((x, y + 2.4), (x + 22.0, y + 2.4)), colour, line, dash))
            items.append(Words(x + 25.0, y, label, SMALL))
            x += 36.0 + text_width(label, SMALL)
        y -= 11.0
    return items


def draw_bars(chart: BarChart, units: Units, width: float) -> Figure:
    """Lying bars with their numbers at the end."""
    step = 14.0
    bottom = 14.0
    height = bottom + step * len(chart.bars) + 8.0
    names = [f"{bar.label} – {bar.note}" if bar.note else bar.label for bar in chart.bars]
    left = 8.0 + max((text_width(name, SMALL) for name in names), default=0.0)
    ends = bar_ends(chart, units, 4)
    right = width - 10.0 - max((text_width(end, SMALL) for end in ends), default=0.0)
    values = axis_numbers([bar.value for bar in chart.bars], chart.axis, units)
    most = float(np.max(values)) if values.size else 1.0
    items: list[Item] = []
    fills = {"first": "#5B94B8", "second": "#C8824F", "third": "#8FB8A8"}
    rows = zip(chart.bars, names, values, ends, strict=True)
    for index, (bar, name, value, end) in enumerate(rows):
        y = height - 8.0 - step * (index + 1)
        long = max(0.6, (right - left) * float(value) / most if most > 0 else 0.6)
        items.append(Words(left - 4.0, y + 3.0, name, SMALL, "end"))
        items.append(
            rectangle((left, y + 1.0), (long, step - 4.0), colour=INK, line=0.5,
                      fill=fills.get(bar.role, "#BBBBBB"))
        )  # fmt: skip
        items.append(Words(left + long + 4.0, y + 3.0, end, SMALL))
    items.append(Stroke(((left, bottom - 4.0), (left, height - 4.0)), INK, 0.8))
    items.append(Words(left, 3.0, bars_title(chart, units), SMALL))
    return Figure(width, height, tuple(items), chart.title, chart.caption)


def draw_ruler(ruler: Ruler, units: Units, width: float) -> Figure:
    """One temperature axis; labels above in as many rows as they need, bases below."""
    left, right = 14.0, width - 14.0
    low, high = axis_range(ruler.axis, [t.value for t in ruler.ticks], units)
    scale = Scale(low, high, left, right, False)
    unit = unit_of("temperature", units)
    labels: list[tuple[float, float, int, str, str, str]] = []
    for tick in sorted(ruler.ticks, key=lambda t: -t.value):
        number = float(axis_numbers(tick.value, ruler.axis, units))
        text = f"{tick.label} {number_text(round(number, 1))} {unit}"
        x, wide = scale.at(number), text_width(text, TINY)
        start = min(x + 2.0, right - wide)
        # A text may not cross the stem or the text of a label to its right.
        row = 1 + max(
            (r for sx, st, r, *_ in labels if min(sx, st) <= start + wide + 5.0), default=-1
        )
        labels.append((x, start, row, text, tick.role, tick.shape))
    rows_above = 1 + max((label[2] for label in labels), default=0)
    above = 14.0 + 10.5 * rows_above
    below_rows = 0
    bases: list[tuple[float, float, float, int, str]] = []
    for tick in sorted(ruler.basis_ticks, key=lambda t: t.value):
        number = float(axis_numbers(tick.value, ruler.axis, units))
        text = f"{tick.label} {number_text(round(number, 1))} {unit}"
        x, wide = scale.at(number), text_width(text, TINY)
        start = max(left, x - 2.5 - wide)
        # A text may not cross the stem or the text of a label to its left.
        row = 1 + max((r for sx, st, w, r, _ in bases if max(sx, st + w) > start - 5.0), default=-1)
        below_rows = max(below_rows, row + 1)
        bases.append((x, start, wide, row, text))
    base = 22.0 + 10.5 * below_rows + 14.0
    height = base + above + 4.0
    items: list[Item] = []
    if ruler.band is not None:
        x1, x2 = (
            scale.at(float(v))
            for v in axis_numbers([ruler.band.low, ruler.band.high], ruler.axis, units)
        )
        items.append(
            rectangle((x1 - 1, base - 6), (max(x2 - x1, 2.0) + 2, 12), colour=COLOURS["rupture"][0],
                      line=0.5, fill=COLOURS["rupture"][0], opacity=0.22)
        )  # fmt: skip
    items.append(Stroke(((left, base), (right, base)), INK, 1.3))
    for x, start, row, text, role, shape in labels:
        colour = COLOURS[role][0]
        y = base + 14.0 + 10.5 * row
        items.append(Stroke(((x, base), (x, y + 5.0)), colour, 0.7))
        items += sign(shape, x, base, 7.0, colour)
        items.append(Words(start, y, text, TINY, "start", colour))
    for x, start, _, row, text in bases:
        colour = COLOURS["rupture"][0]
        y = base - 26.0 - 10.5 * row
        items.append(Stroke(((x, base - 6), (x, base + 6)), colour, 1.4))
        items.append(Words(start, y, text, TINY, "start", colour))
        items.append(Stroke(((x, base - 6), (x, y)), colour, 0.4, (1.0, 1.5)))
    for value in linear_ticks(low, high, max(3, int((right - left) / 50))):
        x, number_wide = scale.at(value), text_width(number_text(value), TINY)
        items.append(Stroke(((x, base - 3), (x, base)), INK, 0.7))
        items.append(_paper(x - number_wide / 2, base - 14.0, number_wide, 7.0))
        items.append(Words(x, base - 14.0, number_text(value), TINY, "middle"))
    items.append(Words(left, 2.0, f"{axis_title(ruler.axis, units)}", TINY, "start", "#505050"))
    if ruler.band is not None:
        items.append(Words(right, 2.0, ruler.band.label, TINY, "end", COLOURS["rupture"][0]))
    return Figure(width, height, tuple(items), ruler.title, ruler.caption)
