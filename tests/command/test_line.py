"""The command line as a person meets it: exit codes, messages, files written or not."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from airrisk.command.line import EXIT_FINDINGS, run
from airrisk.fire.stopping import Cancelled
from airrisk.kernel import shipped
from airrisk.study import assessment, what_if
from airrisk.tables import resource_path
from tests.study.cure_plants import PLANTS

SCHOOL = "school-laboratory.toml"


@pytest.fixture
def school(sample_folder) -> Path:
    return sample_folder / SCHOOL


def edited(path: Path, folder: Path, old: str, new: str) -> Path:
    text = path.read_text(encoding="utf-8")
    assert old in text
    target = folder / "edited.toml"
    target.write_text(text.replace(old, new, 1), encoding="utf-8")
    return target


def test_a_sample_whose_line_is_not_safe_ends_with_1_and_says_what_was_found(school, capsys):
    assert run(["assess", str(school), "--no-bores"]) == EXIT_FINDINGS
    shown = capsys.readouterr().out
    assert "vents in time" in shown
    assert "not a certificate" in shown
    assert "8 bar(g)" in shown


def test_a_sound_system_ends_with_0(school, tmp_path):
    # joined to the vessel, the line is emptied by the plug there
    text = school.read_text(encoding="utf-8")
    joined = text.replace('closed = ["V1"]', "closed = []").replace(
        'state = "open"', 'state = "locked open"'
    )
    file = tmp_path / "joined.toml"
    file.write_text(joined, encoding="utf-8")
    assert run(["assess", str(file), "--no-bores"]) == 0


def test_json_goes_to_the_screen_alone(school, capsys):
    assert run(["assess", str(school), "--no-bores", "--json", "-"]) == EXIT_FINDINGS
    answer = json.loads(capsys.readouterr().out)
    assert answer["format"] == 2
    assert answer["on"] == "2026-11-01"
    assert answer["vessels"]["R1"]["volume_m3"] == pytest.approx(0.05, rel=1e-9)


def test_json_is_written_beside_the_printed_answer(school, tmp_path, capsys):
    target = tmp_path / "answer.json"
    assert run(["assess", str(school), "--no-bores", "--json", str(target)]) == EXIT_FINDINGS
    assert json.loads(target.read_text(encoding="utf-8"))["program"]["name"] == "airrisk"
    assert "Parts" in capsys.readouterr().out


def test_us_units_are_printed_on_request(school, capsys):
    run(["assess", str(school), "--no-bores", "--units", "US customary"])
    shown = capsys.readouterr().out
    assert "psig" in shown
    assert "bar(g)" not in shown


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('pressure = "8 bar(g)"', 'pressure = "8 bar"', "gauge"),
        ('pressure = "8 bar(g)"', 'pressure = "8"', "unit"),
        ('pressure = "8 bar(g)"', 'pressure = "-3 bar(a)"', "pressure"),
        ('pressure = "8 bar(g)"', 'pressure = "nan bar(g)"', "number"),
        ('material = "P265GH"', 'material = "P265GX"', "P265GH"),
        ('on = "R1"', 'on = "R9"', "R9"),
        ("format = 2", "format = 99", "newer"),
        ("[[vessel]]", "[[vessel", "line"),
    ],
)
def test_a_wrong_file_ends_with_2_one_clear_message_and_nothing_written(
    school, tmp_path, capsys, old, new, says
):
    target = tmp_path / "answer.json"
    wrong = edited(school, tmp_path, old, new)
    assert run(["assess", str(wrong), "--json", str(target)]) == 2
    shown = capsys.readouterr()
    assert says in shown.err
    assert "edited.toml" in shown.err
    assert "Traceback" not in shown.err
    assert not target.exists()


def test_all_mistakes_are_told_at_once(school, tmp_path, capsys):
    wrong = edited(school, tmp_path, 'material = "P265GH"', 'material = "cheese"')
    wrong.write_text(
        wrong.read_text(encoding="utf-8").replace('pressure = "8 bar(g)"', 'pressure = "8 bar"', 1),
        encoding="utf-8",
    )
    assert run(["assess", str(wrong)]) == 2
    shown = capsys.readouterr().err
    assert "cheese" in shown
    assert "8 bar" in shown


@pytest.mark.parametrize(
    "content", [b"\x00\x01\x02\xff" * 64, b"format = 1\n[[vessel]]\nid = ", b"", b"\xff\xfe\x00"]
)
def test_binary_truncated_and_empty_files_are_explained(tmp_path, capsys, content):
    target = tmp_path / "system.toml"
    target.write_bytes(content)
    assert run(["assess", str(target)]) == 2
    assert "system.toml" in capsys.readouterr().err


def test_a_file_of_50_mb_is_refused_before_it_is_parsed(tmp_path, capsys):
    target = tmp_path / "large.toml"
    with target.open("wb") as stream:
        stream.truncate(50_000_000)
    assert run(["assess", str(target)]) == 2
    assert "2 MB" in capsys.readouterr().err


def test_a_missing_file_ends_with_2(tmp_path, capsys):
    assert run(["assess", str(tmp_path / "none.toml")]) == 2
    assert "none.toml" in capsys.readouterr().err


def test_a_wrong_date_ends_with_2(school, capsys):
    assert run(["assess", str(school), "--on", "1 May"]) == 2
    assert "YYYY-MM-DD" in capsys.readouterr().err


def test_a_folder_that_cannot_be_written_ends_with_2(school, tmp_path, capsys):
    target = tmp_path / "missing" / "answer.json"
    assert run(["assess", str(school), "--no-bores", "--json", str(target)]) == 2
    assert "cannot be written" in capsys.readouterr().err


def test_upkeep_on_a_later_date_is_overdue(school, capsys):
    assert run(["upkeep", str(school), "--on", "2026-11-01"]) == 0
    assert run(["upkeep", str(school), "--on", "2030-01-01"]) == 1
    assert "overdue" in capsys.readouterr().out


def test_upkeep_exports_register_calendar_and_walk_sheet(school, tmp_path):
    files = [tmp_path / name for name in ("u.csv", "u.ics", "w.csv")]
    register, calendar, walk = map(str, files)
    words = ["upkeep", str(school), "--csv", register, "--ics", calendar, "--walk", walk]
    assert run(words) == 0
    assert files[0].read_text(encoding="utf-8-sig").startswith("device,on,fitted")
    assert "BEGIN:VCALENDAR" in files[1].read_text(encoding="utf-8")
    assert "FP1" in files[2].read_text(encoding="utf-8-sig")


def test_actions_are_listed_and_a_late_one_ends_with_1(school, tmp_path, capsys):
    assert run(["actions", str(school), "--on", "2026-11-01"]) == 0
    assert "has no action" in capsys.readouterr().out
    deed = (
        '\n[[action]]\nid = "A1"\nrule = "plug-overdue"\npart = "FP1"\ndecision = "do"\n'
        'text = "renew it"\nowner = "Stores"\ndue = 2026-12-01\n'
    )
    file, table, days = (tmp_path / name for name in ("late.toml", "a.csv", "a.ics"))
    file.write_text(school.read_text(encoding="utf-8") + deed, encoding="utf-8")
    words = ["actions", str(file), "--csv", str(table), "--ics", str(days), "--on"]
    assert run([*words, "2026-11-01"]) == 0
    assert run([*words, "2026-12-02"]) == 1
    shown = capsys.readouterr().out
    assert "A1  due soon: FP1, " in shown
    assert "Who: Stores; due, or until: 2026-12-01" in shown
    assert "A1,do,plug-overdue,FP1,renew it,renew it,Stores,2026-12-01" in table.read_text(
        "utf-8-sig"
    )
    assert "DTSTART;VALUE=DATE:20261201" in days.read_text(encoding="utf-8")


def test_compare_lists_what_changed(school, tmp_path, capsys):
    other = edited(school, tmp_path, 'pressure = "8 bar(g)"', 'pressure = "7 bar(g)"')
    assert run(["compare", str(school), str(school), "--no-causes"]) == 0
    assert "Nothing has changed.\n" in capsys.readouterr().out
    assert run(["compare", str(school), str(other), "--no-causes"]) == 1
    assert "7 bar(g)" in capsys.readouterr().out


def test_compare_tells_which_cause_is_solved(tmp_path, capsys):
    painted, clean, noted = (tmp_path / f"{name}.toml" for name in ("painted", "clean", "noted"))
    text = PLANTS["a painted plug"]
    painted.write_text(text, encoding="utf-8")
    clean.write_text(text.replace("painted over", "clean"), encoding="utf-8")
    noted.write_text(text + "# a comment\n", encoding="utf-8")
    assert run(["compare", str(painted), str(clean)]) == 1
    shown = capsys.readouterr().out
    assert "FP1: Condition: painted over -> clean" in shown
    assert "solved: \u25c6 danger: vessel R1, not safe in a fire" in shown
    assert "changed" in shown.partition("Verdicts")[2]
    assert run(["compare", str(painted), str(noted), "--no-causes"]) == 0
    assert "comments or the way of writing" in capsys.readouterr().out


def test_report_needs_to_know_what_to_write(school, capsys):
    assert run(["report", str(school)]) == 2
    assert "--pdf" in capsys.readouterr().err


def test_plain_tables_are_written_by_the_ending_of_their_name(school, tmp_path, capsys):
    book, packed = tmp_path / "a.xlsx", tmp_path / "a.ZIP"
    for target in (book, packed):
        run(["report", str(school), "--tables", str(target)])
        assert target.read_bytes()[:2] == b"PK"
    assert "wrote" in capsys.readouterr().out
    other = tmp_path / "a.ods"
    assert run(["report", str(school), "--tables", str(other)]) == 2
    assert "must end in .xlsx or .zip" in capsys.readouterr().err
    assert not other.exists()


def test_pages_are_the_short_report_unless_all_of_it_is_asked_for(school, tmp_path):
    short, full = tmp_path / "short.html", tmp_path / "full.html"
    run(["report", str(school), "--html", str(short)])
    run(["report", str(school), "--html", str(full), "--full"])
    assert "Conclusion and sign-off" in short.read_text(encoding="utf-8")
    assert "What is checked against what" in full.read_text(encoding="utf-8")
    assert len(full.read_bytes()) > 3 * len(short.read_bytes())


def test_samples_are_listed(capsys):
    assert run(["samples"]) == 0
    shown = capsys.readouterr().out
    for name in ("school-laboratory", "slate-quarry", "river-ferry", "dairy-hall", "sawmill"):
        assert name in shown


def test_assessing_imports_nothing_heavy(school):
    heavy = {"PySide6", "CoolProp"}
    if shipped.belongs("drive"):  # numba loads scipy
        heavy |= {"scipy", "numba"}
    script = (
        "import sys\n"
        "from airrisk.__main__ import main\n"
        f"code = main(['assess', {str(school)!r}])\n"
        f"heavy = {heavy!r} & set(sys.modules)\n"
        "print('heavy', sorted(heavy), code)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=300, check=True
    )
    assert done.stdout.rstrip().endswith(f"heavy [] {EXIT_FINDINGS}")


def test_without_a_display_one_sentence_names_the_cure(monkeypatch, capsys):
    if not sys.platform.startswith("linux"):
        pytest.skip("only X11 and Wayland need a display variable")
    from airrisk.__main__ import main

    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    assert main(["some.toml"]) == 3
    shown = capsys.readouterr().err
    assert shown.count("\n") == 1
    assert "airrisk assess" in shown


def test_a_mistyped_command_is_named_and_opens_no_window(capsys):
    from airrisk.__main__ import main

    assert main(["asess", "some.toml"]) == 2
    shown = capsys.readouterr().err
    assert shown.count("\n") == 1
    assert "'asess'" in shown
    assert "assess" in shown.replace("asess", "")


def test_the_chapter_for_students_is_of_a_vessel_of_the_file(school, tmp_path, capsys):
    from airrisk.command.line import run

    page = tmp_path / "school.html"
    assert run(["report", str(school), "--html", str(page), "--energies", "r1"]) == EXIT_FINDINGS
    text = page.read_text(encoding="utf-8")
    assert "ideal gas" in text
    assert "What pressure, volume and temperature do to R1" in text
    page.unlink()
    assert run(["report", str(school), "--html", str(page), "--energies", "R9"]) == 2
    assert "valid: R1" in capsys.readouterr().err
    assert not page.exists()


@pytest.mark.parametrize(
    "words",
    [
        ("assess", "--json"),
        ("report", "--json"),
        ("what-if", "--samples", "10", "--json"),
    ],
    ids=lambda words: words[0],
)
def test_an_interrupt_ends_a_run_with_130_and_leaves_the_file_as_it_was(
    school, tmp_path, monkeypatch, capsys, words
):
    """Property: whatever is being computed when the person presses Ctrl+C."""

    def interrupted(*_, watcher=None, should_stop=None, **__):
        should_stop = should_stop or watcher.should_stop
        signal.raise_signal(signal.SIGINT)
        raise Cancelled if should_stop() else AssertionError("goes on")

    for module, name in ((assessment, "assess"), (what_if, "what_if")):
        monkeypatch.setattr(module, name, interrupted)
    target = tmp_path / "answer.json"
    target.write_text("of last time", encoding="utf-8")
    before = signal.getsignal(signal.SIGINT)
    assert run([words[0], str(school), *words[1:], str(target)]) == 130
    assert capsys.readouterr().err.strip() == "stopped"
    assert target.read_text(encoding="utf-8") == "of last time"
    assert list(tmp_path.iterdir()) == [target]
    assert signal.getsignal(signal.SIGINT) is before


WRITING = {
    "report": ["--pdf"],
    "assess": ["--no-bores", "--json"],
    "upkeep": ["--csv"],
    "what-if": ["--samples", "0", "--html"],
}


@pytest.mark.parametrize("command", WRITING)
@pytest.mark.parametrize("under", ["its own name", "a link", "another ending", "another system"])
def test_a_system_file_is_never_written_over(school, tmp_path, capsys, command, under):
    own = tmp_path / "Own.TOML"
    own.write_bytes(school.read_bytes())
    target = own
    if under == "a link":
        if os.name == "nt":
            pytest.skip("links need a right of their own there")
        target = tmp_path / "answer.out"
        target.symlink_to(own)
    elif under == "another ending":
        target = tmp_path / "answer.out"
        os.link(own, target)
    elif under == "another system":
        target = tmp_path / "other.txt"
        target.write_bytes(school.read_bytes().replace(b"R1", b"R2"))
    before = target.read_bytes()
    assert run([command, str(own), *WRITING[command], str(target)]) == 2
    assert own.read_bytes() == school.read_bytes()
    assert target.read_bytes() == before
    told = "a system file is not written over" if under == "another system" else "the input file"
    shown = capsys.readouterr().err
    assert told in shown
    assert "valid: another name" in shown


def test_a_new_file_does_not_take_a_name_of_system_files(school, tmp_path, capsys):
    target = tmp_path / "answer.toml"
    assert run(["report", str(school), "--json", str(target)]) == 2
    assert not target.exists()
    assert f"--json {target}" in capsys.readouterr().err


def test_one_file_is_not_written_twice(school, tmp_path, capsys):
    target = tmp_path / "answer"
    assert run(["report", str(school), "--html", str(target), "--csv", str(target)]) == 2
    assert "--html already writes this file" in capsys.readouterr().err
    assert not target.exists()


def test_the_answer_of_a_report_goes_to_the_screen_alone(school, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    page = tmp_path / "page.csv"
    assert run(["report", str(school), "--json", "-", "--csv", str(page)]) == EXIT_FINDINGS
    assert json.loads(capsys.readouterr().out)["format"] == 2
    assert list(tmp_path.iterdir()) == [page]
    assert run(["report", str(school), "--pdf", "-"]) == 2
    assert "only --json goes to the screen" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [page]


@pytest.mark.parametrize("words", [["--what-if", "10"], ["--energies", "R1"]])
def test_a_chapter_that_nothing_written_can_hold_is_refused(school, tmp_path, capsys, words):
    target = tmp_path / "answer.csv"
    assert run(["report", str(school), "--csv", str(target), *words]) == 2
    assert f"{words[0]} adds a chapter to PDF and HTML" in capsys.readouterr().err
    assert not target.exists()


def test_a_file_with_nothing_to_assess_is_not_shown_as_clear(tmp_path, capsys):
    empty = tmp_path / "empty.toml"
    empty.write_text("format = 1\n", encoding="utf-8")
    assert run(["assess", str(empty)]) == 3
    shown = capsys.readouterr().out
    assert "No findings" not in shown
    assert "Nothing was assessed" in shown
    page = tmp_path / "empty.html"
    assert run(["report", str(empty), "--html", str(page)]) == 3
    text = page.read_text(encoding="utf-8")
    assert "Nothing was assessed" in text
    assert "No finding above a note" not in text
    assert run(["compare", str(empty), str(empty)]) == 3


def filled(school: Path, tmp_path: Path, line: str) -> Path:
    sheet = tmp_path / "filled.csv"
    sheet.write_text(f"place,found,date,by,remark\n{line}\n", encoding="utf-8")
    return sheet


def test_a_filled_walk_sheet_is_listed_and_written_into_a_new_file(school, tmp_path, capsys):
    sheet = filled(school, tmp_path, "RV1,leaking,2026-10-30,A. Weaver,hisses")
    new = tmp_path / "new.toml"
    words = ["upkeep", str(school), "--filled", str(sheet), "--write", str(new)]
    assert run(words) == 1
    assert "New inspections: 1" in capsys.readouterr().out
    assert 'condition = "leaking"' in new.read_text(encoding="utf-8")
    assert run(["assess", str(new), "--no-bores"]) == 1
    assert "was found leaking" in capsys.readouterr().out
    assert run(words) == 2  # never over a file that stands there
    assert "is there already" in capsys.readouterr().err


def test_a_sheet_of_another_file_is_refused_and_nothing_is_written(school, tmp_path, capsys):
    sheet = filled(school, tmp_path, "RV77,clean,2026-10-30,A. Weaver,")
    new = tmp_path / "new.toml"
    assert run(["upkeep", str(school), "--filled", str(sheet), "--write", str(new)]) == 2
    assert "place = RV77: not in this file" in capsys.readouterr().err
    assert not new.exists()
    assert run(["upkeep", str(school), "--write", str(new)]) == 2
    assert "--filled" in capsys.readouterr().err


def test_the_schema_of_the_answer_is_written_whole(tmp_path, capsys):
    published = resource_path("answer.schema.json").read_bytes()
    assert run(["schema"]) == 0
    assert json.loads(capsys.readouterr().out) == json.loads(published)
    copy = tmp_path / "answer.schema.json"
    assert run(["schema", "--output", str(copy)]) == 0
    assert copy.read_bytes() == published
    assert run(["schema", "--output", str(tmp_path)]) == 2
    assert "that is a folder" in capsys.readouterr().err


def test_chapters_are_chosen_by_name_and_a_wrong_one_lists_all(school, tmp_path, capsys):
    page = tmp_path / "page.html"
    assert (
        run(["report", str(school), "--html", str(page), "--chapters", "owners, fires"])
        == EXIT_FINDINGS
    )
    text = page.read_text(encoding="utf-8")
    assert 'id="owners"' in text
    assert 'id="decision"' not in text
    assert run(["report", str(school), "--html", str(page), "--chapters", "fires,sums"]) == 2
    told = capsys.readouterr().err
    assert "'sums': no such chapter; valid: decision," in told
    assert run(["report", str(school), "--html", str(page), "--chapters", "actions"]) == 2
    assert "nothing to tell" in capsys.readouterr().err
    assert run(["report", str(school), "--csv", str(page), "--chapters", "fires"]) == 2


def test_what_changed_is_written_as_pages(school, tmp_path, capsys):
    new = edited(school, tmp_path, 'wall_thickness = "4 mm"', 'wall_thickness = "5 mm"')
    page = tmp_path / "changes.html"
    words = ["compare", str(school), str(new), "--no-causes", "--report"]
    assert run([*words, str(page)]) == 1
    assert "What has changed between two versions" in page.read_text(encoding="utf-8")
    assert run([*words, str(tmp_path / "changes.txt")]) == 2
    assert "must end in .pdf or .html" in capsys.readouterr().err
