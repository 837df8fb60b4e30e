"""A bar for long work: how far it is, and about how long it will still take."""

from __future__ import annotations

import time
from collections.abc import Callable

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QProgressBar, QSizePolicy, QWidget

from airrisk.wording.translation import tr
from airrisk.wording.units import time_text

FIRST_AFTER = 2.0  # s of work before anything is said of the time left
LEAST_SHARE = 0.02  # of the work, below which nothing can be said of it
MARGIN = 12  # px beside the text


class WorkProgress(QProgressBar):
    """Told the share that is done; says "40 %, about 30 s left" once that can be known."""

    def __init__(
        self,
        name: str,
        parent: QWidget | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(parent)
        self._clock = clock
        self._began = clock()
        self._share = 0.0
        self.setRange(0, 100)
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Room for the longest text of its kind, in the present size of text."""
        longest = tr("{share}, about {time} left").format(share="88 %", time=time_text(4800.0, 1))
        width = self.fontMetrics().horizontalAdvance(longest) + 2 * MARGIN
        return QSize(width, super().sizeHint().height())

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def begin(self) -> None:
        """Work begins now."""
        self._began, self._share = self._clock(), 0.0
        self._say()

    def tell(self, share: float, instead: str = "") -> None:
        """A share of the work from 0 to 1 is done; it never goes back while it runs.

        ``instead``: what is said where nobody knows how much work there will be.
        """
        self._share = min(max(share, self._share), 1.0)
        self._say(instead)

    @property
    def left(self) -> float | None:
        """Seconds until the end if the rest goes as fast as what is done; None: too early."""
        spent = self._clock() - self._began
        if spent < FIRST_AFTER or self._share < LEAST_SHARE:
            return None
        return spent * (1.0 - self._share) / self._share

    def _say(self, instead: str = "") -> None:
        self.setValue(round(100 * self._share))
        left = self.left
        if instead:
            text = instead.replace("%", "%%")
        elif left is None:
            text = "%p %"
        elif left < 1.0:
            text = tr("{share}, nearly done").format(share="%p %")
        else:
            text = tr("{share}, about {time} left").format(share="%p %", time=time_text(left, 1))
        self.setFormat(text)
        self.setAccessibleDescription(text.replace("%p", str(self.value())))
