"""What an acceptance keeps of a finding, and whether the finding has become worse since.

Which values of a finding can grow worse stands with its rule in ``resources/findings.toml`` as
``kept``: ``names`` that nobody may add to, and numbers of which ``more`` or ``less`` is worse. A
number may be one for each name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from airrisk.installation.model import Kept
from airrisk.tables import read_toml

SLACK = 0.01  # of a number: less is the same finding; judgement. The file keeps four digits
_ROUNDING = 1e-9

Way = Literal["names", "more", "less"]
# How a finding has become worse.
Worsening = Literal[
    "",
    "not kept",  # the file does not say what was found when it was accepted
    "people",  # a place with people that was not accepted
    "nearer",
    "reach",
    "named",  # something else that was not accepted
    "number",
    "unknown",  # a number that was known then
    "known now",  # a number that was not known then
]
_NAMED: dict[str, Worsening] = {"places": "people", "distances_m": "people", "heat_w_m2": "people"}
_WORSE: dict[str, Worsening] = {"distances_m": "nearer", "reach_m": "reach"}

Found = Mapping[str, Any]  # key of a finding's values -> names, number, or name -> number


@dataclass(frozen=True)
class Worse:
    """One value of a finding and in which way it grows worse."""

    key: str
    way: Way


@cache
def worsening(rule: str) -> tuple[Worse, ...]:
    """What can grow worse of the findings of a rule; empty for a rule that is not known.

    Parameters
    ----------
    rule
        Id of the rule.
    """
    kept = read_toml("findings.toml").get(rule, {}).get("kept", {})
    ways: tuple[Way, ...] = ("names", "more", "less")
    return tuple(Worse(key, way) for way in ways for key in kept.get(way, ()))


def found_in(rule: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """What an acceptance keeps of a finding; what is not known is left out.

    Parameters
    ----------
    rule
        Id of the rule.
    values
        Numbers and names of the finding, SI.
    """
    found: dict[str, Any] = {}
    for one in worsening(rule):
        value = values.get(one.key)
        if value is None:
            continue
        if one.way == "names":
            names = (value,) if isinstance(value, str) else value
            found[one.key] = tuple(str(name) for name in names)
        elif isinstance(value, Mapping):
            found[one.key] = {str(name): float(number) for name, number in value.items()}
        else:
            found[one.key] = float(value)
    return found


def grown_worse(rule: str, then: tuple[tuple[str, Kept], ...] | None, now: Found) -> Worsening:
    """In which way a finding is worse than what was accepted; empty: in none.

    Parameters
    ----------
    rule
        Id of the rule.
    then
        What the acceptance keeps; None: nothing.
    now
        What it would keep of the finding as it is now, see ``found_in``.
    """
    if not worsening(rule):
        return ""
    if then is None:
        return "not kept"
    kept = dict(then)
    told = (_of_key(one, kept.get(one.key), now.get(one.key)) for one in worsening(rule))
    return next((why for why in told if why), "")


def _of_key(one: Worse, then: Any, now: Any) -> Worsening:
    if one.way == "names":
        return _added(one.key, _names(then), now or ())
    if now is None or then is None:
        return "" if now is then else "unknown" if now is None else "known now"
    was, is_ = _by_name(then), _by_name(now)
    if added := _added(one.key, tuple(was), tuple(is_)):
        return added
    sign = 1.0 if one.way == "more" else -1.0
    before = {name.casefold(): number for name, number in was.items()}
    if all(_no_worse(before[name.casefold()], is_[name], sign) for name in is_):
        return ""
    return _WORSE.get(one.key, "number")


def _no_worse(then: float, now: float, sign: float) -> bool:
    return sign * (now - then) <= SLACK * abs(then) + _ROUNDING  # what is not a number is worse


def _added(key: str, then: tuple[str, ...], now: tuple[str, ...]) -> Worsening:
    known = {name.casefold() for name in then}
    if all(name.casefold() in known for name in now):
        return ""
    return _NAMED.get(key, "named")


def _names(value: Any) -> tuple[str, ...]:
    return value if isinstance(value, tuple) and all(isinstance(n, str) for n in value) else ()


def _by_name(value: Any) -> dict[str, float]:
    """Numbers by name; one number stands under an empty name."""
    return {"": value} if isinstance(value, float) else dict(value)
