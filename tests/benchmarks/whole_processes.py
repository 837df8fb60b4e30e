"""Times of whole commands, from the start of Python to its end."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from airrisk import tables
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from tests.benchmarks.speed import Speed

ACCEPTED = (0, 1)  # nothing found, or findings
UNWANTED = (
    "import sys\n"
    "from airrisk.command import line\n"
    "try: line.commands(['assess', sys.argv[1], '--no-bores'], standalone_mode=False)\n"
    "except SystemExit: pass\n"
    "heavy = ('PySide6', 'CoolProp', 'scipy', 'numba')\n"
    "print(sum(name.split('.')[0] in heavy for name in sys.modules), file=sys.stderr)\n"
)


def largest_sample() -> Path:
    """The packaged sample with the most parts."""
    paths = [tables.sample_path(name) for name in tables.sample_names()]
    return max(paths, key=lambda path: len(tuple(read(path.read_bytes()).parts())))


def run_process(
    words: Sequence[str], environment: Mapping[str, str] = {}, accepted: Sequence[int] = ACCEPTED
) -> tuple[float, str]:
    """Seconds that a Python process took, and what it wrote to its error stream.

    Raises
    ------
    RuntimeError
        It ended with another code than the accepted ones.
    """
    # as for anyone: Python keeps what it compiled of the modules
    inherited = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, *words],
        env={**inherited, **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    took = time.perf_counter() - start
    if done.returncode not in accepted:
        raise RuntimeError(f"exit code {done.returncode}: {done.stderr.strip()[-300:]}")
    return took, done.stderr


def _airrisk(*words: str) -> float:
    """Seconds of one command with everything compiled before."""
    return run_process(["-m", "airrisk", *words])[0]


def _warm(*words: str) -> float:
    _airrisk(*words)
    return min(_airrisk(*words) for _ in range(3))


def _with_empty_cache() -> float:
    with tempfile.TemporaryDirectory() as folder:
        words = ["-m", "airrisk", "assess", str(largest_sample()), "--no-bores"]
        return run_process(words, {"NUMBA_CACHE_DIR": folder})[0]


def _report(distances: bool, *words: str) -> float:
    """With the distances of a fuel, as the sample asks for, or without."""
    text = SystemText(largest_sample().read_bytes())
    if not distances:
        text = text.unset("choices", "keep_clear_of")
    with tempfile.TemporaryDirectory() as folder:
        file, target = Path(folder) / "largest.toml", str(Path(folder) / "report.pdf")
        file.write_bytes(text.data)
        return _warm("report", str(file), *words, "--pdf", target)


def _study_of_one_vessel() -> float:
    """The vessel of the school, its plug blowing into the open and no relief valve."""
    text = SystemText(tables.sample_path("school-laboratory").read_bytes())
    text = text.remove("RV1", with_dependents=True)
    for field in ("outlet_length", "outlet_diameter", "outlet"):
        text = text.unset("FP1", field)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "one-vessel.toml"
        file.write_bytes(text.data)
        return min(_airrisk("what-if", str(file), "--samples", "100000") for _ in range(2))


def _unwanted_modules() -> float:
    _, said = run_process(["-c", UNWANTED, str(largest_sample())])
    return float(said.strip().splitlines()[-1])


def speeds() -> Iterator[Speed]:
    """Whole commands on the largest sample."""
    sample = largest_sample()
    name = sample.stem
    yield Speed(
        f"assess {name} without bores, process",
        lambda: _warm("assess", str(sample), "--no-bores"), 2.0, "s",
    )  # fmt: skip
    yield Speed(
        f"assess {name} with bores, process", lambda: _warm("assess", str(sample)), 4.0, "s"
    )
    yield Speed(f"assess {name}, compile cache empty, process", _with_empty_cache, 10.0, "s")
    yield Speed(
        "modules of Qt, CoolProp, scipy, numba loaded by assess", _unwanted_modules, 0.0, "modules"
    )
    yield Speed(
        f"report {name} with every proof as PDF, process",
        lambda: _report(False, "--full"),
        7.0,
        "s",
    )
    yield Speed(f"short report {name} as PDF, process", lambda: _report(False), 5.0, "s")
    yield Speed(
        "the same with the distances of a fuel by direction",
        lambda: _report(True, "--full"),
        None,
        "s",
    )
    school, quarry = (str(tables.sample_path(n)) for n in ("school-laboratory", "slate-quarry"))
    yield Speed(
        "what-if one vessel with a plug, 100,000 samples, process", _study_of_one_vessel, 10.0, "s"
    )
    yield Speed(
        "the same with a relief valve and a piped outlet",
        lambda: _airrisk("what-if", school, "--samples", "100000"), None, "s",
    )  # fmt: skip
    yield Speed(
        "what-if slate-quarry, 1,000 samples, process",
        lambda: _airrisk("what-if", quarry, "--samples", "1000"), None, "s",
    )  # fmt: skip
