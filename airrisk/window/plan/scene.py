"""Builds the drawing from an installation and keeps it in step with it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping

from PySide6.QtCore import QPointF, QRect, QRectF, Signal
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QTransform
from PySide6.QtWidgets import QGraphicsScene

from airrisk.editing.edits import kind_of
from airrisk.installation.model import Installation, Line, Valve, Vessel
from airrisk.window.plan.items import STANDING_ABOUT, Attached, LabelSize, LineItem, Node, Symbol
from airrisk.window.plan.placement import Stretch, placed_by_file, positions
from airrisk.window.plan.routing import free_spot, port_shifts, route
from airrisk.window.plan.symbols import (
    SOURCE_PATHS,
    compressor_path,
    consumer_path,
    device_path,
    junction_path,
    people_path,
    valve_path,
    vessel_path,
    wall_path,
)
from airrisk.window.theme import colours, text_size
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr

TINTS_LIGHT = ("#CFE8F7", "#FBE3B5", "#D5F0E4", "#F3D9E8", "#E4E0F5", "#F7F3BF")
TINTS_DARK = ("#1F4B63", "#5E4A17", "#1F5443", "#5A3349", "#3D3763", "#54501F")
STUB = 60.0
BESIDE = 38.0  # from one valve of a line to the next


def tints() -> tuple[str, ...]:
    """Grounds that tell sections apart in the theme in use."""
    return TINTS_DARK if colours().dark else TINTS_LIGHT


class PlanScene(QGraphicsScene):
    """Parts, lines, valves, devices and people as items; positions in pixels, y down."""

    nodes_moved = Signal(object)  # {id: (x m, y m)} when a drag ended

    def __init__(self) -> None:
        super().__init__()
        self.items_by_name: dict[str, Symbol | LineItem] = {}
        self.to_scale = False  # draw distances as they are
        self.placed = False  # every part states its place
        self._installation: Installation | None = None
        self._stretch = Stretch({}, True)
        self._attached: dict[str, list[Attached]] = defaultdict(list)
        self._ports: dict[tuple[str, str], float] = {}
        self._taken: dict[str, list[float]] = defaultdict(list)
        self._building = False
        self._start: dict[str, QPointF] = {}

    # -- building ----------------------------------------------------------------

    def show_installation(self, installation: Installation | None) -> None:
        """Draw this installation; choices of items are kept by name."""
        chosen = [i.name for i in self.selectedItems() if isinstance(i, (Symbol, LineItem))]
        self._building = True
        self.blockSignals(True)  # clearing must not look like a person's choice
        self.items_by_name.clear()
        self.clear()
        self._attached.clear()
        self._installation = installation
        if installation is not None:
            self._build(installation)
        for name in chosen:
            if name in self.items_by_name:
                self.items_by_name[name].setSelected(True)
        self._building = False
        self.blockSignals(False)
        self.setSceneRect(self.itemsBoundingRect().adjusted(-60, -50, 60, 50))

    def installation_rect(self) -> QRectF:
        """The rectangle of the parts; people may stand far away from it."""
        rect = QRectF()
        for item in self.items_by_name.values():
            if item.kind not in STANDING_ABOUT:
                rect = rect.united(item.sceneBoundingRect())
        return rect.adjusted(-20, -16, 20, 16) if not rect.isEmpty() else rect

    def people_rects(self) -> list[QRectF]:
        """The rectangles of the people and of what can burn on the plan."""
        items = (one for one in self.items_by_name.values() if one.kind in STANDING_ABOUT)
        return [item.sceneBoundingRect().adjusted(-8, -8, 8, 8) for item in items]

    def _build(self, installation: Installation) -> None:
        places = positions(installation)
        self.placed = placed_by_file(installation)
        self._stretch = Stretch(places, self.to_scale)
        for part in installation.parts():
            if isinstance(part, Line):
                continue
            kind = kind_of(part)
            if isinstance(part, Vessel):
                path = vessel_path(*self._vessel_size(part))
            elif kind == "compressor":
                path = compressor_path(46.0)
            elif kind == "junction":
                path = junction_path()
            else:
                path = consumer_path()
            node = Node(part.id, kind, path, f"{labels.part_kind(kind)} {part.id}")
            self._add(node, self._to_scene(places[part.id]))
            node.moved = self._node_moved
        for person in installation.people:
            node = Node(
                person.id, "people", people_path(person.kind),
                f"{labels.part_kind('people')} {person.id}",
            )  # fmt: skip
            self._add(node, self._to_scene(person.at))
            node.moved = self._node_moved
        for source in installation.fire_sources:
            name = f"{labels.part_kind('fire_source')} {source.id}"
            node = Node(source.id, "fire_source", SOURCE_PATHS[source.kind](), name)
            self._add(node, self._to_scene(source.at))
            node.moved = self._node_moved
        for wall in installation.walls:
            corners = [self._to_scene(point) for point in wall.points]
            path = wall_path([corner - corners[-1] for corner in corners])
            symbol = Symbol(wall.id, "wall", path, f"{labels.part_kind('wall')} {wall.id}")
            symbol.label_below = False
            self._add(symbol, corners[-1])
        for line in installation.lines:
            item = LineItem(line.id, f"{labels.part_kind('line')} {line.id}")
            self.items_by_name[line.id] = item
            self.addItem(item)
        for device in installation.devices():
            kind = kind_of(device)
            symbol = Attached(
                device.id, kind, device_path(kind),
                tr("{kind} {id} on {part}").format(
                    kind=labels.part_kind(kind), id=device.id, part=device.on
                ),
            )  # fmt: skip
            symbol.label_below = False
            self._add(symbol, QPointF())
            self._attached[device.on].append(symbol)
        for valve in installation.valves:
            self._add_valve(valve)
        self._route()

    def _add(self, item: Symbol, where: QPointF) -> None:
        item.setPos(where)
        self.items_by_name[item.name] = item
        self.addItem(item)

    def _add_valve(self, valve: Valve) -> None:
        kind = tr("non-return valve") if valve.kind == "non-return" else tr("isolating valve")
        spoken = f"{kind} {valve.id}, {choice_word(valve.state)}"
        symbol = Attached(valve.id, "valve", valve_path(valve.kind), spoken)
        symbol.filled = valve.state == "closed"
        symbol.locked = valve.state == "locked open"
        self._add(symbol, QPointF())
        self._attached[valve.on].append(symbol)

    def _vessel_size(self, vessel: Vessel) -> tuple[float, float]:
        """Width and height in pixels: to scale within what can be read and hit."""
        scale = self._stretch.scale
        diameter = vessel.inside_diameter * scale
        length = (vessel.cylinder_length + 0.5 * vessel.inside_diameter) * scale
        across = min(max(diameter, 34.0), 84.0)
        along = min(max(length, across * 1.25, 48.0), 120.0)
        return (across, along) if vessel.orientation == "vertical" else (along, across)

    def _to_scene(self, place: tuple[float, float]) -> QPointF:
        return QPointF(*self._stretch.to_pixels(place))

    def to_metres(self, point: QPointF) -> tuple[float, float]:
        """A scene point as plan position, rounded to a centimetre."""
        return self._stretch.to_metres((point.x(), point.y()))

    # -- lines and what stands on them -------------------------------------------

    def _route(self) -> None:
        """Lay the lines between their ends and put valves and devices in place."""
        installation = self._installation
        if installation is None:
            return
        nodes = {n: i for n, i in self.items_by_name.items() if isinstance(i, Node)}
        self._ports = port_shifts(installation.lines, nodes)
        for line in installation.lines:
            item = self.items_by_name.get(line.id)
            if isinstance(item, LineItem):
                item.set_points(self._corners(line))
        self._taken = defaultdict(list)
        ends: dict[tuple[str, str], int] = defaultdict(int)
        for valve in installation.valves:
            on = self.items_by_name.get(valve.on)
            if isinstance(on, LineItem):
                end = valve.end or "from"
                self._place_line_valve(valve, on, end, ends[(valve.on, end)])
                ends[(valve.on, end)] += 1
        for device in installation.devices():
            self._place_device(device.id, device.on)
        for valve in installation.valves:
            on = self.items_by_name.get(valve.on)
            if isinstance(on, Attached):
                self._place_device_valve(valve, on)
        for line in installation.lines:
            item = self.items_by_name.get(line.id)
            if isinstance(item, LineItem):
                item.set_label_at(free_spot(item.length(), self._taken[line.id], 18.0))

    def _place_line_valve(self, valve: Valve, on: LineItem, end: str, number: int) -> None:
        symbol = self.items_by_name.get(valve.id)
        if not isinstance(symbol, Attached):
            return
        distance = min(34.0 + BESIDE * number, on.length() * 0.45)
        distance = distance if end == "from" else on.length() - distance
        point, angle = on.at_distance(distance)
        self._taken[on.name].append(distance)
        symbol.setPos(point)
        symbol.path = _turned(valve_path(valve.kind), angle + (180.0 if valve.reverse else 0.0))
        symbol.label_below = abs(math.cos(math.radians(angle))) > 0.7
        symbol.update()

    def _place_device_valve(self, valve: Valve, device: Attached) -> None:
        """A valve between a part and its device: the device moves up to make room."""
        symbol = self.items_by_name.get(valve.id)
        if not isinstance(symbol, Attached):
            return
        symbol.path = _turned(valve_path(valve.kind), 90.0)
        symbol.label_below = False
        symbol.setPos(device.pos())
        device.setPos(device.pos() - QPointF(0, 22))
        symbol.update()

    def _corners(self, line: Line) -> list[QPointF]:
        first = self.items_by_name.get(line.from_)
        last = self.items_by_name.get(line.to)
        if isinstance(first, Node) and isinstance(last, Node):
            return route(first, last, self._ports.get((line.id, "from"), 0.0),
                         self._ports.get((line.id, "to"), 0.0))  # fmt: skip
        known = first if isinstance(first, Node) else last if isinstance(last, Node) else None
        if known is None:
            return [QPointF(0, 0), QPointF(self._stub(line), 0)]
        box = known.path.boundingRect()
        sign = 1 if known is first else -1
        start = known.pos() + QPointF(sign * box.width() / 2, 0)
        end = start + QPointF(sign * self._stub(line), 0)
        return [start, end] if known is first else [end, start]

    def _stub(self, line: Line) -> float:
        """Length of a line with one open or closed end: room for its valves and its name."""
        assert self._installation is not None
        here = line.id.casefold()
        return STUB + BESIDE * sum(v.on.casefold() == here for v in self._installation.valves)

    def _place_device(self, name: str, on: str) -> None:
        symbol = self.items_by_name.get(name)
        holder = self.items_by_name.get(on)
        if not isinstance(symbol, Attached) or holder is None:
            return
        mates = [m for m in self._attached[on] if m.kind != "valve"]
        if isinstance(holder, LineItem):
            distance = free_spot(holder.length(), self._taken[on])
            self._taken[on].append(distance)
            point, angle = holder.at_distance(distance)
            level = abs(math.cos(math.radians(angle))) > 0.7
            symbol.setPos(point + (QPointF(0, -14) if level else QPointF(14, 0)))
            return
        box = holder.path.boundingRect()
        place = self._plug_place(name)
        if place in ("bottom", "drain"):
            low = [m for m in mates if self._plug_place(m.name) in ("bottom", "drain")]
            shift = (low.index(symbol) - (len(low) - 1) / 2) * 46
            symbol.setPos(holder.pos() + QPointF(shift, box.bottom() + 30))
        elif place == "side":
            symbol.setPos(holder.pos() + QPointF(box.right() + 12, -4))
        else:
            high = [m for m in mates if self._plug_place(m.name) in ("top", "")]
            shift = (high.index(symbol) - (len(high) - 1) / 2) * 56
            symbol.setPos(holder.pos() + QPointF(shift, box.top() - 11))

    def _plug_place(self, name: str) -> str:
        assert self._installation is not None
        for plug in self._installation.plugs:
            if plug.id == name:
                return plug.place
        return ""

    # -- moving ------------------------------------------------------------------

    def _node_moved(self, _node: Symbol) -> None:
        if not self._building:
            self._route()

    def begin_move(self) -> None:
        """Remember where the chosen parts stand before a drag."""
        self._start = {
            item.name: QPointF(item.pos())
            for item in self.items_by_name.values()
            if isinstance(item, Node)
        }

    def end_move(self) -> None:
        """Tell which parts stand elsewhere after a drag."""
        moved = {
            name: self.to_metres(self.items_by_name[name].pos())
            for name, start in self._start.items()
            if name in self.items_by_name
            and (self.items_by_name[name].pos() - start).manhattanLength() > 2
        }
        self._start = {}
        if moved:
            self.nodes_moved.emit(moved)

    def all_places(self) -> dict[str, tuple[float, float]]:
        """Where every part stands, in metres."""
        return {
            name: self.to_metres(item.pos())
            for name, item in self.items_by_name.items()
            if isinstance(item, Node)
        }

    def set_text_size(self, pixels: float) -> None:
        """Make all labels this tall, so that they can be read at the view's scale."""
        size = round(min(max(pixels, 12.0), max(24.0, 0.24 * text_size())))
        if size != LabelSize.pixels:
            LabelSize.pixels = size
            for item in self.items_by_name.values():
                item.prepareGeometryChange()
                item.update()

    # -- marks from answers ------------------------------------------------------

    def tint_groups(self, groups: Iterable[Iterable[str]]) -> None:
        """Give each group of parts its own ground; everything else loses it."""
        chosen: dict[str, str] = {}
        palette = tints()
        for number, group in enumerate(groups):
            for name in group:
                chosen[name] = palette[number % len(palette)]
        for name, item in self.items_by_name.items():
            item.tint = chosen.get(name)
            item.update()

    def mark_fire(self, names: Iterable[str]) -> None:
        """Show which parts a fire reaches."""
        burning = set(names)
        for name, item in self.items_by_name.items():
            item.burning = name in burning
            item.update()

    def mark_findings(self, worst: Mapping[str, str]) -> None:
        """Put the shape of the worst finding beside each part: id -> severity."""
        for name, item in self.items_by_name.items():
            severity = worst.get(name)
            item.badge = "" if severity is None else labels.severity_shape(severity)
            item.badge_colour = "" if severity is None else colours().of_severity(severity)
            item.update()

    def drawBackground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        theme = colours()
        painter.fillRect(rect, QColor(theme.surface))
        painter.setPen(QPen(QColor(theme.raised), 0))
        step = 50.0
        x = math.floor(rect.left() / step) * step
        while x < rect.right():
            painter.drawLine(QPointF(x, rect.top()), QPointF(x, rect.bottom()))
            x += step
        y = math.floor(rect.top() / step) * step
        while y < rect.bottom():
            painter.drawLine(QPointF(rect.left(), y), QPointF(rect.right(), y))
            y += step


def _turned(path: QPainterPath, degrees: float) -> QPainterPath:
    return QTransform().rotate(degrees).map(path)
