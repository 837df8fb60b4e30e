"""The map of where a fire is survived as a figure: hatches and numbers that hold in grey."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.model import Installation, Point, Vessel
from airrisk.installation.people_places import rings
from airrisk.report.axes import SMALL, TINY, Scale, linear_ticks
from airrisk.report.text_width import text_width
from airrisk.study.fire_map_reach import outline_of
from airrisk.study.fire_map_records import RUPTURES, FireMap
from airrisk.study.outlines import outline
from airrisk.study.source_flames import diameter_of
from airrisk.wording import fire_map_texts as texts
from airrisk.wording.figures import Clip, Disc, Figure, Position, Stroke, Words, rectangle
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, displayed, number_text, unit_of

Floats = NDArray[np.float64]
MINUTES = (5.0, 10.0, 20.0, 40.0)  # of the contour lines
Plain = Stroke | Disc | Words
BROKEN = (5.0, 2.5)
PIECES = 180  # of a circle
FINE, WIDE, DOTS, FEW_DOTS = 5.0, 9.0, 6.0, 12.0  # points between hatches


@dataclass(frozen=True)
class Inks:
    """Colours of a map on one ground."""

    paper: str = "#FFFFFF"
    text: str = "#1A201D"
    quiet: str = "#56605A"
    bursts: tuple[str, str] = ("#FBE9E9", "#9A1B2D")  # ground and hatch
    over: tuple[str, str] = ("#FDF3D9", "#A87400")
    unsure: tuple[str, str] = ("#F1EFF8", "#5D4D94")
    unknown: tuple[str, str] = ("#D9DDDA", "#3A423E")
    clear: str = "#1A201D"  # thick line
    part: str = "#0B5A91"


ON_WHITE = Inks()
ON_DARK = Inks(
    paper="#242A27", text="#E9EDEA", quiet="#AAB5AF", bursts=("#40272A", "#F1877F"),
    over=("#3C341D", "#EEBA3C"), unsure=("#2C2A3A", "#B7A5EF"), unknown=("#3D4641", "#D0D6D2"),
    clear="#FFFFFF", part="#74BAEC",
)  # fmt: skip


@dataclass(frozen=True)
class Frame:
    """Where the plan lies on the figure."""

    across: Scale
    up: Scale

    def at(self, point: Point) -> Position:
        """A place on the plan [m] in points."""
        return self.across.at(point[0]), self.up.at(point[1])

    def place(self, x: float, y: float) -> Point:
        """A point of the figure as a place on the plan, m."""
        return _back(self.across, x), _back(self.up, y)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Corner, width and height in points."""
        a, u = self.across, self.up
        return a.start, u.start, a.end - a.start, u.end - u.start


def _back(scale: Scale, at: float) -> float:
    share = (at - scale.start) / (scale.end - scale.start)
    return scale.low + share * (scale.high - scale.low)


def frame_of(seen: FireMap, width: float, height: float, key_rows: int) -> Frame:
    """The plan to scale, as large as there is room above the key."""
    left, right, bottom, top = 40.0, width - 10.0, 34.0 + 13.0 * key_rows, height - 8.0
    wide = float(seen.x_m[-1] - seen.x_m[0])
    high = float(seen.y_m[-1] - seen.y_m[0])
    scale = min((right - left) / wide, max(top - bottom, 60.0) / high)
    start = left + 0.5 * max(right - left - scale * wide, 0.0)
    return Frame(
        Scale(float(seen.x_m[0]), float(seen.x_m[-1]), start, start + scale * wide, False),
        Scale(float(seen.y_m[0]), float(seen.y_m[-1]), bottom, bottom + scale * high, False),
    )


def height_for(seen: FireMap, width: float, key_rows: int) -> float:
    """Height at which a map of a width is as wide as it can be."""
    wide = float(seen.x_m[-1] - seen.x_m[0])
    high = float(seen.y_m[-1] - seen.y_m[0])
    return 42.0 + 13.0 * key_rows + (width - 50.0) * high / wide


@dataclass(frozen=True)
class MapFigure:
    """A drawn map, and where on it which place lies."""

    figure: Figure
    frame: Frame


