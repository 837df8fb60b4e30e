"""The words of the fields: every field has its own, and what they say of numbers is so."""

from __future__ import annotations

import tomllib

from airrisk.installation.field_spec import WORDS
from airrisk.installation.fields import ALLOY_UNSTATED, FIELDS, all_fields, spec
from airrisk.physics import fires
from airrisk.physics.metal import CARBON_BASES, STRENGTH_USE_LIMITS
from airrisk.tables import resource_path

TEXTS = tomllib.loads(resource_path(WORDS).read_text(encoding="utf-8"))
KEYS = {"label", "help", "left_out", "source"}


def test_every_field_has_a_label_and_a_help() -> None:
    for kind, one in all_fields():
        assert one.label, (kind, one.key)
        assert one.label == one.label.strip(), (kind, one.key)
        assert one.help.endswith("."), (kind, one.key)


def test_what_may_be_left_out_says_what_it_counts_as_and_a_default_where_it_comes_from() -> None:
    for kind, one in all_fields():
        if one.default is None:
            assert one.required or one.left_out, (kind, one.key)
        else:
            assert one.source, (kind, one.key)
            assert not one.left_out, (kind, one.key)


def test_every_row_belongs_to_a_field() -> None:
    keys = {kind or "file": {one.key for one in found} for kind, found in FIELDS.items()}
    assert set(TEXTS) - {"any"} <= set(keys)
    for kind, rows in TEXTS.items():
        known = set.union(*keys.values()) if kind == "any" else keys[kind]
        assert set(rows) <= known, kind
        assert all(set(row) <= KEYS for row in rows.values()), kind


def test_words_for_every_kind_of_table_serve_several() -> None:
    for key in TEXTS["any"]:
        kinds = [kind or "file" for kind, one in all_fields() if one.key == key]
        assert sum(key not in TEXTS.get(kind, {}) for kind in kinds) > 1, key


def test_the_usual_limits_are_those_of_the_program() -> None:
    bases: dict[float, list[str]] = {}
    for basis in CARBON_BASES:
        bases.setdefault(STRENGTH_USE_LIMITS[basis], []).append(basis)
    told = [f"{limit:g} for {' and '.join(names)}" for limit, names in bases.items()]
    assert spec("choices", "strength_use_limit").left_out == ", ".join(told)


def test_the_usual_heat_transfer_is_that_of_the_program() -> None:
    other = [
        f"{value:g} W/m2/K for {'a heat flux' if curve == 'flux' else f'the {curve} curve'}"
        for curve, value in fires.CONVECTION.items()
        if value != fires.USUAL_CONVECTION
    ]
    told = ", ".join([*other, f"{fires.USUAL_CONVECTION:g} W/m2/K else"])
    assert spec("fire", "convection").left_out == told


def test_the_word_for_an_unknown_alloy_is_named() -> None:
    assert f'"{ALLOY_UNSTATED}"' in spec("plug", "alloy").help
