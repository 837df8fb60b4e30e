"""Tables of a page that are made from what the program declares, between two marks."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

DOCS = Path(__file__).parents[2] / "docs"


@dataclass(frozen=True)
class MarkedBlock:
    """The part of a page between ``<!-- name: begin -->`` and ``<!-- name: end -->``."""

    page: Path
    name: str
    make: Callable[[], str]

    def text(self) -> str:
        """The page as it stands."""
        return self.page.read_text(encoding="utf-8")

    def up_to_date(self) -> str:
        """The page with the block made anew."""
        begin, end = f"<!-- {self.name}: begin -->\n", f"<!-- {self.name}: end -->\n"
        before, rest = self.text().split(begin)
        return before + begin + self.make() + end + rest.split(end)[1]

    def command(self) -> None:
        """Print the block, or with ``--write`` put it into the page."""
        if sys.argv[1:] == ["--write"]:
            self.page.write_text(self.up_to_date(), encoding="utf-8")
        else:
            print(self.make())
