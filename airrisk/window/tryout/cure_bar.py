"""The bar above Explore that names the cure that is tried, with Apply and Back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from airrisk.study.cure_changes import unwritten
from airrisk.wording.cure_plans import (
    change_sentence,
    changes_in_short,
    tried_sentences,
    unwritten_sentences,
)
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.cure_trial import CureTrial
    from airrisk.wording.units import Units


class CureBar(QFrame):
    """Hidden while no cure is tried."""

    apply_asked = Signal()
    back_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("ground", "raised")
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.words.setAccessibleName(tr("Cure that is tried"))
        self.apply = QPushButton(tr("Appl&y as offered"))
        self.apply.setToolTip(
            tr("Write the changes into the file as one step that can be undone; each value is "
               "offered until somebody confirms it")
        )  # fmt: skip
        self.apply.clicked.connect(self.apply_asked)
        self.back = QPushButton(tr("&Back"))
        self.back.setToolTip(tr("Forget the tried cure; the file was never changed"))
        self.back.clicked.connect(self.back_asked)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(6, 4, 6, 4)
        layout.addWidget(self.words, 1)
        layout.addWidget(self.apply, 0, Qt.AlignmentFlag.AlignTop)
        layout.addWidget(self.back, 0, Qt.AlignmentFlag.AlignTop)
        self.hide()

    def show_trial(self, trial: CureTrial | None, reached: bool, units: Units) -> None:
        """Name what is tried; ``reached``: whether the fire still reaches the shown part."""
        self.setVisible(trial is not None)
        if trial is None:
            return
        kinds = trial.answer.kinds
        left = unwritten(trial.changes)
        told = [
            tr("Cure tried: {changes}").format(
                changes=changes_in_short(trial.changes, kinds, units)
            ),
            *tried_sentences(trial.plan, trial.is_whole),
            *unwritten_sentences(left, kinds, units),
        ]
        if not reached:
            told.append(
                tr("With the change this fire does not reach {part}.").format(part=trial.part)
            )
        self.words.setText(" ".join(told))
        self.words.setToolTip(
            "\n".join(change_sentence(one, kinds, units) for one in trial.changes)
        )
        self.apply.setEnabled(len(left) < len(trial.changes))