def draw_fire_map(
    seen: FireMap,
    installation: Installation,
    units: Units,
    width: float,
    height: float = 0.0,
    inks: Inks = ON_WHITE,
) -> MapFigure:
    """A map with its parts, contour lines of the time to rupture, thick border and key.

    A square between four positions shows the worst of them, so that no line runs nearer than a
    position that was asked.

    Parameters
    ----------
    seen
        The map.
    installation
        Whose parts are drawn on it.
    units
        Of the axes.
    width, height
        Points; height 0: as the plan wants.
    inks
        Colours.
    """
    squares = texts.squares_of(texts.kinds_of(seen))
    key = _key_entries(seen, squares)
    rows = _key_rows(key, width - 20.0)
    height = height or min(height_for(seen, width, len(rows)), 1.15 * width)
    frame = frame_of(seen, width, height, len(rows))
    inside: list[Plain] = [*_grounds(seen, squares, frame, inks)]
    inside += _hatches(squares, frame, inks)
    inside += _contours(seen, frame, inks)
    inside += _border(seen, squares, frame, inks)
    inside += _parts(installation, frame, inks)
    items: list[Plain | Clip] = [Clip(frame.box, tuple(inside))]
    items += _axes(seen, frame, units, inks)
    items += _key(rows, frame.up.start - 34.0, inks)
    figure = Figure(
        width, height, tuple(items), texts.map_title(seen, units),
        " ".join(texts.cautions(seen, units)),
    )  # fmt: skip
    return MapFigure(figure, frame)


def _pair(kind: int, inks: Inks) -> tuple[str, str] | None:
    return {
        texts.BURSTS: inks.bursts, texts.BURSTS_SOON: inks.bursts, texts.OVER: inks.over,
        texts.UNSURE: inks.unsure, texts.UNKNOWN: inks.unknown, texts.FEW: (inks.paper, inks.quiet),
        texts.WAITING: inks.unknown,
    }.get(kind)  # fmt: skip


def _grounds(
    seen: FireMap, squares: NDArray[np.int8], frame: Frame, inks: Inks
) -> Iterator[Stroke]:
    """One area for equal neighbours of a row."""
    x = [frame.across.at(float(one)) for one in seen.x_m]
    y = [frame.up.at(float(one)) for one in seen.y_m]
    yield rectangle((x[0], y[0]), (x[-1] - x[0], y[-1] - y[0]), colour=None, fill=inks.paper)
    for row, kinds in enumerate(squares.tolist()):
        start = 0
        for kind, group in itertools.groupby(kinds):
            end = start + len(list(group))
            pair = _pair(kind, inks)
            if pair is not None and pair[0] != inks.paper:
                yield rectangle(
                    (x[start], y[row]), (x[end] - x[start] + 0.15, y[row + 1] - y[row] + 0.15),
                    colour=None, fill=pair[0],
                )  # fmt: skip
            start = end


def _hatches(squares: NDArray[np.int8], frame: Frame, inks: Inks) -> Iterator[Stroke]:
    burst, soon = texts.BURSTS, texts.BURSTS_SOON
    red, amber = inks.bursts[1], inks.over[1]
    asked: tuple[tuple[tuple[int, ...], float, int, str, float, tuple[float, ...]], ...] = (
        ((burst, soon), FINE, 1, red, 0.7, ()),
        ((soon,), FINE, -1, red, 0.7, ()),
        ((texts.OVER,), WIDE, -1, amber, 1.8, ()),
        ((texts.UNKNOWN,), FINE, 0, inks.unknown[1], 0.6, (3.0, 2.0)),
        ((texts.UNSURE,), DOTS, 0, inks.unsure[1], 1.2, (1.2, DOTS - 1.2)),
        ((texts.FEW,), FEW_DOTS, 0, inks.quiet, 1.0, (1.0, FEW_DOTS - 1.0)),
    )
    for kinds, spacing, slope, colour, width, dash in asked:
        chosen = np.isin(squares, kinds)
        for points in _lines_through(chosen, frame, spacing, slope):
            yield Stroke(points, colour, width, dash)


def _lines_through(
    chosen: NDArray[np.bool_], frame: Frame, spacing: float, slope: int
) -> Iterator[tuple[Position, Position]]:
    """Pieces of parallel lines that lie on chosen squares; slope 1, -1 or level."""
    if not chosen.any():
        return
    left, bottom, wide, high = frame.box
    columns = max(chosen.shape[1], 1)
    step = 0.25 * wide / columns
    tall = high / chosen.shape[0]
    x = left + np.arange(0.5 * step, wide, step)
    first = math.floor((bottom - abs(slope) * wide) / spacing) * spacing
    for number in range(math.ceil((high + 2 * abs(slope) * wide) / spacing) + 2):
        y = first + number * spacing + slope * (x - left)
        if slope < 0:
            y = y + wide
        column = np.clip(((x - left) * columns / wide).astype(int), 0, columns - 1)
        row = np.floor((y - bottom) / tall).astype(int)
        held = (row >= 0) & (row < chosen.shape[0])
        held &= chosen[np.clip(row, 0, chosen.shape[0] - 1), column]
        edges = np.flatnonzero(np.diff(np.concatenate([[0], held.astype(int), [0]])))
        for begin, end in zip(edges[::2], edges[1::2], strict=True):
            a, b = x[begin] - 0.5 * step, x[end - 1] + 0.5 * step
            rise = float(y[begin] - slope * x[begin])
            if slope == 0:
                a = left + math.ceil((a - left) / spacing) * spacing  # dots stand in columns
                if a >= b:
                    continue
            yield (float(a), rise + slope * float(a)), (float(b), rise + slope * float(b))


