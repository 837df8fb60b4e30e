"""The short answer of ``airrisk assess`` as plain text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from airrisk.command.screen import say
from airrisk.study.records import Assessment, Finding, PartRecord, UpkeepRow
from airrisk.wording import labels
from airrisk.wording.acceptances import counting, decision_sentences
from airrisk.wording.cautions import cautions
from airrisk.wording.cures import bore_sentences, cure_sentences
from airrisk.wording.findings import (
    finding_cure,
    finding_place,
    finding_source,
    finding_text,
    finding_title,
    worst_first,
)
from airrisk.wording.matrix import (
    away_head,
    class_heads,
    classes_sentences,
    flame_away_sentences,
    jet_spot_sentences,
    matrix_rows,
    runs_sentence,
    section_title,
    unsure_sentences,
)
from airrisk.wording.overview import overview_sentences
from airrisk.wording.sentences import (
    chosen_strength_basis,
    fire_sentence,
    fire_title,
    fire_verdict,
    telling_fires,
)
from airrisk.wording.translation import date_text, ntr, tr
from airrisk.wording.units import Units, gauge_text, quantity_text


def print_assessment(answer: Assessment, unit_set: str) -> None:
    """Print verdicts, the table of parts, and the findings with their cures."""
    units = Units(unit_set, answer.ambient_pressure_pa)
    say(
        tr("{title}, assessed on {date}").format(
            title=answer.title or tr("Untitled"), date=date_text(answer.on)
        )
    )
    say(tr("Strength basis: {basis}").format(basis=labels.basis(chosen_strength_basis(answer))))
    say()
    for text in overview_sentences(answer, units):
        say(text)
    _print_matrix(answer, units)
    _print_fires(answer, units)
    _print_parts(answer, units)
    _print_findings(answer, units)
    for failure in answer.failures:
        say()
        say(
            tr("NOT ASSESSED  {step} of {part}: {message}").format(
                step=tr(failure.step), part=failure.part, message=tr(failure.message)
            )
        )
    say()
    for caution in cautions()[:2]:
        say(caution)


def _print_matrix(answer: Assessment, units: Units) -> None:
    """The verdicts of each section in each class of fires; in English 80 columns wide."""
    rows = matrix_rows(answer)
    if not rows:
        return
    say()
    say(tr("Verdicts (percent of the allowed load in the worst run)"))
    lines = [list(class_heads())]
    for row in rows:
        lines.append([cell.heading for cell in row.cells])
        lines.append([f"  {cell.below}" if cell.below else "" for cell in row.cells])
    width = max(20, *(len(cell) + 1 for line in lines for cell in line[:-1]))
    say(_columns(lines[0], width))
    for number, row in enumerate(rows):
        say(f"{row.title}")
        above, below = lines[2 * number + 1], lines[2 * number + 2]
        say(_columns(above, width))
        if any(below):
            say(_columns(below, width))
        say("   " + tr("{head}: {time}").format(head=away_head(), time=row.away))
    for text in unsure_sentences(answer):
        say(f"  {text}")
    say(runs_sentence(answer))
    for text in (
        *classes_sentences(answer, units),
        *flame_away_sentences(answer),
        *jet_spot_sentences(answer, units),
    ):
        say(text)


def _columns(cells: Iterable[str], width: int) -> str:
    """Cells under each other, all but the last as wide as that."""
    return " " + "".join(cell.ljust(width) for cell in cells).rstrip()


def _print_fires(answer: Assessment, units: Units) -> None:
    shown = telling_fires(answer)
    if not shown:
        return
    say()
    say(tr("Fires"))
    basis = chosen_strength_basis(answer)
    for fire in shown:
        verdict = fire_verdict(fire, basis)
        section = section_title(fire.members, fire.closed_valves, answer.kinds)
        say(f"  {fire_title(fire)}: {labels.uncapitalised(section)}")
        told = [piece for piece in (verdict.heading, verdict.margin, verdict.cautious) if piece]
        say(f"      {'; '.join(told)}")
        say(f"      {fire_sentence(fire, units)}")
        for text in bore_sentences(fire, units):
            say(f"      {text}")
        for text in cure_sentences(fire, units):
            say("      " + (tr("Cure: {cure}").format(cure=text) if fire.cures else text))
    others = [fire for fire in answer.fires if fire not in shown]
    if others:
        unsafe = sum(not fire.safe for fire in others)
        count = ntr(
            "{count} other fire was run", "{count} other fires were run", len(others)
        ).format(count=len(others))
        end = (
            tr("not safe of them: {unsafe}").format(unsafe=unsafe)
            if unsafe
            else tr("none of them is unsafe")
        )
        say("  " + tr("{count}; {end} (see the table)").format(count=count, end=end))


def _print_parts(answer: Assessment, units: Units) -> None:
    rows: list[tuple[str, ...]] = [
        (
            tr("part"),
            tr("volume"),
            tr("pressure"),
            tr("burst, cold"),
            tr("rupture at"),
            tr("stored energy"),
        )
    ]
    rows += [_part_row(record, units) for record in answer.parts.values()]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    if not answer.parts:
        return
    say()
    say(tr("Parts (heated as a whole, at constant volume)"))
    for row in rows:
        cells = [row[0].ljust(widths[0])]
        cells += [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        say("  " + "  ".join(cells).rstrip())


def _part_row(record: PartRecord, units: Units) -> tuple[str, ...]:
    rupture = tr("not in range")
    if record.rupture_temperature_k is not None:
        temperature = quantity_text(record.rupture_temperature_k, "temperature", units, 3)
        pressure = (record.rupture_pressure_pa or 0.0) - units.ambient_pressure
        rupture = f"{temperature}, {gauge_text(pressure, units, 3)}"
    return (
        record.id,
        quantity_text(record.volume_m3, "volume", units, 3),
        gauge_text(record.pressure_pa - units.ambient_pressure, units, 3),
        gauge_text(record.burst_pressure_cold_gauge_pa, units, 3),
        rupture,
        quantity_text(record.stored_energy_j.isentropic, "energy", units, 3),
    )


def _print_findings(answer: Assessment, units: Units) -> None:
    if not answer.findings:
        say()
        say(tr("No findings."))
        return
    last = ""
    open_ones = worst_first(counting(answer.findings))
    for finding in open_ones:
        if finding.severity != last:
            last = finding.severity
            count = sum(other.severity == last for other in open_ones)
            shape = labels.severity_shape(last)
            say()
            say(f"{shape} {labels.severity(last).upper()} ({count})")
        _print_finding(answer, finding, units)
    accepted = [finding for finding in worst_first(answer.findings) if not finding.counts]
    if accepted:
        say()
        say(tr("ACCEPTED, not counted ({count})").format(count=len(accepted)))
    for finding in accepted:
        _print_finding(answer, finding, units)


def _print_finding(answer: Assessment, finding: Finding, units: Units) -> None:
    say(f"  {finding_place(finding)}: {finding_title(finding)} [{finding.rule}]")
    say(f"      {finding_text(finding, units)}")
    for text in decision_sentences(finding, answer):
        say(f"      {text}")
    cure = finding_cure(finding, units)
    if cure:
        say("      " + tr("Cure: {cure}").format(cure=cure))
    say("      " + tr("Source: {source}").format(source=finding_source(finding)))


def print_upkeep(rows: Iterable[UpkeepRow], on: dt.date) -> None:
    """Print the register of plugs on a date."""
    table = [(tr("plug"), tr("on"), tr("last renewed"), tr("due"), tr("status"), tr("condition"))]
    for row in rows:
        table.append(
            (
                row.device,
                row.on,
                _last_renewed(row),
                "-" if row.due is None else date_text(row.due),
                labels.upkeep_status(row.status, row.uncredited),
                tr(row.condition),
            )
        )
    say(tr("Upkeep on {date}").format(date=date_text(on)))
    print_columns(table)


def _last_renewed(row: UpkeepRow) -> str:
    if row.last_renewed is not None:
        return date_text(row.last_renewed)
    return "-" if row.fitted is None else tr("only on {date}").format(date=date_text(row.fitted))


def print_columns(rows: Iterable[tuple[str, ...]]) -> None:
    """Print rows of text in columns as wide as their longest cell."""
    table = list(rows)
    widths = [max(len(row[column]) for row in table) for column in range(len(table[0]))]
    for row in table:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        say("  " + "  ".join(cells).rstrip())
