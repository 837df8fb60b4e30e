"""The command line: ``airrisk assess | samples | ...``; no Qt on any of its paths."""

from __future__ import annotations

import datetime as dt
import traceback
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from airrisk import __version__
from airrisk.command.assessing import assessed, assessed_with, exit_code
from airrisk.command.given import (
    EXIT_CLEAR,
    EXIT_FAILED,
    EXIT_FINDINGS,
    EXIT_INPUT,
    date_of,
    file_argument,
    on_option,
    read_installation,
    units_option,
)
from airrisk.command.outputs import SCREEN, InputRefused, check_outputs, write_output
from airrisk.command.screen import (
    BROKEN_PIPE,
    ScreenLost,
    complain,
    flush,
    message_of,
    prepare,
    say,
    say_json,
)
from airrisk.command.speaking import Group, option
from airrisk.wording import languages
from airrisk.wording.translation import tr

EXIT_INTERRUPTED = 130
TABLE_ENDINGS = (".xlsx", ".zip")


@click.group(
    cls=Group,
    epilog="Without a command, airrisk [FILE] opens the window. FILE is a system file: "
    "docs/system-file.md lists its fields, and the files that 'airrisk samples' names can be "
    "copied to begin with.",
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, prog_name="airrisk")
@option(
    languages.OPTION, metavar="CODE", expose_value=False, callback=lambda *_: None,
    help="Language of what is printed and of a report, "
    "for example de (default: the system's). JSON and CSV keep English keys.",
)  # fmt: skip
def commands() -> None:
    """Fire exposure of compressed-air installations: screening, not a certification."""


@commands.command()
@file_argument
@option(
    "--json", "json_path", metavar="PATH", help="Write the full answer as JSON; - for the screen."
)
@on_option
@units_option
@option("--no-bores", is_flag=True, help="Leave out the search for smallest bores.")
def assess(file: Path, json_path: str | None, on: str | None, units: str, no_bores: bool) -> int:
    """Assess FILE: findings and a short table.

    Exit code 0: nothing above a note; 1: findings; 2: the input is wrong; 3: a calculation failed,
    or there was nothing to assess.
    """
    from airrisk.command.printing import print_assessment

    check_outputs({"--json": json_path}, (file,), screen=("--json",))
    answer = assessed(file, on, bores=not no_bores)
    if json_path:
        _write_json(json_path, answer)
    if json_path != SCREEN:
        print_assessment(answer, units)
    return exit_code(answer)


def _write_json(path: str, answer: Any) -> None:
    """Write the JSON answer to a file, or to the screen alone."""
    from airrisk.report.json_output import to_json_text

    text = to_json_text(answer)
    if path == SCREEN:
        say_json(text)
    else:
        write_output(Path(path), text.encode("utf-8"))


@commands.command()
@option("--paths", is_flag=True, help="Print the files' full paths only.")
def samples(paths: bool) -> int:
    """List the sample systems that come with airrisk, with their paths."""
    from airrisk import tables

    for name in tables.sample_names():
        path = tables.sample_path(name)
        say(str(path) if paths else f"{name:24} {path}")
    return EXIT_CLEAR


