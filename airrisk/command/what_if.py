"""``airrisk what-if``: one fire with its inputs varied, swept or drawn from their spreads."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
from airrisk.messages import told_of
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.what_if_records import Sampled, Tornado, WhatIf
    from airrisk.wording.units import Units

MOST_FAILED_SHARE = 0.001  # of the samples; beyond it the study counts as failed


@click.command(
    "what-if", cls=Command, short_help="Ask how sure the verdict is when inputs are in doubt."
)
@file_argument
@option("--fire", metavar="ID", help="Fire to vary (default: the worst of the file's own).")
@option(
    "--section", metavar="ID",
    help='Section, where the fire reaches several: its id as assess prints it behind "on", for '
    "example C1+L1+R1.",
)  # fmt: skip
@option(
    "--vary", metavar="KEY", multiple=True,
    help="Vary only this input, for example R1.wall_thickness; may be repeated. --inputs lists "
    "them.",
)  # fmt: skip
@option(
    "--sweep", "sweeps", metavar="KEY=LOW..HIGH[:N]", multiple=True,
    help='Sweep an input, for example "R1.wall_thickness=4 mm..10 mm:31"; twice: a map.',
)  # fmt: skip
@option(
    "--samples", type=click.IntRange(0, 10_000_000), default=1000, show_default=True,
    metavar="N", help="Number of samples; 0: none.",
)  # fmt: skip
@option(
    "--method", type=click.Choice(["latin-hypercube", "sobol"]), default="latin-hypercube",
    show_default=True, help="How the samples are drawn.",
)  # fmt: skip
@option(
    "--seed", type=click.IntRange(0, 2**31 - 1), default=1, show_default=True,
    metavar="N", help="The same seed gives the same answer.",
)  # fmt: skip
@option("--json", "json_path", metavar="PATH", help="Write the answer as JSON; - for screen.")
@option("--html", type=click.Path(path_type=Path), help="Write it as one HTML file.")
@option("--pdf", type=click.Path(path_type=Path), help="Write it as PDF.")
@option(
    "--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True, help="Paper."
)
@option("--inputs", "list_inputs", is_flag=True, help="List the inputs that can be varied.")
@on_option
@units_option
def what_if(  # noqa: PLR0913  # click hands over every option
    file: Path,
    fire: str | None,
    section: str | None,
    vary: tuple[str, ...],
    sweeps: tuple[str, ...],
    samples: int,
    method: str,
    seed: int,
    json_path: str | None,
    html: Path | None,
    pdf: Path | None,
    paper: str,
    list_inputs: bool,
    on: str | None,
    units: str,
) -> int:
    """Ask what happens in a fire when the inputs of FILE are not as stated.

    Each input is taken to its 5 % and 95 % value in turn; with --sweep one input becomes a curve
    and two become a map with the border between safe and unsafe; with --samples all are drawn at
    once: how probable it is that the plug acts first, margins, smallest bores, Sobol indices.
    Spreads stand in the [spread] tables of FILE, else the program's defaults count. Pressures in
    --sweep say gauge or absolute: "R1.pressure=8 bar(g)..12 bar(g)".

    Exit code 0: safe as stated and in all variants; 1: something is unsafe; 2: the input is wrong;
    3: a calculation failed (the run as stated, or more than 0.1 % of the samples).
    """
    wanted = {"--json": json_path, "--html": html, "--pdf": pdf}
    check_outputs(wanted, (file,), screen=("--json",))
    installation, data = read_installation(file)
    day = date_of(on, installation)
    from airrisk.study.what_if_inputs import WhatIfError

    try:
        if list_inputs:
            return _print_inputs(installation, day, fire, section, units)
        from airrisk.study.what_if import Questions
        from airrisk.study.what_if import what_if as ask

        questions = Questions(vary, sweeps, samples, method.replace("-", " "), seed)
        with watched() as progress, stop_on_interrupt() as should_stop:
            answer = ask(
                installation,
                day,
                questions,
                fire=fire,
                section=section,
                progress=progress,
                should_stop=should_stop,
            )
    except WhatIfError as error:
        raise InputRefused(f"{file}: {tr(told_of(error))}") from None
    digest = hashlib.sha256(data).hexdigest()
    if json_path:
        from airrisk.report.what_if_json import what_if_json

        text = what_if_json(answer, installation.title, digest, day.isoformat())
        if json_path == SCREEN:
            say_json(text)
        else:
            write_output(Path(json_path), text.encode("utf-8"))
    if html or pdf:
        from airrisk.report.content import units_for
        from airrisk.report.what_if_sections import what_if_report

        shown = units_for(installation, units)
        document = what_if_report(answer, installation, shown, digest, day.isoformat())
        if html:
            from airrisk.report.html import render_html

            write_output(html, render_html(document, shown).encode("utf-8"))
        if pdf:
            from airrisk.report.pdf import render_pdf

            write_output(pdf, render_pdf(document, shown, paper))
    if json_path != SCREEN:
        from airrisk.wording.units import Units

        print_what_if(answer, Units(units, installation.site.ambient_pressure))
        for path in (json_path, html, pdf):
            if path:
                say(tr("wrote {path}").format(path=path))
    return exit_code(answer)


def what_if_chapter(installation: Any, day: Any, samples: int, unit_set: str) -> Any:
    """The chapter of a report on the ruling fire with its inputs varied.

    Raises
    ------
    InputRefused
        There is no fire that can be run.
    """
    from airrisk.report.content import units_for
    from airrisk.report.what_if_sections import what_if_section
    from airrisk.study.what_if import Questions
    from airrisk.study.what_if import what_if as ask
    from airrisk.study.what_if_inputs import WhatIfError

    try:
        with watched() as progress, stop_on_interrupt() as should_stop:
            answer = ask(
                installation,
                day,
                Questions(samples=samples),
                progress=progress,
                should_stop=should_stop,
            )
    except WhatIfError as error:
        raise InputRefused(tr("--what-if: {error}").format(error=tr(told_of(error)))) from None
    return what_if_section(answer, units_for(installation, unit_set))


def exit_code(answer: WhatIf) -> int:
    """Exit code of a what-if study."""
    tornado, sampled = answer.tornado, answer.sampled
    if tornado is not None and tornado.present.outcome == "not converged":
        return EXIT_FAILED
    if sampled is not None and sampled.not_converged > MOST_FAILED_SHARE * sampled.samples:
        return EXIT_FAILED
    points = [] if tornado is None else [tornado.present.safe]
    if tornado is not None:
        points += [end.safe for bar in tornado.bars for end in (bar.at_low, bar.at_high)]
    points += [safe for sweep in answer.sweeps for safe in sweep.safe]
    points += [safe for found in answer.maps for row in found.safe for safe in row]
    if sampled is not None:
        points.append(sampled.safe.count == sampled.samples)
    return EXIT_CLEAR if all(points) else EXIT_FINDINGS


def _print_inputs(
    installation: Any, day: Any, fire: str | None, section: str | None, unit_set: str
) -> int:
    from airrisk.command.printing import print_columns
    from airrisk.fire.variants import variable_inputs
    from airrisk.study.what_if import choose
    from airrisk.study.what_if_inputs import varied_inputs
    from airrisk.wording.units import Units
    from airrisk.wording.what_if_texts import distribution_text, input_text

    units = Units(unit_set, installation.site.ambient_pressure)
    chosen = choose(installation, day, fire, section)
    variable = variable_inputs(chosen.case)
    from airrisk.study.what_if_inputs import recorded

    spreads = {
        item.key: recorded(installation, item)
        for item in varied_inputs(installation, variable, chosen.case.uncredited)
    }
    rows = [(tr("key"), tr("as stated"), tr("spread"))]
    for key, (present, kind) in variable.items():
        item = spreads.get(key)
        rows.append(
            (
                key,
                input_text(present, kind, key, units),
                tr("only swept") if item is None else distribution_text(item, units),
            )
        )
    say(
        tr("{fire} on {section}").format(
            fire=chosen.study.cut.fire.id, section=chosen.study.cut.section.id
        )
    )
    print_columns(rows)
    return EXIT_CLEAR


def print_what_if(answer: WhatIf, units: Units) -> None:
    """Print the study as sentences and one table."""
    from airrisk.wording.what_if_texts import (
        input_name,
        method_sentences,
        subject_sentence,
        sweep_sentence,
    )

    say(subject_sentence(answer.subject, units))
    if answer.tornado is not None:
        _print_tornado(answer.tornado, units)
    for sweep in answer.sweeps:
        say()
        say(sweep_sentence(sweep, units))
    for found in answer.maps:
        flags = [safe for row in found.safe for safe in row]
        say()
        say(
            tr(
                "Map of {x} and {y}: {safe} of {all} runs are safe. --html or --pdf draws "
                "it, --json holds it."
            ).format(
                x=input_name(found.x.key),
                y=input_name(found.y.key),
                safe=sum(flags),
                all=len(flags),
            )
        )
    if answer.sampled is not None:
        _print_samples(answer.sampled, units)
    say()
    for sentence in method_sentences(answer):
        say(sentence)


def _print_tornado(tornado: Tornado, units: Units) -> None:
    """The run as stated, and each input taken to its ends in turn."""
    from airrisk.command.printing import print_columns
    from airrisk.wording import labels
    from airrisk.wording.units import number_text, time_text
    from airrisk.wording.what_if_texts import (
        input_name,
        point_sentence,
        range_text,
        tornado_sentence,
    )

    def use(value: float | None) -> str:
        return "-" if value is None else number_text(value, 3)

    def rupture(seconds: float | None) -> str:
        return tr("never") if seconds is None else time_text(seconds)

    say(point_sentence(tornado.present))
    say()
    say(tr("One input at a time"))
    rows = [
        (
            tr("input"),
            tr("from - to"),
            tr("strength use"),
            tr("rupture without plug"),
            tr("outcome"),
        )
    ]
    for bar in tornado.bars:
        ends = (bar.at_low, bar.at_high)
        words = [labels.answer(point.outcome, point.safe) for point in ends]
        rows.append(
            (
                input_name(bar.key),
                range_text(bar, units),
                " - ".join(use(point.peak_strength_use) for point in ends),
                " - ".join(rupture(point.rupture_without_vent_s) for point in ends),
                words[0] if words[0] == words[1] else " - ".join(words),
            )
        )
    print_columns(rows)
    say(tornado_sentence(tornado))


def _print_samples(sampled: Sampled, units: Units) -> None:
    """All inputs drawn at once, and which of them the result hangs on."""
    from airrisk.command.printing import print_columns
    from airrisk.wording.what_if_texts import (
        bore_sentence,
        index_rows,
        no_shares_sentence,
        sampled_sentences,
        varies,
    )

    say()
    say(tr("All inputs at once"))
    for sentence in sampled_sentences(sampled):
        say(f"  {sentence}")
    for one in sampled.bores:
        say(f"  {bore_sentence(one, units)}")
    indices = sampled.indices_if_all_work or sampled.indices
    if sampled.inputs and not varies(sampled):
        say(f"  {no_shares_sentence()}")
    elif indices is not None:
        told = index_rows(indices)
        together = [told.pop("")] if "" in told else []
        head = (tr("input"), tr("first-order index"), tr("total index"))
        rows = [head, *list(told.values())[:10], *together]
        given = tr(", all credited plugs working") if sampled.indices_if_all_work else ""
        say(
            "  "
            + tr("Share of the variance of the highest strength use{given}").format(given=given)
        )
        print_columns(rows)
