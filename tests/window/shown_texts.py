"""Every text that a window shows, hidden pages and tips included."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QAbstractItemModel, QAbstractListModel, QModelIndex, Qt
from PySide6.QtGui import QAction, QTextDocument
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QComboBox,
    QGroupBox,
    QLabel,
    QLineEdit,
    QTabBar,
    QTextBrowser,
    QWidget,
)


def texts_of(window: QWidget) -> Iterator[tuple[str, str]]:
    """The kind of each widget and a text that it shows."""
    for widget in (window, *window.findChildren(QWidget)):
        kind = f"{type(widget).__name__} {widget.objectName()}".strip()
        for text in (widget.toolTip(), widget.statusTip(), widget.accessibleName()):
            yield kind, _plain(text)
        for text in _own(widget):
            yield kind, _plain(text)
    for action in window.findChildren(QAction):
        yield "action", action.text()
        yield "action", action.statusTip()


def _own(widget: QWidget) -> Iterator[str]:
    if isinstance(widget, (QLabel, QAbstractButton)):
        yield widget.text()
    elif isinstance(widget, QGroupBox):
        yield widget.title()
    elif isinstance(widget, QTabBar):
        yield from (widget.tabText(n) for n in range(widget.count()))
    elif isinstance(widget, QComboBox):
        yield from (widget.itemText(n) for n in range(widget.count()))
    elif isinstance(widget, QLineEdit):
        yield widget.placeholderText()
    elif isinstance(widget, QTextBrowser):
        yield widget.toPlainText()
    elif isinstance(widget, QAbstractItemView) and widget.model() is not None:
        yield from _cells(widget.model(), QModelIndex())


def _cells(model: QAbstractItemModel, above: QModelIndex) -> Iterator[str]:
    if isinstance(model, QAbstractListModel):  # one column, and nothing below its rows
        found = (model.index(row, 0).data() for row in range(model.rowCount()))
        yield from (text for text in found if isinstance(text, str))
        return
    for column in range(model.columnCount(above)):
        head = model.headerData(column, Qt.Orientation.Horizontal)
        if isinstance(head, str):
            yield head
    for row in range(model.rowCount(above)):
        for column in range(model.columnCount(above)):
            index = model.index(row, column, above)
            for role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
                found = index.data(role)
                if isinstance(found, str):
                    yield found
        yield from _cells(model, model.index(row, 0, above))


def _plain(text: str) -> str:
    if "<" not in text:
        return text
    page = QTextDocument()
    page.setHtml(text)
    return page.toPlainText()
