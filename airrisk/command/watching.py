"""A progress bar while a person watches."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

LONGEST = 50  # signs; the id of a section names all its parts


def _short(what: str) -> str:
    return what if len(what) <= LONGEST else f"{what[: LONGEST - 1]}…"


@contextmanager
def watched() -> Iterator[Callable[[float, str], None] | None]:
    """A progress bar on a terminal, else nothing."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    from airrisk.wording.labels import step_text

    # an id may look like markup
    words = TextColumn("{task.percentage:>3.0f} % {task.description}", markup=False)
    columns = (BarColumn(), TimeRemainingColumn(), words)
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task("", total=1.0)

        def progress(done: float, what: str) -> None:
            shown.update(task, completed=done, description=_short(step_text(what)))

        yield progress
