"""``airrisk plan``: what it prints, writes and refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from airrisk.command.line import run
from airrisk.installation.reading import read
from tests.study.cure_plants import CALM, HEAD, PLANTS, plug, vessel


@pytest.fixture
def painted(tmp_path: Path) -> Path:
    path = tmp_path / "painted.toml"
    path.write_text(PLANTS["a painted plug"], encoding="utf-8")
    return path


def test_it_prints_causes_with_their_findings_and_plans_and_writes_the_file(painted, capsys):
    out = painted.with_name("cured.toml")
    before = painted.read_bytes()
    assert run(["plan", str(painted), "--write", str(out)]) == 0
    text = capsys.readouterr().out.replace("\u00a0", " ")
    assert text.index("is not safe") < text.index("Causes") < text.index("Cure plans")
    assert "Cheapest proven cure: Renew plug FP1, so that it is clean and in date." in text
    assert "Plan 1: 1 change, relative cost 1" in text
    assert "as if they were confirmed" in text
    assert "A flame away from its plugs still ruptures vessel R1" in text
    assert painted.read_bytes() == before
    written = read(out.read_text(encoding="utf-8"))
    assert set(written.plugs[0].offered) == {"condition", "fitted"}


def test_the_json_answer_holds_causes_and_plans(painted, capsys):
    assert run(["plan", str(painted), "--json", "-"]) == 0
    doc = json.loads(capsys.readouterr().out)
    below = sorted(place for cause in doc["causes"] for place in cause["findings"])
    assert below == list(range(len(doc["findings"])))
    (first, *_) = doc["plan"]["plans"]
    assert first["steps"][0]["edits"][0] == {
        "part": "FP1", "field": "condition", "value": "clean"
    }  # fmt: skip
    assert all(one["safe"] is not False for one in first["proven"])


def test_what_is_safe_has_nothing_to_plan(tmp_path, capsys):
    path = tmp_path / "safe.toml"
    path.write_text(HEAD.format(choices=CALM) + vessel(wall="20 mm") + plug("FP1", "R1"))
    assert run(["plan", str(path)]) == 0
    assert "there is nothing to plan" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("costs", "told"),
    [("[cost]\nrenew = -2", "renew"), ("[cost]\npaint = 2", "paint"), ("[cost", "cannot be read")],
)
def test_wrong_costs_are_refused_and_nothing_is_written(painted, capsys, costs, told):
    own = painted.with_name("costs.txt")
    own.write_text(costs)
    out = painted.with_name("cured.toml")
    assert run(["plan", str(painted), "--costs", str(own), "--write", str(out)]) == 2
    assert told in capsys.readouterr().err
    assert not out.exists()


def test_a_file_with_mistakes_is_refused_and_nothing_is_written(painted, capsys):
    painted.write_text(painted.read_text().replace('bore = "20 mm"', 'bore = "20 m"'))
    out = painted.with_name("cured.toml")
    assert run(["plan", str(painted), "--write", str(out)]) == 2
    assert "bore" in capsys.readouterr().err
    assert not out.exists()


def test_a_file_that_stands_there_is_never_written_over(painted, capsys):
    other = painted.with_name("other.toml")
    other.write_text("mine")
    assert run(["plan", str(painted), "--write", str(other)]) == 2
    assert "stands there already" in capsys.readouterr().err
    assert other.read_text() == "mine"


def test_a_plan_that_was_not_found_is_not_written(painted, capsys):
    out = painted.with_name("cured.toml")
    assert run(["plan", str(painted), "--write", str(out), "--number", "3"]) == 2
    assert "There is no plan 3" in capsys.readouterr().err
    assert not out.exists()