def _contours(seen: FireMap, frame: Frame, inks: Inks) -> list[Plain]:
    """Lines of equal time to rupture with their minutes."""
    found: list[Plain] = []
    labelled: list[Position] = []
    for level in MINUTES:
        pieces = [tuple(frame.at(point) for point in piece) for piece in _level(seen, level)]
        found += [Stroke((a, b), inks.text, 0.9) for a, b in pieces]
        for (ax, ay), (bx, by) in pieces:
            spot = (0.5 * (ax + bx), 0.5 * (ay + by))
            if all(math.dist(spot, other) > 55.0 for other in labelled):
                text = number_text(level)
                half = 0.5 * text_width(text, TINY) + 1.5
                found.append(
                    rectangle((spot[0] - half, spot[1] - 3.6), (2 * half, 7.6), colour=None,
                              fill=inks.paper)
                )  # fmt: skip
                found.append(
                    Words(spot[0], spot[1] - 2.2, text, TINY, "middle", inks.text, bold=True)
                )
                labelled.append(spot)
    return found


def _level(seen: FireMap, minutes: float) -> Iterator[tuple[Point, Point]]:
    """The contour line of a time to rupture, m."""
    time = np.where(seen.outcome == RUPTURES, seen.rupture_s / 60.0, np.nan)
    return level_pieces(seen.x_m, seen.y_m, _earliest_around(time), minutes)


def _earliest_around(value: Floats) -> Floats:
    """Each number as the least of itself and its neighbours: smoother lines, on the safe side."""
    wide = np.pad(value, 1, constant_values=np.nan)
    rows, columns = value.shape
    around = [
        wide[down : down + rows, right : right + columns]
        for down, right in itertools.product(range(3), range(3))
    ]
    found = np.fmin.reduce(around)
    return np.where(np.isfinite(value), found, np.nan)


def level_pieces(
    x: Floats, y: Floats, value: Floats, level: float
) -> Iterator[tuple[Point, Point]]:
    """Straight pieces of one contour line, square by square; none beside what is not a number."""
    rows, columns = value.shape
    for row, column in itertools.product(range(rows - 1), range(columns - 1)):
        corners = [(row, column), (row, column + 1), (row + 1, column + 1), (row + 1, column)]
        known = [float(value[one]) for one in corners]
        if not all(map(math.isfinite, known)) or not min(known) < level <= max(known):
            continue
        cut = []
        for k in range(4):
            (r0, c0), (r1, c1) = corners[k], corners[(k + 1) % 4]
            v0, v1 = known[k], known[(k + 1) % 4]
            if (v0 < level) != (v1 < level):
                share = (level - v0) / (v1 - v0)
                cut.append(
                    (
                        float(x[c0] + share * (x[c1] - x[c0])),
                        float(y[r0] + share * (y[r1] - y[r0])),
                    )
                )
        yield from zip(cut[::2], cut[1::2], strict=True)


def _border(seen: FireMap, squares: NDArray[np.int8], frame: Frame, inks: Inks) -> Iterator[Stroke]:
    """The thick line: outside it every position that was asked is survived."""
    unsafe = np.pad(squares >= texts.UNKNOWN, 1)
    dash = () if seen.stage == "borders" else BROKEN
    x = [frame.across.at(float(one)) for one in seen.x_m]
    y = [frame.up.at(float(one)) for one in seen.y_m]
    across = unsafe[1:, 1:-1] != unsafe[:-1, 1:-1]  # between a row and the one below
    for row, line in enumerate(across.tolist()):
        for a, b in _spans(line):
            yield Stroke(((x[a] - 0.9, y[row]), (x[b] + 0.9, y[row])), inks.clear, 1.8, dash)
    upright = (unsafe[1:-1, 1:] != unsafe[1:-1, :-1]).T
    for column, line in enumerate(upright.tolist()):
        for a, b in _spans(line):
            yield Stroke(((x[column], y[a] - 0.9), (x[column], y[b] + 0.9)), inks.clear, 1.8, dash)


