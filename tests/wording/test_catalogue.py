"""The catalogue of texts: what it finds, how a language is made, checked, read and spoken."""

from __future__ import annotations

import datetime as dt
import gettext
import os
import pickle
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from airrisk.command.line import run
from airrisk.installation.reading import check as check_file
from airrisk.messages import Message, said
from airrisk.wording import catalogue, catalogue_files, languages, translation
from airrisk.wording.catalogue_files import CatalogueLost, load
from airrisk.wording.catalogue_making import codes, make_products, read_source
from airrisk.wording.catalogue_places import product_path, source_path
from airrisk.wording.extraction import of_python, of_toml
from airrisk.wording.translation import date_text, english, ntr, tr
from airrisk.wording.units import Units, and_list, quantity_text


@pytest.fixture(autouse=True)
def english_again() -> Iterator[None]:
    yield
    translation.use(None)


def german(folder: Path, pairs: dict[str, str]) -> Path:
    """A file of a language with some texts translated."""
    path = catalogue.new("de", folder)
    found = read_source(path.read_bytes(), "de")
    for original, translated in pairs.items():
        found[original].string = translated
    catalogue.write(found, path)
    return path


def test_every_kind_of_place_is_found() -> None:
    source = '''
WORDS: Texts[dict[str, str]] = {"key": "a word"}
PAIRS: Forms[dict[str, tuple[str, str]]] = {"key": ("one egg", "many eggs")}

@commands.command(short_help="Short.")
@option("--x", help="What x is.")
def deed():
    """Do it."""
    tr("plain" if x else "other")
    tr("open", "state of a valve")
    ntr("{count} plug", "{count} plugs", n)
    report(said("no-such-part"))
    print("not for people")
'''
    found = {(one.text, one.plural, one.context) for one in of_python(source, "x.py")}
    assert found == {
        ("a word", "", ""), ("one egg", "many eggs", ""), ("Short.", "", ""),
        ("What x is.", "", ""), ("Do it.", "", ""), ("plain", "", ""), ("other", "", ""),
        ("open", "", "state of a valve"), ("{count} plug", "{count} plugs", ""),
    }  # fmt: skip
    table = (
        '[rule]\ntitle = "T"\ntext_other = "U"\nstanding = "V"\n'
        '[f]\nsymbols = { p = "pressure, Pa" }\n'
    )
    assert [one.text for one in of_toml(table, "x.toml", ("title", "text"))] == [
        "T", "U", "pressure",
    ]  # fmt: skip


def test_a_third_language_is_one_file(tmp_path: Path) -> None:
    path = catalogue.new("fr", tmp_path)
    assert path == source_path("fr", tmp_path)
    mistakes, done, there = catalogue.check("fr", tmp_path)
    assert (mistakes, done) == ([], 0)
    assert there > 2000
    assert codes(tmp_path) == ["fr"]
    with pytest.raises(FileExistsError, match="update brings it up to date"):
        catalogue.new("fr", tmp_path)
    # nothing translated: English, never an empty text
    translation.use(load("fr", tmp_path), "fr")
    assert tr("not computed") == "not computed"
    assert ntr("{count} note", "{count} notes", 2) == "{count} notes"


def test_what_is_translated_is_said(tmp_path: Path) -> None:
    german(
        tmp_path, {"not computed": "nicht berechnet", "{words} and {last}": "{words} und {last}"}
    )
    translation.use(load("de", tmp_path), "de", ",", "%d.%m.%Y")
    assert tr("not computed") == "nicht berechnet"
    assert and_list(["A", "B", "C"]) == "A, B und C"
    assert quantity_text(0.0125, "length", Units()) == "12,5\u00a0mm"
    assert date_text(dt.date(2026, 11, 1)) == "01.11.2026"
    with english():
        assert tr("not computed") == "not computed"
        assert quantity_text(0.0125, "length", Units()) == "12.5\u00a0mm"
        assert date_text(dt.date(2026, 11, 1)) == "2026-11-01"


