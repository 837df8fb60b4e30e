"""What a laid-out schematic consists of. Pixels, x to the right, y down."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

PITCH = 12.0  # px from one track of the routing grid to the next
Measure = Callable[[str], float]  # width of a name in its type, px
XY = tuple[float, float]
Cell = tuple[int, int]  # column and row of the routing grid


class Rect(NamedTuple):
    """A rectangle with its sides along the axes."""

    left: float
    top: float
    right: float
    bottom: float

    def moved(self, x: float, y: float) -> Rect:
        """The same rectangle elsewhere."""
        return Rect(self.left + x, self.top + y, self.right + x, self.bottom + y)

    def grown(self, by: float) -> Rect:
        """With a margin on all sides."""
        return Rect(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: Rect) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def holds(self, other: Rect) -> bool:
        """Whether all of another lies within it."""
        return self.joined(other) == self

    def joined(self, other: Rect) -> Rect:
        """The smallest rectangle around both."""
        return Rect(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )


def around(x: float, y: float, half_width: float, half_height: float) -> Rect:
    """A rectangle around a point."""
    return Rect(x - half_width, y - half_height, x + half_width, y + half_height)


@dataclass(frozen=True)
class Symbol:
    """One symbol: its kind, middle, half width and half height, and how far it is turned.

    ``turn`` is in degrees clockwise: what points to the right at 0 points down at 90. ``stem``
    joins a device to what it stands on.
    """

    id: str
    kind: str  # a kind of the system file, or "end" of a line: closed or open to atmosphere
    x: float
    y: float
    half_width: float
    half_height: float
    turn: float = 0.0
    stem: tuple[XY, ...] = ()
    sign: str = ""  # of a valve its kind; of an end "closed" or "atmosphere"
    shut: bool = False
    locked: bool = False

    @property
    def rect(self) -> Rect:
        """What it covers."""
        return around(self.x, self.y, self.half_width, self.half_height)

    def moved(self, x: float, y: float) -> Symbol:
        """The same symbol elsewhere."""
        stem = tuple((a + x, b + y) for a, b in self.stem)
        return replace(self, x=self.x + x, y=self.y + y, stem=stem)


@dataclass(frozen=True)
class Label:
    """A name: where it may be written, and where the mark of its worst finding stands."""

    id: str
    rect: Rect
    mark: Rect

    def moved(self, x: float, y: float) -> Label:
        """The same name elsewhere."""
        return Label(self.id, self.rect.moved(x, y), self.mark.moved(x, y))


@dataclass(frozen=True)
class Blocks:
    """The parts that carry their answer in a block, and texts that must fit into each line."""

    parts: frozenset[str] = frozenset()
    texts: tuple[str, ...] = ()


NO_BLOCKS = Blocks()


@dataclass(frozen=True)
class Course:
    """The way of one line from its first end to its second, with right angles."""

    id: str
    points: tuple[XY, ...]
    forced: bool = False  # no free way was found: it runs over something


@dataclass(frozen=True)
class Schematic:
    """A finished layout."""

    area: Rect
    symbols: Mapping[str, Symbol]
    labels: Mapping[str, Label]
    courses: Mapping[str, Course]
    cells: Mapping[str, Cell]  # where each part stands, in steps of the drawing
    blocks: Mapping[str, Rect] = field(default_factory=dict)  # of answers, by part

    @property
    def forced(self) -> tuple[str, ...]:
        """Lines that found no free way."""
        return tuple(name for name, course in self.courses.items() if course.forced)


@dataclass
class Piece:
    """A part, or a line's own stretch, as one box; everything relative to its middle.

    ``left`` to ``down`` are how many steps of the grid it takes to each side. A stretch runs
    through its middle, level or ``upright``; ``backward`` if its first end is right or below.
    """

    id: str
    is_line: bool
    kind: str = "line"
    left: int = 0
    right: int = 0
    up: int = 0
    down: int = 0
    half: XY = (0.0, 0.0)  # of the symbol
    middle: XY = (0.0, 0.0)  # of the symbol, against the piece's own middle
    upright: bool = False
    backward: bool = False
    symbols: list[Symbol] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    block: Rect | None = None  # of its answer
    x: int = 0  # cell of its middle
    y: int = 0

    @property
    def written(self) -> list[Rect]:
        """What its names, marks and answer cover."""
        found = [rect for label in self.labels for rect in (label.rect, label.mark)]
        return found if self.block is None else [*found, self.block]

    def box(self, margin: int = 0) -> tuple[int, int, int, int]:
        """First and last column, first and last row that it takes."""
        return (
            self.x - self.left - margin,
            self.x + self.right + margin,
            self.y - self.up - margin,
            self.y + self.down + margin,
        )
