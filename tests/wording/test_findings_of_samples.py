"""The findings of the samples, and of samples with worse plugs, read sentence by sentence."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from airrisk import tables
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study.records import Assessment, Finding
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.samples.answers import answer_beside, sample_answer, sample_installation

NAMES = sorted(tables.sample_names())
WORSE: dict[str, dict[str, Any]] = {
    "overdue": {"fitted": dt.date(2024, 1, 1)},
    "painted over": {"condition": "painted over"},
    "of unknown alloy": {"alloy": None},
    "offered": {"offered": ("bore",)},
    "at the drain": {"place": "drain"},
}
KIND = "plug|vessel|line|valve|disc|compressor|junction|use"
# what may be said of a device that can be counted on, and of no other
REASSURING = (
    "vents in time through", "lets its air out", "in every run", "is enough", "accept the plug",
    "protects", "may be shut", "with something in hand",
)  # fmt: skip
NEVER_SAID = (
    "in_fire", "exposed_share", "plugs_in_fire", "response =", "follows wall", "fire-outcome",
    "tensile-ky", "annex-a", "from memory", "None", "{", "  ", "Turned round",
)  # fmt: skip


@cache
def answered(name: str, worse: str = "") -> Assessment:
    """A sample, or the same with every plug worse in one way and never inspected."""
    if not worse:
        return sample_answer(name)
    whole = sample_installation(name)
    plugs = tuple(replace(plug, **WORSE[worse]) for plug in whole.plugs)
    return answer_beside(replace(whole, plugs=plugs, inspections=()), bores=False)


def sentences(finding: Finding) -> list[str]:
    units = Units("metric", 101300.0)
    text = f"{finding_text(finding, units)} {finding_cure(finding, units)}"
    return re.split(r"(?<=[.;:]) ", text.replace("\u00a0", " "))


@pytest.mark.parametrize("name", NAMES)
def test_every_sentence_is_short_and_plain(name):
    for finding in answered(name, "").findings:
        for text in sentences(finding):
            assert len(text.split()) <= 30, text
            assert text[0].isupper() or text[0].isdigit() or ":" in " ".join(sentences(finding))
            assert len(set(re.findall(r"\d (s|min|h)\b", text))) <= 1, text
            assert not re.search(r"\d\.\d{5}|\de[-+]\d|\b0\.000", text), text
            for word in NEVER_SAID:
                assert word not in text, text


@pytest.mark.parametrize("name", NAMES)
def test_every_id_comes_with_what_it_is_at_its_first_mention(name):
    """Property: "plug FP1", and only after that "FP1"."""
    whole = sample_installation(name)
    ids = [r.id for group in (whole.parts(), whole.devices(), whole.valves) for r in group]
    for finding in answered(name, "").findings:
        text = finding_text(finding, Units("metric", 101300.0))
        for one in ids:
            first = re.search(rf"(?<![\w-]){re.escape(one)}(?![\w-])", text)
            if first is None:
                continue
            before = text[: first.start()]
            assert re.search(
                rf"(?:{KIND})s? (?:[\w-]+(?:, | and ))*$",
                before,
                re.IGNORECASE,
            ), text


@pytest.mark.parametrize(
    ("name", "worse"), [*((name, "") for name in NAMES), *(("river-ferry", one) for one in WORSE)]
)
def test_no_device_that_a_finding_rejects_is_named_reassuringly_in_another(name, worse):
    answer = answered(name, worse)
    assert not answer.failures
    rejected = {one.part for one in answer.findings if one.severity != "note"}
    rejected |= {device for fire in answer.fires for device in fire.uncredited}
    devices = {row.device for row in answer.upkeep} & rejected
    assert devices or not worse
    for finding in answer.findings:
        for text in sentences(finding):
            named = {one for one in devices if re.search(rf"(?<![\w-]){one}(?![\w-])", text)}
            assert not (named and any(word in text for word in REASSURING)), text


def test_a_plug_that_its_runs_prove_is_named_in_place_of_a_relief_valve():
    """The other side: with nothing against it, the plug of a receiver cut off is named."""
    text = SystemText(tables.sample_path("river-ferry").read_bytes())
    text = text.set("FP1", "outlet", "piped").set("FP1", "outlet_length", "4 m")
    text = text.set("FP1", "outlet_diameter", "53.1 mm")
    text = text.set("FP1", "outlet_place", "outdoors, nobody passes")
    whole = read(text.text)
    answer = answer_beside(whole, bores=False)
    told = [one for one in answer.findings if one.rule == "relief-valve-can-be-isolated"]
    named = {one.part: one.values["plugs"] for one in told}
    assert named == {"SB1": ("FP1",), "SB2": ()}
