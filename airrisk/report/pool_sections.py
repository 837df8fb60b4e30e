"""The chapter on pools that can burn and stand somewhere."""

from __future__ import annotations

from airrisk.report.blocks import Block, Heading, Paragraph, Section, Table, table_of
from airrisk.study.records import Assessment
from airrisk.study.standing_fires import InSight, PoolRecord
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, and_list, percent_text, quantity_text, time_text


def pools_section(assessment: Assessment, units: Units) -> Section | None:
    """Flame, duration and heat of every pool of the file; None: there is none."""
    if not assessment.fire_sources:
        return None
    blocks: list[Block] = [
        Paragraph(
            tr(
                "The flame is an upright cylinder over the pool, in still air, with nothing "
                "between. A lying vessel is taken broadside to it, as near as its end can "
                "come, a line straight between its ends at the height that gets most. Each pool "
                "burns alone. Wind, walls and a spill that spreads are not counted."
            )
        ),
        _flames_table(list(assessment.fire_sources.values()), units),
    ]
    for pool in assessment.fire_sources.values():
        blocks.append(Heading(labels.sentence(labels.named("fire source", [pool.id]))))
        blocks.append(_parts_table(pool, assessment, units))
        if pool.people:
            told = [
                tr("{place} {flux}").format(place=name, flux=quantity_text(flux, "flux", units, 2))
                for name, flux in sorted(pool.people.items(), key=lambda one: -one[1])
            ]
            blocks.append(
                Paragraph(
                    tr("Heat on people, without the factor of caution: {places}.").format(
                        places=and_list(told)
                    )
                )
            )
        if pool.not_placed:
            blocks.append(
                Paragraph(
                    tr("Left out, since the file does not say where they stand: {parts}.").format(
                        parts=and_list(list(pool.not_placed))
                    )
                )
            )
    return Section("pools", tr("Pools that can burn"), tuple(blocks))


def _flames_table(pools: list[PoolRecord], units: Units) -> Table:
    return table_of(
        [tr("Pool"), tr("Fuel"), tr("Diameter"), tr("Heat release"), tr("Flame height"),
         tr("Burns for"), tr("Its surface radiates")],
        [
            [
                pool.id,
                choice_word(pool.fuel),
                quantity_text(pool.diameter_m, "distance", units, 3),
                quantity_text(pool.heat_release_w, "power", units, 3),
                quantity_text(pool.flame_height_m, "distance", units, 2),
                time_text(pool.burning_time_s),
                quantity_text(pool.emissive_power_w_m2, "flux", units, 2),
            ]
            for pool in pools
        ],
        [1, 1, 1, 1, 1, 1, 1], (2, 3, 4, 5, 6), strong_first=True,
    )  # fmt: skip


def _parts_table(pool: PoolRecord, assessment: Assessment, units: Units) -> Table:
    rows = []
    for name, seen in sorted(pool.exposures.items(), key=lambda one: one[1].distance_m):
        kind = assessment.kinds.get(name, "vessel")
        rows.append(
            [
                labels.named(kind, [name]),
                quantity_text(seen.distance_m, "distance", units, 2),
                percent_text(seen.flames_share, 2),
                percent_text(seen.facing_share, 2),
                quantity_text(seen.incident_w_m2, "flux", units, 2) if seen.facing_share else "–",
                _temperature(seen, units),
                _clear(pool, name, units),
            ]
        )
    return table_of(
        [tr("Part"), tr("Nearest, from the middle"), tr("Over the pool"),
         tr("In sight of the flame"),
         tr("Most that falls on it, with the factor of caution"), tr("Flame around it"),
         tr("Keep clear, from edge to shell")],
        rows, [1, 1, 1, 1, 1, 1, 1], (1, 2, 3, 4, 5, 6), strong_first=True,
    )  # fmt: skip


def _clear(pool: PoolRecord, name: str, units: Units) -> str:
    """From which distance a vessel is safe."""
    if name not in pool.keep_clear_m:
        return "–"
    least = pool.keep_clear_m[name]
    if least is None:
        return tr("none found")
    return quantity_text(least, "distance", units, 3)


def _temperature(seen: InSight, units: Units) -> str:
    if seen.flame_temperature_k is None:
        return "–"
    return quantity_text(seen.flame_temperature_k, "temperature", units, 3)
