"""The site plan as items: only what has a place in the file, drawn to scale where it is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath, QTransform

from airrisk.editing.edits import kind_of
from airrisk.installation.model import FireSource, Installation, Line, Part, Vessel
from airrisk.installation.people_places import rings
from airrisk.window.plan.items import Drawn, LineItem, Node, RingItem, Symbol
from airrisk.window.plan.lettering import name_width
from airrisk.window.plan.site_labels import Named, leader, place_names
from airrisk.window.plan.symbols import (
    SOURCE_PATHS,
    outline_paths,
    people_path,
    wall_path,
)
from airrisk.wording import labels
from airrisk.wording.schematic.records import Rect
from airrisk.wording.schematic.records import Symbol as Placed
from airrisk.wording.translation import tr
from airrisk.wording.units import number_text

Place = tuple[float, float]  # m east and north
SMALLEST = 14.0  # px, what stands on the plan is drawn at least this wide
HALVES = {"compressor": (10.0, 10.0), "junction": (4.0, 4.0), "consumer": (9.0, 7.0)}


def site_places(installation: Installation) -> dict[str, Place]:
    """The parts that state where they stand, lines left out."""
    return {
        part.id: part.at
        for part in installation.parts()
        if part.at is not None and not isinstance(part, Line)
    }


def line_places(line: Line, places: Mapping[str, Place]) -> list[Place]:
    """The course of a line as far as the file states it; less than two places: not at all."""
    known = {name.casefold(): place for name, place in places.items()}
    first, last = known.get(line.from_.casefold()), known.get(line.to.casefold())
    between = list(line.route)
    if not between and line.at is not None and (first is None or last is None):
        between = [line.at]
    return [place for place in (first, *between, last) if place is not None]


def without_place(installation: Installation) -> tuple[str, ...]:
    """Ids of the parts that the site plan cannot draw."""
    places = site_places(installation)
    parts = tuple(
        part.id
        for part in installation.parts()
        if part.id not in places
        and not (isinstance(part, Line) and len(line_places(part, places)) > 1)
    )
    return (*parts, *(one.id for one, ring in rings(installation) if ring.middle is None))


def bounds(installation: Installation) -> tuple[list[Place], list[Place]]:
    """Places of the parts and of what belongs to them, and those of people and fires [m]."""
    places = site_places(installation)
    parts = [*places.values()]
    for line in installation.lines:
        course = line_places(line, places)
        parts += course if len(course) > 1 else []
    about = [person.at for person in installation.people if person.at is not None]
    for _, ring in rings(installation):
        if ring.middle is not None:
            x, y = ring.middle
            reach = ring.inner
            about += [(x + reach, y), (x - reach, y), (x, y + reach), (x, y - reach)]
    about += [source.at for source in installation.fire_sources]
    about += [point for wall in installation.walls for point in wall.points]
    return parts, about


def site_items(
    installation: Installation, scale: float, flames: Mapping[str, float]
) -> Iterator[Drawn]:
    """Items at their true places.

    Parameters
    ----------
    installation : Installation
        What to draw.
    scale : float
        Pixels a metre.
    flames : Mapping
        How far the flames of a source reach from its place [m], where an answer tells.
    """

    def at(place: Place) -> QPointF:
        return QPointF(place[0] * scale, -place[1] * scale)

    places = site_places(installation)
    parts = {part.id: part for part in installation.parts()}
    for name, place in places.items():
        kind = kind_of(parts[name])
        body, solid = _part_paths(parts[name], kind, scale)
        node = Node(name, kind, body, f"{labels.part_kind(kind)} {name}", solid)
        node.setPos(at(place))
        yield node
    for person, ring in rings(installation):
        if ring.middle is not None:
            told = tr("{place}, {distance} m from vessel {vessel}, direction not known").format(
                place=f"{labels.part_kind('people')} {person.id}",
                distance=number_text(ring.inner),
                vessel=ring.vessel,
            )
            circle = RingItem(person.id, ring.inner * scale, told)
            circle.setPos(at(ring.middle))
            yield circle
    for person in installation.people:
        if person.at is None:
            continue
        spoken = f"{labels.part_kind('people')} {person.id}"
        node = Node(person.id, "people", people_path(person.kind), spoken)
        node.setPos(at(person.at))
        yield node
    for source in installation.fire_sources:
        spoken = f"{labels.part_kind('fire_source')} {source.id}"
        node = Node(source.id, "fire_source", SOURCE_PATHS[source.kind](), spoken)
        node.extent = _flame_extent(source, scale, flames.get(source.id))
        node.setPos(at(source.at))
        yield node
    for wall in installation.walls:
        corners = [at(point) for point in wall.points]
        path = wall_path([corner - corners[-1] for corner in corners])
        symbol = Symbol(wall.id, "wall", path, f"{labels.part_kind('wall')} {wall.id}")
        symbol.setPos(corners[-1])
        yield symbol
    for line in installation.lines:
        course = line_places(line, places)
        if len(course) > 1:
            item = LineItem(line.id, f"{labels.part_kind('line')} {line.id}")
            item.set_points(at(place).toTuple() for place in course)  # type: ignore[misc]
            yield item


def _part_paths(part: Part, kind: str, scale: float) -> tuple[QPainterPath, QPainterPath]:
    """A vessel as it is seen from above, to scale; a small symbol for what has no size."""
    if not isinstance(part, Vessel):
        return outline_paths(Placed(part.id, kind, 0.0, 0.0, *HALVES[kind]))
    across = max(part.inside_diameter * scale, SMALLEST)
    if part.orientation == "vertical":
        path = QPainterPath()
        path.addEllipse(QPointF(0, 0), across / 2, across / 2)
        return path, QPainterPath()
    along = max((part.cylinder_length + 0.5 * part.inside_diameter) * scale, across)
    body, solid = outline_paths(Placed(part.id, "vessel", 0.0, 0.0, along / 2, across / 2))
    return QTransform().rotate(-math.degrees(part.direction or 0.0)).map(body), solid


def _flame_extent(source: FireSource, scale: float, reach: float | None) -> QPainterPath:
    """The ground that flames cover without wind: a circle, or the jet that blows one way."""
    path = QPainterPath()
    if source.kind == "jet":
        length = reach if reach is not None else source.length
        if length is not None and source.direction is not None:
            way = QPointF(math.cos(source.direction), -math.sin(source.direction))
            path.moveTo(0.0, 0.0)
            path.lineTo(way * length * scale)
            return path
        radius = length
    elif reach is not None:
        radius = reach
    elif source.diameter is not None:
        radius = 0.5 * source.diameter
    else:
        radius = None if source.surface is None else math.sqrt(source.surface / math.pi)
    if radius is not None:
        path.addEllipse(QPointF(0, 0), radius * scale, radius * scale)
    return path


def write_names(items: Iterable[Drawn], letters: float) -> None:
    """Put the names beside what they belong to; one without a free place is not written."""
    wanted, owners = [], {}
    ranks = {"people": 0, "fire_source": 0, "vessel": 1, "compressor": 1, "line": 3}
    for item in sorted(items, key=lambda one: ranks.get(one.kind, 2)):
        rect = covered(item)
        width, height = name_width(item.name, letters) + 4.0, 1.25 * letters
        wanted.append(Named(item.name, rect, width + 1.1 * letters, height))
        owners[item.name] = (item, rect, width)
    found = place_names(wanted)
    for name, (item, rect, width) in owners.items():
        spot = found.get(name)
        if spot is None:
            item.write_at(QRectF(), QRectF(), letters)
            continue
        x, y = item.pos().x(), item.pos().y()
        label = QRectF(spot.left - x, spot.top - y, width, spot.bottom - spot.top)
        mark = QRectF(label.right(), label.top(), 1.1 * letters, label.height())
        item.write_at(label, mark, letters)
        first, last = leader(rect, spot, (x, y))
        if math.dist(first, last) > 0.8 * letters:
            item.leader = (QPointF(*first), QPointF(*last))


def covered(item: Drawn) -> Rect:
    """What an item covers, or of a line the place in its middle."""
    if isinstance(item, LineItem):
        middle, _ = item.at_distance(item.length() / 2)
        return Rect(middle.x() - 1.0, middle.y() - 1.0, middle.x() + 1.0, middle.y() + 1.0)
    assert isinstance(item, Symbol)
    box = item.body().boundingRect().translated(item.pos())
    if isinstance(item, RingItem):
        return Rect(item.x() - 2.0, item.y() - item.radius - 2.0, item.x() + 2.0,
                    item.y() - item.radius + 2.0)  # fmt: skip
    if item.kind == "wall":  # named at its end, or its box would keep all names away
        return Rect(item.x() - 3.0, item.y() - 3.0, item.x() + 3.0, item.y() + 3.0)
    return Rect(box.left(), box.top(), box.right(), box.bottom())
