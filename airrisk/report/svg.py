"""Figures as SVG text that stands inside an HTML page or alone in a file."""

from __future__ import annotations

import html

from airrisk.wording.figures import Clip, Disc, Figure, Item, Stroke, Words


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text


def _stroke(item: Stroke, height: float) -> str:
    points = " ".join(f"{_n(x)},{_n(height - y)}" for x, y in item.points)
    tag = "polygon" if item.closed else "polyline"
    style = [f'fill="{item.fill}"' if item.fill else 'fill="none"']
    if item.fill and item.opacity < 1:
        style.append(f'fill-opacity="{_n(item.opacity)}"')
    if item.colour:
        style.append(f'stroke="{item.colour}" stroke-width="{_n(item.width)}"')
        if item.dash:
            style.append(f'stroke-dasharray="{" ".join(_n(d) for d in item.dash)}"')
    return f'<{tag} points="{points}" {" ".join(style)}/>'


def _disc(item: Disc, height: float) -> str:
    fill = item.fill or "none"
    stroke = f' stroke="{item.colour}" stroke-width="{_n(item.width)}"' if item.colour else ""
    return (
        f'<circle cx="{_n(item.x)}" cy="{_n(height - item.y)}" r="{_n(item.radius)}" '
        f'fill="{fill}"{stroke}/>'
    )


def _words(item: Words, height: float) -> str:
    x, y = item.x, height - item.y
    turn = f' transform="rotate({_n(-item.angle)} {_n(x)} {_n(y)})"' if item.angle else ""
    weight = ' font-weight="bold"' if item.bold else ""
    anchor = f' text-anchor="{item.anchor}"' if item.anchor != "start" else ""
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(item.size)}" fill="{item.colour}"'
        f"{anchor}{weight}{turn}>{html.escape(item.text)}</text>"
    )


def figure_svg(figure: Figure, key: str = "figure") -> str:
    """A figure as an ``<svg>`` element with title and description for screen readers.

    Parameters
    ----------
    figure : Figure
        The figure.
    key : str
        Makes the ids inside unique on one page.
    """
    height = figure.height
    parts: list[str] = []
    clips = 0

    def put(item: Item) -> None:
        nonlocal clips
        if isinstance(item, Clip):
            clips += 1
            x, y, w, h = item.box
            name = f"{key}-clip{clips}"
            parts.append(
                f'<clipPath id="{name}"><rect x="{_n(x)}" y="{_n(height - y - h)}" '
                f'width="{_n(w)}" height="{_n(h)}" fill="none"/></clipPath>'
                f'<g clip-path="url(#{name})">'
            )
            for inner in item.items:
                put(inner)
            parts.append("</g>")
        elif isinstance(item, Stroke):
            parts.append(_stroke(item, height))
        elif isinstance(item, Disc):
            parts.append(_disc(item, height))
        else:
            parts.append(_words(item, height))

    for item in figure.items:
        put(item)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(figure.width)} {_n(height)}" '
        f'width="{_n(figure.width)}pt" height="{_n(height)}pt" role="img" '
        f'aria-labelledby="{key}-t {key}-d" font-family="DejaVu Sans, Verdana, sans-serif">'
        f'<title id="{key}-t">{html.escape(figure.title)}</title>'
        f'<desc id="{key}-d">{html.escape(figure.description)}</desc>' + "".join(parts) + "</svg>"
    )
