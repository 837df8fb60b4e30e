"""The schematic as items: made once for an installation, put in place by a layout."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainterPath

from airrisk.editing.edits import kind_of
from airrisk.installation.model import Installation, Line, Valve
from airrisk.window.plan.items import Attached, Drawn, LineItem, Node, Symbol
from airrisk.window.plan.symbols import outline_paths, stem_path
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.schematic.graph import end_name
from airrisk.wording.schematic.records import XY, Label, Rect, Schematic
from airrisk.wording.schematic.records import Symbol as Placed
from airrisk.wording.translation import tr


def schematic_items(installation: Installation, no_credit: Mapping[str, str]) -> Iterator[Drawn]:
    """An item for each part, line, device and valve; a layout puts them in place.

    ``no_credit`` tells of devices that nobody may count on why.
    """
    for part in installation.parts():
        if not isinstance(part, Line):
            kind = kind_of(part)
            yield Node(part.id, kind, QPainterPath(), f"{labels.part_kind(kind)} {part.id}")
    for line in installation.lines:
        yield LineItem(line.id, f"{labels.part_kind('line')} {line.id}")
    for device in installation.devices():
        kind = kind_of(device)
        spoken = tr("{kind} {id} on {part}").format(
            kind=labels.part_kind(kind), id=device.id, part=device.on
        )
        if device.id in no_credit:
            spoken = tr("{device}; no credit: {reason}").format(
                device=spoken, reason=labels.no_credit_reason(no_credit[device.id])
            )
        item = Attached(device.id, kind, QPainterPath(), spoken)
        item.no_credit = device.id in no_credit
        yield item
    for valve in installation.valves:
        yield Attached(valve.id, "valve", QPainterPath(), _valve_spoken(valve))


def _valve_spoken(valve: Valve) -> str:
    kind = tr("non-return valve") if valve.kind == "non-return" else tr("isolating valve")
    return f"{kind} {valve.id}, {choice_word(valve.state)}"


def put(item: Drawn, layout: Schematic, letters: float, held: bool) -> bool:
    """Put an item where a layout has it, unless it is ``held``; whether it is laid out at all."""
    label = layout.labels.get(item.name)
    if label is None:
        return False
    if isinstance(item, LineItem):
        course = layout.courses[item.name]
        item.set_points(course.points, course.forced)
        item.set_ends([
            symbol for which in ("from", "to")
            if (symbol := layout.symbols.get(end_name(item.name, which))) is not None
        ])  # fmt: skip
        _write(item, label, layout.blocks.get(item.name), (0.0, 0.0), letters)
        return True
    symbol = layout.symbols[item.name]
    assert isinstance(item, Symbol)
    _outline(item, symbol)
    if not held:
        item.setPos(symbol.x, symbol.y)
    _write(item, label, layout.blocks.get(item.name), (symbol.x, symbol.y), letters)
    return True


def _outline(item: Symbol, symbol: Placed) -> None:
    item.prepareGeometryChange()
    item.path, item.solid = outline_paths(symbol, item.no_credit)
    item.stem = stem_path(symbol)


def _write(item: Drawn, label: Label, block: Rect | None, at: XY, letters: float) -> None:
    """Write name, mark and answer of an item that stands at a place."""
    rects = (None if one is None else q_rect(one.moved(-at[0], -at[1]))
             for one in (label.rect, label.mark, block))  # fmt: skip
    name, mark, answer = rects
    item.write_at(name or QRectF(), mark or QRectF(), letters, answer)


def q_rect(rect: Rect) -> QRectF:
    """The same rectangle for Qt."""
    return QRectF(rect.left, rect.top, rect.right - rect.left, rect.bottom - rect.top)
