"""Hook of the build: compiles the kernel and the texts when a wheel or editable install is made.

In an editable install the products stay in the checkout, in ``compiled/``; a wheel takes them
along and is then good for one platform. Where the kernel cannot be compiled, the build goes on
without: the program compiles with numba at its first use. ``AIRRISK_SKIP_KERNEL=1`` asks for that.
The texts of other languages (``.mo``) stay beside their sources; without them the program reads the
sources, which takes longer.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

WITHOUT = "the program is built without compiled code and compiles at its first use"


class CompiledKernel(BuildHookInterface):
    """Runs what compiles, of the sources that are being built."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Compile what is out of date, and put it into a wheel."""
        self._texts(version, build_data)
        if os.environ.get("AIRRISK_SKIP_KERNEL"):
            self.app.display_warning(f"AIRRISK_SKIP_KERNEL is set: {WITHOUT}")
            return
        try:
            products = self._made("airrisk.kernel.build", "--paths")
        except (OSError, RuntimeError) as error:
            self.app.display_warning(f"{WITHOUT}: {error}")
            return
        if version == "editable":
            return
        for path in products:
            build_data["force_include"][str(path)] = f"airrisk/_data/compiled/{path.name}"
        build_data["pure_python"] = False
        build_data["tag"] = f"py3-none-{_platform()}"

    def _texts(self, version: str, build_data: dict[str, Any]) -> None:
        """Make what the program reads of the texts of other languages."""
        try:
            products = self._made("airrisk.wording.catalogue_making")
        except (OSError, RuntimeError) as error:
            self.app.display_warning(
                f"texts of other languages are read from their sources: {error}"
            )
            return
        if version != "editable":
            for path in products:
                place = path.relative_to(Path(self.root).resolve()).as_posix()
                build_data["force_include"][str(path)] = place

    def _made(self, *command: str) -> list[Path]:
        """The files that a module of the sources says it has made."""
        # a process of its own: this one must not import what it builds
        places = [self.root, *filter(None, [os.environ.get("PYTHONPATH")])]
        done = subprocess.run(
            [sys.executable, "-m", *command],
            cwd=self.root,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(places)},
            capture_output=True,
            text=True,
            check=False,
        )
        said = done.stderr.strip().splitlines()
        if done.returncode != 0:
            raise RuntimeError(said[-1] if said else f"ended with {done.returncode}")
        return [Path(line) for line in done.stdout.splitlines()]


def _platform() -> str:
    """The plain tag of this platform, as ``linux_x86_64``."""
    from packaging.tags import platform_tags

    return next(tag for tag in platform_tags() if not tag.startswith(("manylinux", "musllinux")))
