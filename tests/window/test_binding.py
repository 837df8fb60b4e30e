"""What Qt's binding does beside what is asked of it."""

from __future__ import annotations

from pathlib import Path

from tests.window.processes import run

ASK = """
import airrisk.window.start, airrisk.window.charts.plot, airrisk.study.assessment, scipy.optimize
import linecache, sys
from airrisk.window import binding
held = [name for name in linecache.cache if "airrisk" in name or "scipy" in name]
read = [name for name in held if "binding" not in name]
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