def _spans(line: Sequence[bool]) -> Iterator[tuple[int, int]]:
    start = 0
    for held, group in itertools.groupby(line):
        end = start + len(list(group))
        if held:
            yield start, end
        start = end


def _parts(installation: Installation, frame: Frame, inks: Inks) -> Iterator[Plain]:
    """Walls, lines, vessels to scale, sources and people with their names."""
    for wall in installation.walls:
        yield Stroke(tuple(frame.at(one) for one in wall.points), inks.paper, 4.6)
        yield Stroke(tuple(frame.at(one) for one in wall.points), inks.quiet, 3.0)
    scale = (frame.across.end - frame.across.start) / (frame.across.high - frame.across.low)
    for line in installation.lines:
        points, _ = outline_of(installation, line)
        if len(points) > 1:
            yield Stroke(tuple(frame.at(one) for one in points), inks.paper, 3.0)
            yield Stroke(tuple(frame.at(one) for one in points), inks.part, 1.3)
    names: list[tuple[Position, str, str]] = []
    for vessel in installation.vessels:
        if vessel.at is not None:
            x, y = frame.at(vessel.at)
            yield _vessel(installation, vessel, frame, scale, inks)
            names.append(((x, y), vessel.id, inks.text))
    for source in installation.fire_sources:
        x, y = frame.at(source.at)
        yield Disc(x, y, max(0.5 * diameter_of(source) * scale, 2.2), inks.bursts[1], 1.4)
        names.append(((x, y), source.id, inks.text))
    yield from _rings(installation, frame, inks)
    for people in installation.people:
        if people.at is None:
            continue
        x, y = frame.at(people.at)
        yield Disc(x, y + 2.4, 1.6, inks.text, 0.9, inks.paper)
        yield Stroke(((x, y + 0.8), (x, y - 3.0)), inks.text, 1.1)
        names.append(((x, y), people.id, inks.text))
    yield from _names(names, frame, inks)


def _rings(installation: Installation, frame: Frame, inks: Inks) -> Iterator[Plain]:
    """The circles on which people may be, as far as they lie on the map."""
    across, up = frame.across, frame.up
    for _, ring in rings(installation):
        if ring.middle is None:
            continue
        for number in range(0, PIECES, 2):  # every other piece: a broken line
            ends = [_on(ring.middle, ring.inner, (number + step) / PIECES) for step in (0, 1)]
            if all(across.low <= x <= across.high and up.low <= y <= up.high for x, y in ends):
                yield Stroke(tuple(frame.at(one) for one in ends), inks.text, 0.9)


def _on(middle: Point, radius: float, share: float) -> Point:
    """A point of a circle, so far around it."""
    turn = 2.0 * math.pi * share
    return middle[0] + radius * math.cos(turn), middle[1] + radius * math.sin(turn)


def _vessel(
    installation: Installation, vessel: Vessel, frame: Frame, scale: float, inks: Inks
) -> Plain:
    """A vessel from above; of a lying one without a direction all that it may cover."""
    assert vessel.at is not None
    if vessel.orientation == "horizontal" and vessel.direction is not None:
        radius, length = outline(vessel)
        along = (math.cos(vessel.direction), math.sin(vessel.direction))
        corners = tuple(
            frame.at(
                (
                    vessel.at[0] + a * 0.5 * length * along[0] - b * radius * along[1],
                    vessel.at[1] + a * 0.5 * length * along[1] + b * radius * along[0],
                )
            )
            for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        )
        return Stroke(corners, inks.part, 1.4, (), True, inks.paper)
    x, y = frame.at(vessel.at)
    reach = outline_of(installation, vessel)[1]
    return Disc(x, y, max(reach * scale, 2.2), inks.part, 1.4, inks.paper)


def _names(names: Sequence[tuple[Position, str, str]], frame: Frame, inks: Inks) -> Iterator[Plain]:
    taken: list[tuple[float, float, float, float]] = []
    left, bottom, wide, high = frame.box
    for (x, y), text, colour in names:
        long = text_width(text, SMALL)
        for dx, dy in ((6.0, 5.0), (6.0, -11.0), (-6.0 - long, 5.0), (-6.0 - long, -11.0),
                       (6.0, 14.0), (-6.0 - long, 14.0)):  # fmt: skip
            box = (x + dx - 1.0, y + dy - 1.8, x + dx + long + 1.0, y + dy + 7.0)
            inside = box[0] >= left and box[2] <= left + wide and box[3] <= bottom + high
            if not inside or any(
                box[0] < t[2] and t[0] < box[2] and box[1] < t[3] and t[1] < box[3] for t in taken
            ):
                continue
            taken.append(box)
            yield rectangle(
                (box[0], box[1]), (box[2] - box[0], box[3] - box[1]), colour=None,
                fill=inks.paper, opacity=0.85,
            )  # fmt: skip
            yield Words(x + dx, y + dy, text, SMALL, "start", colour)
            break


