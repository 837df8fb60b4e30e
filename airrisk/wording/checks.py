"""What each model is checked against, and what no experiment covers: for the report and the page.

The rows stand in resources/checks.toml. An experiment beside a model shows the order of its
numbers; none of them is a test of the whole chain from a fire to the burst of a vessel.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

from airrisk.messages import Texts
from airrisk.tables import read_toml
from airrisk.wording.translation import tr
from airrisk.wording.units import number_text

RESOURCE = "checks.toml"
KINDS: Texts[dict[str, str]] = {
    "analytic": "analytic",
    "published value": "published value",
    "published experiment": "published experiment",
    "another way": "another way here",
}
TEMPERATURES = ("°C", "K")  # compared by their difference
_STANDINGS: Texts[dict[str, str]] = {"read": "read", "memory": "from memory"}


@dataclass(frozen=True)
class ModelCheck:
    """One model: what it is held against, and what stays open."""

    key: str
    title: str
    kinds: tuple[str, ...]
    checked: str
    open: str
    tests: tuple[str, ...]  # files that hold the checks


@dataclass(frozen=True)
class Measured:
    """One number of an experiment and what the model gives, each from low to high."""

    at: str
    unit: str  # as printed with the experiment
    measured: tuple[float, float]
    computed: tuple[float, float]


@dataclass(frozen=True)
class Experiment:
    """Something measured and printed, beside the model that it concerns."""

    key: str
    model: str
    title: str
    differs: str
    scatter: str
    source: str
    standing: str
    assumed: bool  # the program assumes the number and computes none
    points: tuple[Measured, ...]


@functools.cache
def model_checks() -> tuple[ModelCheck, ...]:
    """Every model with its checks, in the order of the calculation."""
    return tuple(
        ModelCheck(
            key,
            row["title"],
            tuple(row["kinds"]),
            row["checked"],
            row["open"],
            tuple(row["tests"]),
        )
        for key, row in read_toml(RESOURCE)["model"].items()
    )


@functools.cache
def experiments() -> tuple[Experiment, ...]:
    """Every experiment that stands beside a model."""
    return tuple(
        Experiment(
            key,
            row["model"],
            row["title"],
            row["differs"],
            row["scatter"],
            row["source"],
            row["standing"],
            row.get("assumed", False),
            tuple(
                Measured(one["at"], one["unit"], tuple(one["measured"]), tuple(one["computed"]))
                for one in row["points"]
            ),
        )
        for key, row in read_toml(RESOURCE)["experiment"].items()
    )


def kinds_text(check: ModelCheck) -> str:
    """How a model is checked: "published value, analytic"."""
    return ", ".join(tr(KINDS[kind]) for kind in check.kinds)


def pair_text(pair: tuple[float, float], unit: str, digits: int = 3) -> str:
    """A number or a range of it with its unit: "10 to 15 min"."""
    low, high = (number_text(value, digits) for value in pair)
    text = low if low == high else tr("{low} to {high}").format(low=low, high=high)
    return f"{text}\u00a0{unit}" if unit else text


def against_text(point: Measured) -> str:
    """Computed against measured: "0.33 to 1.9 times", of temperatures "91 K more"."""
    if point.unit in TEMPERATURES:
        low = point.computed[0] - point.measured[1]
        high = point.computed[1] - point.measured[0]
        if low < 0.0 < high:
            return tr("{less} less to {more} more").format(
                less=pair_text((-low, -low), "K"), more=pair_text((high, high), "K")
            )
        least, most = sorted((abs(low), abs(high)))
        text = pair_text((least, most), "K")
        return (tr("{kelvin} more") if high > 0.0 else tr("{kelvin} less")).format(kelvin=text)
    low, high = (
        point.computed[0] / point.measured[1],
        point.computed[1] / point.measured[0],
    )
    return tr("{ratio} times").format(ratio=pair_text((low, high), "", 2))


def source_text(experiment: Experiment) -> str:
    """Where an experiment was printed, and how sure that is."""
    standing = _STANDINGS.get(experiment.standing, experiment.standing)
    return tr("{source} ({standing})").format(source=tr(experiment.source), standing=tr(standing))


def checks_lead() -> tuple[str, ...]:
    """What the tables say and what they do not."""
    return (
        tr(
            "Every model stands here with what it is held against. Analytic: a closed form or a "
            "limit. Published value: printed in a standard, handbook or paper. Another way here: "
            "a second solution inside this project."
        ),
        tr(
            "A published experiment is something measured. It shows the order of one model, with "
            "its scatter and its differences. It is no proof of the others."
        ),
        tr(
            "No measured fire of an air vessel with a plug could be read, and no measured burst "
            "of an air vessel. The whole chain from the fire to the verdict is not validated."
        ),
    )
