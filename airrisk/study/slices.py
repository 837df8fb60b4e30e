"""What one fire can feel, cut out of the installation: the only thing that its runs may read.

A slice holds the parts, devices and valves of one section, the air in them, what is known of the
devices on the date asked for, and the choices that can change a number of the fire. Places,
remarks, dates, what lies behind closed valves and what was typed or left out are resolved or left
out. Two installations that give the same slice give the same answers, and no others can be mixed
up: the slice is also the key under which an answer is kept.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

from airrisk.installation.delivery import delivery_temperature
from airrisk.installation.insulation import insulation_of, unconfirmed_insulation
from airrisk.installation.model import (
    Choices,
    Compressor,
    End,
    Fire,
    Installation,
    Line,
    Part,
    Site,
    Valve,
)
from airrisk.installation.plug_state import plug_state, uncredited_pressure_devices
from airrisk.installation.sections import CLOSED_END, Network, Section
from airrisk.installation.start import (
    cut_out_pressures,
    highest_pressures,
    pressures_beside,
    start_state,
)
from airrisk.study.compressors import compressor_records
from airrisk.study.exposures import Exposure
from airrisk.study.records import FireClass
from airrisk.study.running import running_temperatures


@dataclass(frozen=True)
class DeviceCredit:
    """Whether a plug, relief valve or disc may be counted on, and what is known of it."""

    device: str
    uncredited: str = ""  # why it gets no credit; empty: it is credited
    condition: str = "clean"  # of a plug
    dead: bool = False  # a plug under water: it opens in no run


@dataclass(frozen=True)
class FireSlice:
    """One fire against one section, with all that its runs may read and nothing else."""

    installation: Installation  # cut down to the section
    exposure: Exposure
    closed_valves: tuple[str, ...]  # by their names; in the cut they are blank ends
    credits: tuple[DeviceCredit, ...]
    highest: tuple[tuple[str, float], ...]  # part -> highest pressure that can stand, Pa absolute
    hottest: tuple[tuple[str, float], ...]  # part -> hottest normal running, K
    unconfirmed: tuple[str, ...]  # parts with values that nobody has confirmed
    unconfirmed_layers: tuple[str, ...]  # parts whose insulation nobody may count on
    on: dt.date  # written into cures that renew a plug
    free_id: str  # of a plug that a cure adds

    @property
    def fire(self) -> Fire:
        """What burns."""
        return self.exposure.fire

    @property
    def section(self) -> Section:
        """Where."""
        return self.exposure.section

    @property
    def fire_class(self) -> FireClass:
        """The class of the fire."""
        return self.exposure.fire_class

    @property
    def unsearched(self) -> FireSlice:
        """The key of an answer without cures: another plug's name changes none of its runs."""
        return replace(self, free_id="")


VALVES_AWAY = 0.25  # share of a part: of the fires beside one, which its devices stand out of


