"""What Qt's binding does beside what is asked of it."""

from __future__ import annotations

from pathlib import Path

from tests.window.processes import run

ASK = """
import airrisk.window.start, airrisk.window.charts.plot, airrisk.study.assessment, scipy.optimize
import linecache, os, sys
from airrisk.window import binding
ours = [os.path.dirname(package.__file__) + os.sep for package in (airrisk, scipy)]
held = [name for name in linecache.cache if name.startswith(tuple(ours))]
read = [name for name in held if name != binding.__file__]
print(len(sys.modules), binding.SPARED, read)
"""


def test_the_sources_of_what_is_imported_are_neither_read_nor_kept(tmp_path: Path) -> None:
    """They were 60 MB of a window in use."""
    result = run(tmp_path, "-c", ASK)
    assert result.returncode == 0, result.stderr
    modules, spared, read = result.stdout.split(maxsplit=2)
    assert int(modules) > 500
    assert spared == "True"
    assert read.strip() == "[]"
