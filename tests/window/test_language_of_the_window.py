"""The window speaks one language, and the one that was chosen."""

from __future__ import annotations

import re

import pytest
from PySide6.QtWidgets import QApplication

from airrisk.physics.alloys import alloys
from airrisk.physics.metal import materials
from airrisk.tables import sample_names, sample_path
from airrisk.window.frame import Frame
from airrisk.window.places import chosen_language, settings
from airrisk.window.views import VIEWS
from airrisk.wording import translation
from tests.samples.answers import sample_installation
from tests.window.screenshots import settle
from tests.window.shown_texts import texts_of
from tests.wording.pseudo_language import english_in, pseudo_language
from tests.wording.test_every_text_is_translated import FORMULAS, SIGNS, own_words

SAMPLE = "river-ferry"
# keys, names of languages and programs, table names of the file, Qt's own words, formulas
OWN = frozenset({"Ctrl", "English", "Deutsch", "airrisk", "site", "tin", "Nach", "links", "rechts",
                 "scrollen", "Scroll", "Left", "Right", "Export", "SHA", "km", "mph"})  # fmt: skip


@pytest.fixture
def closed(qapp: QApplication):
    yield
    translation.use(None)


def _headlines() -> frozenset[str]:
    """What the samples say of themselves, which the first page shows."""
    words: set[str] = set()
    for name in sample_names():
        words |= set(re.findall(r"[\w-]+", sample_path(name).read_text(encoding="utf-8")))
    return frozenset(words) | frozenset(word.capitalize() for word in words)


def test_every_view_speaks_one_language(closed: None) -> None:
    found: dict[str, list[str]] = {}
    first = _headlines()
    metals = frozenset(one.key for one in (*alloys(), *materials()))
    allowed = SIGNS | FORMULAS | OWN | metals | own_words(sample_installation(SAMPLE))

    def look(where: str, names: frozenset[str]) -> None:
        for kind, text in texts_of(frame):
            words = [word for word in english_in(text, names) if word not in names]
            if words:
                found[f"{where}, {kind}: {text}"] = words

    with pseudo_language() as language:
        frame = Frame(None)
        frame.show()
        settle(frame)
        look("first page", allowed | first)
        frame.files.open_sample(str(sample_path(SAMPLE)))
        settle(frame)
        for view in VIEWS:
            frame.show_view(view)
            settle(frame)
            look(view, allowed | first)
        frame.show_view("work")
        for part in ("SB1", "FP1", "C1", "L1", "V1", "F1"):
            frame.session.choose(part)
            for tab in range(frame.work.facts.tabs.count()):
                frame.work.facts.tabs.setCurrentIndex(tab)
                settle(frame)
                look(part, allowed | first)
        frame.session.set_document(None)
        frame.close()
    assert found == {}, sorted({word for words in found.values() for word in words})
    assert language.unknown == set()


def test_the_chosen_language_is_kept_for_the_next_start(frame: Frame) -> None:
    assert chosen_language() == ""
    frame.menus.actions["language de"].trigger()
    assert chosen_language() == "de"
    assert "started again" in frame.status.message.text()
    settings().setValue("language", "tlh")
    assert chosen_language() == ""
