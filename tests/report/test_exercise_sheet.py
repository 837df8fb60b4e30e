"""The exercise sheet: each answer is what a person finds who does the question by hand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from airrisk.command.line import run
from airrisk.installation.reading import check
from airrisk.report.blocks import Formula, Paragraph, Table
from airrisk.report.exercise_sheet import MOST, build_exercise
from airrisk.tables import sample_names, sample_path

SCHOOL = "school-laboratory.toml"


def sheet(sample: str, part: str):
    installation, problems = check(sample_path(sample).read_text(encoding="utf-8"))
    assert installation is not None, problems
    return build_exercise(
        installation, next(one for one in installation.holders() if one.id == part)
    )


def answers(report) -> list[str]:
    paragraphs = [one.text for one in report.sections[1].blocks if isinstance(one, Paragraph)]
    return [one.replace("\u00a0", " ") for one in paragraphs if re.match(r"\d\. ", one)]


def test_answers_agree_with_ideal_gas_by_hand():
    # arithmetic: 50 L at 8 bar(g), 20 degC; lift at 12 bar(g); mean diameter 304 mm, 4 mm, 410 MPa
    given, asked = (one for one in sheet(SCHOOL, "R1").sections[0].blocks if isinstance(one, Table))
    values = {row[0]: row[1].replace("\u00a0", " ") for row in given.rows}
    assert values["Pressure"] == "8 bar(g)"
    assert len(asked.rows) == MOST
    found = answers(sheet(SCHOOL, "R1"))
    p, lift, ambient = 9.01325e5, 13.01325e5, 1.01325e5
    mass = p * 0.05 / (287.0 * 293.15)
    assert float(re.search(r"([\d.]+) kg", found[0])[1]) == pytest.approx(mass, rel=0.01)
    kelvin = 293.15 * lift / p
    told = float(re.search(r"([\d.]+) °C", found[1])[1])
    assert told + 273.15 == pytest.approx(kelvin, rel=0.01)
    shell = 0.85 * 410e6 * 2 * 0.004 / 0.304
    assert float(re.search(r"([\d.]+) bar", found[2])[1]) == pytest.approx(shell / 1e5, rel=0.01)
    energy = p * 0.05 / 0.4 * (1 - (ambient / p) ** (0.4 / 1.4))
    assert float(re.search(r"([\d.]+) kJ", found[6])[1]) == pytest.approx(energy / 1e3, rel=0.01)
    falling = energy / 98.0665
    assert float(re.search(r"([\d.]+) kg", found[7])[1]) == pytest.approx(falling, rel=0.01)


@pytest.mark.parametrize("sample", sample_names())
def test_every_part_of_every_sample_has_questions_and_an_answer_to_each(sample: str):
    installation, _ = check(sample_path(sample).read_text(encoding="utf-8"))
    for part in installation.holders():
        report = build_exercise(installation, part, "US customary")
        asked = report.sections[0].blocks[-1]
        assert 5 <= len(asked.rows) <= MOST
        assert len(answers(report)) == len(asked.rows)
        assert any(isinstance(block, Formula) for block in report.sections[1].blocks)


def test_condensate_is_left_out_and_said_so():
    report = sheet("dairy-hall.toml", "R1")
    texts = [one.text for one in report.sections[0].blocks if isinstance(one, Paragraph)]
    assert any("condensate" in one for one in texts)
    # dry, 35 degC and 7.5 bar(g): no steam brings the rupture forward
    assert "534" in " ".join(answers(report))


def test_the_command_writes_both_and_refuses_a_part_that_is_not_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    pdf, html = tmp_path / "a.pdf", tmp_path / "a.html"
    file = str(sample_path(SCHOOL))
    assert run(["exercise", file, "--part", "r1", "--pdf", str(pdf), "--html", str(html)]) == 0
    assert pdf.read_bytes().startswith(b"%PDF")
    page = html.read_text(encoding="utf-8")
    assert page.index("Your answer") < page.index("0.537")
    assert run(["exercise", file, "--part", "R9", "--pdf", str(tmp_path / "b.pdf")]) == 2
    assert "R9" in capsys.readouterr().err
    assert not (tmp_path / "b.pdf").exists()
    assert run(["exercise", file]) == 2
