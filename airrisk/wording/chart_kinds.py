"""What a chart consists of, free of any drawing library: SI coordinates, roles, captions.

Every drawer (window, PDF, HTML) takes the same description, turns SI into the reader's units
with ``axis_numbers`` and picks line colours by role. Lines differ by dash pattern and by
darkness as well as by hue, so that they can be told apart in grey print and by colour-blind
readers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.wording.units import (
    US_CUSTOMARY,
    Units,
    displayed,
    from_displayed,
    number_text,
    quantity_text,
    unit_of,
)

Role = Literal[
    "air", "metal", "cold metal", "plug", "device", "design", "rupture", "limit", "running",
    "ghost", "neutral", "first", "second", "third", "fourth", "fifth", "sixth",
]  # fmt: skip
Shape = Literal["circle", "square", "triangle", "diamond", "cross", "plus"]

# (on white, on dark). Hues after Okabe and Ito 2008, darkened for lines on white.
COLOURS: dict[str, tuple[str, str]] = {
    "air": ("#0072B2", "#56B4E9"),
    "metal": ("#A84300", "#F08030"),
    "cold metal": ("#7A6A55", "#C8B090"),
    "plug": ("#00725A", "#40C8A0"),
    "device": ("#6A4A9A", "#B89CE8"),
    "design": ("#5A5A5A", "#B8B8B8"),
    "rupture": ("#A00030", "#FF7088"),
    "limit": ("#A00030", "#FF7088"),
    "running": ("#3C6E8F", "#8CBCD8"),
    "ghost": ("#B0B0B0", "#606060"),
    "neutral": ("#303030", "#E0E0E0"),
    "first": ("#0072B2", "#56B4E9"),
    "second": ("#A84300", "#F08030"),
    "third": ("#00725A", "#40C8A0"),
    "fourth": ("#6A4A9A", "#B89CE8"),
    "fifth": ("#7A6A00", "#E8D040"),
    "sixth": ("#303030", "#E0E0E0"),
}

# Dash patterns in points, drawn - gap; empty is a full line.
DASHES: dict[str, tuple[float, ...]] = {
    "air": (),
    "metal": (7.0, 2.5),
    "cold metal": (2.0, 2.0),
    "plug": (9.0, 2.5, 2.0, 2.5),
    "device": (5.0, 2.0, 1.5, 2.0, 1.5, 2.0),
    "design": (1.5, 3.0),
    "rupture": (),
    "limit": (4.0, 3.0),
    "running": (1.5, 3.0),
    "ghost": (),
    "neutral": (),
    "first": (),
    "second": (7.0, 2.5),
    "third": (9.0, 2.5, 2.0, 2.5),
    "fourth": (2.0, 2.0),
    "fifth": (5.0, 2.0, 1.5, 2.0, 1.5, 2.0),
    "sixth": (12.0, 3.0),
}
ORDER: tuple[Role, ...] = ("first", "second", "third", "fourth", "fifth", "sixth")


@dataclass(frozen=True, eq=False)
class Series:
    """One line: SI coordinates of equal length, x rising."""

    key: str
    label: str
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    role: Role
    dash: tuple[float, ...] = ()
    width: float = 1.2  # points


@dataclass(frozen=True)
class Axis:
    """One axis: what it shows, as which kind of quantity, and its range in SI (None: by data)."""

    label: str
    kind: str
    scale: Literal["linear", "log"] = "linear"
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Mark:
    """A labelled point."""

    x: float
    y: float
    label: str
    role: Role
    shape: Shape = "circle"


@dataclass(frozen=True)
class Guide:
    """A labelled straight line across the chart at one value of one axis."""

    axis: Literal["x", "y"]
    value: float
    label: str
    role: Role
    dash: tuple[float, ...] = (4.0, 3.0)


@dataclass(frozen=True)
class Band:
    """A shaded range of one axis."""

    axis: Literal["x", "y"]
    low: float
    high: float
    label: str
    role: Role


@dataclass(frozen=True, eq=False)
class Chart:
    """A line chart."""

    key: str
    title: str
    x: Axis
    y: Axis
    series: tuple[Series, ...]
    marks: tuple[Mark, ...] = ()
    guides: tuple[Guide, ...] = ()
    bands: tuple[Band, ...] = ()
    caption: str = ""


@dataclass(frozen=True)
class Ghost:
    """Another chart of the same kind, drawn pale behind; ``sign`` stands at the ends of its lines.

    ``name`` stands in the legend.
    """

    chart: Chart
    name: str
    sign: str = ""


@dataclass(frozen=True)
class Bar:
    """One bar of a bar chart, SI."""

    label: str
    value: float
    role: Role
    note: str = ""
    mark: float | None = None  # another value of the same, drawn across the bar


@dataclass(frozen=True)
class BarChart:
    """Lying bars with one value axis; each bar carries its number."""

    key: str
    title: str
    axis: Axis
    bars: tuple[Bar, ...]
    caption: str = ""


@dataclass(frozen=True)
class Tick:
    """One labelled temperature of the order ruler."""

    kind: str
    label: str
    value: float  # K
    role: Role
    shape: Shape


@dataclass(frozen=True)
class Ruler:
    """One temperature axis with what happens in its order; rupture as a band over the bases."""

    key: str
    title: str
    axis: Axis
    ticks: tuple[Tick, ...]
    band: Band | None
    basis_ticks: tuple[Tick, ...]  # rupture by basis, inside the band
    caption: str = ""
    sentence: str = ""
    absent: tuple[str, ...] = ()  # what never happens within the range


@dataclass(frozen=True)
class Span:
    """One row of a span chart: the result at the low and at the high end of an input, SI."""

    label: str
    note: str  # the two ends of the input, with units
    at_low: float
    at_high: float


@dataclass(frozen=True)
class SpanChart:
    """Lying bars from one result to another about a common middle line."""

    key: str
    title: str
    axis: Axis
    middle: float
    spans: tuple[Span, ...]
    guides: tuple[Guide, ...] = ()
    caption: str = ""


@dataclass(frozen=True)
class MapClass:
    """One kind of answer on a map; fills differ in darkness, the sign works without colour."""

    label: str
    fill: str  # hexadecimal
    sign: str


@dataclass(frozen=True)
class MapChart:
    """Answers over two inputs as cells, and the border between safe and unsafe."""

    key: str
    title: str
    x: Axis
    y: Axis
    xs: tuple[float, ...]  # middles of the cells, SI, rising
    ys: tuple[float, ...]
    cells: tuple[tuple[int, ...], ...]  # index of the class; rows follow ``ys``
    classes: tuple[MapClass, ...]
    border: tuple[tuple[tuple[float, float], tuple[float, float]], ...] = ()
    marks: tuple[Mark, ...] = ()
    caption: str = ""


Picture = Chart | BarChart | Ruler | SpanChart | MapChart


def line_of(
    key: str, label: str, x: ArrayLike, y: ArrayLike, role: Role, width: float = 1.2
) -> Series:
    """A series with the dash pattern of its role; points that are not finite are dropped."""
    xs = np.asarray(x, dtype=float)
    ys = np.asarray(y, dtype=float)
    keep = np.isfinite(xs) & np.isfinite(ys)
    return Series(key, label, xs[keep], ys[keep], role, DASHES[role], width)


def axis_title(axis: Axis, units: Units) -> str:
    """The axis label with its unit: "Pressure, bar(g)"."""
    unit = unit_of(axis.kind, units)
    return f"{axis.label}, {unit}" if unit else axis.label


def axis_numbers(values: ArrayLike, axis: Axis, units: Units) -> NDArray[np.float64]:
    """SI values as numbers on the axis."""
    return displayed(values, axis.kind, units)


def _reads_small(chart: BarChart, units: Units) -> bool:
    """Whether every bar is an energy below the unit of the axis, better read in a smaller one."""
    values = [bar.value for bar in chart.bars]
    return (
        chart.axis.kind == "energy"
        and bool(values)
        and max(values) < from_displayed(1.0, "energy", units)
    )


def bar_ends(chart: BarChart, units: Units, digits: int) -> list[str]:
    """The number at the end of each bar: in the unit of the axis, or in a handier one of it."""
    kind = chart.axis.kind
    if _reads_small(chart, units) or (kind == "energy" and units.name == US_CUSTOMARY):
        return [quantity_text(bar.value, kind, units, digits) for bar in chart.bars]
    unit = unit_of(kind, units)
    numbers = axis_numbers([bar.value for bar in chart.bars], chart.axis, units).tolist()
    return [f"{number_text(number, digits)}\u00a0{unit}".rstrip() for number in numbers]


def bars_title(chart: BarChart, units: Units) -> str:
    """The title of the axis, without the unit where the bars carry a smaller one."""
    return chart.axis.label if _reads_small(chart, units) else axis_title(chart.axis, units)


def axis_range(axis: Axis, values: Sequence[float], units: Units) -> tuple[float, float]:
    """The range of an axis in displayed numbers: as given, else the data with a small margin."""
    data = [float(v) for v in values if np.isfinite(v)]
    low = axis.low if axis.low is not None else min(data, default=0.0)
    high = axis.high if axis.high is not None else max(data, default=1.0)
    first, last = (float(v) for v in displayed([low, high], axis.kind, units))
    if last <= first:
        last = first + (abs(first) or 1.0) * 0.1
    if axis.scale == "linear":
        margin = 0.04 * (last - first)
        first -= margin if axis.low is None else 0.0
        last += margin if axis.high is None else 0.0
    return first, last


def chart_values(chart: Chart, which: Literal["x", "y"]) -> list[float]:
    """All SI values that one axis of a chart has to hold."""
    out: list[float] = []
    for series in chart.series:
        data = series.x if which == "x" else series.y
        if data.size:
            out += [float(data.min()), float(data.max())]
    out += [mark.x if which == "x" else mark.y for mark in chart.marks]
    out += [guide.value for guide in chart.guides if guide.axis == which]
    for band in chart.bands:
        if band.axis == which:
            out += [band.low, band.high]
    return out


def thin_out(series: Series, points: int = 400, keep: Sequence[float] = ()) -> Series:
    """The series with at most about ``points`` points, always with its extremes and ``keep``.

    Parameters
    ----------
    series : Series
        The full series.
    points : int
        About how many points to keep.
    keep : sequence of float
        Values of x whose points stay.
    """
    count = series.x.size
    if count <= points:
        return series
    index = set(np.linspace(0, count - 1, points).astype(int).tolist())
    index |= {int(series.y.argmax()), int(series.y.argmin())}
    index |= {int(np.abs(series.x - value).argmin()) for value in keep}
    chosen = np.array(sorted(index))
    return Series(
        series.key, series.label, series.x[chosen], series.y[chosen],
        series.role, series.dash, series.width,
    )  # fmt: skip
