"""A plan to scale: the vessel, rings of harm, flight of pieces, people."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from airrisk.installation.model import Installation
from airrisk.installation.people_places import away_from, rings
from airrisk.window.charts.colours import role_colour, role_pen
from airrisk.window.plan.scale_bar import paint_scale_bar
from airrisk.window.plan.site_items import Place, site_places
from airrisk.window.plan.symbols import people_path
from airrisk.window.theme import colours
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, quantity_text

RING_ROLES = ("first", "second", "third", "fourth", "fifth", "sixth")
RING_DASHES = ((), (7.0, 3.0), (2.0, 2.5), (9.0, 3.0, 2.0, 3.0), (5.0, 2.0), (12.0, 4.0))


@dataclass(frozen=True)
class Ring:
    """One distance around the vessel."""

    label: str
    radius: float  # m


@dataclass(frozen=True)
class Person:
    """A place with people, in plan metres.

    ``ring``: radius of the circle around ``place`` on which they are, on whichever side;
    ``least``: how near to the shown vessel they can then be, m.
    """

    name: str
    kind: str
    place: tuple[float, float]
    reached: bool
    ring: float | None = None
    least: float = 0.0

    def nearest(self, to: Place) -> Place:
        """Where they are, or may be nearest to a point."""
        if self.ring is None:
            return self.place
        gap = math.dist(self.place, to)
        if gap <= 0.0:
            return (self.place[0], self.place[1] - self.ring)
        share = self.ring / gap
        return (
            self.place[0] + share * (to[0] - self.place[0]),
            self.place[1] + share * (to[1] - self.place[1]),
        )


def around_vessel(
    installation: Installation, vessel: str, reached: Collection[str]
) -> tuple[Place, tuple[Person, ...], tuple[tuple[str, Place], ...]]:
    """Where a vessel stands, who is around it and which parts.

    If it has no place, only who is told by a distance from it: nothing can be said of others.
    """
    places = site_places(installation)
    centre = places.get(vessel)
    own = [
        Person(one.id, one.kind, centre or (0.0, 0.0), one.id in reached, ring.inner, ring.inner)
        for one, ring in rings(installation)
        if ring.vessel == vessel
    ]
    if centre is None:
        return (0.0, 0.0), tuple(own), ()
    others = [
        Person(one.id, one.kind, ring.middle, one.id in reached, ring.inner, far.nearest)
        for one, ring in rings(installation)
        if ring.vessel != vessel
        and ring.middle is not None
        and (far := away_from(installation, one, centre)) is not None
    ]
    placed = [
        Person(one.id, one.kind, one.at, one.id in reached)
        for one in installation.people
        if one.at is not None
    ]
    people = (*placed, *own, *others)
    return centre, people, tuple((key, at) for key, at in places.items() if key != vessel)


class DistancePlan(QWidget):
    """Rings around one vessel; wheel or + and - zoom, 0 shows all."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._centre: tuple[float, float] = (0.0, 0.0)
        self._name = ""
        self._rings: tuple[Ring, ...] = ()
        self._people: tuple[Person, ...] = ()
        self._parts: tuple[tuple[str, tuple[float, float]], ...] = ()
        self._units = Units()
        self._factor = 1.0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(QSize(280, 240))

    def show_reach(
        self,
        name: str,
        centre: tuple[float, float],
        rings: tuple[Ring, ...],
        people: tuple[Person, ...],
        parts: tuple[tuple[str, tuple[float, float]], ...],
        units: Units,
    ) -> None:
        """Draw these rings around the vessel."""
        self._name, self._centre, self._rings = name, centre, rings
        self._people, self._parts, self._units = people, parts, units
        self.setAccessibleDescription(
            "; ".join(f"{r.label}: {quantity_text(r.radius, 'distance', units, 3)}" for r in rings)
        )
        self.update()

    def _extent(self) -> float:
        """Half of the shown width, m: everyone in sight, and the rings near them."""
        people = [math.dist(self._centre, p.nearest(self._centre)) for p in self._people]
        radii = sorted(r.radius for r in self._rings)
        far = max(people, default=0.0) * 1.25
        if radii:
            far = max(far, radii[len(radii) // 2] * 1.15)
        return max(far, 2.0) / self._factor

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = colours()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(theme.surface))
        if not self._name:
            return  # no vessel to draw around
        scale = min(self.width(), self.height()) / 2 / self._extent()
        middle = QPointF(self.width() / 2, self.height() / 2)
        self._paint_rings(painter, middle, scale)
        self._paint_parts(painter, middle, scale)
        self._paint_people(painter, middle, scale)
        paint_scale_bar(painter, QRectF(self.rect()), scale, self._units)

    def _at(self, place: tuple[float, float], middle: QPointF, scale: float) -> QPointF:
        dx, dy = place[0] - self._centre[0], place[1] - self._centre[1]
        return middle + QPointF(dx * scale, -dy * scale)

    def _paint_rings(self, painter: QPainter, middle: QPointF, scale: float) -> None:
        metrics = QFontMetricsF(self.font())
        frame = QRectF(self.rect()).adjusted(4, 4, -4, -4)
        taken = self._kept_free(middle, scale)
        labels: list[tuple[QRectF, str, str]] = []
        for number, ring in enumerate(self._rings):
            role = RING_ROLES[number % len(RING_ROLES)]
            pen = role_pen(role, RING_DASHES[number % len(RING_DASHES)], 1.6)
            radius = ring.radius * scale
            if radius > 3 * max(self.width(), self.height()):
                continue
            painter.setPen(pen)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(middle, radius, radius)
            text = f"{ring.label} {quantity_text(ring.radius, 'distance', self._units, 3)}"
            size = metrics.boundingRect(text).adjusted(-4, -1, 4, 1)
            for degrees in (90, 60, 120, 40, 140, 270, 240, 300, 20, 160, 330, 210):
                angle = math.radians(degrees)
                spot = middle + QPointF(math.cos(angle), -math.sin(angle)) * radius
                box = QRectF(0, 0, size.width(), size.height())
                box.moveCenter(spot)
                if frame.contains(box) and not any(box.intersects(other) for other in taken):
                    labels.append((box, text, role))
                    taken.append(box)
                    break
        for box, text, role in labels:  # above all rings
            painter.fillRect(box, QColor(colours().surface))
            painter.setPen(role_colour(role))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def _kept_free(self, middle: QPointF, scale: float) -> list[QRectF]:
        """Where the vessel and the people stand with their names: no ring is labelled there."""
        kept = [QRectF(middle.x() - 8, middle.y() - 8, 16, 16)]
        kept.append(self._label_box(middle + QPointF(0, 10), self._name))
        for person in self._people:
            spot = self._at(person.nearest(self._centre), middle, scale)
            kept.append(QRectF(spot.x() - 14, spot.y() - 14, 28, 28))
        return [*kept, *self.person_boxes(middle, scale)]

    def person_boxes(self, middle: QPointF, scale: float) -> list[QRectF]:
        """Where the names of the people stand: below their place, else where no name is yet."""
        taken = [self.vessel_box(middle)]
        found: list[QRectF] = []
        for person in self._people:
            spot = self._at(person.nearest(self._centre), middle, scale)
            below = self._label_box(spot + QPointF(0, 14), self._person_text(person))
            beside = (below.width() + 30) / 2
            rise = below.height() / 2 + 14
            places = [
                below.translated(dx, dy)
                for dx, dy in (
                    (0.0, 0.0), (0.0, -below.height() - 28), (beside, -rise), (-beside, -rise),
                    (0.0, below.height()), (0.0, 2 * below.height()),
                )
            ]  # fmt: skip
            free = (one for one in places if not any(one.intersects(other) for other in taken))
            box = next(free, below)
            taken.append(box)
            found.append(box)
        return found

    def vessel_box(self, middle: QPointF) -> QRectF:
        """Where the vessel stands with its name."""
        name = self._label_box(middle + QPointF(0, 10), self._name)
        return name.united(QRectF(middle.x() - 8, middle.y() - 8, 16, 16))

    def _person_text(self, person: Person) -> str:
        straight = math.dist(self._centre, person.place)
        away = straight if person.ring is None else person.least
        distance = quantity_text(away, "distance", self._units, 3)
        if person.ring is not None:
            distance = tr("{distance} or more").format(distance=distance)
        return f"{'◆ ' if person.reached else ''}{person.name}, {distance}"

    def _paint_parts(self, painter: QPainter, middle: QPointF, scale: float) -> None:
        theme = colours()
        painter.setPen(QPen(QColor(theme.quiet), 1))
        painter.setBrush(QColor(theme.raised))
        for _name, place in self._parts:
            spot = self._at(place, middle, scale)
            painter.drawRect(QRectF(spot.x() - 2.5, spot.y() - 2.5, 5, 5))
        painter.setPen(QPen(QColor(theme.text), 1.5))
        painter.setBrush(QColor(theme.accent))
        painter.drawEllipse(middle, 6, 6)
        self._label(
            painter, self._label_box(middle + QPointF(0, 10), self._name), self._name, theme.text
        )

    def _paint_people(self, painter: QPainter, middle: QPointF, scale: float) -> None:
        theme = colours()
        boxes = self.person_boxes(middle, scale)
        for person, box in zip(self._people, boxes, strict=True):
            spot = self._at(person.nearest(self._centre), middle, scale)
            colour = theme.danger if person.reached else theme.text
            if person.ring is not None:
                self._paint_ring(painter, self._at(person.place, middle, scale), person, scale)
                self._label(painter, box, self._person_text(person), colour)
                continue
            painter.save()
            painter.translate(spot)
            painter.setPen(QPen(QColor(colour), 1.6))
            painter.setBrush(QColor(theme.surface))
            painter.drawPath(people_path(person.kind))
            painter.restore()
            self._label(painter, box, self._person_text(person), colour)

    def _paint_ring(self, painter: QPainter, middle: QPointF, person: Person, scale: float) -> None:
        """The circle on which people are: no place is made up for them."""
        assert person.ring is not None
        pen = QPen(QColor(colours().danger if person.reached else colours().text), 1.4)
        pen.setDashPattern([6.0, 4.0])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(middle, person.ring * scale, person.ring * scale)

    def _label_box(self, top: QPointF, text: str) -> QRectF:
        """Place of a text centred below a point."""
        box = QFontMetricsF(self.font()).boundingRect(text).adjusted(-3, 0, 3, 0)
        box.moveTo(top.x() - box.width() / 2, top.y())
        return box

    def _label(self, painter: QPainter, box: QRectF, text: str, colour: str) -> None:
        veil = QColor(colours().surface)
        veil.setAlpha(210)
        painter.fillRect(box, veil)
        painter.setPen(QColor(colour))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def zoom(self, factor: float) -> None:
        """Come nearer (above 1) or go away."""
        self._factor = min(max(self._factor * factor, 0.05), 50.0)
        self.update()

    def reset(self) -> None:
        """Everyone in sight again."""
        self._factor = 1.0
        self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.zoom(1.15 if event.angleDelta().y() > 0 else 1 / 1.15)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(1.25)
        elif event.key() == Qt.Key.Key_Minus:
            self.zoom(0.8)
        elif event.key() == Qt.Key.Key_0:
            self.reset()
        else:
            super().keyPressEvent(event)
