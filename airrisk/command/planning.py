"""``airrisk plan``: the causes of what was found, and plans that make it safe."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from airrisk.command.given import (
    EXIT_CLEAR,
    EXIT_FAILED,
    EXIT_FINDINGS,
    date_of,
    file_argument,
    on_option,
    read_installation,
    units_option,
)
from airrisk.command.outputs import SCREEN, InputRefused, check_outputs, write_output
from airrisk.command.screen import say, say_json
from airrisk.command.speaking import Command, option
from airrisk.command.stopping import stop_on_interrupt
from airrisk.command.watching import watched
from airrisk.installation.characters import visible_line
from airrisk.messages import told_of
from airrisk.study.records import Assessment
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import Units

BIGGEST = 100_000  # bytes of a file of costs


@click.command(
    "plan", cls=Command, short_help="Find the causes of the findings and plans that make it safe."
)
@file_argument
@option(
    "--write", type=click.Path(path_type=Path), metavar="OUT",
    help="Write the system file with the plan's changes as OUT, each changed value offered until "
    "somebody confirms it. OUT must not exist yet.",
)  # fmt: skip
@option(
    "--number", type=click.IntRange(1, 3), default=1, show_default=True, metavar="N",
    help="Which of the plans to write.",
)  # fmt: skip
@option(
    "--costs", type=click.Path(path_type=Path), metavar="FILE",
    help="Costs of your own: a TOML file with a table [cost], keys as in docs/method.md.",
)  # fmt: skip
@option("--json", "json_path", metavar="PATH", help="Write the JSON answer; - for the screen.")
@on_option
@units_option
def plan(  # click hands over every option
    file: Path,
    write: Path | None,
    number: int,
    costs: Path | None,
    json_path: str | None,
    on: str | None,
    units: str,
) -> int:
    """Find the causes of the findings of FILE, and up to three plans that make it safe.

    Each plan is proven by the assessment of the whole changed file. Exit code 0: a plan was
    found, or nothing is unsafe; 1: no plan was found; 2: the input is wrong; 3: a calculation
    failed.
    """
    check_outputs({"--json": json_path}, (file,), screen=("--json",))
    if write is not None and (write.exists() or write.is_symlink()):
        raise InputRefused(
            tr("--write {file}: stands there already; valid: a name that is free").format(
                file=visible_line(str(write))
            )
        )
    wanted = None if costs is None else _costs(costs)
    installation, data = read_installation(file)
    answer = planned(installation, data, on, wanted)
    if json_path:
        _write_json(json_path, answer)
    if json_path != SCREEN:
        print_plans(answer, Units(units, answer.ambient_pressure_pa))
    plans = answer.plans.plans
    if write is not None:
        from airrisk.study.cure_changes import unwritten
        from airrisk.wording.cure_plans import unwritten_sentences

        _write_plan(write, number, answer, data)
        for text in unwritten_sentences(
            unwritten(plans[number - 1].changes),
            answer.kinds,
            Units(units, answer.ambient_pressure_pa),
        ):
            say(text)
    if answer.failures:
        return EXIT_FAILED
    return EXIT_CLEAR if plans or not answer.plans.cells else EXIT_FINDINGS


def _costs(path: Path) -> dict[str, float]:
    from airrisk.study.costs import CostError, costs_from

    shown = visible_line(str(path))
    try:
        data = path.read_bytes()[: BIGGEST + 1]
        if len(data) > BIGGEST:
            raise InputRefused(tr("{file}: too large for a file of costs").format(file=shown))
        return costs_from(data.decode("utf-8"))
    except OSError as error:
        raise InputRefused(
            tr("{file}: cannot be read: {reason}").format(
                file=shown, reason=error.strerror or error
            )
        ) from None
    except UnicodeDecodeError:
        raise InputRefused(tr("{file}: is not text in UTF-8").format(file=shown)) from None
    except CostError as error:
        raise InputRefused(
            tr("{file}: {reason}").format(file=shown, reason=tr(told_of(error)))
        ) from None


def planned(
    installation: Any, data: bytes, on: str | None, costs: dict[str, float] | None = None
) -> Assessment:
    """The assessment of a checked installation with its causes and cure plans."""
    from airrisk.study.assessment import Watcher, assess
    from airrisk.study.cache import StepCache
    from airrisk.study.cures import with_cures

    cache = StepCache()
    with watched() as progress, stop_on_interrupt() as should_stop:
        watcher = Watcher(progress, should_stop)
        day = date_of(on, installation)
        answer = assess(installation, day, source=data, watcher=watcher, cache=cache)
        return with_cures(answer, installation, data, cache=cache, costs=costs, watcher=watcher)


def _write_json(path: str, answer: Assessment) -> None:
    from airrisk.report.json_output import to_json_text

    text = to_json_text(answer)
    if path == SCREEN:
        say_json(text)
    else:
        write_output(Path(path), text.encode("utf-8"))


def _write_plan(path: Path, number: int, answer: Assessment, data: bytes) -> None:
    from airrisk.installation.saving import save
    from airrisk.installation.splice import SystemText
    from airrisk.study.cure_changes import changed_text

    plans = answer.plans.plans
    if number > len(plans):
        raise InputRefused(
            tr("There is no plan {number}; found: {count}. Nothing was written.").format(
                number=number, count=len(plans)
            )
        )
    text = changed_text(SystemText(data).up_to_date(), plans[number - 1].changes, as_offered=True)
    try:
        save(path, text.text)
    except OSError as error:
        raise InputRefused(
            tr("{file}: cannot be written: {reason}").format(
                file=visible_line(str(path)), reason=error.strerror or error
            )
        ) from None
    say(
        tr("wrote {file}; the changed values are offered: confirm each when it is done").format(
            file=visible_line(str(path))
        )
    )


def print_plans(answer: Assessment, units: Units) -> None:
    """Print the line on sections, the causes with their findings, and the plans."""
    from airrisk.wording.overview import overview_sentences

    say(
        tr("{title}, assessed on {date}").format(
            title=answer.title or tr("Untitled"), date=date_text(answer.on)
        )
    )
    say()
    for text in overview_sentences(answer, units):
        say(text)
    _print_causes(answer, units)
    _print_plans(answer, units)


def _print_causes(answer: Assessment, units: Units) -> None:
    from airrisk.wording.cure_plans import (
        cause_cure,
        cause_heading,
        cause_lines,
        cause_work,
        causes_sentence,
    )

    if not answer.causes:
        return
    say()
    say(tr("Causes"))
    say(causes_sentence(answer))
    for number, cause in enumerate(answer.causes, start=1):
        say()
        say(f"{number:>3}  {cause_heading(cause)}")
        say(f"     {cause_cure(cause, answer.kinds, units)}")
        for text in cause_work(cause, answer):
            say(f"     {text}")
        for text in cause_lines(cause, units):
            say(f"       {text}")


def _print_plans(answer: Assessment, units: Units) -> None:
    from airrisk.command.printing import print_columns
    from airrisk.wording.cure_plans import (
        before_and_after,
        change_sentence,
        plan_heading,
        plan_sentences,
        search_sentences,
    )
    from airrisk.wording.units import number_text

    say()
    say(tr("Cure plans"))
    for text in search_sentences(answer.plans, answer):
        say(f"  {text}")
    for number, found in enumerate(answer.plans.plans, start=1):
        say()
        say(plan_heading(number, found))
        for step, change in enumerate(found.changes, start=1):
            told = change_sentence(change, answer.kinds, units)
            cost = tr("(cost {cost})").format(cost=number_text(change.cost, 2))
            say(f"  {step}. {told} {cost}")
        for text in plan_sentences(found):
            say(f"  {text}")
        head = (tr("section"), tr("fire"), tr("before"), tr("after"))
        print_columns([head, *before_and_after(answer, found)])
