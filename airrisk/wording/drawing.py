"""The schematic of an installation as a figure, and in words. It is not to scale."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

from airrisk.installation.model import BurstingDisc, Installation, Plug
from airrisk.wording import labels
from airrisk.wording.chart_kinds import COLOURS
from airrisk.wording.figures import Figure, Item, Stroke, Words
from airrisk.wording.schematic.arranging import SHAPE
from airrisk.wording.schematic.layout import lay_out
from airrisk.wording.schematic.outlines import LOCK, SHACKLE, Outline, outlines
from airrisk.wording.schematic.records import XY, Rect, Schematic, Symbol
from airrisk.wording.translation import tr

INK = "#303030"
PALE = "#F2F2F2"
PAPER = "#FFFFFF"
LETTERS = (12.0, 15.0, 18.0, 22.0)  # px, sizes of names; larger ones for large drawings
POINTS = 0.62  # to a pixel, at most
WIDEST, HIGHEST = 480.0, 600.0  # points that the text of a page has
UPRIGHT = 0.8  # width to height of a drawing that takes a page
READABLE = 5.5  # points, of a name
EDGE = 6.0  # points around the drawing
FOOT = 10.0  # points below it for a remark
TextWidth = Callable[[str, float, bool], float]  # of a text, its size, whether it is bold
_COLOURS = {
    "plug": COLOURS["plug"][0],
    "relief_valve": COLOURS["device"][0],
    "bursting_disc": COLOURS["device"][0],
}
_FILLS = {"vessel": PALE, "compressor": PALE, "valve": PAPER, "plug": PAPER, "relief_valve": PAPER,
          "bursting_disc": PAPER, "end": PAPER}  # fmt: skip


def flow_drawing(
    installation: Installation,
    text_width: TextWidth,
    no_credit: Collection[str] = (),
    tall: bool = False,
) -> Figure:
    """The installation as a schematic with parts, lines, valves and devices.

    Parameters
    ----------
    installation : Installation
        What to draw.
    text_width : TextWidth
        Width of a text in the type that the figure is printed in, in the unit of its size.
    no_credit : Collection of str
        Devices that nobody may count on: they are struck through.
    tall : bool
        Whether a large drawing may take most of a page.

    Returns
    -------
    Figure
        Not to scale; names are as large as the width of a page allows.
    """
    layout, size, scale = _most_readable(installation, text_width, SHAPE)
    if tall and size * scale < READABLE:
        other = _most_readable(installation, text_width, UPRIGHT)
        if other[1] * other[2] > size * scale:
            layout, size, scale = other
    area = layout.area
    foot = FOOT if layout.forced else 0.0
    drawer = _Drawer(area, scale, size, no_credit, foot)
    items = list(drawer.items(layout, {line.id for line in installation.lines}))
    if layout.forced:
        told = tr("A broken line found no free way: parts were put too near each other.")
        items.append(Words(EDGE, EDGE, told, FOOT - 3.0))
    return Figure(
        (area.right - area.left) * scale + 2 * EDGE,
        (area.bottom - area.top) * scale + 2 * EDGE + foot,
        tuple(items),
        tr("Schematic, not to scale"),
        describe(installation),
    )


def _most_readable(
    installation: Installation, text_width: TextWidth, shape: float
) -> tuple[Schematic, float, float]:
    """The layout for a shape, the size of its names [px], and its scale [points a pixel]."""
    for size in LETTERS:

        def measure(name: str, size: float = size) -> float:
            return text_width(name, size, True)

        layout = lay_out(installation, size, measure, shape=shape)
        area = layout.area
        wide, high = max(area.right - area.left, 1.0), max(area.bottom - area.top, 1.0)
        scale = min(POINTS, WIDEST / wide, HIGHEST / high)
        if size * scale >= READABLE:
            break
    return layout, size, scale


class _Drawer:
    """Turns a layout (pixels, y down) into items of a figure (points, y up)."""

    def __init__(
        self, area: Rect, scale: float, size: float, no_credit: Collection[str], foot: float
    ) -> None:
        self._area, self._scale, self._size, self._foot = area, scale, size, foot
        self._no_credit = no_credit

    def _at(self, point: XY) -> XY:
        return (
            EDGE + (point[0] - self._area.left) * self._scale,
            EDGE + self._foot + (self._area.bottom - point[1]) * self._scale,
        )

    def items(self, layout: Schematic, lines: set[str]) -> Iterator[Item]:
        """Lines first, then symbols on them, then names."""
        air = COLOURS["air"][0]
        for course in layout.courses.values():
            dash = (4.0, 2.0) if course.forced else ()
            yield Stroke(tuple(map(self._at, course.points)), air, 2.4 * self._scale, dash)
        for symbol in layout.symbols.values():
            if symbol.stem:
                yield Stroke(tuple(map(self._at, symbol.stem)), INK, 1.6 * self._scale)
        for symbol in layout.symbols.values():
            yield from self._symbol(symbol)
        kinds = {symbol.id: symbol.kind for symbol in layout.symbols.values()}
        for label in layout.labels.values():
            x, y = self._at((label.rect.left + 2.0, label.rect.bottom))
            part = kinds.get(label.id) in ("vessel", "compressor", "consumer", "junction")
            colour = air if label.id in lines else "#202020"
            y += 0.32 * self._size * self._scale
            yield Words(x, y, label.id, self._size * self._scale, "start", colour, part)

    def _symbol(self, symbol: Symbol) -> Iterator[Item]:
        colour = _COLOURS.get(symbol.kind, INK)
        for outline in outlines(symbol, symbol.id in self._no_credit):
            yield self._stroke(outline, symbol, colour)
        if symbol.locked:
            for outline in (SHACKLE, LOCK):
                yield self._stroke(outline, symbol, INK)

    def _stroke(self, outline: Outline, symbol: Symbol, colour: str) -> Stroke:
        points = tuple(self._at((symbol.x + x, symbol.y + y)) for x, y in outline.points)
        fill = None
        if outline.closed:
            fill = colour if outline.filled else _FILLS.get(symbol.kind, PAPER)
        return Stroke(points, colour, 1.8 * self._scale, (), outline.closed, fill)


def describe(installation: Installation) -> str:
    """The drawing in words: every line with what it joins, every device with its place."""
    joins = [
        tr("{line} from {a} to {b}").format(line=line.id, a=line.from_, b=line.to)
        for line in installation.lines
    ]
    devices = [
        tr("{kind} {device} on {part}").format(
            kind=labels.part_kind(_device_kind(device)), device=device.id, part=device.on
        )
        for device in installation.devices()
    ]
    return "; ".join([*joins, *devices]) + "."


def _device_kind(device: object) -> str:
    if isinstance(device, Plug):
        return "plug"
    if isinstance(device, BurstingDisc):
        return "bursting_disc"
    return "relief_valve"
