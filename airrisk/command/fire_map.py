"""``airrisk map``: where a pool or a jet may burn so that every section survives it."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import dataclass
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
    from airrisk.study.keep_clear_table import ClearRow
    from airrisk.study.plug_sides import SidesOfVessel
    from airrisk.wording.units import Units

WIDTH = 500.0  # points, of the picture


@click.command("map", cls=Command, short_help="Draw where a pool of fuel or a jet may burn.")
@file_argument
@option("--source", metavar="ID", help="Move this fire source of FILE about.")
@option("--fuel", metavar="NAME", help="Or a pool of this fuel, for example diesel.")
@option("--diameter", metavar="LENGTH", help='Diameter of that pool, for example "2 m".')
@option(
    "--volume", metavar="VOLUME",
    help='Liquid in that pool, for example "200 L" (default: it burns for 60 min).',
)  # fmt: skip
@option("--jet", metavar="LENGTH", help='Or a level jet flame of this length, for example "3 m".')
@option(
    "--mass-flow", metavar="FLOW",
    help='Or a jet of so much of --fuel, for example "0.1 kg/s" of natural gas.',
)  # fmt: skip
@option(
    "--direction", metavar="ANGLE",
    help="Direction of the jet, from east towards north (default: pointed at each part in turn).",
)  # fmt: skip
@option(
    "--positions", type=click.IntRange(20, 20_000), default=2000, show_default=True, metavar="N",
    help="About so many positions.",
)  # fmt: skip
@option(
    "--quick", is_flag=True,
    help="Leave out the check of the borders by all runs; the answer says so.",
)  # fmt: skip
@option("--sides", is_flag=True, help="Also tell which side of each vessel a plug should face.")
@option(
    "--distances", is_flag=True,
    help="Also tell how far pools of that fuel must stay from each vessel, by direction.",
)  # fmt: skip
@option("--csv", type=click.Path(path_type=Path), help="Write a row for each position as CSV.")
@option(
    "--sides-csv", type=click.Path(path_type=Path),
    help="Write a row for each vessel and place of a plug as CSV.",
)  # fmt: skip
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
    jet: str | None,
    mass_flow: str | None,
    direction: str | None,
    positions: int,
    quick: bool,
    sides: bool,
    distances: bool,
    csv: Path | None,
    sides_csv: Path | None,
    svg: Path | None,
    png: Path | None,
    json_path: str | None,
    on: str | None,
    units: str,
) -> int:
    """Draw where a pool of burning fuel, or a jet, may stand so that every section survives it.

    It is moved over the plan (the fields "at" of FILE). At each position every section that
    it can harm is run shut in; along the borders every run of an assessment is made. A position
    reads survived only where all of them are safe and no doubt tells.

    Exit code 0: no position is unsafe; 1: some are; 2: the input is wrong; 3: some could not be
    assessed.
    """
    files = {"--csv": csv, "--svg": svg, "--png": png}
    written = {**files, "--sides-csv": sides_csv}
    check_outputs({**written, "--json": json_path}, (file,), screen=("--json",))
    installation, data = read_installation(file)
    wanted = {"--jet": jet, "--mass-flow": mass_flow, "--direction": direction}
    if any(wanted.values()):
        if source or diameter or volume:
            raise click.UsageError(
                tr("Say a jet alone: --jet or --mass-flow, with --direction and --fuel")
            )
        pool = jet_of(fuel, wanted)
    else:
        pool = pool_of(installation, source, fuel, diameter, volume)
    if (sides or sides_csv or distances) and pool.kind == "jet":
        raise click.UsageError(tr("--sides and --distances need a pool, not a jet"))
    if distances and pool.fuel is None:
        raise click.UsageError(tr("--distances needs a pool of fuel, not goods"))
    seen = _drawn(file, installation, pool, on, positions, not quick)
    day = date_of(on, installation)
    beside = _beside(installation, pool, day, sides or sides_csv is not None, distances)
    from airrisk.report.content import units_for

    shown = units_for(installation, units)
    _write(seen, installation, shown, files)
    if sides_csv:
        from airrisk.report.clear_data import sides_csv as as_csv

        write_output(sides_csv, as_csv(beside.sides).encode("utf-8-sig"))
    if json_path:
        from airrisk.report.fire_map_data import fire_map_json

        digest = hashlib.sha256(data).hexdigest()
        text = fire_map_json(seen, installation.title, digest, beside.sides, beside.clear)
        if json_path == SCREEN:
            say_json(text)
        else:
            write_output(Path(json_path), text.encode("utf-8"))
    if json_path != SCREEN:
        _print(seen, shown)
        _print_beside(beside, shown)
        for path in (*written.values(), json_path):
            if path:
                say(tr("wrote {path}").format(path=path))
    return _exit_code(seen)


@dataclass(frozen=True)
class _Beside:
    """What else is asked of a pool."""

    sides: tuple[SidesOfVessel, ...] = ()
    clear: tuple[ClearRow, ...] = ()


def _beside(
    installation: Installation, pool: FireSource, day: dt.date, sides: bool, distances: bool
) -> _Beside:
    """Which side a plug should face and how far pools must stay, as far as that is asked."""
    if not sides and not distances:
        return _Beside()
    from airrisk.study.keep_clear_table import keep_clear_table
    from airrisk.study.plug_sides import plug_sides

    with watched() as progress, stop_on_interrupt() as should_stop:
        given: dict[str, Any] = {"progress": progress, "should_stop": should_stop}
        return _Beside(
            plug_sides(installation, pool, day, **given) if sides else (),
            keep_clear_table(installation, [pool.fuel or ""], day, **given) if distances else (),
        )


def _print_beside(beside: _Beside, units: Units) -> None:
    from airrisk.wording.plug_side_texts import (
        clear_cautions,
        clear_rows,
        distances_sentence,
        side_rows,
        sides_cautions,
        sides_sentences,
    )

    if beside.sides:
        say()
        for one in beside.sides:
            say(" ".join(sides_sentences(one, units)))
        rows = side_rows(beside.sides)
        if len(rows) > 1:
            say()
            print_columns(rows)
        for sentence in sides_cautions(beside.sides, units):
            say(sentence)
    if beside.clear:
        say()
        say(distances_sentence(units))
        print_columns(clear_rows(beside.clear, units))
        for sentence in clear_cautions(beside.clear):
            say(sentence)


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


def jet_of(fuel: str | None, given: dict[str, str | None]) -> FireSource:
    """The jet that is asked about.

    Raises
    ------
    InputRefused
        There is no such.
    """
    from airrisk.study.fire_map_grid import FireMapError, jet_to_move

    length, flow = given["--jet"], given["--mass-flow"]
    if length is None and (flow is None or fuel is None):
        raise click.UsageError(
            tr('Say which jet: --jet "3 m", or --mass-flow "0.1 kg/s" with --fuel')
        )
    angle = given["--direction"]
    try:
        return jet_to_move(
            None if length is None else _length(length, "--jet", "length"),
            fuel,
            None if flow is None else _length(flow, "--mass-flow", "mass_flow"),
            None if angle is None else _quantity(angle, "--direction", "angle"),
        )
    except FireMapError as error:
        raise InputRefused(tr(told_of(error))) from None


def _quantity(text: str, name: str, kind: str) -> float:
    from airrisk.quantities import QuantityError, parse

    try:
        return parse(text, kind)
    except QuantityError as error:
        raise InputRefused(f"{name}: {tr(told_of(error))}") from None


def _length(text: str, name: str, kind: str) -> float:
    found = _quantity(text, name, kind)
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
