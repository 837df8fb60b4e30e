"""Every text for people passes the door: a language of marks leaves no English outside of them."""

from __future__ import annotations

import html
import re

import pytest

from airrisk import quantities, tables
from airrisk.command import printing
from airrisk.command.line import run
from airrisk.installation.fields import FIELDS
from airrisk.installation.model import Installation
from airrisk.installation.reading import check
from airrisk.installation.values import rule_names
from airrisk.physics.alloys import alloys
from airrisk.physics.metal import materials
from airrisk.report.html import report_html
from airrisk.study.records import Finding
from airrisk.wording import languages
from airrisk.wording.findings import finding_text
from airrisk.wording.translation import tr
from airrisk.wording.units import Units
from tests.samples.answers import sample_answer, sample_installation, samples_to_print
from tests.wording.pseudo_language import english_in, pseudo_language

# Signs of units and formulas, and words of the file that stand in examples.
SIGNS = frozenset({"bar", "mbar", "mm", "kg", "min", "kJ", "kPa", "ft", "in", "lbf", "psi",
                   "psig", "psia", "deg", "degC", "degF", "months", "month",
                   "airrisk"})  # fmt: skip
FORMULAS = frozenset({"rho", "exp", "ln", "sqrt", "pi", "max", "min", "lg", "tau", "eps",
                      "sigma"})  # fmt: skip
NAMES = re.compile(r"[\w-]+")


def own_words(installation: Installation) -> frozenset[str]:
    """What the user has typed: titles, areas, remarks, names."""
    text = repr(installation)
    return frozenset(NAMES.findall(text))


@pytest.mark.parametrize("name", samples_to_print())
def test_report_and_command_speak_one_language(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    answer, installation = sample_answer(name), sample_installation(name)
    said: list[str] = []
    monkeypatch.setattr(printing, "say", lambda text="": said.append(text))
    with pseudo_language() as language:
        page = report_html(answer, installation)
        printing.print_assessment(answer, "metric")
        printing.print_upkeep(answer.upkeep, answer.on)
    assert language.unknown == set()
    body = re.sub(r"<(style|script).*?</\1>", "", page, flags=re.DOTALL)
    texts = [html.unescape(text) for text in re.findall(r">([^<]+)<", body)] + said
    assert len(texts) > 500
    allowed = SIGNS | FORMULAS | own_words(installation) | {one.key for one in alloys()}
    english = {text: found for text in texts if (found := english_in(text, allowed))}
    assert english == {}, sorted({word for words in english.values() for word in words})


READ = ("dairy-hall", "joinery")
WRONG_VALUES = ('"nonsense"', "-1", "[]", '"1 furlong"', '"1e9 bar(g)"', "true", '""', "{}", "1.5")


def broken_files() -> list[str]:
    """The samples with each value wrong in several ways, each line left out, each key misspelt."""
    out = []
    for name in READ:
        lines = tables.sample_path(name).read_text(encoding="utf-8").splitlines()
        for number, line in enumerate(lines):
            key, equals, _ = line.partition(" = ")
            if not equals or line.startswith("#"):
                continue
            others = [f"{key} = {value}" for value in WRONG_VALUES]
            for other in (*others, "", f"{key}x = 1", f"{key} = 12 mm", f"{key} 5"):
                out.append("\n".join((*lines[:number], other, *lines[number + 1 :])))
    return out[::23]


def test_errors_of_the_reader_speak_it_too() -> None:
    keys = {word for kind, specs in FIELDS.items() for one in specs
            for word in (kind, one.key, *one.choices)}  # fmt: skip
    words = {part for key in keys for part in NAMES.findall(key)}
    words |= {one.key for one in (*alloys(), *materials())} | {
        "true",
        "false",
        "nonsense",
        "furlong",
        *rule_names(),
    }
    for name in READ:  # ids and areas
        words |= set(NAMES.findall(tables.sample_path(name).read_text(encoding="utf-8")))
    told: dict[str, list[str]] = {}
    with pseudo_language() as language:
        for text in broken_files():
            for problem in check(text)[1]:
                # what is quoted is an example of what to type
                shown = re.sub(r'"[^"]*"|\[[^\]]*\]|{[^}]*}', "", tr(problem.told))
                typed = NAMES.findall(f"{problem.value} {problem.field} {problem.part}")
                found = english_in(shown, SIGNS | frozenset(words) | frozenset(typed))
                if found:
                    told[shown] = found
    assert told == {}, sorted({word for found in told.values() for word in found})
    assert language.unknown == set()


@pytest.mark.parametrize("command", ["assess", "report", "what-if", "upkeep", "compare", "samples"])
def test_help_of_the_command_line_speaks_it(
    command: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    languages.speak("en")  # as at a start: click's own words in English
    monkeypatch.setattr("airrisk.wording.languages.speak", lambda code: "")
    with pseudo_language() as language:
        assert run([command, "--help"]) == 0
    shown = capsys.readouterr().out
    # click's own words follow the language of gettext's domain, which has no marks
    click_says = {"Usage", "Options", "Show", "this", "message", "and", "exit", "default", "range"}
    own = {"metric", "customary", "latin", "hypercube", "sobol", "Letter", command, "what", "if"}
    options = set(re.findall(r"--?[\w-]+", shown))
    plain = re.sub(r"--?[\w-]+", " ", shown)
    assert english_in(plain, frozenset(click_says | own | options | SIGNS)) == []
    assert language.unknown == set()


def test_a_unit_of_another_kind_is_told_without_any_english() -> None:
    """The other reader's errors allow the keys of the file, which are called as quantities are."""
    with pseudo_language() as language:
        for kind in quantities.kinds():
            for other in quantities.kinds():
                for unit in quantities.units_of(other)[:2]:
                    try:
                        quantities.parse(f"5 {unit}", kind, ambient_pressure=101325.0)
                    except quantities.QuantityError as error:
                        told = re.sub(r"""'[^']*'|"[^"]*\"""", "", tr(error.reason))
                        assert english_in(told) == [], told
    assert language.unknown == set()


def test_why_a_run_came_to_no_end_is_told_without_any_english() -> None:
    with pseudo_language():
        for reason in ("evaluation budget spent", "time step too small", "solver"):
            found = Finding(
                "calculation-failed", "danger", "", "", {
                    "variant": "fire", "fire": "F1", "reason": reason, "place": "R1",
                },
            )  # fmt: skip
            assert "solver" not in finding_text(found, Units())
            assert english_in(finding_text(found, Units())) == []
