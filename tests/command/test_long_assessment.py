"""A long assessment says so before it begins, and Ctrl+C ends it with nothing written."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from airrisk.command.line import run

VESSEL = """[[vessel]]
id = "R{k}"
inside_diameter = "800 mm"
volume = "1 m3"
wall_thickness = "8 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"
temperature = "35 degC"
"""
LINE = """[[line]]
id = "L{k}"
from = "R{a}"
to = "R{b}"
length = "3 m"
inside_diameter = "54.5 mm"
wall_thickness = "2.9 mm"
material = "P235TR1"
"""


def mesh(count: int) -> str:
    """Two rows of vessels joined along and across, no valve between them."""
    joints = [(k, k + 2) for k in range(count - 2)] + [(k, k + 1) for k in range(0, count - 1, 2)]
    blocks = [VESSEL.format(k=k) for k in range(count)]
    blocks += [LINE.format(k=k, a=a, b=b) for k, (a, b) in enumerate(joints)]
    head = 'format = 1\ntitle = "Mesh"\n[choices]\naudit_date = 2026-11-01\n'
    return "\n".join([head, *blocks])


def test_a_short_assessment_says_nothing_beforehand(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "one.toml"
    file.write_text(mesh(1), encoding="utf-8")
    run(["assess", str(file), "--no-bores"])
    assert capsys.readouterr().err == ""


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT to one process")
def test_a_long_one_is_announced_and_ends_with_130_and_no_file(tmp_path: Path) -> None:
    file = tmp_path / "mesh.toml"
    file.write_text(mesh(60), encoding="utf-8")
    target = tmp_path / "answer.json"
    words = ["assess", str(file), "--json", str(target)]
    with subprocess.Popen(
        [sys.executable, "-m", "airrisk", *words],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    ) as child:  # fmt: skip
        try:
            assert child.stderr is not None
            told = child.stderr.readline()
            assert told.startswith("At least ")
            assert "fire runs are ahead" in told
            assert "Ctrl+C ends it" in told
            child.send_signal(signal.SIGINT)
            out, error = child.communicate(timeout=120)
        finally:
            child.kill()
    assert child.returncode == 130
    assert error.strip() == "stopped"
    assert out == ""
    assert list(tmp_path.iterdir()) == [file]
