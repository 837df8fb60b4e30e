"""A picture under the site plan: to scale by two clicked points, told when it is not there."""

from __future__ import annotations

import math
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog
from pytestqt.qtbot import QtBot
from reportlab.pdfgen.canvas import Canvas

from airrisk.window.frame import Frame
from airrisk.window.plan.picture import MOST_PIXELS, PictureError, read_picture
from airrisk.window.plan.picture_actions import DistanceDialog, PictureActions
from tests.editing.systems import SMALL

WIDE, HIGH = 400, 200  # px
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 30">'
    '<rect width="60" height="30"/></svg>'
)


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    image = QImage(WIDE, HIGH, QImage.Format.Format_RGB32)
    image.fill(QColor("#FF0000"))
    path = tmp_path / "pictures" / "hall.png"
    path.parent.mkdir()
    assert image.save(str(path))
    return path


@pytest.fixture
def frame_of(
    quick: None, make_frame: Callable[[], Frame], tmp_path: Path
) -> Callable[[str], Frame]:
    def opened(about: str = "") -> Frame:
        path = tmp_path / "site.toml"
        text = SMALL.replace("format = 1", "format = 2")
        path.write_text(text.replace("[[vessel]]", about + "\n[[vessel]]", 1), encoding="utf-8")
        frame = make_frame()
        frame.files.open_name(str(path))
        frame.work.plan.show_mode("site plan")
        QApplication.processEvents()
        return frame

    return opened


def actions(frame: Frame) -> PictureActions:
    return frame.work.plan.pictures


