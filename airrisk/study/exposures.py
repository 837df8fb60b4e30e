"""Which fires are run against which sections: the file's own, and always the assumed ones.

Every section that valves can shut in is asked four questions, each a class of fires: ``stated``,
what the file says can burn; ``whole``, all of it in the flames, its plugs too; ``beside``, a fire
next to each vessel in turn that heats a quarter of its shell, its plugs out of it; ``spot``, the
same on a twentieth. A fire in the file never takes the place of an assumed one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from airrisk.fire.patches import Patch
from airrisk.installation.geometry import burst_factor, shell_grade
from airrisk.installation.model import Fire, FireSource, Installation, Line
from airrisk.installation.sections import Section, closable_valves, sections_with, shut_in
from airrisk.messages import said
from airrisk.physics import metal
from airrisk.physics.fires import CONVECTION
from airrisk.study.records import ASSUMED_SHARES, JET_FLUX, Burning, FireClass
from airrisk.study.room_layers import HOT, RoomLayer, burning_rooms, parts_in, room_layer
from airrisk.study.standing_fires import SourceFire, source_fire

QUARTER, TWENTIETH = ASSUMED_SHARES["beside"], ASSUMED_SHARES["spot"]


@dataclass(frozen=True)
class Exposure:
    """One fire against one section."""

    fire: Fire
    section: Section
    fire_class: FireClass
    # walls of which not all in the fire stands in the same: by part
    patches: tuple[tuple[str, tuple[Patch, ...]], ...] = ()
    not_placed: tuple[str, ...] = ()  # parts of the section whose place nobody has stated
    leaned_on: tuple[str, ...] = ()  # parts of it that a flame touches or leaves in wind
    source_kind: Burning | None = None  # what burns, where it stands somewhere
    plug_patches: tuple[tuple[str, str], ...] = ()  # patch that a plug stands on, by plug
    hot_room: str = ""  # room whose hot gas the run leaves out
    jet: bool = False  # of gas under pressure: its blow may tear insulation off


def exposures(installation: Installation) -> tuple[Exposure, ...]:
    """Every fire that an assessment runs: the stated ones, then the assumed ones by section.

    A stated fire burns with its ``closed`` valves shut, or with every valve shut that may be
    closed. Where something can burn somewhere and a part has no place, nobody knows whether that
    is worse for it: no verdict on its section is sure, whichever fire it is of.
    """
    burning = [(one, source_fire(installation, one)) for one in installation.fire_sources]
    lost = frozenset(name for _, fire in burning for name in fire.not_placed)
    every = (*_stated(installation, burning), *_of_every_section(installation))
    return tuple(_without_place(one, lost) for one in every)


def flame_away(installation: Installation) -> tuple[Exposure, ...]:
    """The assumed flame on a quarter of each vessel away from its plugs, shut in.

    Practically no vessel survives it; what is asked is how many minutes it stands.
    """
    return tuple(
        Exposure(
            _flame(
                installation,
                said("flame-away-from-plugs-of", vessel=vessel),
                ((vessel, QUARTER),),
                (),
            ),
            section,
            "whole",
        )
        for section in shut_in(installation)
        for vessel in section.vessels
    )


def jet_spot(installation: Installation) -> tuple[Exposure, ...]:
    """A jet flame on a twentieth of each vessel's shell away from its plugs, shut in.

    As with ``flame_away`` what is asked is how many minutes it stands.
    """
    return tuple(
        Exposure(
            _radiation(
                installation,
                said("jet-on-a-spot-of", vessel=vessel),
                vessel,
                TWENTIETH,
                JET_FLUX,
            ),
            section,
            "spot",
            jet=True,
        )
        for section in shut_in(installation)
        for vessel in section.vessels
    )


def even_exposures(installation: Installation) -> Iterable[Exposure]:
    """Those of no source: fires of the file, and those that are assumed of every section."""
    yield from _of_fires(installation)
    yield from _of_every_section(installation)


def _of_fires(installation: Installation) -> Iterable[Exposure]:
    for fire in installation.fires:
        closed = closable_valves(installation) if fire.closed is None else fire.closed
        reached = {name.casefold() for name in fire.reaches}
        for section in sections_with(installation, closed):
            if any(name.casefold() in reached for name in section.holders):
                yield Exposure(fire, section, "stated")


def _stated(
    installation: Installation, burning: Iterable[tuple[FireSource, SourceFire]]
) -> Iterable[Exposure]:
    yield from _of_fires(installation)
    for source, fire_of in burning:
        for section in shut_in(installation):
            exposure = struck_by(installation, source, fire_of, section)
            if exposure is not None:
                yield exposure
    for fire in burning_rooms(installation):
        reached = {name.casefold() for name in fire.reaches}
        for section in shut_in(installation):
            if any(name.casefold() in reached for name in section.holders):
                yield Exposure(fire, section, "stated", source_kind="room")


def struck_by(
    installation: Installation, source: FireSource, burning: SourceFire, section: Section
) -> Exposure | None:
    """The fire of a source against one section; None: it strikes nothing of it."""
    held = section.holders
    here = tuple((name, burning.struck[name]) for name in held if name in burning.struck)
    if not here:
        return None
    layer = room_layer(installation, source)
    inside = () if layer is None else parts_in(installation, layer.room)
    patches = burning.plug_patches
    return Exposure(
        burning.fire,
        section,
        "stated",
        here,
        tuple(name for name in held if name in burning.not_placed),
        tuple(name for name in held if name in burning.leaned_on),
        source.kind,
        tuple((name, patches[name]) for name in section.plugs if name in patches),
        _hot_room(layer, section, inside),
        source.kind == "jet",
    )


def _hot_room(layer: RoomLayer | None, section: Section, inside: Collection[str]) -> str:
    """The room whose hot gas surrounds a part of a section, where that is hot or not known."""
    if layer is None or not set(inside) & set(section.holders):
        return ""
    return layer.room if layer.rise_k is None or layer.rise_k > HOT else ""


def _without_place(exposure: Exposure, lost: Collection[str]) -> Exposure:
    known = (*exposure.not_placed, *lost)
    names = tuple(name for name in exposure.section.holders if name in known)
    return replace(exposure, not_placed=names) if names else exposure


def _of_every_section(installation: Installation) -> Iterable[Exposure]:
    flux = installation.choices.beside_flux
    for section in shut_in(installation):
        everywhere = tuple((name, 1.0) for name in section.holders)
        yield Exposure(
            _flame(installation, said("fire-engulfing", section=section.id), everywhere, None),
            section,
            "whole",
        )
        for name in section.vessels or _weakest_line(installation, section):
            yield Exposure(
                _radiation(installation, said("fire-beside", name=name), name, QUARTER, flux),
                section,
                "beside",
            )
            yield Exposure(
                _radiation(installation, said("fire-on-a-spot", name=name), name, TWENTIETH, flux),
                section,
                "spot",
            )


def _weakest_line(installation: Installation, section: Section) -> tuple[str, ...]:
    """Where no vessel stands, the line that bursts first at one pressure."""
    formula, basis = installation.choices.burst_formula, installation.choices.strength_basis

    def burst_pressure(line: Line) -> float:
        try:
            strength = metal.strength(shell_grade(line), basis, 293.15)
        except ValueError:  # its own run says what is wrong with it
            return 0.0
        return burst_factor(line, formula, basis) * float(strength)

    lines = [line for line in installation.lines if line.id in section.lines]
    return (min(lines, key=burst_pressure).id,)


def _flame(
    installation: Installation,
    name: str,
    shares: tuple[tuple[str, float], ...],
    plugs: tuple[str, ...] | None,
) -> Fire:
    assumed = installation.choices.assumed_fire
    return Fire(
        id=name,
        curve=assumed.curve,
        reaches=tuple(part for part, _ in shares),
        exposed_share=shares,
        plugs_in_fire=plugs,
        convection=CONVECTION[assumed.curve],
        duration=assumed.duration,
    )


def _radiation(installation: Installation, name: str, part: str, share: float, flux: float) -> Fire:
    return Fire(
        id=name,
        curve="flux",
        flux=flux,
        reaches=(part,),
        exposed_share=((part, share),),
        plugs_in_fire=(),
        convection=CONVECTION["flux"],
        duration=installation.choices.assumed_fire.duration,
    )
