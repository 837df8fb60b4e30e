"""The answer that a part carries in the drawing: what it says, how it looks, where it stands."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication

from airrisk.window.frame import Frame
from airrisk.window.plan.blocks import (
    block_colours,
    block_size,
    is_filled,
    is_hatched,
    paint_answer,
    texts_of,
)
from airrisk.window.plan.items import Drawn
from airrisk.window.plan.scene import PlanScene
from airrisk.window.plan.view import PlanView
from airrisk.window.theme import apply_theme, colours
from airrisk.wording.part_answers import (
    PartAnswer,
    deciding_parts,
    no_answer,
    out_of_date,
    part_answers,
)
from airrisk.wording.schematic.records import Rect
from tests.samples.answers import sample_answer, sample_installation
from tests.window.conftest import in_every_language
from tests.window.contrast import SHAPE, TEXT, contrast
from tests.wording.schematic.overlaps import covered_names

SURE = PartAnswer("●", "vents in time", "84 %", "vents in time", True, True)
UNSURE = PartAnswer("⬖", "not sure", "84 %", "vents in time", True, False)
LIMIT = PartAnswer("▲", "over the limit", "118 %", "passes the limit", False)
RUPTURES = PartAnswer("✖", "ruptures", "after 2.7 min", "ruptures", False)
EVERY = [SURE, UNSURE, LIMIT, RUPTURES, no_answer()]
EVERY += [out_of_date(one) for one in EVERY]


@pytest.mark.parametrize("dark", [False, True])
def test_every_block_can_be_read_and_found_in_both_looks(qapp: QApplication, dark: bool) -> None:
    apply_theme(qapp, dark)
    for answer in EVERY:
        ground, ink = block_colours(answer)
        assert contrast(ground, ink) >= TEXT, answer
        edge = ground if is_filled(answer) else ink
        assert contrast(edge, colours().surface) >= SHAPE, answer


def test_what_is_not_safe_is_filled_and_what_nobody_knows_now_is_hatched() -> None:
    assert [is_filled(one) for one in EVERY[:5]] == [False, False, True, True, False]
    assert [is_hatched(one) for one in EVERY[:5]] == [False, False, False, False, True]
    assert all(is_hatched(one) and not is_filled(one) for one in EVERY[5:])


def painted(answer: PartAnswer) -> QImage:
    """A block without its text."""
    image = QImage(60, 30, QImage.Format.Format_RGB32)
    image.fill(QColor(colours().surface))
    painter = QPainter(image)
    paint_answer(painter, QRectF(0, 0, 60, 30), answer, [], 12.0)
    painter.end()
    return image


def test_the_kinds_of_blocks_differ_without_their_words(qapp: QApplication) -> None:
    looks = [painted(one) for one in (SURE, UNSURE, RUPTURES, no_answer())]
    for number, one in enumerate(looks):
        assert all(one != other for other in looks[number + 1 :])
    old = [painted(out_of_date(one)) for one in (SURE, UNSURE)]
    assert old[0] == old[1]  # nothing of what was safe is left


@in_every_language
@pytest.mark.parametrize("name", ["dairy-hall", "river-ferry"])
@pytest.mark.parametrize("letters", [12.0, 22.0])
def test_what_is_said_fits_into_the_room_that_the_layout_keeps(
    qapp: QApplication, name: str, letters: float
) -> None:
    scene = answered_scene(name)
    scene.set_letters(letters)
    carrying = carried(scene)
    assert {vessel.id for vessel in sample_installation(name).vessels} <= set(carrying)
    for item in carrying.values():
        assert item.answer is not None
        wide, high = block_size(texts_of(item.answer), letters)
        assert wide <= item.block.width()
        assert high <= item.block.height()
        assert item.block.contains(item.answer_frame())


def answered_scene(name: str) -> PlanScene:
    answer = sample_answer(name)
    scene = PlanScene()
    scene.show_installation(sample_installation(name))
    scene.show_answers(part_answers(answer), deciding_parts(answer))
    return scene


def carried(scene: PlanScene) -> dict[str, Drawn]:
    """The items that show an answer."""
    return {n: item for n, item in scene.items_by_name.items() if not item.block.isEmpty()}


def rect(box: QRectF) -> Rect:
    return Rect(box.left(), box.top(), box.right(), box.bottom())


def test_what_decides_carries_a_block_too_although_it_is_no_vessel(qapp: QApplication) -> None:
    """The ring main and the second compressor's line of the sample have no vessel."""
    scene = answered_scene("dairy-hall")
    assert set(carried(scene)) == {"R1", "R2", "D1", "L2", "L5"}


def test_on_the_site_plan_answers_stand_in_sight_on_nothing_and_with_their_name(
    qapp: QApplication,
) -> None:
    scene = answered_scene("dairy-hall")
    view = PlanView(scene)
    view.resize(900, 420)
    scene.set_mode("site plan")
    view.fit()
    items = scene.items_by_name.values()
    blocks = {f"answer of {n}": rect(item.block.translated(item.pos()))
              for n, item in carried(scene).items()}  # fmt: skip
    assert len(blocks) == 5
    names = {item.name: rect(item.label.translated(item.pos()))
             for item in items if not item.label.isEmpty()}  # fmt: skip
    symbols = {item.name: rect(item.owner().translated(item.pos()))
               for item in items if item.kind not in ("line", "wall")}  # fmt: skip
    assert not list(covered_names(names | blocks, symbols, {}))
    assert scene._site_view is not None
    for name, item in carried(scene).items():
        assert scene._site_view.contains(item.block.translated(item.pos()))
        assert item.named_answer == name
        assert item.answer_leader is not None
    view.deleteLater()


def test_the_block_follows_the_answer_and_is_old_after_a_change(one_vessel: Frame) -> None:
    frame = one_vessel
    item = frame.work.plan.scene.items_by_name["R1"]
    assert item.answer is not None
    assert not item.answer.old
    assert item.answer == part_answers(frame.session.assessment)["R1"]  # type: ignore[arg-type]
    assert item.answer.spoken in item.toolTip()
    assert item.answer.spoken in frame.work.plan.spoken("R1")
    document = frame.session.document
    assert document is not None
    document.replace("wall", document.system_text.set("R1", "wall_thickness", "13 mm").text)
    item = frame.work.plan.scene.items_by_name["R1"]
    assert item.answer is not None
    assert item.answer.old
    assert item.answer.spoken in item.toolTip()


def test_before_the_first_answer_every_vessel_says_that_nothing_is_known(
    quick: None, frame: Frame
) -> None:
    from tests.window.conftest import ONE_VESSEL

    frame.files.start_with(ONE_VESSEL)
    item = frame.work.plan.scene.items_by_name["R1"]
    assert not item.block.isEmpty()
    assert item.answer == no_answer()
    assert is_hatched(item.answer)


def test_a_choice_places_no_answer_anew(
    one_vessel: Frame, monkeypatch: pytest.MonkeyPatch, answered: Callable[[Frame], None]
) -> None:
    frame = one_vessel
    frame.work.plan.show_mode("site plan")
    placed: list[object] = []
    monkeypatch.setattr("airrisk.window.plan.scene.write_answers", lambda *a: placed.append(a))
    frame.session.choose("FP1")
    frame.session.choose("R1")
    assert not placed
    frame.work.plan.refresh_marks()
    assert placed


def test_an_answer_that_names_another_part_is_told_with_it(qapp: QApplication) -> None:
    named = dataclasses.replace(RUPTURES, margin="L1 after 2.7 min")
    assert texts_of(named, "R1") == ["R1 ✖ ruptures", "L1 after 2.7 min"]
