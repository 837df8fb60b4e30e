"""Builds the drawing from an installation and keeps it in step with it."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from typing import Literal

from PySide6.QtCore import QPointF, QRect, QRectF, Signal
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QGraphicsScene

from airrisk.installation.model import Cell, Installation
from airrisk.window.plan.items import STANDING_ABOUT, Drawn, Node
from airrisk.window.plan.lettering import name_width
from airrisk.window.plan.picture import PlanPicture
from airrisk.window.plan.picture_ground import PictureGround
from airrisk.window.plan.schematic_items import put, schematic_items
from airrisk.window.plan.site_answers import write_answers
from airrisk.window.plan.site_items import (
    Place,
    bounds,
    site_items,
    without_place,
    write_names,
)
from airrisk.window.theme import colours
from airrisk.wording import labels
from airrisk.wording.part_answers import PartAnswer, carriers, longest_texts, no_answer
from airrisk.wording.schematic.layout import lay_out, what_is_laid_out
from airrisk.wording.schematic.records import PITCH, Blocks, Schematic

TINTS_LIGHT = ("#CFE8F7", "#FBE3B5", "#D5F0E4", "#F3D9E8", "#E4E0F5", "#F7F3BF")
TINTS_DARK = ("#1F4B63", "#5E4A17", "#1F5443", "#5A3349", "#3D3763", "#54501F")
LETTERS = (12.0, 15.0, 18.0, 22.0)  # px, sizes of names in the schematic
LARGE = 150  # symbols: a schematic of more is laid out once, and again when a drag has ended
MOVED = 2.0  # px: less is no drag

Mode = Literal["schematic", "site plan"]


def tints() -> tuple[str, ...]:
    """Grounds that tell sections apart in the theme in use."""
    return TINTS_DARK if colours().dark else TINTS_LIGHT


class PlanScene(QGraphicsScene):
    """The schematic, or the site plan, as items; positions in pixels, y down."""

    drawn_elsewhere = Signal(object)  # {id: (column, row)} when a drag in the schematic ended
    stands_elsewhere = Signal(object)  # {id: (x m, y m)} when a drag on the site plan ended

    def __init__(self) -> None:
        super().__init__()
        self.items_by_name: dict[str, Drawn] = {}
        self.mode: Mode = "schematic"
        self.forced: tuple[str, ...] = ()  # lines that find no free way
        self.missing: tuple[str, ...] = ()  # what has no place on the site plan
        self.letters_for: dict[tuple[int, int, int], float] = {}  # by size of pane and of text
        self.pixels_per_metre = 50.0
        self._ground = PictureGround()
        self._site_view: QRectF | None = None  # what is seen of the site plan when it is fitted
        self._flames: Mapping[str, float] = {}
        self._installation: Installation | None = None
        self._layouts: dict[float, Schematic] = {}  # by size of letters
        self._laid_out_for: Hashable = None
        self._letters = LETTERS[0]
        self._no_credit: Mapping[str, str] = {}
        self._tints: dict[str, str] = {}
        self._burning: frozenset[str] = frozenset()
        self._worst: dict[str, str] = {}
        self._answers: Mapping[str, PartAnswer] = {}
        self._deciding: frozenset[str] = frozenset()  # parts that the last answer hung on
        self._building = False
        self._start: dict[str, QPointF] = {}

    # -- building ----------------------------------------------------------------

    def show_installation(
        self,
        installation: Installation | None,
        flames: Mapping[str, float] | None = None,
        no_credit: Mapping[str, str] | None = None,
    ) -> None:
        """Draw this installation; choices of items are kept by name.

        ``flames`` tells how far the flames of a source reach on the ground [m], ``no_credit`` why
        nobody may count on a device; without it this stays as it was.
        """
        chosen = [item.name for item in self.selectedItems() if isinstance(item, Drawn)]
        self._building = True
        self.blockSignals(True)  # clearing must not look like a person's choice
        self.items_by_name.clear()
        self.clear()
        self._installation = installation
        self._flames = flames or {}
        self._no_credit = self._no_credit if no_credit is None else no_credit
        self._forget_layouts()
        self.forced = self.missing = ()
        if installation is not None:
            self._build(installation)
        for name in chosen:
            if name in self.items_by_name:
                self.items_by_name[name].setSelected(True)
        self._write_answers()
        self._show_marks()
        self._building = False
        self.blockSignals(False)
        self._set_rect()

    def _forget_layouts(self) -> bool:
        """Forget layouts of something else; whether there was a need to."""
        self.letters_for.clear()
        shown = self._installation
        key = None if shown is None else (what_is_laid_out(shown), carriers(shown, self._deciding))
        if key == self._laid_out_for:
            return False
        self._laid_out_for = key
        self._layouts.clear()
        return True

    def set_mode(self, mode: Mode) -> None:
        """Show the schematic or the site plan."""
        if mode != self.mode:
            self.mode = mode
            self.show_installation(self._installation, self._flames)

    def _set_rect(self) -> None:
        rect = self.itemsBoundingRect().united(self.picture_rect()).adjusted(-60, -50, 60, 50)
        if self.mode == "site plan" and self._site_view is not None:
            rect = rect.united(self._site_view.adjusted(-60, -50, 60, 50))  # may be centred there
        self.setSceneRect(rect)

    def set_picture(self, picture: PlanPicture | None) -> None:
        """Lay a picture under the site plan, or none."""
        if picture != self._ground.picture:
            self._ground.picture = picture
            self._set_rect()
            self.update()

    def picture_rect(self) -> QRectF:
        """Where the picture lies on the site plan, px; empty: none is shown."""
        if self.mode != "site plan":
            return QRectF()
        return self._ground.pixels(self.pixels_per_metre)

    def picture_metres(self) -> QRectF:
        """The same in metres, south positive."""
        return self._ground.metres

    def _build(self, installation: Installation) -> None:
        if self.mode == "schematic":
            for item in schematic_items(installation, self._no_credit):
                self._add(item)
            self._arrange()
            return
        for item in site_items(installation, self.pixels_per_metre, self._flames):
            self._add(item)
        write_names(self.items_by_name.values(), self._letters)
        self.missing = without_place(installation)

    def _add(self, item: Drawn) -> None:
        self.items_by_name[item.name] = item
        self.addItem(item)
        if isinstance(item, Node):
            item.moved = self._node_moved

    # -- the schematic -----------------------------------------------------------

    def _layout(self) -> Schematic | None:
        """The layout for the present size of letters."""
        if self._installation is None:
            return None
        found = self._layouts.get(self._letters)
        if found is None:
            found = self._layouts[self._letters] = self._laid_out(self._installation)
        return found

    def _blocks(self, installation: Installation) -> Blocks:
        return Blocks(carriers(installation, self._deciding), longest_texts(installation))

    def _laid_out(
        self, installation: Installation, cells: Mapping[str, Cell] | None = None
    ) -> Schematic:
        """The layout with some parts at other steps than the file says."""
        letters = self._letters

        def measure(name: str) -> float:
            return name_width(name, letters)

        return lay_out(installation, letters, measure, cells, blocks=self._blocks(installation))

    def _arrange(self) -> None:
        layout = self._layout()
        if layout is not None:
            self._put(layout, None)
            self.forced = layout.forced

    def _put(self, layout: Schematic, held: Node | None) -> None:
        """Move all items to their places, but for the one that is held."""
        building, self._building = self._building, True
        for item in self.items_by_name.values():
            item.setVisible(put(item, layout, self._letters, item is held))
        self._building = building

    def letter_sizes(self) -> tuple[float, ...]:
        """Sizes of names to try, so that they can be read."""
        layout = self._layout()
        large = layout is not None and len(layout.symbols) > LARGE
        return LETTERS[:1] if large else LETTERS

    def set_letters(self, pixels: float) -> None:
        """Make all names this tall."""
        if pixels == self._letters:
            return
        self._letters = pixels
        self._arrange()
        self._set_rect()

    # -- moving ------------------------------------------------------------------

    def _node_moved(self, node: Node) -> None:
        """While one symbol is dragged in the schematic, everything else makes room."""
        if self._building or self.mode != "schematic" or self._installation is None:
            return
        held = [item for item in self.selectedItems() if isinstance(item, Node)]
        if held == [node] and len(self.items_by_name) <= LARGE and node.name in self._start:
            cells = self._cells([node.name])
            if cells:
                self._put(self._laid_out(self._installation, cells), node)

    def begin_move(self) -> None:
        """Remember where everything stands before a drag."""
        self._start = {
            item.name: QPointF(item.pos())
            for item in self.items_by_name.values()
            if isinstance(item, Node)
        }

    def end_move(self, *, dragged: bool = True) -> None:
        """Tell which parts stand elsewhere after a drag.

        ``dragged`` is false where the pointer stayed: what moved was drawn anew meanwhile.
        """
        held = {item.name for item in self.selectedItems() if isinstance(item, Node)}
        moved = [
            name
            for name, start in self._start.items()
            if dragged
            and name in held
            and (self.items_by_name[name].pos() - start).manhattanLength() > MOVED
        ]
        if self.mode == "schematic":
            cells = self._cells(moved)
            self._start = {}
            if moved:
                self._arrange()
            if cells:
                self.drawn_elsewhere.emit(cells)
            return
        places = {name: self.to_metres(self.items_by_name[name].pos()) for name in moved}
        self._start = {}
        if places:
            self.stands_elsewhere.emit(places)

    def _cells(self, names: Iterable[str]) -> dict[str, Cell]:
        """The steps at which dragged symbols stand now, where they differ from before."""
        layout = self._layout()
        found: dict[str, Cell] = {}
        for name in names:
            if layout is None or name not in layout.cells:
                continue
            x, y = layout.cells[name]
            step = self.items_by_name[name].pos() - self._start[name]
            cell = (x + round(step.x() / PITCH), y + round(step.y() / PITCH))
            if cell != (x, y):
                found[name] = cell
        return found

    def to_metres(self, point: QPointF) -> Place:
        """A point of the site plan as metres east and north, rounded to a centimetre."""
        return (
            round(point.x() / self.pixels_per_metre, 2),
            round(-point.y() / self.pixels_per_metre, 2),
        )

    # -- what there is -----------------------------------------------------------

    def installation_rect(self) -> QRectF:
        """The rectangle of the parts; people may stand far away from it."""
        rect = QRectF()
        for item in self.items_by_name.values():
            if item.kind not in STANDING_ABOUT and item.isVisible():
                rect = rect.united(item.sceneBoundingRect())
        return rect.adjusted(-8, -8, 8, 8) if not rect.isEmpty() else rect

    def site_bounds(self) -> tuple[QRectF, list[QRectF]]:
        """Where the parts stand on the site plan, and each of the others [m, south positive]."""
        if self._installation is None:
            return QRectF(), []
        parts, about = bounds(self._installation)
        rects = [QRectF(x - 0.5, -y - 0.5, 1.0, 1.0) for x, y in about]
        if not self.picture_metres().isEmpty():
            rects.append(self.picture_metres())
        if not parts:
            return (rects[0] if rects else QRectF(0, 0, 1, 1)), rects
        xs, ys = [x for x, _ in parts], [-y for _, y in parts]
        area = QRectF(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))
        return area.adjusted(-0.5, -0.5, 0.5, 0.5), rects

    def set_pixels_per_metre(self, pixels: float, letters: float, view: QRectF) -> None:
        """Draw the site plan at another scale, of which ``view`` will be seen."""
        if (pixels, letters, view) != (self.pixels_per_metre, self._letters, self._site_view):
            self.pixels_per_metre, self._letters, self._site_view = pixels, letters, view
            self.show_installation(self._installation, self._flames)

    def people_rects(self) -> list[QRectF]:
        """The rectangles of the people and of what can burn on the plan."""
        items = (one for one in self.items_by_name.values() if one.kind in STANDING_ABOUT)
        return [item.sceneBoundingRect().adjusted(-8, -8, 8, 8) for item in items]

    # -- marks from answers ------------------------------------------------------

    def tint_groups(self, groups: Iterable[Iterable[str]]) -> None:
        """Give each group of parts its own ground; everything else loses it."""
        palette = tints()
        self._tints = {
            name: palette[number % len(palette)]
            for number, group in enumerate(groups)
            for name in group
        }
        self._show_marks()

    def mark_fire(self, names: Iterable[str]) -> None:
        """Show which parts a fire reaches."""
        self._burning = frozenset(names)
        self._show_marks()

    def mark_findings(self, worst: Mapping[str, str]) -> None:
        """Put the shape of the worst finding beside each part: id -> severity."""
        self._worst = dict(worst)
        self._show_marks()

    def show_answers(self, answers: Mapping[str, PartAnswer], deciding: Iterable[str]) -> bool:
        """Write the answers of parts into their blocks; whether the drawing had to make room.

        ``deciding`` are the parts that carry one although they are no vessel.
        """
        self._answers, self._deciding = answers, frozenset(deciding)
        moved = self._forget_layouts()
        if moved and self.mode == "schematic":
            self._arrange()
            self._set_rect()
        elif moved:
            self.show_installation(self._installation, self._flames)
        else:
            self._write_answers()
        self._show_marks()
        return moved

    def _write_answers(self) -> None:
        """Find a place on the site plan for each answer."""
        if self.mode == "site plan" and self._installation is not None:
            carrying = carriers(self._installation, self._deciding)
            answers = {name: self._answers.get(name, no_answer()) for name in carrying}
            write_answers(self.items_by_name, answers, self._letters, self._site_view)

    def _show_marks(self) -> None:
        for name, item in self.items_by_name.items():
            severity = self._worst.get(name)
            item.badge = "" if severity is None else labels.severity_shape(severity)
            item.badge_colour = "" if severity is None else colours().of_severity(severity)
            item.tint = self._tints.get(name)
            item.burning = name in self._burning
            item.answer = self._answers.get(name, no_answer())
            carried = f"\n{item.answer.spoken}" if not item.block.isEmpty() else ""
            item.setToolTip(f"{item.spoken}{carried}")
            item.update()

    def show_flames(self, flames: Mapping[str, float]) -> None:
        """Draw the sources with flames that reach so far [m]."""
        if self.mode == "site plan" and dict(flames) != dict(self._flames):
            self.show_installation(self._installation, flames)

    def drawBackground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        painter.fillRect(rect, QColor(colours().surface))
        if self.mode == "site plan":
            self._ground.paint(painter, self.pixels_per_metre)
