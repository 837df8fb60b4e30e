"""Measure every promised speed: ``python -m tests.benchmarks [--only WORD]``.

Prints ``measured | limit | ok`` for each and exits with 1 when one is missed. Run it by hand on
a quiet machine; two cores are what the limits mean.
"""

from __future__ import annotations

import argparse
import importlib
import os
import sys

# the modules by what they measure; imported only when asked for
ROOMS = ("whole_processes", "study_steps", "fire_runs", "window_speeds")


def main(words: list[str] | None = None) -> int:
    """Print the table; 1 when a limit is missed or a measurement failed."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--only", metavar="WORD", help="lines that contain this word")
    parser.add_argument("--list", action="store_true", help="say what would be measured")
    wanted = parser.parse_args(words)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    missed = done = 0
    for room in ROOMS:
        for speed in importlib.import_module(f"tests.benchmarks.{room}").speeds():
            if wanted.only and wanted.only.casefold() not in f"{room} {speed.what}".casefold():
                continue
            done += 1
            bound = speed.bound
            if wanted.list:
                print(f"{speed.what:52s} {bound}")
                continue
            try:
                measured = speed.measure()
            except Exception as error:
                print(f"{speed.what:52s} {'failed':>12s} | {bound:>14s} | MISS", flush=True)
                print(f"    {type(error).__name__}: {error}", file=sys.stderr)
                missed += 1
                continue
            kept = speed.holds(measured)
            missed += not kept
            print(
                f"{speed.what:52s} {speed.shown(measured):>12s} | {bound:>14s} | "
                f"{'ok' if kept else 'MISS'}",
                flush=True,
            )
    if done == 0:
        print(f"nothing here is called {wanted.only!r}", file=sys.stderr)
        return 1
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
