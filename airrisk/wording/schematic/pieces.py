"""The boxes of a schematic: a part with its devices and name, or a line's own stretch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from airrisk.installation.model import (
    BurstingDisc,
    Device,
    Installation,
    Plug,
    ReliefValve,
    Valve,
)
from airrisk.wording.schematic.graph import end_name
from airrisk.wording.schematic.records import (
    NO_BLOCKS,
    PITCH,
    XY,
    Blocks,
    Label,
    Measure,
    Piece,
    Rect,
    Symbol,
)

VESSEL = (24.0, 36.0)  # px, half width and half height of a standing one
ROUND = 24.0  # a compressor
CUP = (13.0, 10.0)  # a point of use
DOT = 5.0  # a junction
END = 7.0  # an end that joins nothing
VALVE = (10.0, 7.0)
DEVICE = 9.0
STEM = 8.0
GAP = 3.0  # between a symbol and its name
LOW = ("bottom", "drain")
LINE = 1.25  # height of a line of text, of the text's size
BLOCK_AIR = 4.0  # around the text of an answer
APART = 6.0  # between an answer and a line that is chosen
MARK = 1.1  # of the text's height: the mark of the worst finding


@dataclass(frozen=True)
class Lettering:
    """Size of the names and how wide each of them is [px]."""

    size: float
    measure: Measure
    blocks: Blocks = NO_BLOCKS

    @cached_property
    def block(self) -> XY:
        """Width and height of an answer: two lines with a little air."""
        width = max((self.measure(text) for text in self.blocks.texts), default=0.0)
        return width + 2 * BLOCK_AIR, 2 * self.height + BLOCK_AIR

    @property
    def height(self) -> float:
        """Of a name with a little air."""
        return LINE * self.size

    @property
    def mark(self) -> float:
        """Width of a mark beside a name."""
        return MARK * self.size

    def width(self, name: str) -> float:
        """Of a name with a little air."""
        return self.measure(name) + 4.0

    def right_of(self, name: str, x: float, y: float) -> Label:
        """A name that begins at a place, its mark behind it."""
        half, end = self.height / 2, x + self.width(name)
        mark = Rect(end, y - half, end + self.mark, y + half)
        return Label(name, Rect(x, y - half, end, y + half), mark)

    def left_of(self, name: str, x: float, y: float) -> Label:
        """A name that ends at a place, its mark before it."""
        half, start = self.height / 2, x - self.width(name)
        mark = Rect(start - self.mark, y - half, start, y + half)
        return Label(name, Rect(start, y - half, x, y + half), mark)

    def marked(self, label: Label, x: float, y: float) -> Label:
        """The name with its mark around a place instead."""
        half = self.mark / 2
        return Label(label.id, label.rect, Rect(x - half, y - half, x + half, y + half))

    def middle_of(self, name: str, x: float, y: float) -> Label:
        """A name around a place, its mark behind it."""
        return self.right_of(name, x - self.width(name) / 2, y)

    def room(self, name: str) -> float:
        """Width of a name with its mark."""
        return self.width(name) + self.mark


def steps(pixels: float) -> int:
    """How many steps of the grid cover a distance."""
    return max(math.ceil(pixels / PITCH - 1e-9), 0)


def kind_of_device(device: Device) -> str:
    """The kind of a device in the file."""
    if isinstance(device, Plug):
        return "plug"
    if isinstance(device, ReliefValve):
        return "relief_valve"
    assert isinstance(device, BurstingDisc)
    return "bursting_disc"


class PieceMaker:
    """Makes the box of each part and line of one installation."""

    def __init__(self, installation: Installation, lettering: Lettering) -> None:
        """Sort what stands on what."""
        self._lettering = lettering
        self._vessels = {vessel.id: vessel for vessel in installation.vessels}
        self._devices: dict[str, list[Device]] = {}
        for device in installation.devices():
            self._devices.setdefault(device.on.casefold(), []).append(device)
        self._ends = {
            end_name(line.id, which): end
            for line in installation.lines
            for which, end in (("from", line.from_), ("to", line.to))
        }
        self._valves: dict[str, list[Valve]] = {}
        for valve in installation.valves:
            self._valves.setdefault(valve.on.casefold(), []).append(valve)

    # -- parts -------------------------------------------------------------------

    def part(self, name: str, kind: str, most_on_a_side: int) -> Piece:
        """The box of a part; ``most_on_a_side`` lines meet it on one side at most."""
        piece = Piece(name, False, kind)
        tall = (most_on_a_side - 1) * PITCH / 2 + PITCH if most_on_a_side > 1 else 0.0
        if kind == "vessel":
            self._vessel(piece, tall)
        elif kind == "compressor":
            radius = PITCH * math.ceil(max(ROUND, tall) / PITCH)
            self._add_symbol(piece, kind, (radius, radius))
        elif kind == "junction":
            self._add_symbol(piece, kind, (DOT, max(tall, DOT)))
        elif kind == "consumer":
            self._add_symbol(piece, kind, (CUP[0], max(CUP[1], tall)))
        else:
            self._add_symbol(piece, kind, (END, END))
        self._mounted(piece)
        self._part_name(piece)
        if name in self._lettering.blocks.parts:
            self._part_block(piece, most_on_a_side)
        _enclose(piece)
        return piece

    def _vessel(self, piece: Piece, tall: float) -> None:
        vessel = self._vessels[piece.id]
        lying = vessel.orientation == "horizontal"
        wide, high = (VESSEL[1], VESSEL[0]) if lying else VESSEL
        beside = [d for d in self._devices.get(piece.id.casefold(), ()) if _place(d) == "side"]
        more = 2 * PITCH * len(beside)  # the upper part of its wall, above the lines
        high = PITCH * math.ceil(max(high, tall) / PITCH)
        piece.middle = (0.0, -more / 2)
        self._add_symbol(piece, "vessel", (wide, high + more / 2))
        for number, device in enumerate(beside):
            y = -high - more + PITCH + 2 * PITCH * number
            self._beside(piece, device, (wide, y))

    def _add_symbol(self, piece: Piece, kind: str, half: XY) -> None:
        piece.half = half
        x, y = piece.middle
        sign = self._ends.get(piece.id, "")
        piece.symbols.append(Symbol(piece.id, kind, x, y, *half, sign=sign))

    def _beside(self, piece: Piece, device: Device, foot: XY) -> None:
        """A device with a level stem to the right of its foot."""
        x, y = foot
        valve = self._valve_of(device)
        at = x + STEM + DEVICE
        if valve is not None:
            at += 2 * VALVE[0] + self._lettering.room(valve.id)
            self._level_valve(piece, valve, x + STEM + VALVE[0], y)
        stem = ((x, y), (at, y))
        kind = kind_of_device(device)
        piece.symbols.append(Symbol(device.id, kind, at, y, DEVICE, DEVICE, 90.0, stem))
        piece.labels.append(self._lettering.right_of(device.id, at + DEVICE + GAP, y))

    def _level_valve(self, piece: Piece, valve: Valve, x: float, y: float) -> None:
        """A valve in the level stem of a device, its name above the stem behind it."""
        turn = 180.0 if valve.reverse else 0.0
        piece.symbols.append(_valve_symbol(valve, (x, y), turn))
        above = y - 2.0 - self._lettering.height / 2
        piece.labels.append(self._lettering.right_of(valve.id, x + VALVE[0], above))

    def _valve_of(self, device: Device) -> Valve | None:
        found = self._valves.get(device.id.casefold(), ())
        return found[0] if found else None

    def _mounted(self, piece: Piece) -> None:
        """Devices on top of a part, drain plugs below it."""
        mine = [d for d in self._devices.get(piece.id.casefold(), ()) if _place(d) != "side"]
        top = [device for device in mine if _place(device) not in LOW]
        low = [device for device in mine if _place(device) in LOW]
        x, y = piece.middle
        self._row(piece, top, (x, y - piece.half[1]), -1.0)
        self._row(piece, low, (x, y + piece.half[1]), 1.0)

    def _row(self, piece: Piece, devices: Sequence[Device], foot: XY, way: float) -> None:
        """Devices side by side over (-1) or under (1) a foot, on a pipe if they are many."""
        places = self._row_places(devices)
        flat = piece.half[0] - 0.45 * piece.half[0] if piece.kind == "vessel" else piece.half[0]
        bar = any(abs(place) > flat + 2.0 for place in places)
        x0, y0 = foot
        for number, (device, shift) in enumerate(zip(devices, places, strict=True)):
            start = y0 + way * (STEM if bar else 0.0)
            stem: tuple[XY, ...] = ((x0 + shift, start),)
            if bar:
                stem = ((x0, y0), (x0, start), *stem)
            end = start + way * STEM
            left = number == 0 and len(devices) > 1
            self._standing(piece, device, stem, (x0 + shift, end), way, left)

    def _standing(
        self, piece: Piece, device: Device, stem: tuple[XY, ...], foot: XY, way: float, left: bool
    ) -> None:
        """An upright device with its valve on a stem, its names to the right or left."""
        x, y = foot
        write = self._lettering.left_of if left else self._lettering.right_of
        side = -1.0 if left else 1.0
        valve = self._valve_of(device)
        if valve is not None:
            at = (x, y + way * VALVE[0])
            turn = (-90.0 if way < 0 else 90.0) + (180.0 if valve.reverse else 0.0)
            piece.symbols.append(_valve_symbol(valve, at, turn))
            piece.labels.append(write(valve.id, x + side * (VALVE[1] + GAP), at[1]))
            y += way * max(2 * VALVE[0], self._lettering.height + 2.0)
        at = (x, y + way * DEVICE)
        turn = 0.0 if way < 0 else 180.0
        kind = kind_of_device(device)
        piece.symbols.append(Symbol(device.id, kind, *at, DEVICE, DEVICE, turn, (*stem, at)))
        label = write(device.id, x + side * (DEVICE + GAP), at[1])
        over = at[1] + way * (DEVICE + 1.0 + self._lettering.mark / 2)
        piece.labels.append(self._lettering.marked(label, x, over))

    def _row_places(self, devices: Sequence[Device]) -> list[float]:
        """Where each of a row of devices stands against the middle."""
        if len(devices) == 1:
            return [0.0]
        places = []
        at = 0.0
        for number in range(len(devices)):
            if number:
                at += 2 * DEVICE + 6.0
            if number > 1:
                at += self._names_room(devices[number - 1])
            places.append(at)
        middle = (places[0] + places[-1]) / 2 if places else 0.0
        return [place - middle for place in places]

    def _names_room(self, device: Device) -> float:
        valve = self._valve_of(device)
        of_valve = 0.0 if valve is None else self._lettering.room(valve.id)
        return GAP + max(self._lettering.width(device.id), of_valve)

    def _part_name(self, piece: Piece) -> None:
        letters, (x, y), half = self._lettering, piece.middle, piece.half
        name = piece.id
        if piece.kind == "vessel" and letters.width(name) <= 2 * half[0] - 4.0:
            label = letters.middle_of(name, x, y + letters.height / 2)
            mark = Rect(x - letters.mark / 2, y - letters.height, x + letters.mark / 2, y)
            piece.labels.append(Label(name, label.rect, mark))
        elif piece.kind in ("vessel", "compressor"):
            below = max((s.rect.bottom for s in piece.symbols), default=0.0)
            piece.labels.append(letters.middle_of(name, x, below + GAP + letters.height / 2))
        elif piece.kind == "junction":
            at = (half[0] + GAP, -half[1] - GAP - letters.height / 2)
            piece.labels.append(letters.right_of(name, *at))
        elif piece.kind == "consumer":
            piece.labels.append(letters.right_of(name, half[0] + GAP, 0.0))

    def _part_block(self, piece: Piece, most_on_a_side: int) -> None:
        """The answer beside a part, over or under the line that leaves it, or else below it."""
        wide, high = self._lettering.block
        right = piece.half[0] + GAP
        beside = [
            Rect(x, y, x + wide, y + high)
            for x in (right, -right - wide)
            for y in (-high - APART, APART)
        ]
        taken = [*(symbol.rect for symbol in piece.symbols), *piece.written]
        if most_on_a_side < 2:
            for rect in beside:
                if not any(rect.grown(GAP - 1.0).meets(other) for other in taken):
                    piece.block = rect
                    return
        x, y = piece.middle[0] - wide / 2, max(rect.bottom for rect in taken) + GAP
        piece.block = Rect(x, y, x + wide, y + high)

    # -- lines -------------------------------------------------------------------

    def stretch(self, line: str, upright: bool, backward: bool) -> Piece:
        """A line's own stretch: valves of its first end, name, devices, valves of its last end."""
        piece = Piece(line, True, upright=upright, backward=backward)
        valves = sorted(self._valves.get(line.casefold(), ()), key=lambda valve: valve.order)
        first = [valve for valve in valves if (valve.end or "from") == "from"]
        last = [valve for valve in valves if (valve.end or "from") != "from"]
        devices = self._devices.get(line.casefold(), [])
        # valves are counted from the part outward
        content: list[Valve | Device | None] = [*first, None, *devices, *reversed(last)]
        high = [device for device in devices if _place(device) not in LOW]
        if high and not upright:
            content.remove(None)  # its name stands below a device
        if backward:
            content.reverse()
        size = self._size_of(line, content, upright)
        at = -PITCH * (steps(size) // 2) + (PITCH * steps(size) - size) / 2
        put = self._on_upright if upright else self._on_level
        for one in content:
            under = one is high[0] if high and not upright else False
            at += put(piece, one, at, under)
        whole = steps(size)
        if upright:
            piece.up, piece.down = whole // 2, whole - whole // 2
        else:
            piece.left, piece.right = whole // 2, whole - whole // 2
        self._cover(piece)
        return piece

    def _size_of(self, line: str, content: Sequence[Valve | Device | None], upright: bool) -> float:
        """How long a stretch must be for what stands on it."""
        trial = Piece(line, True, upright=upright)
        put = self._on_upright if upright else self._on_level
        return max(sum(put(trial, one, 0.0, one is not None) for one in content), PITCH)

    def _on_level(self, piece: Piece, one: Valve | Device | None, at: float, named: bool) -> float:
        """Put one thing on a level line; how much of the line it takes."""
        letters = self._lettering
        if one is None:
            piece.labels.append(letters.right_of(piece.id, at, -2.0 - letters.height / 2))
            over = -2.0 - letters.height - GAP - letters.block[1]
            return max(letters.room(piece.id), self._line_block(piece, at, over))
        if isinstance(one, Valve):
            taken = max(2 * VALVE[0] + 4.0, letters.width(one.id) + 2.0)
            x = at + taken / 2
            turn = 180.0 if one.reverse != piece.backward else 0.0
            piece.symbols.append(_valve_symbol(one, (x, 0.0), turn))
            label = letters.middle_of(one.id, x, VALVE[1] + 2.0 + letters.height / 2)
            over = -VALVE[1] - 1.0 - letters.mark / 2
            piece.labels.append(letters.marked(label, x, over))
            return taken
        x = at + DEVICE + 3.0
        way = 1.0 if _place(one) in LOW else -1.0
        self._standing(piece, one, ((x, 0.0),), (x, way * STEM), way, left=False)
        taken = 2 * DEVICE + 6.0 + self._names_room(one)
        if named:
            below = 3.0 + letters.height + GAP
            taken = max(taken, letters.room(piece.id) + 2.0, self._line_block(piece, at, below))
            piece.labels.append(letters.right_of(piece.id, at, 3.0 + letters.height / 2))
        return taken

    def _on_upright(
        self, piece: Piece, one: Valve | Device | None, at: float, named: bool
    ) -> float:
        """Put one thing on an upright line, names to its right."""
        letters = self._lettering
        if one is None:
            taken = letters.height + 2.0
            piece.labels.append(letters.right_of(piece.id, GAP + 1.0, at + taken / 2))
            if self._line_block(piece, GAP + 1.0, at + taken):
                taken += letters.block[1] + GAP
            return taken
        if isinstance(one, Valve):
            taken = max(2 * VALVE[0] + 4.0, letters.height)
            turn = 90.0 if one.reverse == piece.backward else -90.0
            y = at + taken / 2
            piece.symbols.append(_valve_symbol(one, (0.0, y), turn))
            piece.labels.append(letters.right_of(one.id, VALVE[1] + GAP, y))
            return taken
        taken = max(2 * DEVICE + 4.0, letters.height)
        if self._valve_of(one):
            taken = max(taken, 2 * letters.height + 6.0)
        self._beside(piece, one, (0.0, at + taken / 2))
        return taken

    def _line_block(self, piece: Piece, x: float, y: float) -> float:
        """The answer of a line with its corner at a place; how wide it is, 0 without one."""
        if piece.id not in self._lettering.blocks.parts:
            return 0.0
        wide, high = self._lettering.block
        piece.block = Rect(x, y, x + wide, y + high)
        return wide + 2.0

    def _cover(self, piece: Piece) -> None:
        """Take the steps across the line that names and symbols need."""
        rects = [*(symbol.rect for symbol in piece.symbols), *piece.written]
        if piece.upright:
            piece.left = max([steps(-rect.left) for rect in rects] + [0])
            piece.right = max([steps(rect.right) for rect in rects] + [0])
        else:
            piece.up = max([steps(-rect.top) for rect in rects] + [0])
            piece.down = max([steps(rect.bottom) for rect in rects] + [0])


def _valve_symbol(valve: Valve, at: XY, turn: float) -> Symbol:
    level = turn % 180.0 == 0.0
    half = VALVE if level else (VALVE[1], VALVE[0])
    return Symbol(
        valve.id, "valve", *at, *half, turn, (), valve.kind,
        valve.state == "closed", valve.state == "locked open",
    )  # fmt: skip


def _place(device: Device) -> str:
    return device.place if isinstance(device, Plug) else ""


def _enclose(piece: Piece) -> None:
    """Take the steps that symbols, names and marks of a part need."""
    rects = [*(symbol.rect for symbol in piece.symbols), *piece.written]
    piece.left = max(steps(-rect.left) for rect in rects)
    piece.right = max(steps(rect.right) for rect in rects)
    piece.up = max(steps(-rect.top) for rect in rects)
    piece.down = max(steps(rect.bottom) for rect in rects)
