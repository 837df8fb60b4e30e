"""The picture under the site plan as it is painted: pale, and as large as it is seen."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage, QPainter, QPixmap

from airrisk.window.plan.picture import PlanPicture
from airrisk.window.theme import colours

UNDER, IN_THE_DARK = 0.6, 0.35  # of the ink of the picture


class PictureGround:
    """Keeps the picture in the size in which it was painted last."""

    def __init__(self) -> None:
        self.picture: PlanPicture | None = None
        self._seen: tuple[tuple[int, int], QPixmap] = ((0, 0), QPixmap())

    @property
    def metres(self) -> QRectF:
        """Where it lies, m, south positive; empty: none is shown."""
        picture = self.picture
        return QRectF() if picture is None or picture.image is None else picture.rect

    def pixels(self, scale: float) -> QRectF:
        """The same at so many pixels a metre."""
        return QRectF(self.metres.topLeft() * scale, self.metres.size() * scale)

    def paint(self, painter: QPainter, scale: float) -> None:
        """Draw it into the site plan."""
        if self.picture is None or self.picture.image is None:
            return
        room = self.pixels(scale)
        painter.save()
        painter.setOpacity(IN_THE_DARK if colours().dark else UNDER)
        wide = round(room.width() * painter.transform().m11())
        shown = self._as_large_as_seen(self.picture.image, wide)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawPixmap(room, shown, QRectF(shown.rect()))
        painter.restore()

    def _as_large_as_seen(self, image: QImage, wide: int) -> QPixmap:
        """The picture so many pixels wide, or as it is where that is less; kept for the next."""
        key = (image.cacheKey(), min(max(wide, 1), image.width()))
        if self._seen[0] != key:
            smooth = Qt.TransformationMode.SmoothTransformation
            smaller = image.scaledToWidth(key[1], smooth) if key[1] < image.width() else image
            self._seen = key, QPixmap.fromImage(smaller)
        return self._seen[1]
