"""Names stand in lists as people look for them."""

from __future__ import annotations

from airrisk.installation.naming import in_order


def test_numbers_in_names_are_counted() -> None:
    assert in_order(["V10", "V9", "V8", "L2", "V9a"]) == ("L2", "V8", "V9", "V9a", "V10")


def test_an_accent_does_not_send_a_name_behind_the_alphabet() -> None:
    """As DIN 5007-1 sorts names (from memory): a letter with a mark beside the bare letter."""
    names = ["Zelle", "Öltank", "Ofen", "öl 2", "Oz", "Äther", "Straße", "Strasse"]
    assert in_order(names) == (
        "Äther", "Ofen", "öl 2", "Öltank", "Oz", "Strasse", "Straße", "Zelle",
    )  # fmt: skip


def test_names_that_differ_in_a_mark_only_have_a_fixed_order() -> None:
    assert in_order(["Rö1", "Ro1"]) == in_order(["Ro1", "Rö1"]) == ("Ro1", "Rö1")