def _axes(seen: FireMap, frame: Frame, units: Units, inks: Inks) -> Iterator[Plain]:
    left, bottom, wide, high = frame.box
    yield rectangle((left, bottom), (wide, high), colour=inks.quiet, line=0.8)
    per = float(displayed([1.0], "distance", units)[0])
    for scale, level in ((frame.across, True), (frame.up, False)):
        room = scale.end - scale.start
        for tick in linear_ticks(scale.low * per, scale.high * per, max(2, int(room / 55.0))):
            at = scale.at(tick / per)
            text = number_text(tick)
            if level:
                yield Stroke(((at, bottom), (at, bottom - 3.0)), inks.quiet, 0.6)
                yield Words(at, bottom - 11.0, text, SMALL, "middle", inks.text)
            else:
                yield Stroke(((left, at), (left - 3.0, at)), inks.quiet, 0.6)
                yield Words(left - 5.0, at - 2.4, text, SMALL, "end", inks.text)
    title = (
        tr("Place of the nozzle of the jet on the plan, {unit}")
        if seen.source.kind == "jet"
        else tr("Place of the middle of the fire on the plan, {unit}")
    ).format(unit=unit_of("distance", units))
    yield Words(left, bottom - 20.0, title, SMALL, "start", inks.text)


def _key_entries(seen: FireMap, squares: NDArray[np.int8]) -> list[tuple[int, str]]:
    kinds = [int(kind) for kind in np.unique(squares)][::-1]
    found = [(kind, texts.area_name(kind)) for kind in kinds]
    if any(kind >= texts.UNKNOWN for kind in kinds):
        found.append((-1 if seen.stage == "borders" else -3, _border_words(seen)))
    if any(True for level in MINUTES for _ in _level(seen, level)):
        found.append((-2, tr("thin lines: minutes to the rupture")))
    return found


def _border_words(seen: FireMap) -> str:
    if seen.stage == "borders":
        return tr("thick line: at least outside it the fire must stay")
    return tr("broken thick line: the border, not checked by all runs yet")


def _key_rows(entries: Sequence[tuple[int, str]], room: float) -> list[list[tuple[int, str]]]:
    rows: list[list[tuple[int, str]]] = [[]]
    used = 0.0
    for entry in entries:
        wide = 40.0 + text_width(entry[1], SMALL)
        if used + wide > room and rows[-1]:
            rows.append([])
            used = 0.0
        rows[-1].append(entry)
        used += wide
    return rows


def _key(
    rows: Sequence[Sequence[tuple[int, str]]], top: float, inks: Inks
) -> Iterator[Plain | Clip]:
    y = top
    for row in rows:
        x = 10.0
        for kind, text in row:
            yield from _swatch(kind, x, y - 2.0, inks)
            yield Words(x + 25.0, y, text, SMALL, "start", inks.text)
            x += 40.0 + text_width(text, SMALL)
        y -= 13.0


def _swatch(kind: int, x: float, y: float, inks: Inks) -> Iterator[Plain | Clip]:
    """A sample of an area, 20 by 9 points."""
    wide, high = 20.0, 9.0
    if kind < 0:
        colour, line = (inks.text, 0.9) if kind == -2 else (inks.clear, 1.8)
        dash = BROKEN if kind == -3 else ()
        yield Stroke(((x, y + 4.5), (x + wide, y + 4.5)), colour, line, dash)
        return
    pair = _pair(kind, inks)
    yield rectangle((x, y), (wide, high), colour=None, fill=inks.paper if pair is None else pair[0])
    if kind in (texts.UNSURE, texts.FEW):
        count, colour = (3, inks.unsure[1]) if kind == texts.UNSURE else (1, inks.quiet)
        for k in range(count):
            middle = x + (k + 1) * wide / (count + 1)
            yield Stroke(((middle - 0.6, y + 4.5), (middle + 0.6, y + 4.5)), colour, 1.2)
    else:
        frame = Frame(Scale(0.0, 1.0, x, x + wide, False), Scale(0.0, 1.0, y, y + high, False))
        yield Clip(
            (x, y, wide, high),
            tuple(_hatches(np.full((1, 1), kind, dtype=np.int8), frame, inks)),
        )
    yield rectangle((x, y), (wide, high), colour=inks.quiet, line=0.5)
