"""Commands and options whose help is said in the reader's language when it is shown."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import partial
from typing import Any

import click

from airrisk.wording.translation import tr


class _InLanguage:
    """A text of click's that is translated each time it is read."""

    def __set_name__(self, owner: type, name: str) -> None:
        self.place = f"_english_{name}"

    def __get__(self, instance: Any, owner: type) -> Any:
        text = None if instance is None else getattr(instance, self.place)
        return tr(inspect.cleandoc(text)) if text else text

    def __set__(self, instance: Any, text: str | None) -> None:
        setattr(instance, self.place, text)


class Option(click.Option):
    """An option whose help is translated."""

    help = _InLanguage()  # type: ignore[assignment]


class Command(click.Command):
    """A command whose help is translated."""

    help = _InLanguage()  # type: ignore[assignment]
    short_help = _InLanguage()  # type: ignore[assignment]
    epilog = _InLanguage()  # type: ignore[assignment]


class Group(click.Group):
    """A group of such commands."""

    command_class = Command
    help = _InLanguage()  # type: ignore[assignment]
    short_help = _InLanguage()  # type: ignore[assignment]
    epilog = _InLanguage()  # type: ignore[assignment]


option: Callable[..., Callable[[Any], Any]] = partial(click.option, cls=Option)
