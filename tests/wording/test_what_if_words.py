"""Every input of the register has its words."""

from __future__ import annotations

from airrisk.installation.inputs import inputs
from airrisk.wording.what_if_texts import INPUT_WORDS, input_name


def test_every_input_has_words_and_no_word_is_left_over():
    assert set(INPUT_WORDS) == {one.field for one in inputs()}


def test_an_input_is_named_with_its_part():
    assert input_name("site.ambient_pressure") == "site pressure of the atmosphere"
    assert input_name("F1.exposed_share.R1") == "F1 share in the fire of R1"
