"""The answers to the samples, worked out once in a process.

Several rooms read them. The records are frozen, so that no test can change them for another.
"""

from __future__ import annotations

from functools import cache

from airrisk import tables
from airrisk.installation.model import Installation
from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.cache import StepCache
from airrisk.study.records import Assessment

_STEPS = StepCache()  # what a changed sample has in common with the sample is not run again


def sample_source(name: str) -> bytes:
    """The file of a sample."""
    return tables.sample_path(name).read_bytes()


@cache
def sample_installation(name: str) -> Installation:
    """What the file of a sample describes."""
    return read(sample_source(name), name)


@cache
def sample_answer(name: str) -> Assessment:
    """The whole assessment of a sample on its own day, with bores and cures."""
    return answer_beside(sample_installation(name), source=sample_source(name))


def answer_beside(whole: Installation, *, source: bytes = b"", bores: bool = True) -> Assessment:
    """The assessment of a changed sample; steps that the change leaves alone come from memory."""
    assert whole.choices.audit_date is not None
    return assess(whole, whole.choices.audit_date, source=source, bores=bores, cache=_STEPS)


@cache
def dairy_with_a_thick_dryer() -> tuple[Installation, Assessment]:
    """The dairy hall in which the wet receiver ruptures first, not its thin dryer."""
    text = sample_source("dairy-hall").replace(b'"5 mm"', b'"12 mm"')
    whole = read(text, "dairy-hall")
    return whole, answer_beside(whole, source=text)
