"""Which changes are worth trying: what the findings ask for, and plugs that vent unsafe fires.

A proposed plug begins to melt no nearer to normal running than the margin asks, is molten before
oil deposits ignite, stands on top of the gas space, and blows through a pipe to the outdoors
where nobody passes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from airrisk.fire.case import plugs_in_fire
from airrisk.installation.fields import OUTDOORS
from airrisk.installation.insulation import insulation_of, is_covered
from airrisk.installation.model import FireClass, Installation, Line, Plug, Vessel
from airrisk.installation.plug_state import PlugState, plug_state
from airrisk.installation.sections import closable_valves, sections_with
from airrisk.physics import alloys
from airrisk.physics.compression import deposit_ignition
from airrisk.study.compressors import compressor_records
from airrisk.study.cure_changes import Change, ChangeKind, Edit
from airrisk.study.cure_insulation import insulated
from airrisk.study.cure_places import changes_of_place
from airrisk.study.cure_pressure import less_pressure
from airrisk.study.cure_trials import Bench, Cell
from airrisk.study.records import Finding
from airrisk.study.rules.plugs import RUPTURE_MARGIN
from airrisk.study.running import running_temperatures
from airrisk.study.side_by_side import side_by_side

ENGULFING: tuple[FireClass, ...] = ("stated", "whole")  # in which plugs are heated
MOST_JOINED = 2  # vessels that locked valves may join; runs of more take too long to try
MOST_ALLOYS = 3  # the usual ones of the trade
BORES_M = (0.01, 0.02, 0.032, 0.05)  # of new plugs, a coarse choice among the usual ones
# inside diameters of pipes 33.7 x 3.2, 48.3 x 3.2, 60.3 x 2.9, 88.9 x 3.2 and 114.3 x 3.6 mm,
# rounded; EN 10220, from memory
OUTLETS_MM = (27.3, 41.9, 54.5, 82.5, 107.1)
WIDER = 1.6  # an outlet pipe over its bore, so that the pipe takes little of the flow; judgement
OUTLET_LENGTH = "3 m"


@dataclass(frozen=True)
class Candidates:
    """Changes worth trying on one installation.

    Attributes
    ----------
    bench
        Where they are tried.
    costs
        By kind, see ``costs``.
    """

    bench: Bench
    costs: Mapping[str, float]

    @property
    def plant(self) -> Installation:
        """As it is."""
        return self.bench.installation

    def all(self) -> tuple[Change, ...]:
        """Every one, each once."""
        away, lower, new, other = side_by_side(
            lambda make: tuple(make()),  # those that are tried before they are worth trying
            (
                lambda: changes_of_place(self.bench, self.costs),
                lambda: less_pressure(self.bench, self.costs),
                self._new_plugs,
                self._other_plugs,
            ),
        )
        found = [
            *self._plugs_as_they_are(),
            *self._confirmed(),
            *self._flames_on_plugs(),
            *other,
            *self._proven(),
            *new,
            *self._locked(),
            *self._machines(),
            *self._valves(),
            *self._drained(),
            *lower,
        ]
        found += insulated(self.bench, self.costs, found)
        found += away
        return tuple(dict.fromkeys(found))

    # -- plugs that are there ----------------------------------------------------

    def _plugs_as_they_are(self) -> Iterator[Change]:
        for plug in self.plant.plugs:
            state = plug_state(self.plant, plug, self.bench.on)
            if state.uncredited in ("", "offered") and not state.overdue and not self._soon(plug):
                continue
            kind: ChangeKind = "move" if state.under_water else "renew"
            yield self._change(kind, plug.id, self._renewed(plug, state), on=plug.on)

    def _soon(self, plug: Plug) -> bool:
        return any(
            one.part == plug.id and one.rule in ("plug-due-soon", "plug-overdue", "plug-condition")
            for one in self.bench.before.findings
        )

    def _renewed(self, plug: Plug, state: PlugState) -> tuple[Edit, ...]:
        edits = [
            Edit(plug.id, "condition", "clean"),
            Edit(plug.id, "fitted", self.bench.on),
        ]
        if state.under_water:
            edits.append(Edit(plug.id, "place", "top"))
        if is_covered(self.plant, plug):
            edits.append(Edit(plug.id, "stands_free", True))
        if plug.alloy is None:
            usable = self._alloys(plug.on)
            edits += [Edit(plug.id, "alloy", usable[0])] if usable else []
        return tuple(edits)

    def _confirmed(self) -> Iterator[Change]:
        for part, keys in self.bench.before.offered.items():
            yield Change(
                "confirm", part, confirmed=(part,), values={"keys": keys},
                cost=self.costs["confirm"],
            )  # fmt: skip

    def _flames_on_plugs(self) -> Iterator[Change]:
        for plug in self.plant.plugs:
            if plug.on in self._in_danger:
                flames = self._flames(plug.on, plug.id)
                if flames:
                    fires = tuple(name for name, _ in flames)
                    yield self._change("reach", plug.id, (), flames=flames, fires=fires)

    def _other_plugs(self) -> Iterator[Change]:
        """Of plugs in danger another alloy, or a larger bore, that vents what heats them."""
        for found in side_by_side(lambda plug: [*self._others_of(plug)], self.plant.plugs):
            yield from found

    def _others_of(self, plug: Plug) -> Iterator[Change]:
        if plug.on in self._in_danger and plug.alloy is not None:
            state = plug_state(self.plant, plug, self.bench.on)
            if not state.credited:
                return
            yield from self._first_that_vents(
                plug.on,
                [
                    self._change("alloy", plug.id, (Edit(plug.id, "alloy", key),), alloy=key)
                    for key in self._alloys(plug.on)
                    if key != plug.alloy
                ],
            )
            yield from self._first_that_vents(
                plug.on,
                [
                    self._change("enlarge", plug.id, self._bored(plug, bore), bore_m=bore)
                    for bore in BORES_M
                    if bore > plug.bore and bore < self._width(plug.on)
                ],
            )

    def _proven(self) -> Iterator[Change]:
        """Other alloys and bores that the runs of single fires have proven already."""
        for fire in self.bench.before.fires:
            for cure in fire.cures:
                if cure.kind not in ("alloy", "bore", "alloy and bore"):
                    continue
                written = {key: text.strip('"') for part, key, text in cure.changes
                           if part == cure.device}  # fmt: skip
                edits = tuple(Edit(cure.device, key, text) for key, text in written.items())
                kind: ChangeKind = "alloy" if "alloy" in written else "enlarge"
                named: dict[str, object] = {}
                if "alloy" in written:
                    named["alloy"] = written["alloy"]
                if "bore" in written:
                    named["bore_m"] = cure.advised_m or cure.bore_m
                yield self._change(kind, cure.device, edits, (), **named)

    def _bored(self, plug: Plug, bore: float) -> tuple[Edit, ...]:
        edits = [Edit(plug.id, "bore", _mm(bore))]
        pipe = _pipe_for(bore)
        if plug.outlet == "piped" and (plug.outlet_diameter or 0.0) < pipe * 1e-3:
            edits.append(Edit(plug.id, "outlet_diameter", f"{pipe:g} mm"))
        return tuple(edits)

    # -- new plugs ---------------------------------------------------------------

    def _new_plugs(self) -> Iterator[Change]:
        for found in side_by_side(lambda part: [*self._new_plug(part)], self._without_plug()):
            yield from found

    def plugs_for(self, part: str) -> dict[tuple[int, float], Change]:
        """New plugs that a part could get: by the rank of the alloy there and the bore, m."""
        flames = self._flames(part, "")
        return {
            (rank, bore): self._fit(part, key, bore, flames)
            for rank, key in enumerate(self._alloys(part))
            for bore in BORES_M
            if bore < self._width(part)
        }

    def _new_plug(self, part: str) -> Iterator[Change]:
        made = tuple(self.plugs_for(part).values())
        return self._first_that_vents(part, made, also_last=True)

    def _without_plug(self) -> list[str]:
        found = self.places_of_plugs(self.bench.cells)
        asked = ("unprotected-section", "kept-by-pressure-alone")
        found += [one.part for one in self.bench.before.findings if one.rule in asked]
        holders = {one.id for one in self.plant.holders()}
        return [name for name in dict.fromkeys(found) if name in holders]

    def places_of_plugs(self, cells: Iterable[Cell]) -> list[str]:
        """Vessels in danger where plugs are heated; of a section without any its largest line."""
        found: list[str] = []
        for cell in cells:
            if cell.fire_class not in ENGULFING:
                continue
            inside = [self._holder(name) for name in sorted(cell.holders)]
            vessels = [one.id for one in inside if isinstance(one, Vessel)]
            lines = [one for one in inside if isinstance(one, Line)]
            largest = max(lines, key=_pipe_volume, default=None)
            found += vessels or ([] if largest is None else [largest.id])
        return list(dict.fromkeys(found))

    def _fit(
        self, part: str, alloy: str, bore: float, flames: tuple[tuple[str, tuple[str, ...]], ...]
    ) -> Change:
        added = (
            ("on", part),
            ("alloy", alloy),
            ("bore", _mm(bore)),
            ("place", "top"),
            ("outlet", "piped"),
            ("outlet_length", OUTLET_LENGTH),
            ("outlet_diameter", f"{_pipe_for(bore):g} mm"),
            ("outlet_place", OUTDOORS),
            ("condition", "clean"),
            ("fitted", self.bench.on),
            *((("stands_free", True),) if insulation_of(self._holder(part)) else ()),
        )
        return Change(
            "fit",
            part,
            added=added,
            flames=flames,
            values={"alloy": alloy, "bore_m": bore, "fires": tuple(name for name, _ in flames)},
            cost=self.costs["fit"] + self.costs["fit_per_mm"] * bore * 1e3,
        )

    def _first_that_vents(
        self, part: str, made: Sequence[Change], *, also_last: bool = False
    ) -> Iterator[Change]:
        """The cheapest that vents what is stated and what engulfs; else perhaps the last one.

        That may still be half of a pair. A larger plug has more metal and may open later, so that
        each is asked.
        """
        holders = self._together(part)
        for change in sorted(made, key=lambda one: one.cost):
            if not self.bench.vents([change], holders, ENGULFING):
                continue
            trial = self.bench.trial([change])
            if trial is not None and not trial.harm:
                yield change
                return
        if also_last and made:
            yield max(made, key=lambda one: one.cost)

    # -- what is not a plug ------------------------------------------------------

    def _locked(self) -> Iterator[Change]:
        rules = ("unprotected-section", "relief-valve-can-be-isolated", "outlet-can-be-shut",
                 "kept-by-pressure-alone")  # fmt: skip
        closable = {valve.id for valve in self.plant.valves if valve.can_close}
        for one in self._of(rules):
            valves = [name for name in _names(one.values.get("valves")) if name in closable]
            if valves and self._joined(valves) <= MOST_JOINED:
                edits = tuple(Edit(name, "state", "locked open") for name in valves)
                yield Change(
                    "lock", valves[0], edits, values={"valves": tuple(valves)},
                    cost=self.costs["lock"] * len(valves),
                )  # fmt: skip

    def _joined(self, valves: Sequence[str]) -> int:
        """How many vessels stand in one section when some valves cannot be shut."""
        left = [name for name in closable_valves(self.plant) if name not in valves]
        ends = {valve.on for valve in self.plant.valves if valve.id in valves}
        sections = sections_with(self.plant, left)
        return max(
            (len(one.vessels) for one in sections if not ends.isdisjoint(one.members)), default=0
        )

    def _machines(self) -> Iterator[Change]:
        for machine in self.plant.compressors:
            if machine.in_fire != "stops":
                yield self._change("stop", machine.id, (Edit(machine.id, "in_fire", "stops"),))

    def _valves(self) -> Iterator[Change]:
        for one in self._of(("relief-set-above-design",)):
            part = str(one.values["protects"])
            text = self.bench.text.value(part, "design_pressure")
            device = next((d for d in self.plant.relief_valves if d.id == one.part), None)
            if device is not None and text is not None:
                edits = (Edit(device.id, "set_pressure", text),)
                pressure = one.values["design_pressure_pa"]
                yield self._change("set", device.id, edits, pressure_pa=pressure)
        for one in self._of(("no-plug-after-compressor", "plug-behind-non-return-valve")):
            yield from self._turned(_names(one.values.get("valves") or one.values.get("valve")))
        for one in self._of(("outlet-into-occupied-place",)):
            yield from self._led_out(one.part)

    def _turned(self, names: Iterable[str]) -> Iterator[Change]:
        for valve in self.plant.valves:
            if valve.id in names and valve.kind == "non-return" and valve.end is not None:
                end = "from" if valve.end == "to" else "to"
                yield self._change("turn", valve.id, (Edit(valve.id, "end", end),), on=valve.on)

    def _led_out(self, name: str) -> Iterator[Change]:
        device = next((one for one in self.plant.devices() if one.id == name), None)
        if device is None:
            return
        edits = [Edit(name, "outlet_place", OUTDOORS)]
        if isinstance(device, Plug) and device.outlet != "piped":
            edits += [
                Edit(name, "outlet", "piped"),
                Edit(name, "outlet_length", OUTLET_LENGTH),
                Edit(name, "outlet_diameter", f"{_pipe_for(device.bore):g} mm"),
            ]
        yield self._change("outlet", name, tuple(edits))

    def _drained(self) -> Iterator[Change]:
        for holder in self.plant.holders():
            if holder.condensate > 0.0:
                edits = (Edit(holder.id, "condensate", "0 L"),)
                yield self._change("drain", holder.id, edits, water_m3=holder.condensate)

    # -- what they ask -----------------------------------------------------------

    def _change(
        self,
        kind: ChangeKind,
        part: str,
        edits: tuple[Edit, ...],
        flames: tuple[tuple[str, tuple[str, ...]], ...] = (),
        **values: object,
    ) -> Change:
        return Change(kind, part, edits, flames=flames, values=values, cost=self.costs[kind])

    def _of(self, rules: Sequence[str]) -> Iterator[Finding]:
        return (one for one in self.bench.before.findings if one.rule in rules)

    @cached_property
    def _hottest(self) -> Mapping[str, float]:
        records, _ = compressor_records(self.plant)
        return running_temperatures(self.plant, records)

    @cached_property
    def _in_danger(self) -> frozenset[str]:
        """Parts of sections that are not safe where plugs are heated."""
        cells = [cell for cell in self.bench.cells if cell.fire_class in ENGULFING]
        return frozenset(name for cell in cells for name in cell.holders)

    def _together(self, part: str) -> frozenset[str]:
        """What is not safe together with a part, or the part alone."""
        cells = [c.holders for c in self.bench.cells if part in c.holders]
        return frozenset().union(*cells) if cells else frozenset({part})

    def _holder(self, name: str) -> Vessel | Line:
        return next(one for one in self.plant.holders() if one.id == name)

    def _width(self, part: str) -> float:
        return self._holder(part).inside_diameter

    def _alloys(self, part: str) -> list[str]:
        """Alloys that running leaves solid and that melt below oil's limit and rupture.

        Below the design pressure too where any does; the usual ones of the trade first.
        """
        ambient = self.plant.site.ambient_temperature
        least = self._hottest.get(part, ambient) + self.plant.choices.running_margin
        oiled = any(one.lubrication != "oil-free" for one in self.plant.compressors)
        most = deposit_ignition()[1] if oiled else float("inf")
        record = self.bench.before.parts.get(part)
        rupture = None if record is None else record.rupture_temperature_k
        design = None if record is None else record.design_pressure_temperature_k
        if rupture is not None:
            most = min(most, rupture - RUPTURE_MARGIN)
        usable = [one for one in alloys.alloys() if one.solidus >= least and one.liquidus <= most]
        if design is not None:
            usable = [one for one in usable if one.liquidus <= design] or usable
        usable.sort(key=lambda one: (one.usual or 99, -one.liquidus))
        return [one.key for one in usable[:MOST_ALLOYS]]

    def _flames(self, part: str, plug: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Fires of the file that reach a part and would not heat a plug on it."""
        found = []
        for fire in self.plant.fires:
            if part not in fire.reaches:
                continue
            heated = plugs_in_fire(self.plant, fire)
            if plug in heated or (fire.plugs_in_fire is None and fire.share(part) >= 1.0):
                continue
            found.append((fire.id, tuple(sorted(heated))))
        return tuple(found)


def _names(value: object) -> tuple[str, ...]:
    if not value:
        return ()
    return (value,) if isinstance(value, str) else tuple(str(one) for one in value)  # type: ignore[attr-defined]


def _mm(bore: float) -> str:
    return f"{bore * 1e3:.4g} mm"


def _pipe_for(bore: float) -> float:
    """Inside diameter of an outlet pipe, mm."""
    fits = [one for one in OUTLETS_MM if one >= WIDER * bore * 1e3]
    return fits[0] if fits else 2.0 * bore * 1e3


def _pipe_volume(line: Line) -> float:
    return line.length * line.inside_diameter**2