@commands.command()
@file_argument
@option("--pdf", type=click.Path(path_type=Path), help="Write the report as PDF.")
@option("--html", type=click.Path(path_type=Path), help="Write the report as one HTML file.")
@option("--csv", type=click.Path(path_type=Path), help="Write the report's tables as CSV.")
@option("--json", "json_path", metavar="PATH", help="Write the JSON answer; - for the screen.")
@option(
    "--tables", "tables_path", type=click.Path(path_type=Path), metavar="PATH",
    help="Write the answer as plain tables for spreadsheets: PATH ends in .xlsx (sheets) or .zip "
    "(CSV files).",
)  # fmt: skip
@option(
    "--full", is_flag=True,
    help="Write PDF and HTML with every chapter and proof; else they are the short report: a page "
    "to decide on, who does what, the drawing and the card for the fire service.",
)  # fmt: skip
@option(
    "--chapters", metavar="LIST",
    help='Write PDF and HTML with some chapters only, such as "decision,owners,fires"; owners is '
    "one page of who does what by when. A wrong name lists all of them.",
)  # fmt: skip
@option(
    "--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True, help="Paper."
)
@option(
    "--what-if", "samples", type=click.IntRange(1, 1_000_000), metavar="N",
    help="Add a what-if chapter on the fire that decides, with N samples, to PDF and HTML.",
)  # fmt: skip
@option(
    "--energies", "student", metavar="VESSEL",
    help="Add a chapter for students to PDF and HTML: energy and rupture of VESSEL against "
    "pressure, volume and temperature, real air beside ideal gas. VESSEL is its id.",
)  # fmt: skip
@option(
    "--cures", is_flag=True,
    help="Add a chapter on causes and cure plans, and both to JSON; see 'airrisk plan'.",
)  # fmt: skip
@option(
    "--map", "maps", multiple=True, metavar="POOL",
    help='Add a chapter with a map of where a fire may stand to PDF and HTML: a source of FILE, '
    'a fuel and diameter such as "diesel, 2 m", or all (sources of FILE); may be repeated. '
    "Takes minutes.",
)  # fmt: skip
@on_option
@units_option
def report(  # noqa: PLR0913  # click hands over every option
    file: Path,
    pdf: Path | None,
    html: Path | None,
    csv: Path | None,
    json_path: str | None,
    tables_path: Path | None,
    full: bool,
    chapters: str | None,
    paper: str,
    samples: int | None,
    student: str | None,
    cures: bool,
    maps: tuple[str, ...],
    on: str | None,
    units: str,
) -> int:
    """Write the report on FILE as PDF, HTML, CSV, plain tables or JSON (one or more).

    Exit codes are those of assess. A file that already has the name given is written over,
    unless it is a system file.
    """
    if not (pdf or html or csv or json_path or tables_path):
        raise click.UsageError(
            tr("Say what to write: --pdf, --html, --csv, --tables or --json with a file name")
        )
    _check_ending(tables_path)
    keys = _chapters_asked_for(chapters)
    for name, chapter in (
        ("--what-if", samples), ("--energies", student), ("--map", maps or None),
        ("--chapters", chapters),
    ):  # fmt: skip
        if chapter is not None and not (pdf or html):
            raise click.UsageError(
                tr("{option} adds a chapter to PDF and HTML: give --pdf or --html").format(
                    option=name
                )
            )
    wanted = {
        "--pdf": pdf, "--html": html, "--csv": csv, "--tables": tables_path, "--json": json_path,
    }  # fmt: skip
    check_outputs(wanted, (file,), screen=("--json",))
    installation, data = read_installation(file)
    more: list[Any] = [] if student is None else [_energies_chapter(installation, student, units)]
    sources = _sources_of_maps(installation, maps)
    if cures:
        from airrisk.command.planning import planned

        answer = planned(installation, data, on)
    else:
        answer = assessed_with(installation, data, on, bores=True)
    if pdf or html:
        clear = full and installation.choices.keep_clear_of is not None
        maps_too = [_maps_chapter(installation, sources, on, units)] if sources or clear else []
        more = [*_what_if_chapters(installation, samples, on, units), *maps_too, *more]
    if pdf or html:
        _write_pages(answer, installation, units, more, _Pages(pdf, html, full, paper, keys))
    if csv:
        from airrisk.report.csv import report_csv

        write_output(csv, report_csv(answer, installation, units).encode("utf-8-sig"))
    if tables_path:
        _write_tables(tables_path, answer)
    if json_path:
        _write_json(json_path, answer)
    for path in (pdf, html, csv, tables_path, json_path):
        if path and json_path != SCREEN:
            say(tr("wrote {path}").format(path=path))
    return exit_code(answer)


@dataclass(frozen=True)
class _Pages:
    """Where the pages go, and which."""

    pdf: Path | None
    html: Path | None
    full: bool
    paper: str
    chapters: tuple[str, ...]  # empty: the short or the whole report


