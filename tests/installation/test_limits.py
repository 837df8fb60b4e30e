"""Files that are deep, crowded or no files: one clear answer, and work that grows as the text."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from airrisk.editing import Document
from airrisk.editing.copies import pasted
from airrisk.editing.raw_values import is_readable, table_values
from airrisk.editing.review import is_review
from airrisk.installation import decoding
from airrisk.installation.problems import MOST_TOLD, SystemFileErrors
from airrisk.installation.reading import check, examine, load_bytes
from airrisk.installation.splice import EditError, SystemText

DEEP = {
    "a dotted key": "format = 1\n" + ".".join(["a"] * 600) + " = 1\n",
    "a dotted key in quotes": "format = 1\n" + ".".join(['"a b"'] * 600) + " = 1\n",
    "a dotted key with spaces": "format = 1\n" + " . ".join(["a"] * 600) + " = 1\n",
    "a header": "format = 1\n[" + ".".join(["a"] * 600) + "]\n",
    "lists": "format = 1\nx = " + "[" * 600 + "]" * 600 + "\n",
    "lists on many lines": "format = 1\nx = " + "[\n" * 600 + "]\n" * 600 + "\n",
    "braces": "format = 1\nx = " + "{ a = " * 600 + "1" + "}" * 600 + "\n",
    "lists never closed": "format = 1\nx = " + "[" * 100_000,
}


@pytest.mark.parametrize("text", DEEP.values(), ids=DEEP)
def test_deep_nesting_is_one_clear_mistake(text: str) -> None:
    installation, problems = check(text, "deep.toml")
    assert installation is None
    (problem,) = problems
    assert "nested" in problem.message
    assert f"up to {decoding.MAX_DEPTH}" in problem.valid
    assert problem.line
    assert len(str(problem)) < 300
    assert not is_readable(text)
    assert table_values(text, "") == {}
    assert not is_review(text, text)
    assert pasted(SystemText("format = 1\n"), text) is None
    with pytest.raises(EditError, match="nested"):
        SystemText(text).set("", "title", "x")
    assert Document(text).installation is None


def test_nesting_as_deep_as_allowed_is_read() -> None:
    deep = decoding.MAX_DEPTH
    key = ".".join(["a"] * deep)
    assert decoding.parse_toml(f"{key} = 1\n[{key}.b]\n"[: len(key) + 5])["a"]
    assert decoding.parse_toml("x = " + "[" * deep + "]" * deep)["x"] is not None


def test_dots_and_brackets_in_texts_and_remarks_nest_nothing() -> None:
    many = "[" * 300 + "." * 300
    text = (
        f'format = 1\n# {many}\ntitle = "{many} \\" {many}"\n[about]\nsite = \'{many}\'\n'
        f'prepared_by = """{many}\n{many} \\""" {many}"""\n'
        f"checked_by = '''{many}\n'{many}'''\n"
    )
    assert check(text)[1] == []


def test_the_slip_before_a_deep_place_is_told_first() -> None:
    text = "format = 1\n" + '[[vessel]\nid = "R1"\n' * 500
    (problem,) = check(text)[1]
    assert problem.line == 2
    assert "nested" not in problem.message