def choose(frame: Frame, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    actions(frame).choose.trigger()
    QApplication.processEvents()


def answering(monkeypatch: pytest.MonkeyPatch, *typed: str) -> list[str]:
    """Types distances into the dialog, the last of which it takes; returns what it refused."""
    refused: list[str] = []

    def exec_(dialog: DistanceDialog) -> int:
        for text in typed:
            dialog.line.setText(text)
            dialog.take()
            if not dialog.error.isHidden():
                refused.append(dialog.error.text())
                dialog.error.hide()
        return int(dialog.result())

    monkeypatch.setattr(DistanceDialog, "exec", exec_)
    return refused


def spot_of(frame: Frame, x: float, y: float) -> QPoint:
    """Where a pixel of the picture is seen."""
    view, room = frame.work.plan.view, frame.work.plan.scene.picture_rect()
    return view.mapFromScene(
        QPointF(room.left() + x / WIDE * room.width(), room.top() + y / HIGH * room.height())
    )


def pixel_at(frame: Frame, spot: QPoint) -> QPointF:
    """Which pixel of the picture is seen at a place of the view."""
    view, room = frame.work.plan.view, frame.work.plan.scene.picture_rect()
    inverse, _ = view.viewportTransform().inverted()
    at = inverse.map(QPointF(spot)) - room.topLeft()
    return QPointF(at.x() / room.width() * WIDE, at.y() / room.height() * HIGH)


def click(qtbot: QtBot, frame: Frame, spot: QPoint) -> None:
    qtbot.mouseClick(frame.work.plan.view.viewport(), Qt.MouseButton.LeftButton, pos=spot)


def test_two_clicked_points_are_as_far_apart_on_the_plan_as_typed(
    frame_of: Callable[[str], Frame], picture: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    frame = frame_of("")
    plan, document = frame.work.plan, frame.session.document
    assert document is not None
    before = document.text
    choose(frame, picture, monkeypatch)
    assert 'plan_picture = "pictures/hall.png"' in document.text
    assert "no scale yet" in plan.hint.text()
    actions(frame).scale.trigger()
    chosen = frame.session.chosen
    spots = spot_of(frame, 100.0, 150.0), spot_of(frame, 300.0, 50.0)
    first, last = (pixel_at(frame, spot) for spot in spots)
    refused = answering(monkeypatch, "20", "20 kg", "0 m", "20 m")
    assert "first point" in plan.hint.text()
    click(qtbot, frame, spots[0])
    assert "second point" in plan.hint.text()
    middle = plan.view.viewportTransform().inverted()[0].map(QPointF(spots[0]))
    fixed = middle / plan.scene.pixels_per_metre
    click(qtbot, frame, spots[1])
    assert len(refused) == 3
    assert frame.session.chosen == chosen  # the clicks choose and drag nothing
    about = frame.session.installation.about if frame.session.installation else None
    assert about is not None
    assert about.plan_picture_width is not None
    a_pixel = about.plan_picture_width / WIDE
    apart = math.hypot(last.x() - first.x(), last.y() - first.y())
    assert apart * a_pixel == pytest.approx(20.0, rel=1e-4)
    assert apart == pytest.approx(math.hypot(200.0, 100.0), rel=0.02)
    # the first point stays where it was on the plan, and the drawing follows the file
    left = about.plan_picture_at[0] + first.x() * a_pixel
    down = about.plan_picture_at[1] + (HIGH - first.y()) * a_pixel
    assert (left, -down) == (pytest.approx(fixed.x(), abs=2e-3), pytest.approx(fixed.y(), abs=2e-3))
    room = plan.scene.picture_rect()
    assert room.width() / plan.scene.pixels_per_metre == pytest.approx(about.plan_picture_width)
    assert room.height() / room.width() == pytest.approx(HIGH / WIDE)
    assert document.undo_label == "scale of the picture"
    document.undo()
    document.undo()
    assert document.text == before
    assert plan.scene.picture_rect().isEmpty()


def test_the_picture_is_moved_by_two_points_and_taken_away(
    frame_of: Callable[[str], Frame], picture: Path, qtbot: QtBot
) -> None:
    frame = frame_of('[about]\nplan_picture = "pictures/hall.png"\nplan_picture_width = "40 m"\n')
    plan = frame.work.plan
    frame.work.plan.show_mode("schematic")
    actions(frame).shift.trigger()  # the site plan is shown for it
    assert plan.scene.mode == "site plan"
    room = plan.view.viewport().rect()
    corners = spot_of(frame, 0.0, 0.0), spot_of(frame, WIDE, HIGH)
    assert all(room.contains(corner) for corner in corners)
    QApplication.processEvents()
    seen = plan.view.viewport().grab().toImage().pixelColor(corners[0] + QPoint(4, 4))
    assert seen.red() > seen.green() + 80  # the picture, paler than it is
    scale = plan.scene.pixels_per_metre * plan.view.transform().m11()
    begin, end = QPoint(100, 100), QPoint(160, 130)
    click(qtbot, frame, begin)
    click(qtbot, frame, end)
    assert frame.session.installation is not None
    moved = frame.session.installation.about.plan_picture_at
    assert moved == (pytest.approx(60 / scale, abs=1e-3), pytest.approx(-30 / scale, abs=1e-3))
    document = frame.session.document
    assert document is not None
    actions(frame).remove.trigger()
    assert "plan_picture" not in document.text


def test_escape_ends_pointing_and_two_points_in_one_are_refused(
    frame_of: Callable[[str], Frame], picture: Path, qtbot: QtBot
) -> None:
    frame = frame_of('[about]\nplan_picture = "pictures/hall.png"\n')
    view, document = frame.work.plan.view, frame.session.document
    assert document is not None
    before = document.text
    actions(frame).scale.trigger()
    click(qtbot, frame, QPoint(100, 100))
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert not view.pointing.is_on
    assert "no scale yet" in frame.work.plan.hint.text()
    refused: list[str] = []
    actions(frame).told.connect(refused.append)
    actions(frame).scale.trigger()
    click(qtbot, frame, QPoint(100, 100))
    click(qtbot, frame, QPoint(101, 100))
    assert "same" in refused[0]
    assert document.text == before


def test_a_picture_that_is_not_there_is_told_and_the_plan_is_drawn(
    frame_of: Callable[[str], Frame], picture: Path
) -> None:
    frame = frame_of('[about]\nplan_picture = "pictures/old.png"\n')
    assert "old.png of the site plan is not there" in frame.work.plan.hint.text()
    assert "R1" in frame.work.plan.scene.items_by_name
    assert frame.session.installation is not None
    assert not actions(frame).scale.isEnabled()
    assert actions(frame).remove.isEnabled()


def test_what_is_too_large_or_no_picture_is_refused_with_its_reason(
    frame_of: Callable[[str], Frame], tmp_path: Path
) -> None:
    large = tmp_path / "large.png"
    side = 8000  # px, of one bit each
    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes((side // 8 + 1) * side), 1)
    chunks = ((b"IHDR", head), (b"IDAT", rows), (b"IEND", b""))
    large.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + b"".join(
            struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
            for name, data in chunks
        )
    )
    assert side * side > MOST_PIXELS
    none = tmp_path / "none.png"
    none.write_text("no picture")
    frame = frame_of("")
    document = frame.session.document
    assert document is not None
    before = document.text
    refused: list[str] = []
    actions(frame).told.connect(refused.append)
    for path in (large, none, tmp_path / "away.png"):
        assert not actions(frame).take(path)
    assert "8000 x 8000 pixels" in refused[0]
    assert "cannot be read as a picture" in refused[1]
    assert "is not there" in refused[2]
    assert document.text == before


def test_drawings_and_pages_of_pdf_are_shown(tmp_path: Path) -> None:
    drawing = tmp_path / "a.svg"
    drawing.write_text(SVG)
    image = read_picture(drawing, 1)
    assert image.width() == 2 * image.height()
    assert image.pixelColor(5, 5) == QColor("#000000")
    paper = tmp_path / "a.pdf"
    canvas = Canvas(str(paper), pagesize=(300, 300))
    canvas.showPage()
    canvas.setPageSize((400, 100))
    canvas.setFillColorRGB(0, 0, 1)
    canvas.rect(0, 0, 200, 100, stroke=0, fill=1)
    canvas.showPage()
    canvas.save()
    second = read_picture(paper, 2)
    assert second.width() == pytest.approx(4 * second.height(), rel=0.01)
    assert second.pixelColor(100, 100) == QColor("#0000FF")
    assert second.pixelColor(second.width() - 100, 100) == QColor("#FFFFFF")
    with pytest.raises(PictureError, match="2 pages, and page 3"):
        read_picture(paper, 3)


def test_a_picture_changes_no_answer() -> None:
    """Property: whatever the file says of a picture, every slice of it is the same."""
    import datetime as dt

    from airrisk.installation.reading import read
    from airrisk.report.json_output import to_json_dict
    from airrisk.study.assessment import assess
    from tests.study.cure_plants import HEAD, vessel

    plain = HEAD.format(choices="") + vessel("R1")
    told = plain + '[about]\nplan_picture = "a.png"\nplan_picture_width = "7 m"\n'
    answers = [
        to_json_dict(assess(read(text), dt.date(2026, 11, 1), bores=False))
        for text in (plain, told)
    ]
    assert answers[0] == answers[1]


def test_the_dialog_gives_no_distance_when_it_is_left(qtbot: QtBot) -> None:
    dialog = DistanceDialog()
    qtbot.addWidget(dialog)
    dialog.reject()
    assert dialog.result() == QDialog.DialogCode.Rejected
    assert dialog.metres == 0.0


def test_a_file_that_is_saved_elsewhere_still_leads_to_its_picture(
    frame_of: Callable[[str], Frame], picture: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    frame = frame_of('[about]\nplan_picture = "pictures/hall.png"\n')
    elsewhere = tmp_path / "copies" / "new" / "site.toml"
    elsewhere.parent.mkdir(parents=True)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(elsewhere), ""))
    assert frame.files.save_as()
    assert 'plan_picture = "../../pictures/hall.png"' in elsewhere.read_text(encoding="utf-8")
    assert actions(frame).picture is not None
    assert actions(frame).picture.image is not None
    # not saved: the text is as it was
    gone = tmp_path / "gone" / "site.toml"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(gone), ""))
    monkeypatch.setattr(frame.files, "_explain", lambda *_a: None)
    before = frame.session.document.text  # type: ignore[union-attr]
    assert not frame.files.save_as()
    assert frame.session.document.text == before  # type: ignore[union-attr]


def test_a_picture_with_its_whole_way_is_named_as_before(
    frame_of: Callable[[str], Frame], picture: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    frame = frame_of(f'[about]\nplan_picture = "{picture.as_posix()}"\n')
    (tmp_path / "copies").mkdir()
    copy = tmp_path / "copies" / "site.toml"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(copy), ""))
    assert frame.files.save_as()
    assert copy.read_bytes() == (tmp_path / "site.toml").read_bytes()
