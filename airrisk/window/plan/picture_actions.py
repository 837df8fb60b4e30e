"""What a person does with the picture under the site plan: choose, scale, move, take away."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QMenu,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from airrisk import quantities
from airrisk.editing.plan_picture import name_of
from airrisk.installation.model import Point
from airrisk.messages import told_of
from airrisk.window.plan.picture import (
    KINDS,
    PictureError,
    PlanPicture,
    picture_of,
    read_picture,
)
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.plan.view import PlanView
    from airrisk.window.session import Session

NEAREST = 5.0  # px on the screen between two points that can be told apart
PLACES = 3  # decimals of a metre that are written


class DistanceDialog(QDialog):
    """Asks how far two points are apart."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.metres = 0.0
        self.setWindowTitle(tr("Scale of the picture"))
        self.label = QLabel(tr("&Distance between the two points, with its unit"))
        self.line = QLineEdit()
        self.line.setPlaceholderText("12 m")
        self.line.setAccessibleName(tr("Distance between the two points"))
        self.label.setBuddy(self.line)
        self.error = QLabel()
        self.error.setWordWrap(True)
        self.error.setProperty("tone", "danger")
        self.error.hide()
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        self.buttons.accepted.connect(self.take)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        for widget in (self.label, self.line, self.error, self.buttons):
            layout.addWidget(widget)
        self.setMinimumWidth(360)

    def take(self) -> None:
        """Close with the typed distance, or say what is wrong with it."""
        try:
            metres = quantities.parse(self.line.text().strip(), "length")
        except quantities.QuantityError as error:
            self._refuse(tr(told_of(error)))
            return
        if not 0.01 <= metres <= 1e5:
            self._refuse(tr("The distance must be from 0.01 m to 100 km."))
            return
        self.metres = metres
        self.accept()

    def _refuse(self, reason: str) -> None:
        self.error.setText(reason)
        self.error.show()