def _chapters_asked_for(text: str | None) -> tuple[str, ...]:
    """The chapters of ``--chapters``.

    Raises
    ------
    InputRefused
        One of them is none of the report's.
    """
    if text is None:
        return ()
    from airrisk.report.chapters import CHAPTERS

    keys = tuple(word.strip().lower() for word in text.split(",") if word.strip())
    unknown = [key for key in keys if key not in CHAPTERS]
    if unknown or not keys:
        raise InputRefused(
            tr("--chapters {text}: no such chapter; valid: {known}").format(
                text=repr(", ".join(unknown) or text), known=", ".join(CHAPTERS)
            )
        )
    return keys


def _check_ending(path: Path | None) -> None:
    if path is not None and path.suffix.lower() not in TABLE_ENDINGS:
        raise click.UsageError(tr("--tables: {path} must end in .xlsx or .zip").format(path=path))


def _write_tables(path: Path, answer: Any) -> None:
    from airrisk.report.data_tables import tables_xlsx, tables_zip

    make = tables_xlsx if path.suffix.lower() == ".xlsx" else tables_zip
    write_output(path, make(answer))


def _write_pages(
    answer: Any, installation: Any, units: str, more: list[Any], wanted: _Pages
) -> None:
    from airrisk.report.content import units_for
    from airrisk.report.short_report import build_short_report, build_whole_report

    shown = units_for(installation, units)
    if wanted.chapters:
        made = _some_chapters(answer, installation, units, more, wanted.chapters)
    else:
        build = build_whole_report if wanted.full else build_short_report
        made = build(answer, installation, units, more)
    if wanted.pdf:
        from airrisk.report.pdf import render_pdf

        write_output(wanted.pdf, render_pdf(made, shown, wanted.paper))
    if wanted.html:
        from airrisk.report.html import render_html

        write_output(wanted.html, render_html(made, shown).encode("utf-8"))


def _some_chapters(
    answer: Any, installation: Any, units: str, more: list[Any], keys: tuple[str, ...]
) -> Any:
    """The report of some chapters.

    Raises
    ------
    InputRefused
        None of them has anything to tell.
    """
    from airrisk.report.chapters import NoSuchChapters, build_chapters

    try:
        return build_chapters(answer, installation, keys, units, more)
    except NoSuchChapters:
        raise InputRefused(
            tr("--chapters {text}: of this file there is nothing to tell in them").format(
                text=repr(", ".join(keys))
            )
        ) from None


def _what_if_chapters(
    installation: Any, samples: int | None, on: str | None, units: str
) -> list[Any]:
    """The what-if study, where it is asked for."""
    if not samples:
        return []
    from airrisk.command.what_if import what_if_chapter

    return [what_if_chapter(installation, date_of(on, installation), samples, units)]


def _maps_chapter(installation: Any, sources: list[Any], on: str | None, units: str) -> Any:
    """Maps, and the distances from pools that the file asks for: half a minute of a large plant."""
    from airrisk.command.report_maps import maps_chapter

    return maps_chapter(installation, sources, date_of(on, installation), units)


def _sources_of_maps(installation: Any, maps: tuple[str, ...]) -> list[Any]:
    """What is moved about on the maps of a report; wrong words are told before the work begins."""
    if not maps:
        return []
    from airrisk.command.report_maps import maps_asked_for

    return maps_asked_for(installation, maps)


def _energies_chapter(installation: Any, name: str, units: str) -> Any:
    """What pressure, volume and temperature do to one vessel.

    Raises
    ------
    InputRefused
        There is no such vessel.
    """
    from airrisk.report.content import units_for
    from airrisk.report.energy_map_section import energy_map_section
    from airrisk.study.energy_map import energy_map

    for vessel in installation.vessels:
        if vessel.id.casefold() == name.casefold():
            found = energy_map(installation, vessel)
            return energy_map_section(found, units_for(installation, units))
    known = ", ".join(vessel.id for vessel in installation.vessels) or tr("a file with a vessel")
    raise InputRefused(
        tr("--energies {name}: there is no such vessel; valid: {known}").format(
            name=repr(name), known=known
        )
    )


