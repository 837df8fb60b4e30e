"""The full views of the window and the bar that switches between them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol, runtime_checkable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QPushButton, QWidget

from airrisk.messages import Texts
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.stage import Stage


@runtime_checkable
class BeginsAt(Protocol):
    """A view whose work does not begin at the first of its widgets."""

    def keyboard_begin(self) -> QWidget | None:
        """The widget that the keyboard goes to."""


def first_in(page: QWidget) -> QWidget | None:
    """The first widget of a page that the tab key can reach."""
    place = page.nextInFocusChain()
    while place is not None and place is not page and page.isAncestorOf(place):
        takes = place.focusPolicy() & Qt.FocusPolicy.TabFocus
        if takes and place.isVisibleTo(page) and place.isEnabled():
            return place
        place = place.nextInFocusChain()
    return None


@dataclass(frozen=True)
class View:
    """One full view: its name, what it is for, how it is made."""

    name: str
    tip: str
    make: Callable[[Stage], QWidget]


def _work(stage: Stage) -> QWidget:
    return stage.work


def _round(stage: Stage) -> QWidget:
    from airrisk.window.round_view import RoundView

    view = RoundView(stage.session)
    view.message.connect(stage.status.say)
    view.part_asked.connect(stage.go_to_part)
    view.source_asked.connect(stage.go_to_source)
    return view


def _cures(stage: Stage) -> QWidget:
    from airrisk.window.cures_view import CuresView

    view = CuresView(stage.session, stage.edits)
    view.message.connect(stage.status.say)
    view.try_asked.connect(stage.try_cure)
    view.part_asked.connect(stage.go_to_part)
    return view


def _reach(stage: Stage) -> QWidget:
    from airrisk.window.reach.view import ReachView

    view = ReachView(stage.session)
    view.message.connect(stage.status.say)
    return view


def _tryout(stage: Stage) -> QWidget:
    from airrisk.window.tryout.view import TryOutView

    view = TryOutView(stage.session)
    view.message.connect(stage.status.say)
    view.side.confirm_asked.connect(stage.go_to_offered)
    view.apply_asked.connect(stage.apply_cure)
    view.left.connect(stage.turn_to)
    return view


def _doubt(stage: Stage) -> QWidget:
    from airrisk.window.doubt.view import DoubtView

    view = DoubtView(stage.session)
    view.message.connect(stage.status.say)
    return view


def _paper(stage: Stage) -> QWidget:
    from airrisk.window.paper.view import PaperView

    view = PaperView(stage.session)
    view.message.connect(stage.status.say)
    view.field_asked.connect(stage.go_to_field)
    return view


def _text(stage: Stage) -> QWidget:
    from airrisk.window.text_page import TextPage

    return TextPage(stage.session)


VIEWS: Texts[dict[str, View]] = {
    "work": View("Layout", "Drawing, answers and data", _work),
    "round": View("Inspection round", "The auditor's walk in flow order, and upkeep", _round),
    "reach": View("Consequences", "Distances and people if a vessel lets go", _reach),
    "tryout": View("Explore", "Turn values on a scratch copy and watch", _tryout),
    "doubt": View("Uncertainty", "Does the verdict hold if the inputs are not as stated?", _doubt),
    "paper": View("Report", "The report: values still assumed, preview, saving", _paper),
    "text": View("System file", "The file itself, with its mistakes marked", _text),
    "cures": View("Cures", "Causes by rank, and plans that make it safe", _cures),
}


class ViewBar(QWidget):
    """One button a view; Ctrl+1, Ctrl+2, ... choose them too."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("ground", "raised")
        self._group = QButtonGroup(self)
        self._keys: list[str] = []
        layout = QHBoxLayout(self)
        layout.setContentsMargins(6, 0, 6, 0)
        layout.setSpacing(0)
        for number, (key, view) in enumerate(VIEWS.items()):
            button = QPushButton(tr(view.name))
            button.setCheckable(True)
            button.setProperty("view", True)
            button.setToolTip(f"{tr(view.tip)} (Ctrl+{number + 1})")
            button.setShortcut(f"Ctrl+{number + 1}")
            self._group.addButton(button, number)
            self._keys.append(key)
            layout.addWidget(button)
        layout.addStretch(1)
        self._group.idClicked.connect(self._clicked)

    def _clicked(self, number: Any) -> None:
        self.chosen.emit(self._keys[number])

    def mark(self, key: str) -> None:
        """Show which view is open."""
        self._group.button(self._keys.index(key)).setChecked(True)

    def button(self, key: str) -> QPushButton:
        """The button of a view."""
        found = self._group.button(self._keys.index(key))
        assert isinstance(found, QPushButton)
        return found
