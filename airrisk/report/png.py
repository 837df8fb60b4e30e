"""Figures as PNG images, without a window."""

from __future__ import annotations

import functools
import io
import itertools
import math

from PIL import Image, ImageDraw, ImageFont

from airrisk.tables import resource_path
from airrisk.wording.figures import Clip, Disc, Figure, Item, Stroke, Words

FINER = 3  # drawn so many times larger, then made smaller, for smooth edges


def figure_png(figure: Figure, scale: float = 2.0, ground: str = "#FFFFFF") -> bytes:
    """A figure as the bytes of a PNG file.

    Parameters
    ----------
    figure
        Points, y upwards.
    scale
        Pixels a point.
    ground
        Colour behind it.
    """
    fine = scale * FINER
    size = (round(figure.width * fine), round(figure.height * fine))
    image = Image.new("RGB", size, ground)
    for item in figure.items:
        _put(image, item, figure.height, fine)
    small = image.resize((size[0] // FINER, size[1] // FINER), Image.Resampling.BOX)
    found = io.BytesIO()
    small.save(found, "PNG", optimize=True)
    return found.getvalue()


def _put(image: Image.Image, item: Item, height: float, scale: float) -> None:
    if isinstance(item, Clip):
        x, y, wide, high = item.box
        corner = (round(x * scale), round((height - y - high) * scale))
        box = (*corner, corner[0] + round(wide * scale), corner[1] + round(high * scale))
        inside = image.copy()
        for inner in item.items:
            _put(inside, inner, height, scale)
        image.paste(inside.crop(box), corner)
    elif isinstance(item, Stroke):
        _stroke(ImageDraw.Draw(image, "RGBA"), item, height, scale)
    elif isinstance(item, Disc):
        middle = (item.x * scale, (height - item.y) * scale)
        ImageDraw.Draw(image).circle(
            middle, item.radius * scale, item.fill, item.colour,
            max(round(item.width * scale), 1) if item.colour else 0,
        )  # fmt: skip
    else:
        _words(image, item, height, scale)


def _stroke(draw: ImageDraw.ImageDraw, item: Stroke, height: float, scale: float) -> None:
    points = [(x * scale, (height - y) * scale) for x, y in item.points]
    if item.fill and item.closed:
        draw.polygon(points, fill=item.fill + f"{round(255 * item.opacity):02X}")
    if item.colour is None:
        return
    width = max(round(item.width * scale), 1)
    if item.closed:
        points = [*points, points[0]]
    if not item.dash:
        draw.line(points, fill=item.colour, width=width, joint="curve")
        return
    for piece in _dashes(points, [length * scale for length in item.dash]):
        draw.line(piece, fill=item.colour, width=width)


def _dashes(
    points: list[tuple[float, float]], pattern: list[float]
) -> list[list[tuple[float, float]]]:
    """The drawn pieces of a dashed line."""
    found = []
    turn, left = 0, pattern[0]
    for (ax, ay), (bx, by) in itertools.pairwise(points):
        whole, done = math.dist((ax, ay), (bx, by)), 0.0
        while whole > 0.0 and done < whole:
            step = min(left, whole - done)
            if turn % 2 == 0:
                found.append(
                    [
                        (ax + (bx - ax) * at / whole, ay + (by - ay) * at / whole)
                        for at in (done, done + step)
                    ]
                )
            done, left = done + step, left - step
            if left <= 1e-9:
                turn += 1
                left = max(pattern[turn % len(pattern)], 1e-3)
    return found


@functools.lru_cache(maxsize=32)
def _font(bold: bool, pixels: int) -> ImageFont.FreeTypeFont:
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(str(resource_path(f"fonts/{name}")), pixels)


def _words(image: Image.Image, item: Words, height: float, scale: float) -> None:
    font = _font(item.bold, max(round(item.size * scale), 1))
    anchor = {"start": "ls", "middle": "ms", "end": "rs"}[item.anchor]
    at = (item.x * scale, (height - item.y) * scale)
    ImageDraw.Draw(image).text(at, item.text, fill=item.colour, font=font, anchor=anchor)