class Slicer:
    """Cuts slices out of one installation on one date.

    Parameters
    ----------
    installation
        Read and checked.
    on
        Date that decides which devices are credited.
    """

    def __init__(self, installation: Installation, on: dt.date) -> None:
        self.installation = installation
        self.on = on
        self._known: dict[tuple[str, tuple[str, ...]], tuple[Installation, dict[str, float]]] = {}

    @cached_property
    def _hottest(self) -> Mapping[str, float]:
        records, _ = compressor_records(self.installation)
        return running_temperatures(self.installation, records)

    @cached_property
    def _cut_outs(self) -> dict[str, float]:
        return cut_out_pressures(self.installation)

    @cached_property
    def _free_id(self) -> str:
        whole = self.installation
        kinds: tuple[tuple[Any, ...], ...] = (
            tuple(whole.parts()), whole.devices(), whole.valves, whole.fires,
            whole.fire_sources, whole.people,
            whole.rooms,
        )  # fmt: skip
        taken = {str(record.id).casefold() for kind in kinds for record in kind}
        number = 1
        while f"fp{number}" in taken:
            number += 1
        return f"FP{number}"

    @cached_property
    def _credits(self) -> dict[str, DeviceCredit]:
        found = {}
        for plug in self.installation.plugs:
            state = plug_state(self.installation, plug, self.on)
            found[plug.id] = DeviceCredit(
                plug.id,
                state.uncredited,
                str(state.condition),
                state.under_water,
            )
        for device in (*self.installation.relief_valves, *self.installation.bursting_discs):
            found[device.id] = DeviceCredit(device.id, self._distrusted.get(device.id, ""))
        return found

    @cached_property
    def _distrusted(self) -> dict[str, str]:
        return uncredited_pressure_devices(self.installation, self.on)

    def fire(self, exposure: Exposure) -> FireSlice:
        """The slice of one fire."""
        section = exposure.section
        key = (section.id, section.closed_valves)
        known = self._known.get(key)
        if known is None:  # threads share it: what is found there must be whole
            known = (
                _cut(self.installation, section),
                highest_pressures(self.installation, section, self._cut_outs, self._distrusted),
            )
            self._known[key] = known
        cut, highest = known
        inside = set(section.holders)
        whole = self.installation
        devices = (*section.plugs, *section.relief_valves, *section.discs)
        return FireSlice(
            installation=cut,
            exposure=replace(
                exposure,
                fire=_bare_fire(exposure.fire, section),
                section=replace(section, closed_valves=(), isolated_devices=()),
                patches=tuple(one for one in exposure.patches if one[0] in inside),
                plug_patches=tuple(one for one in exposure.plug_patches if one[0] in devices),
            ),
            closed_valves=section.closed_valves,
            credits=tuple(self._credit_in(name, exposure) for name in devices),
            highest=tuple(highest.items()),
            hottest=tuple((name, self._hottest[name]) for name in section.holders),
            unconfirmed=tuple(
                part.id for part in whole.holders() if part.id in inside and part.offered
            ),
            unconfirmed_layers=tuple(
                name
                for name in (self._insulated if exposure.jet else self._unconfirmed_layers)
                if name in inside
            ),
            on=self.on,
            free_id=self._free_id,
        )

    @cached_property
    def _unconfirmed_layers(self) -> dict[str, str]:
        return unconfirmed_insulation(self.installation, self.on)

    @cached_property
    def _insulated(self) -> tuple[str, ...]:
        """Parts with insulation: no layer counts against a jet, which may tear it off."""
        return tuple(one.id for one in self.installation.holders() if insulation_of(one))

    @cached_property
    def _valves_on_insulation(self) -> dict[str, str]:
        """Relief valves on insulated parts: their bodies stand in a fire, the wall does not."""
        covered = set(self._insulated)
        return {one.id: one.on for one in self.installation.relief_valves if one.on in covered}

    def _credit_in(self, device: str, exposure: Exposure) -> DeviceCredit:
        """The credit of a device; a relief valve in flames is not as cool as its insulated part."""
        on = self._valves_on_insulation.get(device)
        known = self._credits[device]
        if on is None or known.uncredited:
            return known
        struck = dict(exposure.patches).get(on)
        share = exposure.fire.share(on)
        if struck:
            share = sum(one.share for one in struck if one.exposure.kind != "ambient")
        if share <= VALVES_AWAY:
            return known
        return replace(known, uncredited="exposed")


def fire_slice(installation: Installation, exposure: Exposure, on: dt.date) -> FireSlice:
    """The slice of one fire; of many fires see ``Slicer``."""
    return Slicer(installation, on).fire(exposure)


def bare(record: Any) -> Any:
    """A record without what cannot change a number: place, remarks, and where values came from."""
    empty: dict[str, Any] = {
        "at": None, "drawn": None, "notes": (), "given": frozenset(), "offered": (),
        "discharges_to": "", "outlet_place": None, "fitted": None, "renew_every": 12,
        "condition": "clean", "direction": None, "elevation": None, "route": (), "faces": None,
        "examined": None, "examine_every": None, "maker": "", "year_made": None,
        "test_pressure": None,
    }  # fmt: skip
    if isinstance(record, Part):
        empty["area"] = None  # its compartment; that of a relief valve or disc is its opening
    names = {item.name for item in fields(record)}
    return replace(record, **{name: value for name, value in empty.items() if name in names})


def _bare_fire(fire: Fire, section: Section) -> Fire:
    """The fire as far as it reaches the section."""
    inside = {name.casefold() for name in section.holders}
    plugs = {name.casefold() for name in section.plugs}
    named = fire.plugs_in_fire
    reached = tuple(name for name in fire.reaches if name.casefold() in inside)
    return replace(
        fire,
        reaches=reached,
        exposed_share=tuple((name, fire.share(name)) for name in reached),
        plugs_in_fire=None
        if named is None
        else tuple(name for name in named if name.casefold() in plugs),
        closed=(),
        notes=(),
        given=frozenset(),
    )


