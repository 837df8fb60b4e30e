"""Where the entry of a part stands in the text, and where it has gone to."""

from __future__ import annotations

from airrisk.editing.raw_values import kind_in_text, place_in_text
from tests.editing.systems import SMALL


def test_a_place_is_found_in_any_case_and_called_as_the_file_calls_it() -> None:
    place = place_in_text(SMALL, "r2")
    assert place is not None
    assert (place.name, place.kind, place.number, place.count) == ("R2", "vessel", 1, 2)
    assert kind_in_text(SMALL, "fp1") == "plug"
    assert place_in_text(SMALL, "R3") is None
    assert place_in_text("format = [", "R1") is None


def test_a_renamed_entry_is_found_at_its_place() -> None:
    place = place_in_text(SMALL, "R2")
    assert place is not None
    renamed = place.renamed_in(SMALL.replace('"R2"', '"N2"'))
    assert renamed is not None
    assert (renamed.name, renamed.number) == ("N2", 1)


def test_an_entry_of_a_list_that_has_shrunk_is_nowhere() -> None:
    place = place_in_text(SMALL, "R2")
    assert place is not None
    shorter = SMALL[: SMALL.index('[[vessel]]\nid = "R2"')]
    assert place.renamed_in(shorter) is None
    assert place.renamed_in("format = [") is None
    assert place.renamed_in(SMALL.replace('id = "R2"', "id = 7")) is None
