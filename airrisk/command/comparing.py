"""``airrisk compare``: what has changed between two versions, by causes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from airrisk.command.assessing import assessed_with, exit_code
from airrisk.command.given import (
    EXIT_CLEAR,
    EXIT_FAILED,
    EXIT_FINDINGS,
    on_option,
    read_installation,
    units_option,
)
from airrisk.command.outputs import check_outputs, write_output
from airrisk.command.screen import say
from airrisk.command.speaking import Command, option
from airrisk.wording.translation import tr
from airrisk.wording.units import Units

if TYPE_CHECKING:
    from airrisk.report.compare import Change
    from airrisk.report.compare_causes import CauseChange, Version
    from airrisk.study.records import Finding

PAGE_ENDINGS = (".pdf", ".html")


@click.command(
    "compare", cls=Command, short_help="List what changed between two versions of a system."
)
@click.argument("before", type=click.Path(path_type=Path))
@click.argument("after", type=click.Path(path_type=Path))
@option(
    "--no-causes", is_flag=True,
    help="Do not try which change cures what: each finding stands alone. Quicker.",
)  # fmt: skip
@option(
    "--report", "pages", type=click.Path(path_type=Path), metavar="PATH",
    help="Write what changed as pages: PATH ends in .pdf or .html.",
)  # fmt: skip
@on_option
@units_option
def compare(  # click hands over every option
    before: Path, after: Path, no_causes: bool, pages: Path | None, on: str | None, units: str
) -> int:
    """List what changed in inputs, verdicts and causes from BEFORE to AFTER.

    Exit code 0 when nothing a reader sees has changed, 1 when something has; 2 and 3 as in
    assess, of either file.
    """
    from airrisk.report.compare import compare as changes_between

    if pages is not None:
        if pages.suffix.lower() not in PAGE_ENDINGS:
            raise click.UsageError(
                tr("--report: {path} must end in .pdf or .html").format(path=pages)
            )
        check_outputs({"--report": pages}, (before, after))
    old, new = (_version(file, on, not no_causes) for file in (before, after))
    changes = changes_between(old, new, units)
    causes = _causes(old, new, units)
    if pages is not None:
        _write_pages(pages, (old, new), causes, units)
    if changes or any(one.status != "same" for one in causes):
        _print(changes, causes, (old, new), units)
        found = EXIT_FINDINGS
    else:
        same = old[0].inputs_sha256 == new[0].inputs_sha256
        say(
            tr("Nothing has changed.")
            if same
            else tr("Nothing has changed but comments or the way of writing.")
        )
        found = EXIT_CLEAR
    failed = any(exit_code(answer) == EXIT_FAILED for answer, _ in (old, new))
    return EXIT_FAILED if failed else found


def _write_pages(
    path: Path, versions: tuple[Version, Version], causes: tuple[CauseChange, ...], units: str
) -> None:
    from airrisk.report.compare_report import build_comparison
    from airrisk.report.content import units_for

    made = build_comparison(*versions, causes, units)
    shown = units_for(versions[1][1], units)
    if path.suffix.lower() == ".pdf":
        from airrisk.report.pdf import render_pdf

        write_output(path, render_pdf(made, shown))
    else:
        from airrisk.report.html import render_html

        write_output(path, render_html(made, shown).encode("utf-8"))
    say(tr("wrote {path}").format(path=path))


def _version(file: Path, on: str | None, causes: bool) -> Version:
    installation, data = read_installation(file)
    answer = assessed_with(installation, data, on, bores=True)
    if causes:
        answer = _with_causes(answer, installation, data)
    return answer, installation


def _with_causes(answer: Any, installation: Any, data: bytes) -> Any:
    from airrisk.command.stopping import stop_on_interrupt
    from airrisk.command.watching import watched
    from airrisk.study.assessment import Watcher
    from airrisk.study.cures import with_cures

    with watched() as progress, stop_on_interrupt() as should_stop:
        watcher = Watcher(progress, should_stop)
        return with_cures(answer, installation, data, plans=False, watcher=watcher)


def _causes(old: Version, new: Version, units: str) -> tuple[CauseChange, ...]:
    from airrisk.report.compare_causes import compare_causes
    from airrisk.wording.findings import finding_text

    shown = Units(units, new[0].ambient_pressure_pa)
    return compare_causes(old, new, lambda one: finding_text(one, shown))


def _print(
    changes: tuple[Change, ...],
    causes: tuple[CauseChange, ...],
    versions: tuple[Version, Version],
    units: str,
) -> None:
    from airrisk.command.printing import print_columns
    from airrisk.wording.comparing import other_question, verdict_rows

    told = other_question(versions[0][1], versions[1][1])
    if told:
        say(told)
    for change in changes:
        if change.kind not in ("finding", "section"):
            head = f"{change.kind:8} {change.where}: {change.what}"
            say(f"{head}: {change.before or '-'} -> {change.after or '-'}")
    rows = verdict_rows(versions[0][0], versions[1][0])
    if rows:
        say()
        say(tr("Verdicts"))
        heads = (tr("section"), tr("fire"), tr("before"), tr("after"), "")
        print_columns([heads, *rows])
    if causes:
        say()
        say(tr("Causes"))
    for one in causes:
        _print_cause(one, Units(units, versions[1][0].ambient_pressure_pa))


def _print_cause(change: CauseChange, units: Units) -> None:
    from airrisk.wording.comparing import status_text
    from airrisk.wording.cure_plans import cause_heading

    say(f"  {status_text(change.status)}: {cause_heading(change.cause)}")
    if change.status == "same":
        return
    for one in change.findings:
        if one.status == "same":
            continue
        say(f"      {status_text(one.status)}")
        for word, finding in ((tr("before"), one.before), (tr("after"), one.after)):
            say(f"         {word}: {_finding(finding, units)}")


def _finding(finding: Finding | None, units: Units) -> str:
    from airrisk.wording import labels
    from airrisk.wording.findings import finding_text

    if finding is None:
        return tr("none")
    return f"{labels.severity(finding.severity)}: {finding_text(finding, units)}"
