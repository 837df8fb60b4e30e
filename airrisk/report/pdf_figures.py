"""Figures as vector graphics on a PDF page."""

from __future__ import annotations

from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from airrisk.report.text_width import BOLD, REGULAR
from airrisk.wording.figures import Clip, Disc, Figure, Item, Stroke, Words


class FigureFlowable(Flowable):
    """A figure that fits itself into the frame by scaling down where it must."""

    def __init__(self, figure: Figure, centred: bool = True) -> None:
        super().__init__()
        self.figure = figure
        self.hAlign = "CENTER" if centred else "LEFT"
        self._scale = 1.0

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """The size on the page."""
        self._scale = min(1.0, available_width / self.figure.width)
        if self.figure.height * self._scale > 680.0:
            self._scale = 680.0 / self.figure.height
        self.width = self.figure.width * self._scale
        self.height = self.figure.height * self._scale
        return self.width, self.height

    def draw(self) -> None:
        """Put the figure on the canvas."""
        canvas = self.canv
        canvas.saveState()
        canvas.scale(self._scale, self._scale)
        canvas.setLineJoin(1)
        canvas.setLineCap(0)
        for item in self.figure.items:
            _put(canvas, item)
        canvas.restoreState()


def _put(canvas: Any, item: Item) -> None:
    if isinstance(item, Clip):
        canvas.saveState()
        path = canvas.beginPath()
        path.rect(*item.box)
        canvas.clipPath(path, stroke=0, fill=0)
        for inner in item.items:
            _put(canvas, inner)
        canvas.restoreState()
    elif isinstance(item, Stroke):
        _stroke(canvas, item)
    elif isinstance(item, Disc):
        _pen(canvas, item.colour, item.width, ())
        if item.fill:
            canvas.setFillColor(HexColor(item.fill))
        canvas.circle(item.x, item.y, item.radius, int(bool(item.colour)), int(bool(item.fill)))
    else:
        _words(canvas, item)


def _pen(canvas: Any, colour: str | None, width: float, dash: tuple[float, ...]) -> None:
    if colour:
        canvas.setStrokeColor(HexColor(colour))
        canvas.setLineWidth(width)
        canvas.setDash(list(dash)) if dash else canvas.setDash()


def _stroke(canvas: Any, item: Stroke) -> None:
    _pen(canvas, item.colour, item.width, item.dash)
    path = canvas.beginPath()
    path.moveTo(*item.points[0])
    for point in item.points[1:]:
        path.lineTo(*point)
    if item.closed:
        path.close()
    if item.fill:
        canvas.setFillColor(HexColor(item.fill))
        canvas.setFillAlpha(item.opacity)
    canvas.drawPath(path, stroke=int(bool(item.colour)), fill=int(bool(item.fill)))
    if item.fill and item.opacity < 1:
        canvas.setFillAlpha(1.0)


def _words(canvas: Any, item: Words) -> None:
    canvas.saveState()
    canvas.setFillColor(HexColor(item.colour))
    canvas.setFont(BOLD if item.bold else REGULAR, item.size)
    canvas.translate(item.x, item.y)
    if item.angle:
        canvas.rotate(item.angle)
    if item.anchor == "middle":
        canvas.drawCentredString(0, 0, item.text)
    elif item.anchor == "end":
        canvas.drawRightString(0, 0, item.text)
    else:
        canvas.drawString(0, 0, item.text)
    canvas.restoreState()