class PictureActions(QObject):
    """The actions with their button; every one is a single step that can be undone."""

    told = Signal(str)  # why something is not done
    hint_changed = Signal()
    plan_asked = Signal()  # the site plan, on which the picture lies

    def __init__(self, session: Session, edits: PartEdits, view: PlanView) -> None:
        super().__init__(view)
        self._session, self._edits, self._view = session, edits, view
        self.picture: PlanPicture | None = None
        self.asking = ""  # what the next click is for
        self.button = QToolButton()
        self.button.setText(tr("Picture"))
        self.button.setToolTip(tr("A drawing or photo from above, under the site plan"))
        self.button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.menu = QMenu(self.button)
        self.choose = self._add(tr("&Choose a picture…"), self.ask_for_picture)
        self.scale = self._add(tr("Set the &scale by two points"), self.start_scaling)
        self.shift = self._add(tr("&Move the picture by two points"), self.start_moving)
        self.remove = self._add(tr("&Take the picture away"), self.take_away)
        self.button.setMenu(self.menu)

    def _add(self, text: str, what: Any) -> QAction:
        action = QAction(text, self)
        action.triggered.connect(what)
        self.menu.addAction(action)
        return action

    @property
    def actions(self) -> tuple[QAction, ...]:
        """All of them, for the menus of the window."""
        return self.choose, self.scale, self.shift, self.remove

    def _folder(self) -> Path | None:
        document = self._session.document
        return None if document is None or document.path is None else document.path.parent

    def refresh(self) -> None:
        """Read the picture that the file names now."""
        installation = self._session.installation or self._session.drawn
        about = None if installation is None else installation.about
        self.picture = None if about is None else picture_of(about, self._folder())
        shown = self.picture is not None and self.picture.image is not None
        self.choose.setEnabled(installation is not None)
        self.remove.setEnabled(self.picture is not None)
        for action in (self.scale, self.shift):
            action.setEnabled(shown)
        if not shown:
            self._view.pointing.end()
        self._view.plan.set_picture(self.picture)

    @property
    def hint(self) -> str:
        """What a person must know of the picture now; empty: nothing."""
        if self.asking:
            return self.asking
        picture = self.picture
        if picture is None:
            return ""
        if picture.reason:
            return tr("{reason} The site plan is drawn without it.").format(reason=picture.reason)
        if not picture.has_scale:
            return tr("The picture has no scale yet: set it by two points (button Picture).")
        return ""

    # -- choosing ----------------------------------------------------------------

    def ask_for_picture(self) -> None:
        """Ask for the file of a picture and put it under the plan."""
        self.plan_asked.emit()
        name, _filter = QFileDialog.getOpenFileName(
            self._view,
            tr("Choose a picture of the site"),
            str(self._folder() or ""),
            tr("Pictures ({kinds})").format(kinds=KINDS),
        )
        if name:
            self.take(Path(name))

    def take(self, path: Path) -> bool:
        """Put a picture under the plan; False, and why, where it cannot be shown."""
        try:
            read_picture(path, 1)
        except PictureError as error:
            self.told.emit(tr("Not taken: {reason}").format(reason=error))
            return False
        fields = {
            "plan_picture": name_of(path, self._folder()), "plan_picture_page": None,
            "plan_picture_width": None, "plan_picture_at": None,
        }  # fmt: skip
        label = tr("picture {name} under the site plan").format(name=path.name)
        return self._edits.describe(label, fields)

    def take_away(self) -> None:
        """Show the site plan without a picture."""
        keys = ("plan_picture", "plan_picture_page", "plan_picture_width", "plan_picture_at")
        self._edits.describe(tr("take the picture away"), dict.fromkeys(keys))

    # -- two points --------------------------------------------------------------

    def start_scaling(self) -> None:
        """Ask for two points of the picture, then for their distance."""
        self._start(self._scaled, (
            tr("Scale: click a first point of the picture (Esc ends)"),
            tr("Scale: click a second point of the picture, far from the first (Esc ends)"),
        ))  # fmt: skip

    def start_moving(self) -> None:
        """Ask for a point of the picture, then for where it belongs."""
        self._start(self._moved, (
            tr("Move: click a point of the picture (Esc ends)"),
            tr("Move: click the place on the plan where that point belongs (Esc ends)"),
        ))  # fmt: skip

    def _start(self, taken: Any, hints: tuple[str, str]) -> None:
        if self.picture is None or self.picture.image is None:
            self.told.emit(tr("Choose a picture first."))
            return
        self.plan_asked.emit()

        def told(count: int) -> None:
            self.asking = hints[count] if count >= 0 else ""
            self.hint_changed.emit()
            if count != 1:  # nobody's zoom between the two points is undone
                self._view.fit()  # all of the picture is seen while points of it are asked for

        self._view.pointing.begin(taken, told)

    def _scaled(self, first: Point, last: Point, seen: float) -> None:
        if seen < NEAREST:
            self.told.emit(tr("The two points are the same: click two that lie far apart."))
            return
        dialog = DistanceDialog(self._view)
        accepted = dialog.exec() == QDialog.DialogCode.Accepted
        dialog.deleteLater()
        if accepted and self.picture is not None:
            width, corner = self.picture.scaled(first, last, dialog.metres)
            fields = {"plan_picture_width": f"{width:.6g} m", "plan_picture_at": _rounded(corner)}
            self._edits.describe(tr("scale of the picture"), fields)

    def _moved(self, first: Point, last: Point, _seen: float) -> None:
        if self.picture is not None:
            x, y = self.picture.at
            corner = (x + last[0] - first[0], y + last[1] - first[1])
            label = tr("move the picture under the site plan")
            self._edits.describe(label, {"plan_picture_at": _rounded(corner)})


def _rounded(place: Point) -> list[float]:
    return [round(place[0], PLACES), round(place[1], PLACES)]
