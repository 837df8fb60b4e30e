"""The view on the drawing: choosing, moving, zooming, keys."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from PySide6.QtCore import QPointF, QRect, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QColor,
    QContextMenuEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QGraphicsView, QWidget

from airrisk.window.plan.items import STANDING_ABOUT, Drawn, LineItem, Node, RingItem
from airrisk.window.plan.pointing import Pointing
from airrisk.window.plan.scale_bar import paint_scale_bar
from airrisk.window.plan.scene import PlanScene
from airrisk.window.theme import colours, text_size
from airrisk.wording.schematic.records import PITCH
from airrisk.wording.translation import tr
from airrisk.wording.units import Units

ARROWS: dict[int, tuple[float, float]] = {
    Qt.Key.Key_Left: (-1.0, 0.0), Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, -1.0), Qt.Key.Key_Down: (0.0, 1.0),
}  # fmt: skip
LARGEST = 1.4
SITE_LETTERS = 11.0  # px, names on the site plan at the usual size of text
EDGE, SCALE_HIGH = 4, 26  # px, free of answers: at the edge, and for the scale below
BESIDE, FOOT = 56, 40  # px around the site plan for names, and below it for the scale
MOST_METRE = 80.0  # px, of the site plan when it is fitted
READABLE = 9.0  # px on the screen, of a name at the usual size of text
NEAR = 0.7  # of the scale of the parts alone, at least, when people are shown with them


class PlanView(QGraphicsView):
    """Shows a ``PlanScene``; tells which item is chosen and what the keys ask for."""

    chosen = Signal(object)  # id or None
    several = Signal(object)  # ids of all that is chosen, whenever that may have changed
    connect_asked = Signal(object, object)  # two ids
    joining = Signal(object, object)  # where a new line begins and would end; ids or None
    connecting_ended = Signal()
    typed = Signal(str)  # a letter: somebody begins to type a part
    menu_asked = Signal(object, object)  # id of a chosen item or None, place on the screen

    def __init__(self, scene: PlanScene, parent: QWidget | None = None) -> None:
        super().__init__(scene, parent)
        self.plan = scene
        self._fitted = True
        self._connecting: str | None = None
        self._joins: str | None = None  # where the new line would end now
        self._wants_connection = False
        self._pressed, self._dragging = QPointF(), False
        self._in_event = False  # the scene handles a press, a move or a release
        self._choice_waits = False
        self.units = Units()  # of the scale
        self.pointing = Pointing(self, lambda: scene.pixels_per_metre)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setDragMode(QGraphicsView.DragMode.RubberBandDrag)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.AnchorUnderMouse)
        self.setFrameShape(QGraphicsView.Shape.NoFrame)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.FullViewportUpdate)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAccessibleName(tr("Layout of the installation"))
        scene.selectionChanged.connect(self._selection_changed)

    def _selection_changed(self) -> None:
        if self._in_event:  # what follows may draw everything anew, and the item is still at it
            self._choice_waits = True
        else:
            self._tell_choice()

    def _tell_choice(self) -> None:
        names = self.chosen_names()
        self.chosen.emit(names[-1] if names else None)
        self.several.emit(self.chosen_names())

    def chosen_names(self) -> list[str]:
        """Ids of the chosen items."""
        return [i.name for i in self.plan.selectedItems() if isinstance(i, Drawn)]

    def choose(self, name: str | None) -> None:
        """Choose one item by id and bring it into sight."""
        if name is not None and name in self.chosen_names():
            self.several.emit(self.chosen_names())  # some may have gone
            return
        self.plan.blockSignals(True)
        self.plan.clearSelection()
        item = self.plan.items_by_name.get(name) if name else None
        if item is not None:
            item.setSelected(True)
        self.plan.blockSignals(False)
        if item is not None:
            self.ensureVisible(item.mapRectToScene(item.owner()), 20, 20)
        self.viewport().update()
        self.several.emit(self.chosen_names())

    def speak(self, text: str) -> None:
        """Give what is chosen to screen readers: the items of a drawing have no voice there."""
        if text != self.accessibleDescription():
            self.setAccessibleDescription(text)
            event = QAccessibleEvent(self, QAccessible.Event.DescriptionChanged)
            QAccessible.updateAccessibility(event)

    # -- connecting --------------------------------------------------------------

    def start_connecting(self) -> None:
        """The next two parts chosen are joined by a line."""
        self._wants_connection = True
        names = [n for n in self.chosen_names() if isinstance(self.plan.items_by_name[n], Node)]
        self._connecting = names[-1] if names else None
        self._tell_connecting()

    @property
    def connecting(self) -> bool:
        """Whether the view waits for an end of a new line."""
        return self._wants_connection

    def _tell_connecting(self) -> None:
        self.joining.emit(self._connecting, self._joins)
        self.viewport().update()

    def _end_connecting(self) -> None:
        self._wants_connection = False
        self._connecting = self._joins = None
        self.connecting_ended.emit()
        self.viewport().update()

    def _would_join(self, name: str | None) -> None:
        """Show where the new line would end, before anybody says so."""
        item = self.plan.items_by_name.get(name) if name else None
        fits = isinstance(item, Node) and item.kind not in STANDING_ABOUT
        joins = name if fits and name != self._connecting else None
        if joins != self._joins:
            self._joins = joins
            self._tell_connecting()

    def _take_end(self, name: str) -> None:
        if self._connecting is None:
            self._connecting, self._joins = name, None
            self._tell_connecting()
        elif name != self._connecting:
            first = self._connecting
            self._end_connecting()
            self.connect_asked.emit(first, name)

    def drawForeground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        """What Connect would join: both parts ringed, and the line between them."""
        super().drawForeground(painter, rect)
        if self.plan.mode == "site plan":
            painter.save()
            painter.resetTransform()
            scale = self.plan.pixels_per_metre * self.transform().m11()
            paint_scale_bar(painter, QRectF(self.viewport().rect()), scale, self.units)
            painter.restore()
            self.pointing.paint(painter)
        if not self._wants_connection:
            return
        ends = [self.plan.items_by_name.get(one) for one in (self._connecting, self._joins) if one]
        places = [item.sceneBoundingRect() for item in ends if item is not None]
        painter.setPen(QPen(QColor(colours().accent), 2.5, Qt.PenStyle.DashLine))
        for place in places:
            painter.drawRoundedRect(place, 8, 8)
        if len(places) == 2:
            painter.drawLine(places[0].center(), places[1].center())

    # -- mouse -------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self._wants_connection:
            item = self.itemAt(event.position().toPoint())
            if isinstance(item, Node) and item.kind not in STANDING_ABOUT:
                self._take_end(item.name)
            event.accept()
            return
        if event.button() == Qt.MouseButton.MiddleButton:
            self.fit()
            return
        if event.button() == Qt.MouseButton.RightButton:
            event.accept()  # its menu chooses
            return
        self._pressed, self._dragging = event.position(), False
        self.plan.begin_move()
        with self._told_after():
            super().mousePressEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """The menu of what is under the pointer, or of what is chosen when a key asks."""
        if event.reason() == QContextMenuEvent.Reason.Mouse:
            item = self.itemAt(event.pos())
            name = item.name if isinstance(item, Drawn) else None
            if name is None or name not in self.chosen_names():
                self.choose(name)
                self.chosen.emit(name)
            self.menu_asked.emit(name, event.globalPos())
        else:
            names = self.chosen_names()
            name = names[-1] if names else None
            middle = _middle(self.plan.items_by_name[name]) if name else QPointF()
            place = self.mapFromScene(middle) if name else self.viewport().rect().center()
            self.menu_asked.emit(name, self.viewport().mapToGlobal(place))
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._wants_connection:
            item = self.itemAt(event.position().toPoint())
            self._would_join(item.name if isinstance(item, Node) else None)
        if event.buttons() & Qt.MouseButton.LeftButton and not self._dragging:
            way = (event.position() - self._pressed).manhattanLength()
            self._dragging = way >= QApplication.startDragDistance()
            if not self._dragging:  # a click with a hand that trembles
                event.accept()
                return
        with self._told_after():
            super().mouseMoveEvent(event)

    @contextlib.contextmanager
    def _told_after(self) -> Iterator[None]:
        """Tell a choice when the event that makes it is over."""
        self._in_event = True
        try:
            yield
        finally:
            self._in_event = False
        if self._choice_waits:
            self._choice_waits = False
            self._tell_choice()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        with self._told_after():
            super().mouseReleaseEvent(event)
        if not self._wants_connection:
            self.plan.end_move(dragged=self._dragging)

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.zoom(1.15 if event.angleDelta().y() > 0 else 1 / 1.15)

    def zoom(self, factor: float) -> None:
        """Come nearer (above 1) or go away."""
        now = self.transform().m11()
        if 0.1 < now * factor < 8.0:
            self._fitted = False
            self._show_bars(True)
            self.scale(factor, factor)

    def fit(self) -> None:
        """Show all parts, never larger than 1.4 times; people too unless they stand far off."""
        self._fitted = True
        self._show_bars(False)
        shown = self.plan
        bare = shown.installation_rect().isEmpty() and not shown.people_rects()
        if bare and shown.picture_rect().isEmpty():
            return
        if self.plan.mode == "schematic":
            rect = self._fit_schematic()
            factor = self._factor_for(rect)
        else:
            rect, factor = self._fit_site_plan(), 1.0
        self.resetTransform()
        self.scale(factor, factor)
        self.centerOn(rect.center())

    def _fit_schematic(self) -> QRectF:
        """Larger letters for large drawings, as far as that makes them easier to read."""
        size_of_all = (self.viewport().width(), self.viewport().height(), text_size())
        known = self.plan.letters_for.get(size_of_all)
        if known is not None:  # a choice often only gives the pane back a size that it had
            self.plan.set_letters(known)
            return self.plan.installation_rect()
        best, largest = 0.0, 0.0
        for size in self.plan.letter_sizes():
            self.plan.set_letters(size)
            shown = size * self._factor_for(self.plan.installation_rect())
            if shown > 1.05 * largest:
                best, largest = size, shown
            if shown >= READABLE * text_size() / 100.0:
                break
        self.plan.set_letters(best)
        self.plan.letters_for[size_of_all] = best
        return self.plan.installation_rect()

    def _fit_site_plan(self) -> QRectF:
        """The parts, and of people and fires those that do not make them too small."""
        parts, about = self.plan.site_bounds()
        least = NEAR * self._metre_for(parts)
        area = parts
        for place in sorted(about, key=lambda one: -self._metre_for(parts.united(one))):
            if self._metre_for(area.united(place)) >= least:
                area = area.united(place)
        if self.pointing.is_on:
            area = area.united(self.plan.picture_metres())
        scale = self._metre_for(area)
        middle = area.center() * scale
        size = QSizeF(self.viewport().size())
        shown = QRectF(QPointF(0, 0), size)
        shown.moveCenter(middle + QPointF(0, 0.5 * FOOT))
        written = shown.adjusted(EDGE, EDGE, -EDGE, -EDGE - SCALE_HIGH)
        self.plan.set_pixels_per_metre(scale, text_size() / 100.0 * SITE_LETTERS, written)
        return shown

    def _metre_for(self, area: QRectF) -> float:
        """Pixels a metre at which an area [m] fits, with room for names and the scale."""
        size = self.viewport().size()
        wide = max(size.width() - 2 * BESIDE, 40) / max(area.width(), 0.1)
        high = max(size.height() - BESIDE - FOOT, 40) / max(area.height(), 0.1)
        return min(wide, high, MOST_METRE)

    def _factor_for(self, rect: QRectF) -> float:
        size = self.viewport().size()
        return min(size.width() / rect.width(), size.height() / rect.height(), LARGEST)

    def _show_bars(self, shown: bool) -> None:
        policy = (
            Qt.ScrollBarPolicy.ScrollBarAsNeeded if shown else Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        )
        self.setHorizontalScrollBarPolicy(policy)
        self.setVerticalScrollBarPolicy(policy)

    def refit(self) -> None:
        """Fit again unless the person has zoomed."""
        if self._fitted:
            self.fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.refit()

    # -- keys --------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key == Qt.Key.Key_Escape and self._wants_connection:
            self._end_connecting()
        elif self._wants_connection and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            names = self.chosen_names()
            if names and isinstance(self.plan.items_by_name[names[-1]], Node):
                self._take_end(names[-1])
        elif key in ARROWS and event.modifiers() & Qt.KeyboardModifier.AltModifier:
            self._nudge(QPointF(*ARROWS[key]))
        elif key in ARROWS:
            self._go(QPointF(*ARROWS[key]))
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(1.25)
        elif key == Qt.Key.Key_Minus:
            self.zoom(0.8)
        elif key in (Qt.Key.Key_0, Qt.Key.Key_Home):
            self.fit()
        elif event.text().isalpha() and not self._wants_connection:
            self.typed.emit(event.text())
        else:
            super().keyPressEvent(event)
            return
        event.accept()

    def _nudge(self, direction: QPointF) -> None:
        """Move the chosen parts by a step of the schematic, or a quarter of a metre."""
        schematic = self.plan.mode == "schematic"
        step = PITCH if schematic else 0.25 * self.plan.pixels_per_metre
        self.plan.begin_move()
        for name in self.chosen_names():
            item = self.plan.items_by_name[name]
            if isinstance(item, Node):
                item.setPos(item.pos() + direction * step)
        self.plan.end_move()

    def _go(self, direction: QPointF) -> None:
        """Choose the nearest item in a direction; the first item when none is chosen."""
        names = self.chosen_names()
        items = list(self.plan.items_by_name.values())
        if not items:
            return
        if not names:
            self._choose_and_tell(items[0].name)
            return
        here = _middle(self.plan.items_by_name[names[-1]])
        best, best_cost = None, float("inf")
        for item in items:
            step = _middle(item) - here
            along = QPointF.dotProduct(step, direction)
            across = abs(step.x() * direction.y()) + abs(step.y() * direction.x())
            if along > 1 and along + 2.2 * across < best_cost:
                best, best_cost = item.name, along + 2.2 * across
        if best is not None:
            self._choose_and_tell(best)

    def _choose_and_tell(self, name: str) -> None:
        if self._wants_connection:
            self._would_join(name)
        self.choose(name)
        self.chosen.emit(name)


def _middle(item: Drawn) -> QPointF:
    if isinstance(item, LineItem):
        return item.at_distance(item.length() / 2)[0]
    if isinstance(item, RingItem):
        return item.pos() - QPointF(0.0, item.radius)
    return item.pos()
