"""Characters that cannot be seen are refused in every text of a system file, and told by code."""

from __future__ import annotations

import unicodedata

import pytest

from airrisk.installation.characters import hidden_in_name, hidden_in_text, visible, visible_line
from airrisk.installation.reading import check, examine

# Unicode Standard Annex 9, section 2: the explicit directional characters
DIRECTIONAL = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
UNSEEN = "\u00ad\u200b\u2060\u2028\u2029\ufeff\U000e0041\x1b\x07\x85"

TEXT = """format = 1
title = "{title}"
[about]
site = "{about}"
[[vessel]]
id = "{id}"
inside_diameter = "600 mm"
volume = "500 L"
wall_thickness = "5 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "8 bar(g)"
area = "{area}"
notes = {{ volume = "{note}" }}
[[plug]]
id = "FP1"
on = "{id}"
alloy = "tin"
bore = "12 mm"
discharges_to = "{outlet}"
[[inspection]]
on = "FP1"
date = 2026-03-01
by = "{by}"
note = "{remark}"
"""
PLACES = ("title", "about", "id", "area", "note", "outlet", "by", "remark")
FIELDS = {"about": "site", "note": "notes", "outlet": "discharges_to", "remark": "note"}
SOUND = dict.fromkeys(PLACES, "Hall B")


def test_the_text_of_these_tests_is_sound() -> None:
    assert check(TEXT.format(**SOUND))[1] == []


@pytest.mark.parametrize("char", DIRECTIONAL + UNSEEN, ids=lambda c: f"U+{ord(c):04X}")
@pytest.mark.parametrize("place", PLACES)
def test_a_character_that_cannot_be_seen_is_refused_by_its_code(place: str, char: str) -> None:
    spelt = char if char.isprintable() or ord(char) >= 0xA0 else f"\\u{ord(char):04X}"
    wrong = TEXT.format(**{**SOUND, place: f"Hall{spelt}B"})
    found = examine(wrong)
    assert found.installation is None
    code = f"U+{ord(char):04X}"
    problems = [one for one in found.problems if code in one.message]
    assert problems
    assert problems[0].field == FIELDS.get(place, place)
    assert problems[0].valid
    assert all(char not in str(one) for one in found.problems)
    assert found.sound is None or char not in found.sound.title


def test_words_of_every_script_and_joined_signs_are_read() -> None:
    words = "Zürich, Ελλάδα, Москва, می\u200cشود, क्\u200dष, 안녕, 東京, \U0001f469\u200d\U0001f527"
    sound = {**dict.fromkeys(PLACES, words), "id": "Kessel-Ä"}
    assert check(TEXT.format(**sound))[1] == []


@pytest.mark.parametrize("char", ["\u3164", "\u115f", "\u2800", "\ufe0f", "\u034f", "\u200d"])
def test_an_id_holds_nothing_blank(char: str) -> None:
    (problem, *_) = check(TEXT.format(**{**SOUND, "id": f"R1{char}"}))[1]
    assert f"U+{ord(char):04X}" in problem.message


def test_a_key_with_hidden_characters_is_told_with_their_codes() -> None:
    text = TEXT.format(**SOUND) + '"by\u202e\\u001b" = 1\n'
    (problem,) = check(text, "name\u202e\n.toml")[1]
    assert "\\u202e\\x1b" in problem.field
    assert str(problem).isprintable()


def test_every_format_character_of_the_database_is_refused_or_wanted() -> None:
    # the general category Cf of the Unicode character database that comes with Python
    wanted = set("\u200c\u200d") | {chr(code) for code in range(0x600, 0x606)}
    wanted |= set("\u06dd\u070f\u0890\u0891\u08e2\U000110bd\U000110cd")
    for code in range(0x110000):
        char = chr(code)
        if unicodedata.category(char) in {"Cf", "Cc", "Zl", "Zp", "Cs"} and char not in "\n\t\r":
            assert bool(hidden_in_text(char)) == (char not in wanted), hex(code)
            assert hidden_in_name(char)


def test_what_is_shown_names_every_hidden_character() -> None:
    assert visible("a\u202eb\x1b[2J\nc\td\r\udcff") == "a\\u202eb\\x1b[2J\nc\td\\x0d\\xff"
    assert visible_line("a\nb\tc\U000e0041") == "a\\nb\\tc\\U000e0041"
    assert visible("3.5 m³ ≥ Ä") == "3.5 m³ ≥ Ä"
