"""For translators: ``python -m airrisk.wording.catalogue new | update | check | ...``.

Makes the file of texts of a new language, brings those of the others up to date with the
sources, and checks what has been translated.
"""

from __future__ import annotations

import argparse
import re
import string
import sys
from collections.abc import Iterator
from pathlib import Path

from babel.messages import pofile
from babel.messages.catalog import Catalog, Message

from airrisk.wording.catalogue_making import Damaged, codes, make_products, read_source
from airrisk.wording.catalogue_places import source_path
from airrisk.wording.extraction import Text, all_texts
from airrisk.wording.languages import LANGUAGES

WIDTH = 100  # of the lines of a .po
HEAD = "# Texts of airrisk. English stands behind msgid, the other language behind msgstr."


def _empty(code: str | None = None) -> Catalog:
    return Catalog(
        locale=code, project="airrisk", version="1", header_comment=HEAD, fuzzy=False,
        msgid_bugs_address="airrisk", last_translator="airrisk", language_team="airrisk",
    )  # fmt: skip


def template(texts: list[Text] | None = None) -> Catalog:
    """An empty catalogue of all texts, or of those given."""
    found = _empty()
    for one in all_texts() if texts is None else texts:
        name = (one.text, one.plural) if one.plural else one.text
        found.add(name, locations=[(one.file, 0)], context=one.context or None)
    return found


