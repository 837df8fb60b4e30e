"""``airrisk map``."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from airrisk.command.line import run
from airrisk.installation.reading import load_bytes
from airrisk.study import keep_clear_table, plug_sides
from airrisk.tables import sample_path

JOINERY = str(sample_path("joinery"))
POOL = ["--fuel", "diesel", "--diameter", "1 m", "--positions", "60", "--quick"]


def test_it_prints_the_worst_sections_and_writes_data_and_pictures(tmp_path, capsys):
    files = {name: tmp_path / f"map.{name}" for name in ("csv", "svg", "png", "json")}
    words = [word for name, path in files.items() for word in (f"--{name}", str(path))]
    assert run(["map", JOINERY, *POOL, *words]) == 1
    told = capsys.readouterr().out
    assert "diesel, pool of 1 m" in told
    assert "Vessel R1" in told
    assert "at most four runs" in told
    assert "may move outwards" in told
    assert all(path.stat().st_size > 0 for path in files.values())
    assert json.loads(files["json"].read_text(encoding="utf-8"))["fire_map"]["fuel"] == "diesel"


def test_a_source_of_the_file_is_moved_about(capsys):
    words = ["--source", "thinner", "--positions", "30", "--quick"]
    assert run(["map", JOINERY, *words]) == 0  # 25 L burn too short a time to harm anything
    assert "Thinner" in capsys.readouterr().out


def test_sides_of_plugs_and_distances_are_told_and_written(tmp_path, capsys, monkeypatch):
    whole, _ = load_bytes(sample_path("joinery"))
    small = replace(whole, vessels=whole.vessels[:1], lines=whole.lines[:1])
    for module, name, more in (
        (plug_sides, "plug_sides", {"across": 3}),
        (keep_clear_table, "keep_clear_table", {"diameters": (0.5,)}),
    ):
        asked = getattr(module, name)

        def few(_, *given, asked=asked, more=more, **words):
            return asked(small, *given, **words, **more)

        monkeypatch.setattr(module, name, few)
    data, answer = tmp_path / "sides.csv", tmp_path / "a.json"
    words = ["--sides", "--distances", "--sides-csv", str(data), "--json", str(answer)]
    assert run(["map", JOINERY, *POOL, *words]) == 1
    told = capsys.readouterr().out
    assert "a plug like FP1" in told
    assert "From the pool's edge to the shell, in m" in told
    rows = data.read_text(encoding="utf-8-sig").splitlines()
    assert rows[0].startswith("vessel,fuel,diameter_m,like,place,faces_deg")
    assert len(rows) == 1 + 9
    found = json.loads(answer.read_text(encoding="utf-8"))
    assert found["plug_sides"][0]["sides"][0]["place"] == "top"
    assert found["keep_clear"][0]["sizes"][0]["diameter_m"] == 0.5
    assert len(found["keep_clear"][0]["sizes"][0]["with_plugs_m"]) == 8


def test_distances_of_goods_are_refused(capsys, tmp_path):
    text = sample_path("joinery").read_text(encoding="utf-8")
    goods = '\n[[fire_source]]\nid = "Pile"\nkind = "goods"\ndiameter = "1 m"\n'
    file = tmp_path / "own.toml"
    file.write_text(text + goods + 'heat_release = "500 kW"\nat = [5.0, 5.0]\n', encoding="utf-8")
    assert run(["map", str(file), "--source", "Pile", "--distances"]) == 2
    assert "--distances needs a pool of fuel" in capsys.readouterr().err


def test_a_jet_is_moved_about(capsys):
    words = ["--jet", "2 m", "--positions", "40", "--quick"]
    assert run(["map", JOINERY, *words]) == 1
    told = capsys.readouterr().out
    assert "Where a jet may burn: level jet flame of 2" in told
    assert "pointed at each part in turn" in told


def test_json_goes_to_the_screen_alone(capsys):
    assert run(["map", JOINERY, *POOL, "--json", "-"]) == 1
    assert json.loads(capsys.readouterr().out)["fire_map"]["stage"] == "picture"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "Say which pool"),
        (["--fuel", "diesel"], "Say which pool"),
        (["--fuel", "coal", "--diameter", "2 m"], 'fuel "coal" is not known'),
        (["--fuel", "diesel", "--diameter", "2 kg"], "--diameter:"),
        (["--fuel", "diesel", "--diameter", "-2 m"], "more than 0"),
        (["--fuel", "diesel", "--diameter", "60 m"], "0.2 to 50 m"),
        (["--fuel", "diesel", "--diameter", "2 m", "--volume", "0 L"], "more than 0"),
        (["--source", "X"], "valid: Day-tank, Thinner"),
        (["--source", "Thinner", "--fuel", "diesel"], "Say --source alone"),
        (["--mass-flow", "1 kg/s"], "Say which jet"),
        (["--jet", "3 m", "--diameter", "1 m"], "Say a jet alone"),
        (["--jet", "900 m"], "0.1 to 200 m"),
        (["--jet", "3 m", "--direction", "3 m"], "--direction:"),
        (["--jet", "3 m", "--sides"], "need a pool, not a jet"),
    ],
)
def test_a_wrong_pool_is_refused(capsys, words, told):
    assert run(["map", JOINERY, *words]) == 2
    assert told in capsys.readouterr().err


def test_a_file_without_places_is_refused(capsys, tmp_path):
    tables = sample_path("joinery").read_text(encoding="utf-8").split("\n[[")
    bare = [re.sub(r"(?m)^at = .*\n", "", one) if one.startswith("vessel") else one
            for one in tables]  # fmt: skip
    file = tmp_path / "own.toml"
    file.write_text("\n[[".join(bare), encoding="utf-8")
    assert run(["map", str(file), *POOL]) == 2
    assert "no vessel or line has a place on the plan (field at)" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("coal, 2 m", 'fuel "coal" is not known'),
        ("Nobody", "valid: Day-tank, Thinner, all, or fuel and"),
        ("diesel, 2 kg", "--diameter:"),
    ],
)
def test_a_report_refuses_a_map_of_no_pool_before_it_begins(capsys, tmp_path, name, told):
    target = tmp_path / "out.html"
    assert run(["report", JOINERY, "--html", str(target), "--map", name]) == 2
    assert told in capsys.readouterr().err
    assert not target.exists()


def test_a_map_in_a_report_needs_pdf_or_html(capsys, tmp_path):
    assert run(["report", JOINERY, "--json", str(tmp_path / "a.json"), "--map", "all"]) == 2
    assert "--map adds a chapter" in capsys.readouterr().err
