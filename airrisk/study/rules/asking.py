"""A rule asked of each part apart, so that one failure takes nothing else with it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import wraps
from typing import Protocol, TypeVar

from airrisk.installation.model import (
    BurstingDisc,
    Compressor,
    Device,
    Line,
    Plug,
    ReliefValve,
    Vessel,
)
from airrisk.study.records import Finding, FireRecord
from airrisk.study.rules.context import RuleContext, RuleFunction, Unanswered


class Named(Protocol):
    """A record with an id."""

    @property
    def id(self) -> str:
        """Its id."""
        ...


OneOf = TypeVar("OneOf", bound=Named)


def asked_in_turn(
    part: str, answers: Iterable[Finding | Unanswered]
) -> Iterator[Finding | Unanswered]:
    """What a rule finds about one part; where it fails that is said in place of the rest."""
    following = iter(answers)
    while True:
        try:
            one = next(following)
        except StopIteration:
            return
        except Exception as error:
            yield Unanswered(part, error)
            return
        yield one


def for_each(
    those: Callable[[RuleContext], Iterable[OneOf]],
) -> Callable[[Callable[[RuleContext, OneOf], Iterable[Finding]]], RuleFunction]:
    """Make a rule about one thing a rule about all of its kind, each asked apart from the others.

    Parameters
    ----------
    those
        The records that the rule is asked about.
    """

    def widened(ask: Callable[[RuleContext, OneOf], Iterable[Finding]]) -> RuleFunction:
        @wraps(ask)
        def about_all(context: RuleContext) -> Iterator[Finding | Unanswered]:
            for one in those(context):
                yield from asked_in_turn(one.id, ask(context, one))

        return about_all

    return widened


def all_fires(context: RuleContext) -> Iterable[FireRecord]:
    """Every fire that was run, or should have been."""
    return context.fires


def all_plugs(context: RuleContext) -> Iterable[Plug]:
    """Every plug."""
    return context.installation.plugs


def all_devices(context: RuleContext) -> Iterable[Device]:
    """Every plug, relief valve and bursting disc."""
    return context.installation.devices()


def all_vessels(context: RuleContext) -> Iterable[Vessel]:
    """Every vessel."""
    return context.installation.vessels


def all_lines(context: RuleContext) -> Iterable[Line]:
    """Every line."""
    return context.installation.lines


def all_holders(context: RuleContext) -> Iterable[Vessel | Line]:
    """Every vessel and line."""
    return context.installation.holders()


def all_compressors(context: RuleContext) -> Iterable[Compressor]:
    """Every compressor."""
    return context.installation.compressors


def all_pressure_devices(context: RuleContext) -> Iterable[ReliefValve | BurstingDisc]:
    """Every relief valve and bursting disc."""
    return (*context.installation.relief_valves, *context.installation.bursting_discs)