def write(catalogue: Catalog, path: Path) -> None:
    """Write a ``.po``; nothing in it changes but what a translator or a source has changed."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        pofile.write_po(file, catalogue, width=WIDTH, include_lineno=False, ignore_obsolete=True)


def new(code: str, folder: Path | None = None) -> Path:
    """Make the file of a language without any translation.

    Raises
    ------
    FileExistsError
        There is one.
    babel.UnknownLocaleError
        There is no such language.
    """
    path = source_path(code, folder)
    if path.exists():
        raise FileExistsError(f"{path} is there already; update brings it up to date")
    found = template()
    empty = _empty(code)
    empty.update(found)
    write(empty, path)
    return path


def update(code: str, folder: Path | None = None) -> Path:
    """Bring the file of a language up to date with the sources.

    What has gone is taken out. A text that has changed keeps its translation marked as fuzzy,
    which is not used until a translator has looked at it.
    """
    path = source_path(code, folder)
    found = read_source(path.read_bytes(), code)
    found.update(template(), update_creation_date=False)
    write(found, path)
    return path


def take(code: str, others: list[Path], folder: Path | None = None) -> int:
    """Fill in what other files of the same language have translated; returns how many texts."""
    path = source_path(code, folder)
    found = read_source(path.read_bytes(), code)
    count = 0
    for other in others:
        for one in read_source(other.read_bytes(), code):
            mine = found.get(one.id, one.context) if one.id else None
            if mine is None or one.fuzzy or not _is_translated(one):
                continue
            mine.string = one.string
            mine.flags.discard("fuzzy")
            count += 1
    write(found, path)
    return count


def part(code: str, under: str, out: Path, folder: Path | None = None) -> int:
    """Write the texts of some sources that are not translated to a file of their own.

    Parameters
    ----------
    code : str
        The language.
    under : str
        Beginning of the sources' paths, ``airrisk/window``; empty for all.
    out : Path
        The file to translate in, for ``take``.
    """
    found = read_source(source_path(code, folder).read_bytes(), code)
    wanted = _empty(code)
    for one in found:
        here = not under or any(name.startswith(under) for name, _ in one.locations)
        if one.id and here and (one.fuzzy or not _is_translated(one)):
            wanted.add(one.id, locations=one.locations, context=one.context)
    write(wanted, out)
    return len(wanted)


def _is_translated(one: Message) -> bool:
    return all(one.string) if isinstance(one.string, (tuple, list)) else bool(one.string)


def places(text: str) -> set[tuple[str, str]]:
    """The ``{named}`` places of a text with their formats.

    Raises
    ------
    ValueError
        Its braces do not belong together.
    """
    return {
        (name, form or "")
        for _, name, form, _ in string.Formatter().parse(text)
        if name is not None
    }


def wrong_with(original: str, translated: str) -> str:
    """What a translation breaks; empty if nothing.

    Parameters
    ----------
    original, translated : str
        English and the other language.
    """
    try:
        wanted = places(original)
    except ValueError:  # braces that stand for themselves
        wanted = set()
        if original.count("{") != translated.count("{"):
            return "other braces than the original"
    else:
        try:
            found = places(translated)
        except ValueError as error:
            return f"braces: {error}"
        if wanted != found:
            names = ", ".join(sorted(f"{{{name}}}" for name, _ in wanted ^ found))
            return f"other places than the original: {names}"
    for name, mark in (("a space", " "), ("a line end", "\n")):
        if (original[:1] == mark) != (translated[:1] == mark):
            return f"{name} at the beginning of one and not of the other"
        if (original[-1:] == mark) != (translated[-1:] == mark):
            return f"{name} at the end of one and not of the other"
    if bool(_KEY.search(original)) != bool(_KEY.search(translated)):
        return "& in front of the letter of a key is in one and not in the other"
    return ""


_KEY = re.compile(r"&[^\W\d_]")


def mistakes(catalogue: Catalog) -> Iterator[str]:
    """Every mistake in the translations of a catalogue, one line each."""
    for one in catalogue:
        if not one.id or one.fuzzy:
            continue
        originals = one.id if isinstance(one.id, (tuple, list)) else (one.id,)
        strings = one.string if isinstance(one.string, (tuple, list)) else (one.string,)
        for number, text in enumerate(strings):
            if text:
                said = wrong_with(originals[min(number, len(originals) - 1)], text)
                if said:
                    yield f"{originals[0]!r} -> {text!r}: {said}"


def check(code: str, folder: Path | None = None) -> tuple[list[str], int, int]:
    """What is wrong with the file of a language.

    Returns
    -------
    tuple of list, int and int
        Mistakes; texts that are translated; texts that there are.
    """
    found = read_source(source_path(code, folder).read_bytes(), code)
    known = {
        (one.id, one.context) for one in found if one.id and not one.fuzzy and _is_translated(one)
    }
    wanted = {(one.id, one.context) for one in template() if one.id}
    done = wanted & known
    return list(mistakes(found)), len(done), len(wanted)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m airrisk.wording.catalogue")
    deeds = parser.add_subparsers(dest="deed", required=True)
    for name, text in (
        ("new", "make the file of a language, nothing translated yet"),
        ("update", "bring the files up to date with the sources"),
        ("check", "check the translations; exit 1 when one is wrong"),
        ("take", "fill in what other files have translated"),
        ("part", "write what is not translated to a file of its own"),
    ):
        deed = deeds.add_parser(name, help=text)
        deed.add_argument("code", nargs="?" if name in {"update", "check"} else None)
        if name == "take":
            deed.add_argument("files", nargs="+", type=Path)
        if name == "part":
            deed.add_argument("out", type=Path)
            deed.add_argument("--under", default="", help="beginning of the sources' paths")
        if name == "check":
            deed.add_argument("--complete", action="store_true", help="nothing may be missing")
    deeds.add_parser("compile", help="make what the program reads (.mo)")
    return parser


def _checked(code: str, complete: bool) -> bool:
    told, done, there = check(code)
    for line in told:
        print(f"{code}: {line}")
    print(f"{code}: {done} of {there} texts translated, {len(told)} mistakes")
    return not told and (done == there or not complete)


def main(words: list[str]) -> int:
    """Run one of the commands; returns the exit code."""
    told = _parser().parse_args(words)
    try:
        return _run(told)
    except (Damaged, OSError) as error:
        print(error, file=sys.stderr)
        return 1


def _run(told: argparse.Namespace) -> int:
    if told.deed == "new":
        print(f"made {new(told.code)}")
        if told.code not in LANGUAGES:
            print(f'now a line "{told.code}": Language(...) in LANGUAGES of languages.py')
    elif told.deed == "update":
        for code in [told.code] if told.code else codes():
            print(f"wrote {update(code)}")
    elif told.deed == "check":
        chosen = [told.code] if told.code else codes()
        return 0 if sum(not _checked(code, told.complete) for code in chosen) == 0 else 1
    elif told.deed == "take":
        print(f"{take(told.code, told.files)} texts filled in")
    elif told.deed == "part":
        print(f"{part(told.code, told.under, told.out)} texts in {told.out}")
    else:
        for path in make_products():
            print(f"made {path}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
