"""The upkeep register of the plugs, the walk sheet in flow order, and both for other programs.

Dates count in calendar months. The interval of the file holds unless local law asks for a
shorter one.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Callable, Iterable, Sequence

from airrisk.installation.insulation import insulation_of
from airrisk.installation.model import Installation, Line, Plug, Valve, Vessel
from airrisk.installation.plug_state import UpkeepStatus, add_months, plug_state
from airrisk.installation.sections import Network, shut_in
from airrisk.messages import listed, quoted, said
from airrisk.quantities import calendar_step
from airrisk.study.due_calendar import DueDay, due_calendar
from airrisk.study.records import UpkeepRow, WalkStop

INSULATED = "insulated-"  # before the key of a question that asks about insulation too
# a cell that begins with one of these is a formula to spreadsheet programs
FORMULA_MARKS = ("=", "+", "-", "@", "\t", "\r", "\n")


def step_after(date: dt.date, step: str) -> dt.date:
    """The date some days, weeks, months or years later ("2 months")."""
    months, days = calendar_step(step)
    return add_months(date, months) + dt.timedelta(days=days)


def upkeep_rows(installation: Installation, on: dt.date) -> tuple[UpkeepRow, ...]:
    """The register of all plugs on a date, the most urgent first.

    A plug is overdue from the day after its due date; a plug with neither a fitting date nor a
    renewal has "no date" and counts as overdue everywhere. One that is in date and gets no credit
    for another reason says so.

    Parameters
    ----------
    installation : Installation
    on : datetime.date
    """
    soon = step_after(on, installation.choices.due_soon)
    rows = []
    for plug in installation.plugs:
        state = plug_state(installation, plug, on)
        status: UpkeepStatus
        if state.due is None:
            status = "no date"
        elif state.overdue:
            status = "overdue"
        elif state.uncredited:  # "in date" would reassure about a plug that nobody may count on
            status = "no credit"
        else:
            status = "due soon" if state.due <= soon else "in date"
        rows.append(
            UpkeepRow(
                device=plug.id,
                on=plug.on,
                fitted=plug.fitted,
                last_renewed=state.renewed,
                renew_every_months=plug.renew_every,
                due=state.due,
                status=status,
                condition=state.condition,
                last_inspection=state.inspected,
                days_left=None if state.due is None else (state.due - on).days,
                uncredited=state.uncredited,
            )
        )
    return tuple(sorted(rows, key=lambda r: (r.due or dt.date.min, r.device.casefold())))


def _kind_of(device: object) -> str:
    if isinstance(device, Plug):
        return "plug"
    return "relief valve" if hasattr(device, "set_pressure") else "bursting disc"


class _Walk:
    """Goes along the pipes from the compressors and notes every place to look at."""

    def __init__(self, installation: Installation) -> None:
        self.network = Network.of(installation)
        self.installation = installation
        self.section = {
            member: section.id for section in shut_in(installation) for member in section.members
        }
        self.lines_at: dict[str, list[Line]] = {}
        for line in installation.lines:
            for written in (line.from_, line.to):
                self.lines_at.setdefault(self.network.name(written), []).append(line)
        lines = {line.id for line in installation.lines}
        self.places = [part.id for part in installation.parts() if part.id not in lines]
        self.seen: set[str] = set()
        self.walked: list[str] = []
        self.stops: list[WalkStop] = []

    def note(self, place: str, kind: str, what: str, on: str, section: str, question: str) -> None:
        self.stops.append(WalkStop(len(self.stops) + 1, place, kind, what, on, section, question))

    def valves(self, valves: Sequence[Valve], on: str, holder: str) -> None:
        for valve in valves:
            if valve.kind == "non-return":
                question = "non-return"
            elif valve.state == "locked open":
                question = "locked-open"
            else:
                question = "shut-off"
            kind = (
                listed([quoted(valve.kind), quoted(valve.state)])
                if valve.kind == "isolating"
                else valve.kind
            )
            self.note(valve.id, kind, "valve", on, self.section.get(holder, ""), question)

    def devices(self, part: str) -> None:
        """Notes the devices of a part, each behind the valves before it."""
        for device in self.installation.devices():
            if self.network.name(device.on) != part:
                continue
            self.valves(self.network.before_device.get(device.id, ()), device.id, part)
            kind = _kind_of(device)
            question = kind.replace(" ", "-")
            if isinstance(device, Plug):
                question = self.asked(question, part)
            self.note(device.id, kind, kind, part, self.section.get(part, ""), question)

    def asked(self, question: str, part: str) -> str:
        """A question key, that asks about the insulation too where a part has some."""
        record = self.installation.find(part)
        held = isinstance(record, Vessel | Line) and insulation_of(record) is not None
        return INSULATED + question if held else question

    def part(self, name: str) -> None:
        """Notes a compressor, or a vessel and its devices."""
        self.seen.add(name)
        self.walked.append(name)
        section = self.section.get(name, "")
        record = self.installation.find(name)
        if name in self.network.suctions:
            self.note(name, "compressor", "part", "", section, "compressor")
        elif isinstance(record, Vessel):
            network = self.network
            fitted = {network.name(plug.on) for plug in self.installation.plugs}
            question = "vessel" if name in fitted else "part-without-plug"
            self.note(name, record.role, "part", "", section, self.asked(question, name))
            self.devices(name)

    def line(self, line: Line, ahead: bool) -> str:
        """Notes a line's valves and devices in the direction of the walk; returns its far end."""
        self.seen.add(line.id)
        start = self.network.at_end.get((line.id, "from"), ())
        goal = self.network.at_end.get((line.id, "to"), ())
        near, far = (start, goal) if ahead else (goal, start)
        if insulation_of(line) is not None:
            section = self.section.get(line.id, "")
            self.note(line.id, "line", "part", "", section, self.asked("line", line.id))
        self.valves(near, line.id, line.id)
        self.devices(line.id)
        self.valves(far[::-1], line.id, line.id)
        return self.network.name(line.to if ahead else line.from_)

    def along(self, waiting: list[str]) -> None:
        """Goes on from some parts in the direction in which the lines are drawn."""
        while waiting:
            name = waiting.pop(0)
            if name in self.seen or name not in self.places:
                continue
            self.part(name)
            for line in self.lines_at.get(name, ()):
                if line.id not in self.seen and self.network.name(line.from_) == name:
                    waiting.append(self.line(line, True))

    def against(self) -> bool:
        """Takes up one line that was drawn towards a part already walked to."""
        for name in self.walked:
            if name in self.network.suctions:
                continue
            for line in self.lines_at.get(name, ()):
                if line.id not in self.seen:
                    self.along([self.line(line, False)])
                    return True
        return False

    def everything(self) -> tuple[WalkStop, ...]:
        self.along([compressor.id for compressor in self.installation.compressors])
        while self.against():
            pass
        for name in self.places:  # what no compressor feeds
            self.along([name])
            while self.against():
                pass
        for line in self.installation.lines:  # blank at both ends
            if line.id not in self.seen:
                self.line(line, True)
        return tuple(self.stops)


