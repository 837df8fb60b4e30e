"""The rules that every sentence for people keeps, and a command that reads random systems by them.

``python -m tests.wording.sentence_rules --count 500`` reads what five hundred random systems make
the program say; the tests read a few of them, the samples and every error of the reader. With
``--few-runs`` each part meets one heat and one share of a fire instead of all: ten times as fast,
and the sentences are the same ones.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterable, Iterator

from airrisk.installation.fields import all_fields
from airrisk.installation.model import Installation
from airrisk.installation.reading import read
from airrisk.study import envelope
from airrisk.study.assessment import assess
from airrisk.study.records import Assessment
from airrisk.tables import read_toml
from airrisk.wording.units import Units
from tests.independent.random_systems import random_system
from tests.wording.said import Said, said

MOST_WORDS = 30
MOST_FIGURES = 4
KINDS = (
    "plug", "vessel", "line", "valve", "disc", "compressor", "junction", "use", "device", "fire",
    "room", "place",
)  # fmt: skip
NEVER_SAID = (
    "None", "nan", "inf", "{", "}", "from memory", "Turned round", "Thinnest measured",
    "in_fire", "follows wall", "Bi58Sn42 (", "TODO", " ,", " .", "..", "( ", "although none",
    "State in", "C alloy (", "lets its air out through", "may be shut", "is safe because",
)  # fmt: skip
_ALLOWED = ("°C alloy (",)
# a finite verb or an imperative that the findings use; a text without one is no sentence
VERBS = frozenset(
    """
    is are was were be has have had holds hold may can could cannot does do did would will should
    ruptures outlasts vents passes opens open opened stands stand blows blow lets let gets get fit
    renew set stop move keep make give take put look find clean check state describe lock choose
    aim correct weld drain derate measure enter ask lead count counts assess order plan fly flies
    keeps delivers discharges begins begin runs reaches reach reads melts melt answers needs need
    adds carries carry burns bursts burst hangs depends survives survive lies enters asks turns
    turn works work crept creeps helps help allows allow shield insulate change confirm add draw
    demands wants feeds waits say says tells tell leaks bring brings comes ends remarks stay stays
    leave leaves serve serves cure see lower belong belongs happens
    """.split()  # noqa: SIM905
)


def sentences(text: str) -> list[str]:
    """A text cut where a person would draw breath: after a full stop, a semicolon or a label."""
    pieces = re.split(r"(?<=[.!?;])\s+|(?<=:)\s+(?=[A-Z“])", text)
    return [piece for piece in pieces if piece]


def words(sentence: str, ids: Iterable[str]) -> int:
    """Words as they are read: a list of ids is one, a number with its unit is one."""
    for name in sorted(ids, key=len, reverse=True):
        sentence = re.sub(rf"(?<![\w-]){re.escape(name)}(?![\w-])", "\x01", sentence)
    listed = re.sub("\x01(?:(?:, | and )\x01)+", "\x01", sentence)
    return len(listed.split(" "))


def too_long(text: str, ids: Iterable[str]) -> Iterator[str]:
    """Sentences that nobody reads to their end."""
    for one in sentences(text):
        count = words(one, ids)
        if count > MOST_WORDS:
            yield f"{count} words: {one}"


def id_without_kind(text: str, ids: Iterable[str]) -> Iterator[str]:
    """Ids that come without what they are at their first mention."""
    kind = "|".join(KINDS)
    for name in ids:
        first = re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", text)
        if first is None:
            continue
        before = text[: first.start()]
        if not re.search(
            rf"\b(?:{kind})s? (?:[\w-]+(?: \([^)]*\))?(?:, | and ))*$", before, re.IGNORECASE
        ):
            yield f"{name} without its kind: {text}"


def two_units_of_time(text: str, ids: Iterable[str] = ()) -> Iterator[str]:
    """Sentences that ask the reader to turn minutes into seconds."""
    for one in sentences(text):
        units = set(re.findall(r"\d[\s\u00a0](s|min|h)\b", one))
        if len(units) > 1:
            yield f"{sorted(units)}: {one}"


def file_key(text: str, ids: Iterable[str] = ()) -> Iterator[str]:
    """Keys of the system file and other words with an underscore."""
    keys = {one.key for _, one in all_fields() if "_" in one.key}
    for found in re.findall(r"[a-z]+(?:_[a-z0-9]+)+", text):
        yield f"{'key' if found in keys else 'code word'} {found}: {text}"


def rule_name(text: str, ids: Iterable[str] = ()) -> Iterator[str]:
    """Names of rules and of strength bases, which only programs know."""
    names = {*read_toml("findings.toml"), "tensile-ky", "annex-a", "own body"} - set(ids)
    for name in names:
        if re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", text):
            yield f"{name}: {text}"


_NO_QUANTITY = re.compile(
    r"\d{4}-\d{2}-\d{2}|(?:EN|ISO|API|ASME|OSHA|NBS|WRC|BS)(?: [A-Z]+)?[ -][\w.-]+|\b[A-Z]\w*\d\w*"
    r"|\b[A-Z][a-z]?\d[\w.]*"
)


def absurd_number(text: str, ids: Iterable[str] = ()) -> Iterator[str]:
    """Numbers in powers of ten, with more than four figures, or that are nothing at all."""
    for name in sorted(ids, key=len, reverse=True):
        text = re.sub(rf"(?<![\w-]){re.escape(name)}(?![\w-])", "_", text)
    bare = _NO_QUANTITY.sub("_", text)
    for found in re.finditer(r"(?<![\w.])\d+(?:\.\d+)?(?:e[-+]?\d+)?", bare):
        number = found.group()
        mantissa = number.replace(".", "").lstrip("0")
        figures = len(mantissa if "." in number else mantissa.rstrip("0"))
        if "e" in number or figures > MOST_FIGURES or re.fullmatch(r"0\.0+", number):
            yield f"{number}: {text}"


def double_space(text: str, ids: Iterable[str] = ()) -> Iterator[str]:
    """What a piece that was left out leaves behind."""
    if "  " in text or text != text.strip() or "\n" in text:
        yield f"space: {text!r}"


def no_verb(text: str, ids: Iterable[str] = ()) -> Iterator[str]:
    """Pieces of a finding that say nothing about anything."""
    for one in sentences(text.replace(";", ",")):  # what follows one may lean on the verb before
        if not one.endswith(":") and not VERBS.intersection(re.findall(r"[a-z]+", one.lower())):
            yield f"no verb: {one}"


def margin_without_measure(text: str, ids: Iterable[str] = ()) -> Iterator[str]:
    """Margins and loads that do not say what they are measured to."""
    for one in sentences(text.replace("\u00a0", " ")):
        if "strength use" in one and re.search(r"strength use \d", one) and "limit" not in one:
            yield f"strength use without its limit: {one}"
        if re.search(r"\bdamage \d", one) and "limit" not in one:
            yield f"damage without its limit: {one}"
        if re.search(r"margin of \d", one) and "wanted" not in one:
            yield f"margin without what is wanted: {one}"
        if re.search(r"margin (?:is )?\d", one):
            yield f"margin of nothing: {one}"


def forbidden(text: str, ids: Iterable[str] = ()) -> Iterator[str]:
    """Words that nobody should read."""
    bare = text
    for allowed in _ALLOWED:
        bare = bare.replace(allowed, "")
    for word in NEVER_SAID:
        pattern = rf"\b{word}\b(?! of)" if word.isalpha() else re.escape(word)
        if re.search(pattern, bare):
            yield f"{word!r}: {text}"


EVERYWHERE = (
    too_long, id_without_kind, two_units_of_time, file_key, rule_name, absurd_number, double_space,
    margin_without_measure, forbidden,
)  # fmt: skip


def ids_of(installation: Installation) -> frozenset[str]:
    """The ids that a text may speak of, those that are plain words left out."""
    groups = (
        installation.parts(), installation.devices(), installation.valves, installation.rooms,
        installation.fires,
    )  # fmt: skip
    return frozenset(one.id for group in groups for one in group)


def faults_of(one: Said, ids: frozenset[str]) -> list[str]:
    """What is wrong with one text."""
    rules = (*EVERYWHERE, no_verb) if one.kind in ("finding", "to do") else EVERYWHERE
    return [
        f"{one.kind} ({one.where}), {rule.__name__}: {fault}"
        for rule in rules
        for fault in rule(one.text, ids)
    ]


def faults(answer: Assessment, installation: Installation) -> list[str]:
    """What is wrong with all that an answer says, each text once."""
    units = Units("metric", installation.site.ambient_pressure)
    ids = ids_of(installation)
    found = [fault for one in said(answer, installation, units) for fault in faults_of(one, ids)]
    return list(dict.fromkeys(found))


def answered(seed: int, *, bores: bool) -> tuple[Assessment, Installation]:
    """A random system with its answer."""
    installation = read(random_system(seed))
    assert installation.choices.audit_date is not None
    return assess(installation, installation.choices.audit_date, bores=bores), installation


def fewer_runs() -> None:
    """One heat, one share and one wall thickness for every part, for as long as this process."""
    for name, few in (("HEATS", (1.0,)), ("SHARES", (0.05,)), ("THINNER", (1.0,))):
        setattr(envelope, name, few)


def main(arguments: list[str] | None = None) -> int:
    """Read many random systems and print what is wrong; 1 where anything is."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--no-bores", action="store_true")
    parser.add_argument("--few-runs", action="store_true")
    given = parser.parse_args(arguments)
    if given.few_runs:
        fewer_runs()
    wrong = 0
    for seed in range(given.first, given.first + given.count):
        for fault in faults(*answered(seed, bores=not given.no_bores)):
            wrong += 1
            print(f"system {seed}, {fault}", flush=True)
    print(f"{given.count} systems, {wrong} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
