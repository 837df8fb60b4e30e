"""The answers to the samples, worked out once in a run of the tests.

Several rooms read them. The records are frozen, so that no test can change them for another. The
processes of one run hand them to each other through a folder of that run.
"""

from __future__ import annotations

import os
import pickle
from functools import cache
from pathlib import Path

from airrisk import tables
from airrisk.installation.model import Installation
from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.cache import StepCache
from airrisk.study.records import Assessment

# The one place that says which samples are too dear for which tests. Of a large one the report is
# built but not printed or read through word by word, and its twin is assessed without the searches
# of bores and distances, so that what only these find is not compared.
LARGE = frozenset({"tile-works"})
_STEPS = StepCache()  # what a changed sample has in common with the sample is not run again


def samples_to_print() -> tuple[str, ...]:
    """The names of the samples whose whole reports are printed and read."""
    return tuple(name for name in tables.sample_names() if Path(name).stem not in LARGE)


def sample_source(name: str) -> bytes:
    """The file of a sample."""
    return tables.sample_path(name).read_bytes()


@cache
def sample_installation(name: str) -> Installation:
    """What the file of a sample describes."""
    return read(sample_source(name), name)


_shared: list[Path] = []


def share_in(folder: Path) -> None:
    """Hand answers on to the other processes that are told the same folder."""
    folder.mkdir(exist_ok=True)
    _shared[:] = [folder]


@cache
def sample_answer(name: str) -> Assessment:
    """The whole assessment of a sample on its own day, with bores and cures."""
    kept = _shared[0] / f"{name}.pickle" if _shared else None
    if kept is not None and kept.exists():
        found: Assessment = pickle.loads(kept.read_bytes())
        return found
    answer = answer_beside(sample_installation(name), source=sample_source(name))
    if kept is not None:
        half = kept.with_suffix(f".{os.getpid()}")  # whoever looks finds all of it or nothing
        half.write_bytes(pickle.dumps(answer))
        half.replace(kept)
    return answer


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
