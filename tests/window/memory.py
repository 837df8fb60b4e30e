"""What a process holds: told in between, and by which kinds of things it has grown."""

from __future__ import annotations

import ctypes
import gc
import importlib
import os
import pkgutil
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QApplication

from airrisk.window.heap import give_back

TOLD_EVERY = 500  # actions, between two looks at the memory
WARM = 2000  # actions: by then nearly everything was used once
GROWTH = 50.0  # MB, allowed after that
KINDS = 12  # that are named when it ends
ROOMS = ("airrisk.window", "airrisk.wording", "airrisk.report", "airrisk.study")
LATER = (
    "scipy.optimize",
    "scipy.stats",
    "icalendar",
    "xlsxwriter",
)  # which some of them import when asked


class _Mallinfo(ctypes.Structure):
    _fields_ = [
        (name, ctypes.c_size_t)
        for name in (
            "arena", "ordblks", "smblks", "hblks", "hblkhd", "usmblks", "fsmblks", "uordblks",
            "fordblks", "keepcost",
        )
    ]  # fmt: skip


def held() -> float:
    """Memory of this process that is in the machine [MB]."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def in_use() -> float:
    """Of it what malloc has handed out [MB]; the rest lies idle between what is in use."""
    ask = ctypes.CDLL(None).mallinfo2
    ask.restype = _Mallinfo
    told = ask()
    return float(told.uordblks + told.hblkhd) / 1e6


def kinds() -> Counter[str]:
    """How many there are of each Python type."""
    return Counter(f"{type(one).__module__}.{type(one).__qualname__}" for one in gc.get_objects())


def load_all() -> None:
    """Import now what the window imports when it first needs it: this is no growth.

    A rare deed may come after the first actions: who searches cures imports some 3,000 functions.
    """
    for room in ROOMS:
        package = importlib.import_module(room)
        for found in pkgutil.walk_packages(package.__path__, f"{room}."):
            importlib.import_module(found.name)
    for name in LATER:
        importlib.import_module(name)


class Memory:
    """What the process holds, told every so many actions."""

    def __init__(self) -> None:
        load_all()
        self.warm = 0.0
        self.grown = 0.0
        self._kinds: Counter[str] = Counter()

    def look(self, done: int, rest: Callable[[], None]) -> None:
        """After so many actions; ``rest`` comes back when nothing is calculated any more."""
        if done % TOLD_EVERY:
            return
        rest()
        gc.collect()
        give_back()
        now = held()
        if done <= WARM:
            self.warm = now
        self.grown = max(self.grown, now - self.warm)
        found = kinds()
        widgets = len(QApplication.allWidgets())
        print(
            f"{done} actions: {now:.0f} MB, {in_use():.0f} in use, {found.total()} objects, "
            f"{widgets} widgets",
            flush=True,
        )
        if done == WARM:
            self._kinds = found
        elif done > WARM and done % (4 * TOLD_EVERY) == 0:
            more = (found - self._kinds).most_common(KINDS)
            print("  more of: " + ", ".join(f"{name} {n}" for name, n in more), flush=True)
