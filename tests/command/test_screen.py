"""Whatever the screen is: no traceback, and never the code that means findings."""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import sys
import threading
from functools import partial
from pathlib import Path

import pytest

from airrisk.command import line
from airrisk.command.line import EXIT_FINDINGS, run
from airrisk.command.screen import say
from airrisk.study import assessment
from airrisk.study.cache import StepCache

posix = pytest.mark.skipif(os.name == "nt", reason="no such files there")
ENCODINGS = ["ascii", "latin-1", "cp1252", "cp437", "cp850", "cp932", "koi8-r", "utf-16", "utf-8"]


STEPS = StepCache()


@pytest.fixture(autouse=True)
def remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same two files are asked about again and again: their steps are kept."""
    monkeypatch.setattr(assessment, "assess", partial(assessment.assess, cache=STEPS))


@pytest.fixture
def school(sample_folder: Path) -> Path:
    return sample_folder / "school-laboratory.toml"


@pytest.fixture
def renamed(school: Path, tmp_path: Path) -> Path:
    """A system with a title and an id that few encodings have."""
    text = school.read_text(encoding="utf-8").replace('"R1"', '"Κ1-Жж"')
    lines = ['title = "Łódź \\n\\nNo findings. °"' if one.startswith("title") else one
             for one in text.splitlines()]  # fmt: skip
    target = tmp_path / "renamed.toml"
    target.write_text("\n".join(lines), encoding="utf-8")
    return target


def screen(encoding: str) -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BytesIO(), encoding=encoding, newline="")


def shown_on(stream: io.TextIOWrapper) -> str:
    stream.flush()
    buffer = stream.buffer
    assert isinstance(buffer, io.BytesIO)
    return buffer.getvalue().decode(stream.encoding)


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_every_encoding_shows_the_whole_answer(
    renamed: Path, monkeypatch: pytest.MonkeyPatch, encoding: str
) -> None:
    answers = {}
    for one in ("utf-8", encoding):
        stream = screen(one)
        monkeypatch.setattr(sys, "stdout", stream)
        assert run(["assess", str(renamed), "--no-bores"]) == EXIT_FINDINGS
        answers[one] = shown_on(stream)
    assert len(answers[encoding].splitlines()) == len(answers["utf-8"].splitlines())
    assert "\ufffd" not in answers[encoding]
    assert "?" not in answers[encoding]
    if encoding == "ascii":
        assert "\\u039a1-\\u0416\\u0436" in answers["ascii"]
        assert "degC" in answers["ascii"]


@pytest.mark.parametrize("encoding", ENCODINGS)
@pytest.mark.parametrize("words", [["assess", "--no-bores"], ["what-if", "--samples", "0"]])
def test_the_json_on_the_screen_is_the_one_of_the_file(
    renamed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], encoding: str
) -> None:
    if words[0] == "what-if" and encoding not in ("ascii", "cp1252"):
        pytest.skip("the printing is the same")
    stream = screen(encoding)
    monkeypatch.setattr(sys, "stdout", stream)
    target = tmp_path / "answer.json"
    run([words[0], str(renamed), *words[1:], "--json", "-"])
    answer = shown_on(stream)
    run([words[0], str(renamed), *words[1:], "--json", str(target)])
    assert json.loads(answer) == json.loads(target.read_text(encoding="utf-8"))
    assert answer.endswith("}\n")


def test_a_title_of_many_lines_stays_on_one(renamed: Path, capsys: pytest.CaptureFixture) -> None:
    assert run(["assess", str(renamed), "--no-bores"]) == EXIT_FINDINGS
    shown = capsys.readouterr().out.splitlines()
    assert shown[0].startswith("Łódź \\n\\nNo findings. °, assessed on")
    assert "No findings." not in shown


def test_a_file_name_cannot_move_the_cursor_or_turn_the_line(
    tmp_path: Path, school: Path, capsys: pytest.CaptureFixture
) -> None:
    name = "a\u202eb\x1b[2Jc\nd"
    assert run(["assess", str(tmp_path / f"{name}.toml")]) == 2
    target = tmp_path / f"{name}.csv"
    assert run(["upkeep", str(school), "--csv", str(target), "--ics", str(target)]) == 2
    assert run(["report", str(school), "--csv", str(target)]) == EXIT_FINDINGS
    missing = tmp_path / "none" / f"{name}.csv"
    assert run(["upkeep", str(school), "--csv", str(missing)]) == 2
    assert run(["upkeep", str(school), f"--{name}"]) == 2
    shown = capsys.readouterr()
    for text in (shown.out, shown.err):
        assert "a\\u202eb\\x1b[2Jc" in text
        assert not any(char in text for char in "\u202e\x1b")
    assert "\nd" not in shown.err.replace("Try", "").partition("No such option")[0]
    bad = tmp_path / f"{name}.toml"
    bad.write_text("format = 1\nwrong = 1\n", encoding="utf-8")
    assert run(["assess", str(bad)]) == 2
    assert "a\\u202eb\\x1b[2Jc\\nd.toml:2: wrong" in capsys.readouterr().err


def child(words: list[str], **more: object) -> subprocess.CompletedProcess:
    environment = {**os.environ, "PYTHONUNBUFFERED": ""}
    return subprocess.run(
        [sys.executable, "-m", "airrisk", *words],
        stderr=subprocess.PIPE, text=True, timeout=300, check=False, env=environment,
        **more,  # type: ignore[call-overload]
    )  # fmt: skip


JSON = ["assess", "SCHOOL", "--no-bores", "--json", "-"]
COMMANDS = [["samples"], ["--help"], ["--version"], ["upkeep", "SCHOOL"], JSON]


@posix
@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_a_full_screen_ends_with_2_and_one_sentence(school: Path, words: list[str]) -> None:
    if not os.path.exists("/dev/full"):
        pytest.skip("no such device here")
    with open("/dev/full", "w") as full:
        done = child([str(school) if one == "SCHOOL" else one for one in words], stdout=full)
    assert done.returncode == 2
    assert "could not be written to the screen: No space left" in done.stderr
    assert done.stderr.count("\n") == 1


@posix
@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_a_screen_that_nobody_reads_ends_with_141_in_silence(
    school: Path, words: list[str]
) -> None:
    reads, writes = os.pipe()
    os.close(reads)
    done = child([str(school) if one == "SCHOOL" else one for one in words], stdout=writes)
    os.close(writes)
    assert (done.returncode, done.stderr) == (141, "")


@posix
@pytest.mark.parametrize("closed", [[1], [0, 1], [1, 2], [0, 1, 2]], ids=str)
def test_a_closed_screen_ends_with_2_and_no_file_takes_its_place(
    school: Path, tmp_path: Path, closed: list[int]
) -> None:
    target = tmp_path / "answer.json"
    shell = shutil.which("sh")
    assert shell
    words = [sys.executable, "-m", "airrisk", "assess", str(school), "--no-bores", "--json",
             str(target)]  # fmt: skip
    shut = " ".join(f"{number}>&-" for number in closed)
    done = subprocess.run(
        [shell, "-c", f'"$@" {shut}', "sh", *words],
        capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    if 2 not in closed:
        assert "the screen: it is closed" in done.stderr
    assert json.loads(target.read_text(encoding="utf-8"))["program"]["name"] == "airrisk"


def test_a_defect_of_the_program_is_no_finding(
    school: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RecursionError("too deep")

    monkeypatch.setattr(line, "assessed", broken)
    assert run(["assess", str(school)]) == 3
    shown = capsys.readouterr().err
    assert "too deep" in shown
    assert shown.splitlines()[-1].startswith("Error: airrisk has a defect")


def test_a_screen_closed_by_somebody_here_is_told(
    school: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture
) -> None:
    stream = screen("utf-8")
    stream.close()
    monkeypatch.setattr(sys, "stdout", stream)
    assert run(["samples"]) == 2
    assert "it is closed" in capsys.readouterr().err


def test_a_line_stays_one_line(capsys: pytest.CaptureFixture) -> None:
    say("a\u00a0b\nc\rd\x00")
    say()
    assert capsys.readouterr().out == "a b\\nc\\x0dd\\x00\n\n"


@posix
def test_results_go_through_pipes_and_devices_which_stay(school: Path, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    read: list[bytes] = []
    reader = threading.Thread(target=lambda: read.append(pipe.read_bytes()), daemon=True)
    reader.start()
    assert run(["assess", str(school), "--no-bores", "--json", str(pipe)]) == EXIT_FINDINGS
    reader.join(30)
    assert json.loads(read[0])["program"]["name"] == "airrisk"
    assert pipe.is_fifo()
    assert run(["upkeep", str(school), "--csv", "/dev/null"]) == 0
    assert Path("/dev/null").is_char_device()


OUTPUTS = [
    ["assess", "--no-bores", "--json"], ["report", "--pdf"], ["report", "--html"],
    ["report", "--csv"], ["report", "--json"], ["upkeep", "--csv"], ["upkeep", "--ics"],
    ["upkeep", "--walk"], ["what-if", "--samples", "0", "--json"],
    ["what-if", "--samples", "0", "--html"], ["what-if", "--samples", "0", "--pdf"],
]  # fmt: skip


@posix
@pytest.mark.parametrize("words", OUTPUTS, ids=" ".join)
def test_no_output_takes_the_place_of_what_is_no_file(
    school: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture, words: list[str],
) -> None:  # fmt: skip
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert run([words[0], str(school), *words[1:], str(pipe)]) == 2
    assert "nobody reads this pipe" in capsys.readouterr().err
    assert pipe.is_fifo()
    folder = tmp_path / "folder"
    folder.mkdir()
    monkeypatch.setattr(line, "read_installation", None)  # refused before anything is read
    assert run([words[0], str(school), *words[1:], str(folder)]) == 2
    assert "folder" in capsys.readouterr().err
    too_long = "x" * 300
    monkeypatch.undo()
    monkeypatch.chdir(tmp_path)
    assert run([words[0], str(school), *words[1:], too_long]) == 2
    assert "too long" in capsys.readouterr().err
    assert sorted(one.name for one in tmp_path.iterdir()) == ["folder", "pipe"]


@posix
def test_the_file_of_the_screen_is_not_replaced(school: Path, tmp_path: Path) -> None:
    target = tmp_path / "both"
    with target.open("w") as stream:
        done = child(["upkeep", str(school), "--csv", str(target)], stdout=stream)
    assert done.returncode == 2
    assert "the text of the screen goes to this file" in done.stderr
    with target.open("w") as stream:
        done = child(["upkeep", str(school), "--csv", "/dev/stdout"], stdout=stream)
    assert done.returncode == 2


def test_progress_shows_an_id_that_looks_like_markup(monkeypatch: pytest.MonkeyPatch) -> None:
    from airrisk.command.watching import watched

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with watched() as progress:
        assert progress is not None
        progress(0.5, "R[/x]1")
    assert "R[/x]1" in terminal.getvalue()
    monkeypatch.setattr(sys, "stderr", None)
    with watched() as progress:
        assert progress is None
