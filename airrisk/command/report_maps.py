"""The maps that a report is asked for."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from airrisk.command.fire_map import pool_of
from airrisk.command.outputs import InputRefused
from airrisk.command.stopping import stop_on_interrupt
from airrisk.command.watching import watched
from airrisk.messages import told_of
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.installation.model import FireSource, Installation


def maps_asked_for(installation: Installation, names: tuple[str, ...]) -> list[FireSource]:
    """The pools that the words of --map name: "all", ids of sources, or fuel and diameter.

    Raises
    ------
    InputRefused
        A word names none.
    """
    found: list[FireSource] = []
    for name in names:
        if name.casefold() == "all":
            found += installation.fire_sources
            continue
        known = {one.id.casefold(): one for one in installation.fire_sources}
        if name.casefold() in known:
            found.append(known[name.casefold()])
            continue
        fuel, _, diameter = name.partition(",")
        if not diameter:
            raise InputRefused(
                tr(
                    "--map {name}: there is no such fire source; valid: {known}, all, or fuel and "
                    'diameter as in "diesel, 2 m"'
                ).format(
                    name=repr(name),
                    known=", ".join(one.id for one in installation.fire_sources) or tr("none"),
                )
            )
        found.append(pool_of(installation, None, fuel, diameter.strip(), None))
    if not found:
        raise InputRefused(
            tr('--map all: the file has no fire source; valid: fuel and diameter, "diesel, 2 m"')
        )
    return found


def maps_chapter(
    installation: Installation, sources: list[FireSource], day: dt.date, units: str
) -> Any:
    """The chapter with the maps of some sources, and the distances of their and the file's fuels.

    With a map goes which side of each vessel a plug should face.
    """
    from airrisk.report.content import units_for
    from airrisk.report.fire_map_section import fire_maps_section
    from airrisk.study.fire_map import MapWatcher, fire_map
    from airrisk.study.fire_map_grid import FireMapError
    from airrisk.study.keep_clear_table import keep_clear_table
    from airrisk.study.plug_sides import plug_sides
    from airrisk.wording.fire_map_texts import stage_text

    with watched() as progress, stop_on_interrupt() as should_stop:

        def tell(share: float, stage: Any) -> None:
            if progress is not None:
                progress(share, stage_text(stage))

        watcher = MapWatcher(progress=tell, should_stop=should_stop)
        try:
            maps = [fire_map(installation, one, day, watcher=watcher) for one in sources]
        except FireMapError as error:
            raise InputRefused(f"--map: {tr(told_of(error))}") from None
        rows = keep_clear_table(
            installation, fuels_of(installation, sources), day,
            progress=progress, should_stop=should_stop,
        )  # fmt: skip
        sides = [
            plug_sides(installation, one, day, progress=progress, should_stop=should_stop)
            for one in sources
            if one.kind != "jet"
        ]
    return fire_maps_section(maps, rows, installation, units_for(installation, units), sides)


def fuels_of(installation: Installation, sources: list[FireSource]) -> list[str]:
    """The fuels whose distances are told: of the pools asked for and those of the file."""
    named = installation.choices.keep_clear_of
    pools = [*sources, *installation.fire_sources]
    fuels = [one.fuel for one in pools if one.kind == "pool" and one.fuel]
    return list(dict.fromkeys([*([] if named is None else [named]), *fuels]))