@pytest.mark.parametrize("text", [".".join(["a"] * 900_000), "[" * 1_900_000, "{a=" * 600_000])
def test_a_deep_text_never_reaches_the_grammar(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    lengths: list[int] = []

    def short_only(words: str, **_more: object) -> dict[str, object]:
        lengths.append(len(words))
        raise decoding.tomllib.TOMLDecodeError("Invalid value (at end of document)")

    monkeypatch.setattr(decoding.tomllib, "loads", short_only)
    assert "nested" in check(text)[1][0].message
    assert max(lengths, default=0) < 1000


def crowd(count: int) -> str:
    """Tables with one id and nothing that they need."""
    return "format = 1\n" + '[[vessel]]\nid = "R1"\n' * count


def strangers(count: int) -> str:
    """Tables with a field and references that nobody knows."""
    return "format = 1\n" + "".join(
        f'[[plug]]\nid = "P{n}"\nbor{n} = "1 m"\non = "Q{n}"\nalloy = "tim{n}"\n'
        for n in range(count)
    )


def top_keys(count: int) -> str:
    return "format = 1\n" + "".join(f"vessle{n} = 1\n" for n in range(count))


def unreached(count: int) -> str:
    """A fire with shares of vessels that it does not reach."""
    names = [f"R{n}" for n in range(count)]
    shares = ", ".join(f"{name} = 0.5" for name in names)
    reached = ", ".join(f'"J{n}"' for n in range(count))
    tables = "".join(
        f'[[vessel]]\nid = "{name}"\n[[vessel]]\nid = "J{name[1:]}"\n' for name in names
    )
    fire = f'[[fire]]\nid = "F"\ncurve = "slow"\nreaches = [{reached}]\n'
    return f"format = 1\n{tables}{fire}exposed_share = {{ {shares} }}\n"


def spreads(count: int) -> str:
    rows = "".join(f"[spread.Q{n}]\nwall = 1\n" for n in range(count))
    return "format = 1\n" + '[[junction]]\nid = "Q"\n' + rows


CROWDS = {"one id": crowd, "unknown names": strangers, "unknown keys": top_keys,
          "shares": unreached, "spreads": spreads}  # fmt: skip


@pytest.mark.parametrize("make", CROWDS.values(), ids=CROWDS)
def test_a_hundred_mistakes_are_told_and_the_rest_is_counted(make: Callable[[int], str]) -> None:
    found = examine(make(2000), "crowd.toml")
    assert found.installation is None
    *told, last = found.problems
    assert len(told) == MOST_TOLD
    assert all(one.line and one.message for one in told)
    assert [one.line for one in told] == sorted(one.line or 0 for one in told)
    assert "more mistakes" in last.message
    more = int("".join(c for c in last.message if c.isdigit()))
    assert more + MOST_TOLD >= 2000
    assert len("\n".join(map(str, found.problems))) < 100_000


def steps_of(work: Callable[[], object]) -> int:
    """How many lines of Python a piece of work runs, each turn of a loop counted."""
    count = 0

    def watch(_frame: object, _event: str, _argument: object) -> object:
        nonlocal count
        count += 1
        return watch

    before = sys.gettrace()
    sys.settrace(watch)
    try:
        work()
    finally:
        sys.settrace(before)
    return count


@pytest.mark.parametrize("make", CROWDS.values(), ids=CROWDS)
def test_the_work_grows_as_the_text(make: Callable[[int], str]) -> None:
    examine(make(10))
    half, whole = (steps_of(lambda n=n: examine(make(n))) for n in (300, 600))
    assert whole < 2.2 * half


def test_few_mistakes_are_all_told() -> None:
    found = examine(crowd(3))
    assert len(found.problems) < MOST_TOLD
    assert not any("more mistakes" in one.message for one in found.problems)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("format = 1\n" + "[[junction]]\n" * 5001, "more than 5000 tables"),
        ("format = 1\nx = [" + "1," * 50_001 + "]\n", "more than 50000 values"),
        ("format = 1\n" + "".join(f"k{n} = 1\n" for n in range(50_001)), "50000 values"),
    ],
)
def test_too_many_tables_or_values_is_one_mistake(text: str, says: str) -> None:
    (problem,) = check(text)[1]
    assert says in problem.message
    assert "up to" in problem.valid


@pytest.mark.parametrize(
    "line",
    ["a = x" + " " * 100_000 + "'", "a" * 100_000, "a = " + "9" * 100_000, "[" + "a" * 100_000,
     '"' + "k" * 100_000 + '" = 1'],
)  # fmt: skip
def test_a_very_long_line_is_told_in_a_short_message(line: str) -> None:
    (problem, *_more) = check(f"format = 1\n{line}\n")[1]
    assert len(str(problem)) < 1000


posix = pytest.mark.skipif(os.name == "nt", reason="no such files there")


@posix
def test_a_pipe_a_device_and_a_folder_are_refused_at_once(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    link = tmp_path / "link.toml"
    link.symlink_to("/dev/zero")
    for path in (pipe, link, tmp_path):
        refused: list[BaseException] = []

        def work(path: Path = path, refused: list[BaseException] = refused) -> None:
            try:
                load_bytes(path)
            except (SystemFileErrors, OSError) as error:
                refused.append(error)

        reader = threading.Thread(target=work, daemon=True)
        reader.start()
        reader.join(30)
        assert not reader.is_alive(), path
        assert "not a file" in str(refused[0]) or "folder" in str(refused[0])
        with pytest.raises(SystemFileErrors, match=r"not a file|folder"):
            Document.open(path)
