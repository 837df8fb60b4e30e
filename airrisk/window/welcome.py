"""The first page: start a first vessel, open a file, a recent one or a sample system."""

from __future__ import annotations

import re
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from airrisk.installation.characters import visible_line
from airrisk.tables import sample_names, sample_path
from airrisk.window.cards import Card, CardWidget
from airrisk.window.first_vessel import FirstVessel
from airrisk.window.places import recent_files
from airrisk.wording.translation import tr


def sample_story(path: Path) -> tuple[str, str]:
    """Title of a sample and what it shows, from its leading comment."""
    lines = path.read_text(encoding="utf-8").splitlines()
    comment = []
    for line in lines:
        if not line.startswith("#"):
            break
        comment.append(line.removeprefix("#").strip())
    title = comment[0] if comment else path.stem
    story = " ".join(comment[1:]).strip().removeprefix("Shows:").strip()
    first = re.split(r"(?<=[.!?]) (?=[A-Z])", story)
    return title, (first[0][:1].upper() + first[0][1:]) if story else ""


class Welcome(QWidget):
    """New, open, recent, samples, and the guided first vessel."""

    new_asked = Signal()
    open_asked = Signal()
    file_chosen = Signal(str)
    sample_chosen = Signal(str)
    vessel_made = Signal(str)  # text of a new file

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        page = QWidget()
        page.setMaximumWidth(1100)
        grid = QGridLayout(page)
        grid.setContentsMargins(32, 24, 32, 24)
        grid.setHorizontalSpacing(40)
        grid.setVerticalSpacing(12)
        title, purpose, caution = self._texts()
        grid.addWidget(title, 0, 0, 1, 2)
        grid.addWidget(purpose, 1, 0, 1, 2)
        grid.addLayout(self._own_files(), 2, 0)
        grid.addLayout(self._sample_systems(), 2, 1)
        grid.addWidget(caution, 3, 0, 1, 2)
        grid.setColumnStretch(0, 1)
        grid.setColumnStretch(1, 1)
        grid.setRowStretch(2, 1)
        self._put_in_middle(page)
        self._fill_samples()
        self.refresh_recent()

    @staticmethod
    def _texts() -> tuple[QLabel, QLabel, QLabel]:
        """Name, purpose and caution."""
        title = QLabel("airrisk")
        font = title.font()
        font.setPointSizeF(font.pointSizeF() * 2.2)
        font.setBold(True)
        title.setFont(font)
        purpose = QLabel(
            tr(
                "Compressed air that is shut in and heated by a fire: which device lets it out, "
                "when does the metal give way, and who stands within reach?"
            )
        )
        purpose.setWordWrap(True)
        caution = QLabel(
            tr(
                "A screening tool, not a certification: local codes and the judgement of a "
                "licensed engineer come first."
            )
        )
        caution.setWordWrap(True)
        caution.setProperty("tone", "quiet")
        return title, purpose, caution

    def _own_files(self) -> QVBoxLayout:
        """The guided first vessel, opening and the files opened lately."""
        self.first_vessel = FirstVessel()
        self.first_vessel.made.connect(self.vessel_made)
        self.open_button = QPushButton(tr("&Open a file…"))
        self.open_button.clicked.connect(self.open_asked)
        self.new_button = QPushButton(tr("Start with an e&mpty file"))
        self.new_button.clicked.connect(self.new_asked)
        buttons = QHBoxLayout()
        buttons.addWidget(self.open_button)
        buttons.addWidget(self.new_button)
        buttons.addStretch(1)
        self._recent = QVBoxLayout()
        self._recent_cards: list[CardWidget] = []
        self._no_recent = QLabel(tr("No file opened yet; you can also drag one into this window."))
        self._no_recent.setProperty("tone", "quiet")
        self._no_recent.setWordWrap(True)
        self._no_recent.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._no_recent.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self._recent.addWidget(self._no_recent)
        self._recent.setSpacing(6)
        left = QVBoxLayout()
        left.setSpacing(10)
        left.addWidget(self._heading(tr("Your first vessel")))
        left.addWidget(self.first_vessel)
        left.addWidget(self._heading(tr("Your files")))
        left.addLayout(buttons)
        left.addLayout(self._recent)
        left.addStretch(1)
        return left

    def _sample_systems(self) -> QVBoxLayout:
        """A card for each sample system."""
        self._samples = QVBoxLayout()
        self._samples.setSpacing(6)
        right = QVBoxLayout()
        right.setSpacing(10)
        right.addWidget(self._heading(tr("Sample systems")))
        right.addLayout(self._samples)
        right.addStretch(1)
        return right

    def _put_in_middle(self, page: QWidget) -> None:
        """The page in the middle of a wide window, scrolled in a low one."""
        holder = QWidget()
        centre = QHBoxLayout(holder)
        centre.setContentsMargins(0, 0, 0, 0)
        centre.addStretch(1)
        centre.addWidget(page, 20)
        centre.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setWidget(holder)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(scroll)

    @staticmethod
    def _heading(text: str) -> QLabel:
        label = QLabel(text)
        label.setProperty("tone", "title")
        return label

    def _fill_samples(self) -> None:
        for name in sample_names():
            path = sample_path(name)
            title, story = sample_story(path)
            card = CardWidget(Card(str(path), title, "", story), old=False)
            card.chosen.connect(self.sample_chosen)
            self._samples.addWidget(card)

    def refresh_recent(self) -> None:
        """List the files opened lately."""
        files = recent_files()
        while len(self._recent_cards) < len(files):
            widget = CardWidget(Card("", ""), old=False)
            widget.chosen.connect(self.file_chosen)
            self._recent.addWidget(widget)
            self._recent_cards.append(widget)
        for number, widget in enumerate(self._recent_cards):
            widget.setVisible(number < len(files))
            if number < len(files):
                path = files[number]
                name, folder = visible_line(path.name), visible_line(str(path.parent))
                widget.show_card(Card(str(path), name, "", "", folder), old=False)
        self._no_recent.setVisible(not files)
