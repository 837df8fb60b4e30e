"""The picture under the site plan: read once, told when it cannot be, drawn to its scale."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from PySide6.QtCore import QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QImageReader, QPainter

from airrisk.editing.plan_picture import path_of
from airrisk.installation.characters import visible_line
from airrisk.installation.model import About, Point
from airrisk.wording.translation import tr
from airrisk.wording.units import number_text

MOST_BYTES = 40_000_000  # of a file
MOST_VECTOR_BYTES = 8_000_000  # of one that is drawn, not copied
MOST_PIXELS = 30_000_000  # more takes long to unpack and much memory
LARGEST = 3000  # px of the longer side that is kept
VECTOR = 2400  # px of the longer side that a drawing is made at
FIRST_WIDTH = 50.0  # m, until somebody sets the scale
KINDS = "*.png *.jpg *.jpeg *.svg *.pdf"


class PictureError(Exception):
    """A picture that cannot be shown, and why, in words for people."""


@dataclass(frozen=True)
class PlanPicture:
    """A picture with its place on the plan.

    Attributes
    ----------
    image
        None: it cannot be shown.
    reason
        Why not, in words; empty where it can.
    width
        Of the whole picture, m.
    at
        Its lower left corner, m east and north.
    has_scale
        Whether the file states the width.
    """

    image: QImage | None
    reason: str
    width: float
    at: Point
    has_scale: bool

    @property
    def height(self) -> float:
        """Of the whole picture, m."""
        if self.image is None or not self.image.width():
            return 0.0
        return self.width * self.image.height() / self.image.width()

    @property
    def rect(self) -> QRectF:
        """Where it lies, m, south positive."""
        return QRectF(self.at[0], -self.at[1] - self.height, self.width, self.height)

    def scaled(self, first: Point, last: Point, metres: float) -> tuple[float, Point]:
        """Width and corner with which two points of it are so far apart; the first stays.

        The points are places on the plan as the picture lies now, m.
        """
        share = metres / max(((last[0] - first[0]) ** 2 + (last[1] - first[1]) ** 2) ** 0.5, 1e-9)
        corner = tuple(f + share * (a - f) for f, a in zip(first, self.at, strict=True))
        return share * self.width, (corner[0], corner[1])


def picture_of(about: About, folder: Path | None) -> PlanPicture | None:
    """The picture that a file names; None: none.

    Parameters
    ----------
    about
        What the file says of itself.
    folder
        Of the file; None: it is not saved yet.
    """
    if not about.plan_picture:
        return None
    width = about.plan_picture_width
    try:
        image, reason = (
            read_picture(path_of(about.plan_picture, folder), about.plan_picture_page or 1),
            "",
        )
    except PictureError as error:
        image, reason = None, str(error)
    return PlanPicture(
        image, reason, FIRST_WIDTH if width is None else width, about.plan_picture_at or (0.0, 0.0),
        width is not None,
    )  # fmt: skip


def read_picture(path: Path, page: int) -> QImage:
    """A picture, made smaller where it is larger than can be seen.

    Raises
    ------
    PictureError
        It is not there, too large, or no picture.
    """
    name = visible_line(path.name)
    try:
        seen = path.stat()
    except OSError as error:
        raise PictureError(
            tr("The picture {name} of the site plan is not there: {path}").format(
                name=name, path=visible_line(str(path))
            )
        ) from error
    vector = path.suffix.casefold() in (".svg", ".pdf")
    most = MOST_VECTOR_BYTES if vector else MOST_BYTES
    if seen.st_size > most:
        raise PictureError(
            tr("The picture {name} has {size} megabytes; at most {most} are shown.").format(
                name=name, size=number_text(seen.st_size / 1e6, 3), most=number_text(most / 1e6, 3)
            )
        )
    return _read(path, page, (seen.st_mtime_ns, seen.st_size))


@lru_cache(maxsize=2)
def _read(path: Path, page: int, _version: tuple[int, int]) -> QImage:
    """The picture as it was at some time of change and size."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise PictureError(_unreadable(path)) from error
    ending = path.suffix.casefold()
    if ending == ".svg":
        image = _drawn(data)
    elif ending == ".pdf":
        image = _page(data, page, path)
    else:
        image = _pixels(path)
    if image is None or image.isNull():
        raise PictureError(_unreadable(path))
    return image


def _unreadable(path: Path) -> str:
    return tr("{name} cannot be read as a picture. PNG, JPEG, SVG and PDF can be shown.").format(
        name=visible_line(path.name)
    )


def _pixels(path: Path) -> QImage:
    reader = QImageReader(str(path))
    size = reader.size()
    if size.width() * size.height() > MOST_PIXELS:
        raise PictureError(
            tr("The picture {name} has {wide} x {high} pixels; at most {most} million are shown. "
               "Save it smaller.").format(
                name=visible_line(path.name), wide=size.width(), high=size.height(),
                most=number_text(MOST_PIXELS / 1e6),
            )
        )  # fmt: skip
    if size.isValid() and max(size.width(), size.height()) > LARGEST:
        reader.setScaledSize(size.scaled(LARGEST, LARGEST, Qt.AspectRatioMode.KeepAspectRatio))
    return reader.read()


def _drawn(data: bytes) -> QImage | None:
    from PySide6.QtSvg import QSvgRenderer

    renderer = QSvgRenderer(QByteArray(data))
    if not renderer.isValid():
        return None
    size = renderer.viewBoxF().size() if renderer.viewBox().isValid() else renderer.defaultSize()
    if size.isEmpty():
        return None
    share = VECTOR / max(size.width(), size.height())
    image = QImage(
        QSize(max(round(size.width() * share), 1), max(round(size.height() * share), 1)),
        QImage.Format.Format_ARGB32_Premultiplied,
    )
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    renderer.render(painter)
    painter.end()
    return image


def _page(data: bytes, page: int, path: Path) -> QImage | None:
    import pypdfium2

    name = visible_line(path.name)
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError:
        return None
    try:
        count = len(document)
        if page > count:
            raise PictureError(
                tr("The picture {name} has {count} pages, and page {page} is asked for.").format(
                    name=name, count=count, page=page
                )
            )
        sheet = document[page - 1]
        share = VECTOR / max(*sheet.get_size(), 1.0)
        made = sheet.render(scale=share, rev_byteorder=True, force_bitmap_format=4)
        view = QImage(
            bytes(made.buffer), made.width, made.height, made.stride, QImage.Format.Format_RGBA8888
        )
        return view.copy()
    finally:
        document.close()
