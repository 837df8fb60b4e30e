"""Rules about pools that can burn: where parts stand, and people in their heat."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.installation.naming import in_order
from airrisk.study.records import Finding, Severity
from airrisk.study.rules.context import RuleContext, finding

# W/m2. Above 4.6 fire-fighters in their clothing stand some three minutes, above 1.5 the clothing
# of operators no longer suffices (IFV report 2016, read); 4.7 and 1.6 are levels of API 521 (read
# in quotations). Bare skin hurts after 13 s at 5 and 45 s at 2 kW/m2 (Handbook of Chemical Hazard
# Analysis Procedures 1989, read in a quotation).
HURTS_SOON = 4.6e3
HURTS = 1.5e3
PAIN_DOSE = 113.0  # (kW/m2)^(4/3) s: fits the nine printed times to pain there within 5


def not_placed(context: RuleContext) -> Iterator[Finding]:
    """Parts of which the file does not say where they stand, while a pool stands somewhere."""
    for name, pool in context.pools.items():
        if pool.not_placed:
            yield finding(
                "place-not-stated",
                "warning",
                name,
                parts=in_order(pool.not_placed),
            )


def _is_unsafe(context: RuleContext, pool: str, vessel: str) -> bool:
    """Whether the fire of a pool, where it stands, is not safe for what holds a vessel."""
    fires = (one for one in context.fires if one.is_pool and one.id == pool)
    return any(vessel in one.members and not one.safe for one in fires)


def too_near(context: RuleContext) -> Iterator[Finding]:
    """Vessels that a pool stands nearer to than the runs leave safe."""
    for name, pool in context.pools.items():
        for vessel, clear in pool.keep_clear_m.items():
            gap = pool.gap_m[vessel]
            if clear is not None and gap >= clear:
                continue
            if gap < 0.0 and not _is_unsafe(context, name, vessel):
                continue  # the distance is that of a pool beside it
            under = gap < 0.0 and clear == 0.0
            yield finding(
                "pool-too-near",
                "warning",
                vessel,
                variant="under"
                if under
                else "nowhere"
                if clear is None
                else "over"
                if gap < 0.0
                else "",
                pool=name,
                gap_m=max(gap, 0.0),
                clear_m=clear,
            )


def heat_at_people(context: RuleContext) -> Iterator[Finding]:
    """Places with people who are hurt by the heat of a pool that burns."""
    for name, pool in context.pools.items():
        reached = {place: flux for place, flux in pool.people.items() if flux >= HURTS}
        if not reached:
            continue
        worst = max(reached, key=lambda place: reached[place])
        severity: Severity = "warning" if reached[worst] >= HURTS_SOON else "note"
        yield finding(
            "heat-reaches-people",
            severity,
            name,
            variant="soon" if severity == "warning" else "",
            places=in_order(reached),
            place=worst,
            flux_w_m2=reached[worst],
            pain_s=PAIN_DOSE / (1e-3 * reached[worst]) ** (4.0 / 3.0),
        )
