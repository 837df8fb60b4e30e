"""No answer counts on a device, advises it or names it reassuringly that a finding of it rejects.

``python -m tests.wording.contradictions --count 200`` reads random systems and such whose plugs
have been made worse.
"""

from __future__ import annotations

import argparse
import datetime as dt
import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from airrisk.installation.model import Inspection, Installation
from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.records import Assessment
from airrisk.wording.units import Units
from tests.independent.random_systems import random_system
from tests.wording.said import said

# plugs that a finding rejects, each in its own way
WORSE: dict[str, dict[str, Any]] = {
    "overdue": {"fitted": dt.date(2024, 1, 1)},
    "painted over": {"condition": "painted over"},
    "of unknown alloy": {"alloy": None},
    "offered": {"offered": ("bore",)},
    "at the drain": {"place": "drain"},
    "never looked at": {"condition": "unknown"},
}
SEIZED = "seized relief valves"
# findings that take the credit from their part, with the variants that do
REJECTS: dict[str, tuple[str, ...]] = {
    "plug-overdue": (),
    "plug-alloy-unstated": (),
    "plug-condition": ("poor", "unknown"),
    "plug-in-liquid": ("under",),
    "inspection-found-fault": ("credit",),
    "value-offered": ("device",),
}
# what is said of a device that works; {} stands for the device, ~ for words of the same sentence
REASSURING = (
    r"vents in time: ~{}",
    r"(?:until|holds until) ~{} opens",
    r"vents? in time through ~{}",
    r"{}[^.,;]* (?:opens|open|lets|saves|serves|protects)\b|{}~is molten ~below",
    r"can reach ~{}",
    r"(?:kept|protected|emptied|let out) by ~{}",
    r"[Hh]eld at ~{}",
    r"in every run~{}|{}~in every run",
    r"{}~is enough",
    r"Fit plug {} where",
    r"Give plug {} (?:the|a larger bore)",
    r"least bore by the runs~{}|{}: least bore|{}: a bore of",
    r": plugs? (?:[\w-]+(?: \(no credit\))?(?:, | and ))*{}(?! \(no credit\))(?:,| and)",
)  # fmt: skip
# what takes it back in the same text
REJECTING = (
    r"[Nn]obody may count on ~{}",
    r"{}~nobody may count on it",
    r"{} \((?:no credit|overdue|under water|painted|offered|alloy|condition|no date)",
    r"{} \((?:corroded|scaled|seized|leaking|unknown)",
    r"[Rr]enew plug {}",
    r"{}~(?:no credit|although|would(?! already be enough))",
    r"although ~{}",
    r"Painted over here: ~{}",
)  # fmt: skip


def rejected(answer: Assessment) -> frozenset[str]:
    """Devices on which nobody may count."""
    found = {name for fire in answer.fires for name in fire.uncredited}
    for one in answer.findings:
        variants = REJECTS.get(one.rule)
        if variants is not None and (not variants or one.values.get("variant") in variants):
            found.add(one.part)
    devices = {row.device for row in answer.upkeep} | {
        name for name, kind in answer.kinds.items() if kind in ("relief valve", "bursting disc")
    }
    return frozenset(found & devices)


def _says(patterns: tuple[str, ...], device: str, text: str) -> bool:
    """Whether one of the patterns is met; ``~`` stands for any words of the same sentence."""
    name = rf"(?<![\w-]){re.escape(device)}(?![\w-])"
    rest = r"(?:[^.]|\.(?=\d))*"
    return any(
        re.search(pattern.replace("{}", name).replace("~", rest), text) for pattern in patterns
    )


def contradicts(text: str, device: str) -> bool:
    """Whether a text reassures by a device and does not take it back."""
    return _says(REASSURING, device, text) and not _says(REJECTING, device, text)


def contradictions(answer: Assessment, installation: Installation) -> Iterator[str]:
    """The texts of an answer that count on a device which it rejects."""
    doubted = rejected(answer)
    units = Units("metric", installation.site.ambient_pressure)
    for one in said(answer, installation, units) if doubted else ():
        for device in doubted:
            if one.kind == "finding" and one.where.endswith(f", {device}"):
                continue  # that tells what else is wrong with the device
            if contradicts(one.text, device):
                yield f"{device} is rejected, yet {one.kind} ({one.where}): {one.text}"


def worsened(installation: Installation, worse: str) -> Installation:
    """The same with every plug worse in one way and never inspected, or no relief valve free."""
    if not worse:
        return installation
    if worse == SEIZED:
        on = installation.choices.audit_date
        assert on is not None
        seen = tuple(
            Inspection(on=one.id, date=on, condition="seized") for one in installation.relief_valves
        )
        return replace(installation, inspections=(*installation.inspections, *seen))
    plugs = tuple(replace(plug, **WORSE[worse]) for plug in installation.plugs)
    return replace(installation, plugs=plugs, inspections=())


def answered(seed: int, worse: str, *, bores: bool) -> tuple[Assessment, Installation]:
    """A random system with worse plugs, and its answer."""
    installation = worsened(read(random_system(seed)), worse)
    assert installation.choices.audit_date is not None
    return assess(installation, installation.choices.audit_date, bores=bores), installation


def main(arguments: list[str] | None = None) -> int:
    """Read many random systems, each as it is and worse; 1 where an answer contradicts itself."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    given = parser.parse_args(arguments)
    wrong = 0
    ways = ("", *WORSE, SEIZED)
    for seed in range(given.first, given.first + given.count):
        worse = ways[seed % len(ways)]
        for fault in contradictions(*answered(seed, worse, bores=True)):
            wrong += 1
            print(f"system {seed}, plugs {worse or 'as they are'}: {fault}", flush=True)
    print(f"{given.count} systems, {wrong} contradictions")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
