"""Every input of the register has its words."""

from __future__ import annotations

import re

from airrisk.installation.inputs import inputs
from airrisk.installation.spreads import DISTRIBUTIONS, MIDDLES
from airrisk.wording.units import Units
from airrisk.wording.what_if_texts import DISTRIBUTION_WORDS, INPUT_WORDS, input_name, input_text


def test_every_input_has_words_and_no_word_is_left_over():
    assert set(INPUT_WORDS) == {one.field for one in inputs()}


def test_every_distribution_has_words_for_its_parameters():
    assert set(DISTRIBUTION_WORDS) == set(DISTRIBUTIONS)
    for name, (parameters, optional) in DISTRIBUTIONS.items():
        needed = {one for one in parameters if one in MIDDLES or one not in optional}
        assert set(re.findall(r"{(\w+)}", DISTRIBUTION_WORDS[name])) == needed


def test_an_input_is_named_with_its_part():
    assert input_name("site.ambient_pressure") == "site pressure of the atmosphere"
    assert input_name("F1.exposed_share.R1") == "F1 share in the fire of R1"


def test_the_pressure_of_the_atmosphere_is_told_as_absolute():
    units = Units("metric", 101300.0)
    assert input_text(101300.0, "pressure", "site.ambient_pressure", units) == "1.013\u00a0bar(a)"
    assert input_text(851300.0, "pressure", "R1.pressure", units) == "7.5\u00a0bar(g)"