@commands.command(short_help="List the plugs with their due dates; export register and walk.")
@file_argument
@option("--csv", type=click.Path(path_type=Path), help="Write the register as CSV.")
@option("--ics", type=click.Path(path_type=Path), help="Write the due dates as iCalendar.")
@option("--walk", type=click.Path(path_type=Path), help="Write the walk sheet as CSV.")
@option("--filled", type=click.Path(path_type=Path), help="Read a walk sheet that was filled in.")
@option("--write", type=click.Path(path_type=Path), help="Write FILE with what it says.")
@on_option
def upkeep(
    file: Path,
    csv: Path | None,
    ics: Path | None,
    walk: Path | None,
    filled: Path | None,
    write: Path | None,
    on: str | None,
) -> int:
    """List the plugs of FILE with their due dates; export the register and the walk sheet.

    With --filled the inspections of a filled walk sheet are listed, and with --write a new file is
    written that has them; an inspection that found a fault brings an action.

    Exit code 0: every plug is in date and can be counted on; 1: one is not; 2: the input is wrong.
    """
    from airrisk.study import upkeep as register

    check_outputs({"--csv": csv, "--ics": ics, "--walk": walk}, (file,))
    installation, data = read_installation(file)
    if filled or write:
        from airrisk.command.filled import take_over

        return take_over((file, data), installation, filled, write)
    day = date_of(on, installation)
    rows = register.upkeep_rows(installation, day)
    if csv:
        write_output(csv, register.register_csv(rows).encode("utf-8-sig"))
    if ics:
        stamp = dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC)
        write_output(
            ics,
            register.register_calendar(
                rows, installation.title, stamp, lambda row: tr(register.renewal_summary(row))
            ),
        )
    if walk:
        from airrisk.wording.units import Units
        from airrisk.wording.walk import file_says, question

        units = Units(ambient_pressure=installation.site.ambient_pressure)
        stops = register.walk_stops(installation)
        sheet = register.walk_csv(
            stops, question, lambda stop: file_says(installation, stop, units)
        )
        write_output(walk, sheet.encode("utf-8-sig"))
    from airrisk.command.printing import print_upkeep

    print_upkeep(rows, day)
    late = any(row.status not in ("in date", "due soon") for row in rows)
    return EXIT_FINDINGS if late else EXIT_CLEAR


def _register() -> None:
    from airrisk.command.comparing import compare
    from airrisk.command.exercise import exercise
    from airrisk.command.fire_map import fire_map
    from airrisk.command.planning import plan
    from airrisk.command.register import actions
    from airrisk.command.schema import schema
    from airrisk.command.what_if import what_if

    commands.add_command(fire_map)
    commands.add_command(what_if)
    commands.add_command(plan)
    commands.add_command(actions)
    commands.add_command(compare)
    commands.add_command(schema)
    commands.add_command(exercise)


def run(words: list[str]) -> int:
    """Run one command and return its exit code; no traceback for what a person typed."""
    _register()
    prepare()
    try:
        left, language = languages.taken_from(words)
    except languages.UnknownLanguage as error:
        complain(tr("Error: {why}").format(why=tr(error.told)))
        return EXIT_INPUT
    lost = languages.speak(language or languages.wanted())
    if lost:
        complain(lost)
    try:
        code = _run(left)
        flush()
    except ScreenLost as lost:
        return lost.end()
    return code


def _run(words: list[str]) -> int:
    try:
        return int(commands.main(args=words, prog_name="airrisk", standalone_mode=False) or 0)
    except click.ClickException as error:
        complain(message_of(error))
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        complain(tr("stopped"))
        return EXIT_INTERRUPTED
    except SystemExit:  # how click ends when nobody listens to its help any more
        return BROKEN_PIPE
    except ScreenLost:
        raise
    except OSError as error:
        if error.filename is None:  # click's own printing
            raise ScreenLost(error) from None
        return _failed()
    except Exception:
        return _failed()


def _failed() -> int:
    """A defect of the program: all that helps to find it, and a code that is no answer."""
    complain(
        traceback.format_exc() + tr("Error: airrisk has a defect here; the answer is not whole")
    )
    return EXIT_FAILED
