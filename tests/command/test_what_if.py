"""``airrisk what-if``: exit codes, JSON alone on the screen, files, refusals in words."""

from __future__ import annotations

import json

import pytest

from airrisk.command.line import run
from tests.study.one_receiver import SYSTEM, few_runs


@pytest.fixture
def system(tmp_path, monkeypatch):
    few_runs(monkeypatch)
    path = tmp_path / "one.toml"
    path.write_text(SYSTEM, encoding="utf-8")
    return path


def what_if(system, *words: str) -> int:
    return run(["what-if", str(system), "--on", "2026-11-01", *words])


def test_json_alone_stands_on_the_screen_and_the_same_seed_gives_the_same_text(system, capsys):
    words = ("--samples", "40", "--vary", "R1.wall_thickness", "--json", "-")
    assert what_if(system, *words) == 0
    first = capsys.readouterr().out
    answer = json.loads(first)["what_if"]
    assert answer["sampled"]["samples"] == 40
    assert [bar["key"] for bar in answer["tornado"]["bars"]] == ["R1.wall_thickness"]
    assert "NaN" not in first
    assert what_if(system, *words) == 0
    assert capsys.readouterr().out == first


def test_an_unsafe_variant_gives_exit_code_1(system, capsys):
    assert what_if(system, "--vary", "FP1.works", "--samples", "0") == 1
    out = capsys.readouterr().out
    assert "Alone able to turn the verdict: FP1 works at all" in out


def test_inputs_are_listed_with_unit_and_spread(system, capsys):
    assert what_if(system, "--inputs") == 0
    out = capsys.readouterr().out
    assert "R1.wall_thickness" in out
    assert "8 mm" in out
    assert "evenly from 7.6 mm to 8.24 mm" in out
    assert "only swept" in out


def test_report_files_are_written_whole(system, tmp_path, capsys):
    html, pdf = tmp_path / "out.html", tmp_path / "out.pdf"
    code = what_if(
        system, "--samples", "20", "--vary", "R1.wall_thickness",
        "--sweep", "FP1.bore=4 mm..24 mm:4", "--sweep", "R1.wall_thickness=5 mm..9 mm:3",
        "--html", str(html), "--pdf", str(pdf), "--units", "US customary",
    )  # fmt: skip
    assert code == 1
    text = html.read_text(encoding="utf-8")
    assert "R1 wall thickness, in" in text
    assert "border between safe and unsafe" in text
    assert pdf.read_bytes().startswith(b"%PDF")
    assert "wrote" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--sweep", "R1.wall_thickness=4..10"), "unit"),
        (("--sweep", "nothing"), "LOW..HIGH"),
        (("--vary", "R1.colour"), "R1.wall_thickness"),
        (("--fire", "F7"), "valid: F1"),
        (("--section", "S7"), "valid: R1"),
        (("--samples", "-1"), "0<=x"),
        (("--seed", "x"), "seed"),
        (("--method", "dice"), "latin-hypercube"),
        (("--sweep", "FP1.bore=1 mm..9 mm") * 3, "one for a curve"),
        (("--on", "tomorrow"), "YYYY-MM-DD"),
    ],
)
def test_what_is_wrong_is_told_with_what_is_valid(system, capsys, words, told):
    target = system.with_name("never.json")
    assert what_if(system, *words, "--json", str(target)) == 2
    assert told in capsys.readouterr().err
    assert not target.exists()


def test_help_tells_how_a_sweep_is_written(capsys):
    assert run(["what-if", "--help"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "R1.wall_thickness=4 mm..10 mm:31" in out
    assert "gauge or absolute" in out


def test_report_takes_the_study_as_a_chapter(system, tmp_path):
    target = tmp_path / "whole.html"
    run(["report", str(system), "--html", str(target), "--what-if", "20", "--on", "2026-11-01"])
    text = target.read_text(encoding="utf-8")
    assert "What if the inputs are not as stated" in text
    assert "The plug acts first in" in text


def test_water_that_boils_counts_in_the_varied_runs(system, capsys):
    words = ("--vary", "R1.wall_thickness", "--samples", "0")
    assert what_if(system, *words) == 0
    assert "not safe" not in capsys.readouterr().out
    text = SYSTEM.replace(
        'temperature = "20 degC"', 'temperature = "20 degC"\ncondensate = "200 L"'
    )
    system.write_text(text, encoding="utf-8")
    assert what_if(system, *words) == 1
    assert "ruptures" in capsys.readouterr().out


def test_where_every_sample_ruptures_there_is_no_variance_to_share_out(system, capsys):
    text = system.read_text(encoding="utf-8")
    system.write_text(text.replace("fitted = 2026-01-01\n", ""), encoding="utf-8")
    words = ("--samples", "20", "--vary", "R1.wall_thickness")
    assert what_if(system, *words) == 1
    out = capsys.readouterr().out
    assert "at 1, where the metal ruptures, in all samples" in out
    assert "no input changes it" in out
    assert "0.000" not in out
    assert "Sobol" not in out
    assert what_if(system, *words, "--json", "-") == 1
    assert json.loads(capsys.readouterr().out)["what_if"]["sampled"]["indices"] is None


def test_inputs_that_were_varied_together_are_told_beside_the_others(system, capsys):
    assert what_if(system, "--samples", "200") in (0, 1)
    out = capsys.readouterr().out
    assert "others together" in out
