"""Compare maps with the full answer for a pool at random places.

``python -m tests.study.map_against_answers --count 200``: exit 1 where one reads safer than that.
"""

from __future__ import annotations

import argparse

import numpy as np

from airrisk.installation.reading import load_bytes
from airrisk.study.fire_map import fire_map
from airrisk.study.fire_map_grid import pool_to_move
from airrisk.study.fire_map_records import NOT_SURE, SURVIVED
from airrisk.tables import sample_path
from tests.study.map_plants import DAY, contradiction, full_answer_at


def main() -> int:
    """Say of each sample how many places agree, and name those that do not."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--count", type=int, default=200)
    asked.add_argument("--samples", nargs="+", default=["dairy-hall", "joinery"])
    given = asked.parse_args()
    wrong = 0
    for name in given.samples:
        whole, _ = load_bytes(sample_path(name))
        seen = fire_map(whole, pool_to_move("diesel", 2.0), DAY)
        rows, columns = np.nonzero(seen.section >= 0)
        order = np.random.default_rng(1).permutation(len(rows))
        found = []
        hidden = 0
        for k in order[: given.count // len(given.samples)]:
            row, column = int(rows[k]), int(columns[k])
            answer = full_answer_at(whole, seen, row, column)
            told = contradiction(seen, row, column, *answer)
            found += [told] if told else []
            hidden += answer[0] > NOT_SURE >= seen.outcome[row, column] != SURVIVED
        print(f"{name}: {len(found)} contradictions, {hidden} unsafe places among the few runs")
        print("\n".join(found))
        wrong += len(found)
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