def _cut(whole: Installation, section: Section) -> Installation:
    """The installation as it is for one section: what lies behind closed valves is gone."""
    network = Network.of(whole)
    closed = network.closed_set(section.closed_valves)
    members = set(section.members)
    devices = {*section.plugs, *section.relief_valves, *section.discs}
    valves: list[Valve] = []

    def cut_line(line: Line) -> Line:
        changed: dict[str, Any] = {}
        ends: tuple[tuple[End, str], ...] = (("from", "from_"), ("to", "to"))
        for end, key in ends:
            state = network.line_end(line, end, closed)
            if state.passes:
                valves.extend(
                    bare(valve)
                    for valve in network.at_end.get((line.id, end), ())
                    if valve.kind == "non-return"
                )
            else:
                changed[key] = CLOSED_END
        return replace(bare(line), **changed)

    def kept(records: tuple[Any, ...], names: set[str]) -> tuple[Any, ...]:
        return tuple(bare(record) for record in records if record.id in names)

    lines = tuple(cut_line(line) for line in whole.lines if line.id in members)
    ambient = whole.site.ambient_pressure
    cut = Installation(
        choices=_fire_choices(whole.choices),
        site=Site(ambient_temperature=whole.site.ambient_temperature, ambient_pressure=ambient),
        compressors=tuple(
            _resolved(machine, ambient)
            for machine in whole.compressors
            if machine.id in section.compressors
        ),
        vessels=kept(whole.vessels, members),
        lines=lines,
        junctions=kept(whole.junctions, members),
        consumers=kept(whole.consumers, members),
        valves=tuple(valves),
        plugs=kept(whole.plugs, devices),
        relief_valves=kept(whole.relief_valves, devices),
        bursting_discs=kept(whole.bursting_discs, devices),
    )

    drawn = {line.id: line for line in whole.lines}

    def with_start(line: Line) -> Line:
        """Its pressure worked out, unless it takes that of vessels which are in the slice too.

        Along the pipes as they are drawn: what is behind a shut valve has filled it before.
        """
        beside = pressures_beside(whole, drawn[line.id])
        if line.pressure is None and beside and beside == pressures_beside(cut, line):
            return line
        return replace(line, pressure=start_state(whole, drawn[line.id])[0])

    return replace(cut, lines=tuple(with_start(line) for line in lines))


def _resolved(machine: Compressor, ambient: float) -> Compressor:
    """A compressor with the temperature of its air worked out."""
    return replace(
        bare(machine),
        discharge_temperature=delivery_temperature(machine, ambient),
        inlet_temperature=288.15,
        stages=1,
        efficiency=0.75,
        cooling="none",
        lubrication="oil-lubricated",
    )


def _fire_choices(choices: Choices) -> Choices:
    """The choices that can change a number of a fire."""
    return Choices(
        strength_basis=choices.strength_basis,
        burst_formula=choices.burst_formula,
        strength_use_limit=choices.strength_use_limit,
        inner_radiation=choices.inner_radiation,
        running_margin=choices.running_margin,
    )


def part_slice(whole: Installation, name: str) -> Installation:
    """One part with its own devices, for its screening; a line has the pressure that it takes.

    Parameters
    ----------
    whole
        Read and checked.
    name
        Id of a vessel or line.
    """
    wanted = name.casefold()

    def own(records: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(bare(record) for record in records if record.on.casefold() == wanted)

    choices = whole.choices
    return Installation(
        choices=replace(_fire_choices(choices), tnt_energy=choices.tnt_energy),
        site=Site(
            ambient_temperature=whole.site.ambient_temperature,
            ambient_pressure=whole.site.ambient_pressure,
        ),
        vessels=tuple(bare(one) for one in whole.vessels if one.id.casefold() == wanted),
        lines=tuple(
            replace(bare(one), from_=CLOSED_END, to=CLOSED_END, pressure=start_state(whole, one)[0])
            for one in whole.lines
            if one.id.casefold() == wanted
        ),
        plugs=own(whole.plugs),
        relief_valves=own(whole.relief_valves),
    )


def layout_slice(whole: Installation) -> Installation:
    """What is joined to what, in which compartment, and which plugs a fire heats."""

    def placed(records: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(replace(bare(record), area=record.area) for record in records)

    return Installation(
        compressors=placed(whole.compressors),
        vessels=placed(whole.vessels),
        lines=placed(whole.lines),
        junctions=placed(whole.junctions),
        consumers=placed(whole.consumers),
        valves=tuple(bare(valve) for valve in whole.valves),
        plugs=tuple(bare(plug) for plug in whole.plugs),
        relief_valves=tuple(bare(valve) for valve in whole.relief_valves),
        bursting_discs=tuple(bare(disc) for disc in whole.bursting_discs),
        fires=tuple(bare(fire) for fire in whole.fires),
    )


def people_slice(whole: Installation) -> Installation:
    """Places with people, and where the vessels stand that may hurt them."""
    site = whole.site
    return Installation(
        choices=replace(_fire_choices(whole.choices), tnt_energy=whole.choices.tnt_energy),
        site=Site(
            ambient_temperature=site.ambient_temperature, ambient_pressure=site.ambient_pressure
        ),
        vessels=tuple(replace(bare(one), at=one.at) for one in whole.vessels),
        people=whole.people,
    )
