"""``airrisk map``: where a pool may burn so that every section survives it."""

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
from airrisk.command.printing import print_columns
from airrisk.command.screen import say, say_json
from airrisk.command.speaking import Command, option
from airrisk.command.stopping import stop_on_interrupt
from airrisk.command.watching import watched
from airrisk.messages import told_of
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.installation.model import FireSource, Installation
    from airrisk.study.fire_map_records import FireMap
    from airrisk.wording.units import Units

WIDTH = 500.0  # points, of the picture


@click.command("map", cls=Command, short_help="Draw where a pool of fuel may burn.")
@file_argument
@option("--source", metavar="ID", help="Move this pool, or these goods, of FILE about.")
@option("--fuel", metavar="NAME", help="Or a pool of this fuel, for example diesel.")
@option("--diameter", metavar="LENGTH", help='Diameter of that pool, for example "2 m".')
@option(
    "--volume", metavar="VOLUME",
    help='Liquid in that pool, for example "200 L" (default: it burns for 60 min).',
)  # fmt: skip
@option(
    "--positions", type=click.IntRange(20, 20_000), default=2000, show_default=True, metavar="N",
    help="About so many positions.",
)  # fmt: skip
@option(
    "--quick", is_flag=True,
    help="Leave out the check of the borders by all runs; the answer says so.",
)  # fmt: skip
@option("--csv", type=click.Path(path_type=Path), help="Write a row for each position as CSV.")
@option("--svg", type=click.Path(path_type=Path), help="Write the picture as SVG.")
@option("--png", type=click.Path(path_type=Path), help="Write the picture as PNG.")
@option("--json", "json_path", metavar="PATH", help="Write the map as JSON; - for the screen.")
@on_option
@units_option
def fire_map(  # noqa: PLR0913  # click hands over every option
    file: Path,
    source: str | None,
    fuel: str | None,
    diameter: str | None,
    volume: str | None,
    positions: int,
    quick: bool,
    csv: Path | None,
    svg: Path | None,
    png: Path | None,
    json_path: str | None,
    on: str | None,
    units: str,
) -> int:
    """Draw where a pool of burning fuel may stand so that every section of FILE survives it.

    The pool is moved over the plan (the fields "at" of FILE). At each position every section that
    it can harm is run shut in; along the borders every run of an assessment is made. A position
    reads survived only where all of them are safe and no doubt tells.

    Exit code 0: no position is unsafe; 1: some are; 2: the input is wrong; 3: some could not be
    assessed.
    """
    files = {"--csv": csv, "--svg": svg, "--png": png}
    check_outputs({**files, "--json": json_path}, (file,), screen=("--json",))
    installation, data = read_installation(file)
    pool = pool_of(installation, source, fuel, diameter, volume)
    seen = _drawn(file, installation, pool, on, positions, not quick)
    from airrisk.report.content import units_for

    shown = units_for(installation, units)
    _write(seen, installation, shown, files)
    if json_path:
        from airrisk.report.fire_map_data import fire_map_json

        text = fire_map_json(seen, installation.title, hashlib.sha256(data).hexdigest())
        if json_path == SCREEN:
            say_json(text)
        else:
            write_output(Path(json_path), text.encode("utf-8"))
    if json_path != SCREEN:
        _print(seen, shown)
        for path in (csv, svg, png, json_path):
            if path:
                say(tr("wrote {path}").format(path=path))
    return _exit_code(seen)


def _exit_code(seen: FireMap) -> int:
    if seen.count("not assessed"):
        return EXIT_FAILED
    return EXIT_FINDINGS if seen.unsafe.any() else EXIT_CLEAR


def pool_of(
    installation: Installation,
    source: str | None,
    fuel: str | None,
    diameter: str | None,
    volume: str | None,
) -> FireSource:
    """The pool that is asked about.

    Raises
    ------
    InputRefused
        None is, or more than one, or there is no such.
    """
    from airrisk.study.fire_map_grid import FireMapError, pool_to_move

    if source is not None:
        if fuel or diameter or volume:
            raise click.UsageError(
                tr("Say --source alone, or --fuel and --diameter of another pool")
            )
        for one in installation.fire_sources:
            if one.id.casefold() == source.casefold():
                return one
        known = ", ".join(one.id for one in installation.fire_sources)
        raise InputRefused(
            tr("--source {name}: there is no such fire source; valid: {known}").format(
                name=repr(source), known=known or tr("--fuel and --diameter")
            )
        )
    if fuel is None or diameter is None:
        raise click.UsageError(
            tr('Say which pool: --fuel diesel --diameter "2 m", or --source with an id of the file')
        )
    try:
        return pool_to_move(
            fuel,
            _length(diameter, "--diameter", "length"),
            None if volume is None else _length(volume, "--volume", "volume"),
        )
    except FireMapError as error:
        raise InputRefused(tr(told_of(error))) from None


def _length(text: str, name: str, kind: str) -> float:
    from airrisk.quantities import QuantityError, parse

    try:
        found = parse(text, kind)
    except QuantityError as error:
        raise InputRefused(f"{name}: {tr(told_of(error))}") from None
    if not found > 0.0:
        raise InputRefused(
            tr("{option} {text}: valid is more than 0").format(option=name, text=text)
        )
    return found


def _drawn(
    file: Path,
    installation: Installation,
    pool: FireSource,
    on: str | None,
    positions: int,
    borders: bool,
) -> FireMap:
    from airrisk.study.fire_map import MapWatcher
    from airrisk.study.fire_map import fire_map as draw
    from airrisk.study.fire_map_grid import FireMapError
    from airrisk.wording.fire_map_texts import stage_text

    day = date_of(on, installation)
    with watched() as progress, stop_on_interrupt() as should_stop:

        def tell(share: float, stage: Any) -> None:
            if progress is not None:
                progress(share, stage_text(stage))

        try:
            return draw(
                installation, pool, day, positions=positions, borders=borders,
                watcher=MapWatcher(progress=tell, should_stop=should_stop),
            )  # fmt: skip
        except FireMapError as error:
            raise InputRefused(f"{file}: {tr(told_of(error))}") from None


def _write(
    seen: FireMap, installation: Installation, units: Units, files: dict[str, Path | None]
) -> None:
    if files["--csv"]:
        from airrisk.report.fire_map_data import fire_map_csv

        write_output(files["--csv"], fire_map_csv(seen).encode("utf-8-sig"))
    if not (files["--svg"] or files["--png"]):
        return
    from airrisk.report.fire_map_drawing import draw_fire_map
    from airrisk.report.png import figure_png
    from airrisk.report.svg import figure_svg

    figure = draw_fire_map(seen, installation, units, WIDTH).figure
    if files["--svg"]:
        write_output(files["--svg"], figure_svg(figure, "map").encode("utf-8"))
    if files["--png"]:
        write_output(files["--png"], figure_png(figure))


def _print(seen: FireMap, units: Units) -> None:
    from airrisk.wording.fire_map_texts import cautions, map_title, section_rows, summary_rows

    say(map_title(seen, units))
    say()
    print_columns(summary_rows(seen))
    say()
    rows = section_rows(seen, units)
    if len(rows) > 1:
        print_columns(rows)
        say()
    for sentence in cautions(seen, units):
        say(sentence)
