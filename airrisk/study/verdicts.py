"""The matrix: one verdict for each section that valves can shut in and each class of fires."""

from __future__ import annotations

from collections.abc import Iterable

from airrisk.installation.model import FIRE_CLASSES, FireClass
from airrisk.study.records import FireRecord, VerdictRecord
from airrisk.verdict.rule import rank_of


def verdict_records(
    fires: Iterable[FireRecord],
    sections: Iterable[tuple[str, tuple[str, ...], tuple[str, ...]]],
    basis: str,
) -> tuple[VerdictRecord, ...]:
    """The matrix: one verdict for each section and class, from its fires.

    Parameters
    ----------
    fires
        Records of all fires.
    sections
        Id, members and closed valves of each shut-in section; those of the stated fires' other
        valve positions follow.
    basis
        The chosen strength basis.

    Returns
    -------
    tuple of VerdictRecord
        In the order of the sections and of ``FIRE_CLASSES``; a class that no fire of a section
        belongs to has ``safe`` None.
    """
    groups: dict[tuple[str, tuple[str, ...]], dict[str, list[FireRecord]]] = {}
    members: dict[tuple[str, tuple[str, ...]], tuple[str, ...]] = {}
    for section, inside, closed in sections:
        groups[section, closed] = {}
        members[section, closed] = inside
    shut = set(groups)
    for fire in fires:
        key = (fire.section, fire.closed_valves)
        groups.setdefault(key, {}).setdefault(fire.fire_class, []).append(fire)
        members.setdefault(key, fire.members)
    return tuple(
        _verdict(key, members[key], name, found.get(name, []), basis)
        for key, found in groups.items()
        for name in FIRE_CLASSES
        if key in shut or name in found
    )


def _verdict(
    key: tuple[str, tuple[str, ...]],
    members: tuple[str, ...],
    fire_class: FireClass,
    fires: list[FireRecord],
    basis: str,
) -> VerdictRecord:
    section, closed = key
    if not fires:
        return VerdictRecord(
            section, members, closed, fire_class, None, "", None, None, None, None, None, basis,
            None, None, None, None, None, 0,
        )  # fmt: skip
    worst = max(fires, key=record_rank)
    seen = worst.envelope
    return VerdictRecord(
        section=section,
        members=members,
        closed_valves=closed,
        fire_class=worst.fire_class,
        fire=worst.id,
        part="" if seen is None else seen.controlling_part,
        outcome=worst.worst_outcome,
        safe=all(fire.safe for fire in fires),
        sure=all(bool(fire.sure) for fire in fires) if all(f.safe for f in fires) else None,
        reason=worst.reason if seen is None else seen.reason,
        limit=None if worst.margins is None else worst.margins.strength_use_limit,
        basis=basis,
        corner=None if seen is None else seen.corner,
        peak_strength_use=worst.worst_use,
        first_vent_s=None if seen is None else seen.first_vent_s,
        rupture_s=None if seen is None else seen.rupture_s,
        rupture_nothing_opens_s=min(
            (f.rupture_nothing_opens_s for f in fires if f.rupture_nothing_opens_s is not None),
            default=None,
        ),
        runs=sum(fire.runs for fire in fires),
        creep_damage=worst.worst_damage,
    )


def record_rank(fire: FireRecord) -> tuple[int, float, float]:
    """Sorts records from good to bad."""
    time = None if fire.envelope is None else fire.envelope.rupture_s
    return rank_of(fire.worst_outcome, fire.worst_load, time)