def walk_stops(installation: Installation) -> tuple[WalkStop, ...]:
    """The walk sheet: every place that can be shut or lets air out, in flow order.

    It begins at each compressor in file order and follows the lines, nearest parts first; what
    no compressor feeds comes last. Every vessel and every compressor has a row too.
    """
    return _Walk(installation).everything()


def safe_cell(value: object) -> str:
    """Text of a table cell that no spreadsheet program takes for a formula."""
    if value is None:
        return ""
    text = value.isoformat() if isinstance(value, dt.date) else str(value)
    return f"'{text}" if text.startswith(FORMULA_MARKS) else text


def csv_table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Rows as CSV text that no spreadsheet program takes for formulas; lines end in CR LF."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    # numbers are written as they are: a minus sign of ours is no formula
    writer.writerows(
        [cell if isinstance(cell, int | float) else safe_cell(cell) for cell in row] for row in rows
    )
    return out.getvalue()


def register_csv(rows: Iterable[UpkeepRow]) -> str:
    """The register as CSV text: dates as YYYY-MM-DD, lines end in CR LF."""
    head = (
        "device", "on", "fitted", "last renewed", "renew every, months", "due", "status",
        "days left", "condition", "last inspection",
    )  # fmt: skip
    return csv_table(
        head,
        (
            (
                row.device, row.on, row.fitted, row.last_renewed, row.renew_every_months,
                row.due, row.status, row.days_left, row.condition, row.last_inspection,
            )
            for row in rows
        ),
    )  # fmt: skip


def walk_csv(
    stops: Iterable[WalkStop],
    questions: Callable[[str], str] = str,
    says: Callable[[WalkStop], str] | None = None,
) -> str:
    """The walk sheet as CSV text with blanks to fill in.

    Parameters
    ----------
    stops : iterable of WalkStop
    questions : callable
        Words of a question key.
    says : callable, optional
        What the file says of a stop, to be compared with what is seen there.
    """
    head = (
        "no.", "place", "what", "kind", "on", "section", "question", "file says", "found", "date",
        "by", "remark", "photo",
    )  # fmt: skip
    return csv_table(
        head,
        (
            (
                s.number,
                s.place,
                s.what,
                s.kind,
                s.on,
                s.section,
                questions(s.question_key),
                "" if says is None else says(s),
                *[""] * 5,
            )
            for s in stops
        ),
    )


def renewal_summary(row: UpkeepRow) -> str:
    """Title of a renewal in a calendar."""
    return said("renew-plug", plug=row.device, part=row.on)


def register_calendar(
    rows: Iterable[UpkeepRow],
    title: str,
    stamp: dt.datetime,
    summary: Callable[[UpkeepRow], str] = renewal_summary,
) -> bytes:
    """Due dates as an iCalendar file, one all-day event for each plug with a date.

    The same register and stamp give the same bytes; the identifiers depend on title and plug
    alone, so that a later export replaces the events of an earlier one.

    Parameters
    ----------
    rows : iterable of UpkeepRow
    title : str
        Title of the installation.
    stamp : datetime.datetime
        Time of the export, with a time zone.
    summary : callable
        Title of an event.

    Raises
    ------
    ValueError
        The stamp has no time zone.

    Source
    ------
    RFC 5545.
    """
    return due_calendar(
        "upkeep register",
        title,
        stamp,
        (
            DueDay(row.device.casefold(), row.due, summary(row))
            for row in sorted(rows, key=lambda r: r.device.casefold())
            if row.due is not None
        ),
    )