def test_plural_forms_follow_the_language(tmp_path: Path) -> None:
    path = catalogue.new("pl", tmp_path)
    found = read_source(path.read_bytes(), "pl")
    found[("{count} note", "{count} notes")].string = (
        "{count} uwaga",
        "{count} uwagi",
        "{count} uwag",
    )
    catalogue.write(found, path)
    translation.use(load("pl", tmp_path), "pl")
    told = [ntr("{count} note", "{count} notes", n).format(count=n) for n in (1, 3, 5)]
    assert told == ["1 uwaga", "3 uwagi", "5 uwag"]


@pytest.mark.parametrize("damage", ["none", "missing", "torn", "empty", "older"])
def test_the_source_is_read_where_the_product_is_no_good(tmp_path: Path, damage: str) -> None:
    path = german(tmp_path, {"not computed": "nicht berechnet"})
    (product,) = make_products(tmp_path)
    assert product == product_path("de", tmp_path)
    if damage == "missing":
        product.unlink()
    elif damage == "torn":
        product.write_bytes(product.read_bytes()[:400])
    elif damage == "empty":
        product.write_bytes(b"")
    elif damage == "older":
        path.write_bytes(path.read_bytes().replace(b"nicht berechnet", b"unbekannt"))
    wanted = "unbekannt" if damage == "older" else "nicht berechnet"
    assert load("de", tmp_path).gettext("not computed") == wanted


@pytest.mark.parametrize("content", [None, b"", b"\xff\xfe\0", b'msgid "a\nmsgstr'])
def test_without_texts_english_is_spoken_and_one_line_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, content: bytes | None
) -> None:
    path = source_path("de", tmp_path)
    path.parent.mkdir(parents=True)
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(CatalogueLost):
        load("de", tmp_path)
    monkeypatch.setattr(catalogue_files, "FOLDER", tmp_path)
    monkeypatch.setattr(catalogue_files, "source_path", lambda code, folder=None: path)
    told = languages.speak("de")
    assert "English is used" in told
    assert "\n" not in told
    assert tr("not computed") == "not computed"
    assert translation.language() == "en"


def test_a_changed_text_waits_for_the_translator(tmp_path: Path) -> None:
    path = german(tmp_path, {"not computed": "nicht berechnet"})
    path.write_bytes(path.read_bytes().replace(b'msgid "not computed"', b'msgid "not computed!"'))
    catalogue.update("de", tmp_path)
    assert load("de", tmp_path).gettext("not computed") == "not computed"
    catalogue.update("de", tmp_path)
    before = path.read_bytes()
    catalogue.update("de", tmp_path)
    assert path.read_bytes() == before


def test_translators_can_share_the_work(tmp_path: Path) -> None:
    path = german(tmp_path, {})
    share = tmp_path / "share.po"
    count = catalogue.part("de", "airrisk/wording/units.py", share, tmp_path)
    assert 0 < count < 50
    text = share.read_text(encoding="utf-8")
    share.write_text(
        text.replace('msgid "not computed"\nmsgstr ""', 'msgid "not computed"\nmsgstr "unbekannt"'),
        encoding="utf-8",
    )
    assert catalogue.take("de", [share], tmp_path) == 1
    assert read_source(path.read_bytes(), "de")["not computed"].string == "unbekannt"


@pytest.mark.parametrize(
    ("original", "translated", "wrong"),
    [
        ("{part} opens", "{part} öffnet", ""),
        ("{a} of {b}", "{b}: {a}", ""),
        ("{part} opens", "{teil} öffnet", "{part}, {teil}"),
        ("{part} opens", "Es öffnet", "{part}"),
        ("at {time:3}", "bei {time}", "{time}"),
        ("at {time}", "bei {time", "braces"),
        ("fire = { curve }", "fire = { curve", "braces"),
        (" (plural)", "(Mehrzahl)", "a space"),
        ("&Open…", "Öffnen…", "letter of a key"),
    ],
)
def test_a_translation_that_breaks_something_is_found(
    original: str, translated: str, wrong: str
) -> None:
    told = catalogue.wrong_with(original, translated)
    assert bool(told) == bool(wrong)
    assert wrong in told


