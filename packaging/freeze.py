"""Freeze airrisk into a folder that runs without Python: ``python packaging/freeze.py [OUT]``.

Needs ``pip install -e ".[freeze]"``. The kernel of the fire transient goes along compiled for the
platform this runs on, with machine code for its processor. Its source texts go along as data
too: they show that the compiled code belongs to them, and numba compiles them where it cannot
be used.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import PyInstaller.__main__

ROOT = Path(__file__).resolve().parent.parent


def main(words: list[str]) -> int:
    """Build into the folder named by the first word (default: dist/frozen)."""
    out = Path(words[0]) if words else ROOT / "dist" / "frozen"
    subprocess.run([sys.executable, "-m", "airrisk.kernel.build"], cwd=ROOT, check=True)
    subprocess.run([sys.executable, "-m", "airrisk.wording.catalogue_making"], cwd=ROOT, check=True)
    separator = ";" if sys.platform == "win32" else ":"
    with tempfile.TemporaryDirectory() as scratch:
        start = Path(scratch) / "airrisk_start.py"
        start.write_text(
            "import multiprocessing, sys\nfrom airrisk.__main__ import main\n"
            "multiprocessing.freeze_support()\nsys.exit(main())\n",
            encoding="utf-8",
        )
        PyInstaller.__main__.run(
            [
                str(start),
                "--name=airrisk",
                "--onedir",
                "--noconfirm",
                "--clean",
                f"--distpath={out}",
                f"--workpath={scratch}/work",
                f"--specpath={scratch}",
                f"--paths={ROOT}",
                f"--add-data={ROOT / 'resources'}{separator}resources",
                f"--add-data={ROOT / 'compiled'}{separator}compiled",
                f"--add-data={ROOT / 'sample_systems'}{separator}sample_systems",
                f"--add-data={ROOT / 'airrisk'}{separator}airrisk",
                "--collect-submodules=airrisk",
                "--collect-all=numba",
                "--collect-all=llvmlite",
                "--collect-all=CoolProp",
                "--collect-all=pypdfium2",
                "--collect-all=pypdfium2_raw",
                "--copy-metadata=airrisk",
                "--hidden-import=pyqtgraph",
                "--exclude-module=tkinter",
                "--exclude-module=numba.tests",
                "--exclude-module=setuptools",
                "--exclude-module=pkg_resources",
            ]
        )
    print(f"frozen into {out / 'airrisk'}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
