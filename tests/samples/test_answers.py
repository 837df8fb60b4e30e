"""Answers that one process of a run has worked out serve the others."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from tests.samples import answers


def test_an_answer_handed_on_is_the_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answers, "_shared", [])
    plain = answers.sample_answer("school-laboratory")
    answers.share_in(tmp_path / "answers")
    first = answers.sample_answer.__wrapped__("school-laboratory")
    kept = list((tmp_path / "answers").iterdir())
    assert [one.name for one in kept] == ["school-laboratory.pickle"]
    assert first == plain
    kept[0].write_bytes(pickle.dumps("read from there"))
    assert answers.sample_answer.__wrapped__("school-laboratory") == "read from there"