def test_the_command_of_translators_fails_on_a_mistake(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = german(tmp_path, {"{part} opens": "öffnet"})
    monkeypatch.setattr(catalogue, "source_path", lambda code, folder=None: path)
    assert catalogue.main(["check", "de"]) == 1
    assert "{part}" in capsys.readouterr().out


@pytest.mark.parametrize("code", codes())
def test_the_translations_that_come_along_break_nothing_and_are_whole(code: str) -> None:
    mistakes, done, there = catalogue.check(code)
    assert mistakes == []
    assert done == there  # python -m airrisk.wording.catalogue update de; part; take
    assert code in languages.LANGUAGES


def test_errors_of_the_reader_keep_their_pattern(tmp_path: Path) -> None:
    _, problems = check_file('format = 2\n[[vessel]]\nid = "R1"\nbore = "1 mm"\n', "file.toml")
    assert problems
    english_text = [str(problem) for problem in problems]
    german(tmp_path, {"no field of that name": "kein solches Feld", "vessel": "Behälter"})
    translation.use(load("de", tmp_path), "de")
    told = [tr(problem.told) for problem in problems]
    assert [str(problem) for problem in problems] == english_text
    assert any("Behälter R1, bore" in text and "kein solches Feld" in text for text in told)


def test_a_message_is_its_english_text() -> None:
    whole = Message("{part}: {reason}", {"part": "R1", "reason": said("no-such-part")})
    assert whole == "R1: no part of that id"
    assert isinstance(whole, str)
    again = pickle.loads(pickle.dumps(whole))
    assert again == whole
    assert isinstance(again, Message)
    assert again.values["reason"].pattern == "no part of that id"


def test_a_translation_never_breaks_a_message() -> None:
    class Wrong:
        def gettext(self, message: str) -> str:
            return "{nothing}"

        pgettext = ngettext = None

    translation.use(Wrong(), "de")  # type: ignore[arg-type]
    assert tr(said("part-without-id", part="R1")) == "R1 has no id"


def test_the_option_stands_anywhere_and_names_a_language() -> None:
    assert languages.taken_from(["assess", "f.toml"]) == (["assess", "f.toml"], "")
    assert languages.taken_from(["assess", "--language", "de", "f"]) == (["assess", "f"], "de")
    assert languages.taken_from(["--language=EN", "assess"]) == (["assess"], "en")
    assert languages.taken_from(["a", "--", "--language"]) == (["a", "--", "--language"], "")
    with pytest.raises(languages.UnknownLanguage, match="valid: en, de"):
        languages.taken_from(["--language", "tlh"])
    with pytest.raises(languages.UnknownLanguage):
        languages.taken_from(["--language"])


@pytest.mark.parametrize(
    ("environment", "code"),
    [
        ({}, "en"), ({"LANG": "C.UTF-8"}, "en"), ({"LANG": "de_AT.UTF-8"}, "de"),
        ({"LC_ALL": "C", "LANG": "de_DE"}, "en"), ({"LC_MESSAGES": "de", "LANG": "en_GB"}, "de"),
        ({"AIRRISK_LANGUAGE": "en", "LC_ALL": "de_DE"}, "en"), ({"LANG": "xx_XX"}, "en"),
        ({"LC_ALL": "", "LANG": "de-CH"}, "de"),
    ],
)  # fmt: skip
def test_the_system_chooses_where_there_are_texts(environment: dict[str, str], code: str) -> None:
    assert languages.wanted(environment) == code


def test_a_start_in_english_reads_no_catalogue() -> None:
    code = (
        "import sys\nfrom airrisk.__main__ import main\nmain(['samples'])\n"
        "print([m for m in sys.modules if 'babel' in m or 'catalogue' in m])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "AIRRISK_LANGUAGE": "en"},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == "[]"


def test_english_after_another_language_is_english_in_clicks_own_words_too(
    capsys: pytest.CaptureFixture[str],
) -> None:
    before = gettext.textdomain()
    gettext.textdomain("airrisk")  # as a language with a compiled catalogue leaves it
    try:
        assert run(["samples", "--help", "--language", "en"]) == 0
        assert gettext.textdomain() == languages.NO_DOMAIN
    finally:
        gettext.textdomain(before)
    assert capsys.readouterr().out.startswith("Usage:")
