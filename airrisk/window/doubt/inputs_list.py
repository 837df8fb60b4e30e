"""The inputs of a fire with their spreads; each can be left out of the study."""

from __future__ import annotations

from PySide6.QtCore import (
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

from airrisk.installation.inputs import is_yes_or_no
from airrisk.window.doubt.jobs import Known, KnownInput
from airrisk.wording.translation import tr
from airrisk.wording.units import Units
from airrisk.wording.what_if_texts import distribution_text, input_name, input_text, source_text

PADDING = 3  # px between rows
KEY = Qt.ItemDataRole.UserRole
SAID = Qt.ItemDataRole.UserRole + 1


class _Wrapping(QStyledItemDelegate):
    """Gives a cell the height that its text takes at the width of its column."""

    def __init__(self, owner: InputsList) -> None:
        super().__init__(owner)
        self._list = owner

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        size = super().sizeHint(option, index)
        text = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        beside = self._list.beside_text(index)
        metrics = QFontMetrics(self._list.font())
        size.setWidth(metrics.horizontalAdvance(text) + beside + 1)
        room = self._list.columnWidth(index.column()) - beside
        if room > 0:
            wrapped = metrics.boundingRect(
                QRect(0, 0, room, 10_000), int(Qt.TextFlag.TextWordWrap), text
            )
            size.setHeight(max(size.height(), wrapped.height()) + PADDING)
        return size


class InputsList(QTreeWidget):
    """Ticked inputs are varied; those without a spread can only be swept."""

    changed = Signal()
    told = Signal(str)  # the chosen input in one sentence

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("Inputs and their spreads"))
        self.setHeaderLabels([tr("Input"), tr("As stated"), tr("Spread")])
        self.setRootIsDecorated(False)
        self.setWordWrap(True)
        self.setItemDelegate(_Wrapping(self))
        self.setAlternatingRowColors(True)
        self.setFrameShape(QTreeWidget.Shape.NoFrame)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        header = self.header()
        header.setStretchLastSection(True)
        header.setMinimumSectionSize(40)
        header.sectionResized.connect(
            self.scheduleDelayedItemsLayout, Qt.ConnectionType.QueuedConnection
        )
        self.itemChanged.connect(self._ticked)
        self.currentItemChanged.connect(self._tell)

    def show_inputs(self, known: Known | None, units: Units) -> None:
        """List the inputs; what was left out before stays left out."""
        left_out = set(self.left_out())
        self.blockSignals(True)
        self.clear()
        inputs = () if known is None else known.inputs
        for one in sorted(inputs, key=lambda item: item.varied is None):  # in doubt first
            self.addTopLevelItem(_row(one, units, one.key in left_out))
        if rows := self._rows():
            self.setCurrentItem(rows[0])
        self.blockSignals(False)
        self._tell(self.currentItem())
        self._divide()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._divide()

    def beside_text(self, index: QModelIndex | QPersistentModelIndex) -> int:
        """Pixels of a cell that its text cannot use: the box to tick and the margins."""
        style = self.style()
        margin = style.pixelMetric(QStyle.PixelMetric.PM_FocusFrameHMargin, None, self) + 1
        flags = index.flags()
        if index.column() == 0 and flags & Qt.ItemFlag.ItemIsUserCheckable:
            box = style.pixelMetric(QStyle.PixelMetric.PM_IndicatorWidth, None, self)
            return 4 * margin + box
        return 2 * margin

    def _full_width(self, column: int) -> int:
        """Pixels in which every text of a column stands on one line, seen or not."""
        wide = self.fontMetrics().horizontalAdvance
        needs = [
            wide(item.text(column)) + self.beside_text(self.indexFromItem(item, column)) + 1
            for item in self._rows()
        ]
        return max([*needs, self.header().sectionSizeHint(column)])

    def _divide(self) -> None:
        """Names and spreads share what the stated values leave, by what they need."""
        room = self.viewport().width()
        head = self.header()
        name, stated, spread = (self._full_width(n) for n in range(3))
        if name + stated + spread > room:
            stated = min(stated, round(0.28 * room))
            left = room - stated
            name = min(name, max(round(left * name / (name + spread)), round(0.36 * left)))
        head.resizeSection(0, name)
        head.resizeSection(1, stated)  # the last one takes the rest
        self.scheduleDelayedItemsLayout()

    def wanted_width(self) -> int:
        """Pixels in which every column stands in full."""
        margins = self.contentsMargins()
        bar = self.verticalScrollBar().sizeHint().width()
        return sum(self._full_width(n) for n in range(3)) + margins.left() + margins.right() + bar

    def _rows(self) -> list[QTreeWidgetItem]:
        items = (self.topLevelItem(number) for number in range(self.topLevelItemCount()))
        return [item for item in items if item is not None]

    def _with_spread(self) -> list[QTreeWidgetItem]:
        return [item for item in self._rows() if item.flags() & Qt.ItemFlag.ItemIsUserCheckable]

    def left_out(self) -> list[str]:
        """Keys of the inputs with a spread that are not to be varied."""
        return [
            str(item.data(0, KEY))
            for item in self._with_spread()
            if item.checkState(0) != Qt.CheckState.Checked
        ]

    def varied(self) -> tuple[str, ...]:
        """Keys to vary; empty when every one that has a spread is ticked."""
        items = self._with_spread()
        ticked = [item for item in items if item.checkState(0) == Qt.CheckState.Checked]
        if len(ticked) == len(items):
            return ()
        return tuple(str(item.data(0, KEY)) for item in ticked)

    def any_varied(self) -> bool:
        """Whether at least one input is ticked."""
        return any(item.checkState(0) == Qt.CheckState.Checked for item in self._with_spread())

    def _tell(self, item: QTreeWidgetItem | None, _before: object = None) -> None:
        self.told.emit("" if item is None else str(item.data(0, SAID)))

    def _ticked(self, _item: QTreeWidgetItem, column: int) -> None:
        if column == 0:
            self.changed.emit()


def _row(one: KnownInput, units: Units, left_out: bool) -> QTreeWidgetItem:
    works = is_yes_or_no(one.key)
    stated = (
        (tr("works") if one.present >= 0.5 else tr("does not work"))
        if works
        else input_text(one.present, one.kind, one.key, units)
    )
    spread = tr("none: only swept") if one.varied is None else distribution_text(one.varied, units)
    origin = "" if one.varied is None else source_text(one.varied)
    name = input_name(one.key)
    said = tr("{name}: {stated} as stated; spread {spread}").format(
        name=name, stated=stated, spread=spread
    )
    if origin:
        said = tr("{text}. Origin: {origin}").format(text=said, origin=origin)
    whole = spread.replace("/", "/\u2060")  # no unit is torn at its stroke
    item = QTreeWidgetItem([name, stated, whole])
    item.setData(0, KEY, one.key)
    item.setData(0, SAID, said)
    for column in range(3):
        item.setToolTip(column, said)
    if one.varied is None:
        item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
    else:
        item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
        ticked = Qt.CheckState.Unchecked if left_out else Qt.CheckState.Checked
        item.setCheckState(0, ticked)
    return item
