"""A figure as plain strokes, discs and texts in points, y upwards: any drawing library can show it.

Colours are given as hexadecimal text; every figure has a title and a description in words for
readers who cannot see it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Position = tuple[float, float]


@dataclass(frozen=True)
class Stroke:
    """A line through points, or a closed area."""

    points: tuple[Position, ...]
    colour: str | None = "#303030"  # None: no outline
    width: float = 1.0
    dash: tuple[float, ...] = ()
    closed: bool = False
    fill: str | None = None
    opacity: float = 1.0  # of the fill


@dataclass(frozen=True)
class Disc:
    """A circle."""

    x: float
    y: float
    radius: float
    colour: str | None = "#303030"
    width: float = 1.0
    fill: str | None = None


@dataclass(frozen=True)
class Words:
    """A text on one line; ``y`` is its base line, ``angle`` in degrees counter-clockwise."""

    x: float
    y: float
    text: str
    size: float = 8.0
    anchor: Literal["start", "middle", "end"] = "start"
    colour: str = "#202020"
    bold: bool = False
    angle: float = 0.0


@dataclass(frozen=True)
class Clip:
    """Items that are cut off at a rectangle (x, y, width, height)."""

    box: tuple[float, float, float, float]
    items: tuple[Stroke | Disc | Words, ...]


Item = Stroke | Disc | Words | Clip


@dataclass(frozen=True)
class Figure:
    """A finished figure, ``width`` x ``height`` points."""

    width: float
    height: float
    items: tuple[Item, ...]
    title: str
    description: str


def rectangle(
    corner: tuple[float, float], size: tuple[float, float], *, colour: str | None = "#303030",
    line: float = 1.0, fill: str | None = None, opacity: float = 1.0,
    dash: tuple[float, ...] = (),
) -> Stroke:  # fmt: skip
    """A rectangle with its lower left corner, width and height."""
    (x, y), (width, height) = corner, size
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Stroke(corners, colour, line, dash, True, fill, opacity)


def sign(shape: str, x: float, y: float, size: float, colour: str) -> tuple[Item, ...]:
    """A small marker: circle, square, triangle, diamond, cross or plus."""
    r = size / 2
    if shape == "circle":
        return (Disc(x, y, r * 0.9, colour, 0.8, colour),)
    if shape == "square":
        return (
            rectangle((x - r * 0.8, y - r * 0.8), (1.6 * r, 1.6 * r), colour=colour, fill=colour),
        )
    if shape == "triangle":
        return (
            Stroke(((x - r, y - r * 0.8), (x + r, y - r * 0.8), (x, y + r)), colour, 0.8,
                   (), True, colour),
        )  # fmt: skip
    if shape == "diamond":
        return (
            Stroke(((x - r, y), (x, y - r), (x + r, y), (x, y + r)), colour, 0.8, (), True, colour),
        )
    if shape == "cross":
        return (
            Stroke(((x - r, y - r), (x + r, y + r)), colour, 1.6),
            Stroke(((x - r, y + r), (x + r, y - r)), colour, 1.6),
        )
    return (
        Stroke(((x - r, y), (x + r, y)), colour, 1.4),
        Stroke(((x, y - r), (x, y + r)), colour, 1.4),
    )
