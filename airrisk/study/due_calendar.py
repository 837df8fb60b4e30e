"""Due dates as a calendar for other programs."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class DueDay:
    """One all-day event."""

    name: str  # with the title of the installation it identifies the event
    day: dt.date
    summary: str
    alarm: dt.timedelta | None = None  # before it; None: none


def due_calendar(product: str, title: str, stamp: dt.datetime, days: Iterable[DueDay]) -> bytes:
    """Due dates as an iCalendar file, one all-day event for each.

    The same days and stamp give the same bytes; the identifiers depend on title and name alone, so
    that a later export replaces the events of an earlier one.

    Parameters
    ----------
    product
        What they are of, in English.
    title
        Of the installation.
    stamp
        Time of the export, with a time zone.
    days
        In their order.

    Raises
    ------
    ValueError
        The stamp has no time zone.

    Source
    ------
    RFC 5545.
    """
    import icalendar  # only this export needs it

    if stamp.tzinfo is None:
        raise ValueError("the time of the export needs a time zone")
    instant = stamp.astimezone(dt.UTC).replace(microsecond=0)
    book = icalendar.Calendar()
    book.add("prodid", f"-//airrisk//{product}//EN")
    book.add("version", "2.0")
    for one in days:
        event = icalendar.Event()
        identity = uuid.uuid5(uuid.NAMESPACE_URL, f"airrisk:{title}:{one.name}")
        event.add("uid", str(identity))
        event.add("dtstamp", instant)
        event.add("dtstart", one.day)
        event.add("dtend", one.day + dt.timedelta(days=1))
        event.add("summary", one.summary)
        event.add("location", title)
        event.add("transp", "TRANSPARENT")
        if one.alarm is not None:
            alarm = icalendar.Alarm()
            alarm.add("action", "DISPLAY")
            alarm.add("description", one.summary)
            alarm.add("trigger", one.alarm)
            event.add_component(alarm)
        book.add_component(event)
    return bytes(book.to_ical())
