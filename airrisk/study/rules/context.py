"""What the rules look at, and how they say what they found."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import networkx as nx

from airrisk.installation.model import (
    Device,
    Installation,
    Line,
    Plug,
    Vessel,
)
from airrisk.installation.naming import kinds_of_ids
from airrisk.installation.plug_state import (
    PlugState,
    plug_state,
    uncredited_pressure_devices,
)
from airrisk.installation.sections import (
    Network,
    Section,
    gas_graph,
    holder_volume,
    section_of,
    shut_in,
)
from airrisk.installation.start import cut_out_pressures, highest_pressure, start_state
from airrisk.messages import quoted, said
from airrisk.study.protection import LargestDuty, Ways, largest_duties, protection
from airrisk.study.records import (
    SEVERITIES,
    CompressorRecord,
    Failure,
    Finding,
    FireClass,
    FireRecord,
    FlameAway,
    PartRecord,
    ProtectionRecord,
    Severity,
    UpkeepRow,
    VerdictRecord,
)
from airrisk.study.running import Running, hottest_running
from airrisk.study.standing_fires import SourceRecord
from airrisk.tables import read_toml

TEXTS_FILE = "findings.toml"


@dataclass(frozen=True)
class RuleContext:
    """Everything the rules may look at; nothing else, so that one answer has one set of inputs.

    ``parts``, ``fires`` and ``compressors`` may lack what could not be computed: a rule leaves
    out what it cannot judge, and ``failures`` says what is missing.
    """

    installation: Installation
    on: dt.date
    parts: Mapping[str, PartRecord] = field(default_factory=dict)
    fires: tuple[FireRecord, ...] = ()
    compressors: Mapping[str, CompressorRecord] = field(default_factory=dict)
    upkeep: tuple[UpkeepRow, ...] = ()
    failures: tuple[Failure, ...] = ()
    verdicts: tuple[VerdictRecord, ...] = ()
    flame_away: Mapping[str, FlameAway] = field(default_factory=dict)
    jet_spot: Mapping[str, FlameAway] = field(default_factory=dict)
    sources: Mapping[str, SourceRecord] = field(default_factory=dict)

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """The shut-in sections."""
        return shut_in(self.installation)

    @cached_property
    def protection(self) -> dict[str, ProtectionRecord]:
        """Protection against fires that fill the compartment; the file's fires are run."""
        return protection(self.installation, file_fires=False, ways=self.vent_ways)

    @cached_property
    def vent_ways(self) -> Ways:
        """Which part can always let its air out where, and what cuts it off."""
        return Ways(self.installation)

    @cached_property
    def network(self) -> Network:
        """Valves by place."""
        return Network.of(self.installation)

    @cached_property
    def largest(self) -> dict[str, LargestDuty]:
        """The most that each device can be asked to empty."""
        return largest_duties(self.installation)

    @cached_property
    def ways(self) -> nx.DiGraph[Any]:
        """The ways of the air with every valve open."""
        return gas_graph(self.installation)

    @cached_property
    def sure_ways(self) -> nx.DiGraph[Any]:
        """Those of them that nobody can shut."""
        sure: nx.DiGraph[Any] = nx.DiGraph()
        sure.add_nodes_from(self.ways)
        sure.add_edges_from(
            (a, b) for a, b, valve in self.ways.edges(data="valve") if valve is None
        )
        return sure

    @cached_property
    def opening_pressures(self) -> dict[str, float]:
        """Pressure at which each relief valve and disc opens, Pa absolute."""
        plant = self.installation
        found = {valve.id: valve.set_pressure for valve in plant.relief_valves}
        return found | {disc.id: disc.burst_pressure for disc in plant.bursting_discs}

    @cached_property
    def running(self) -> dict[str, float]:
        """Hottest normal running temperature of each part, K."""
        return {name: one.temperature for name, one in self.heated.items()}

    @cached_property
    def heated(self) -> dict[str, Running]:
        """The same with what makes each part so hot."""
        return hottest_running(self.installation, self.compressors)

    @cached_property
    def _holders(self) -> dict[str, Vessel | Line]:
        return {holder.id: holder for holder in self.installation.holders()}

    @cached_property
    def _highest(self) -> dict[str, float]:
        return {}

    @cached_property
    def _cut_outs(self) -> dict[str, float]:
        return cut_out_pressures(self.installation)

    @cached_property
    def distrusted(self) -> dict[str, str]:
        """Relief valves and discs that nobody may count on, with why."""
        return uncredited_pressure_devices(self.installation, self.on)

    @cached_property
    def kinds(self) -> dict[str, str]:
        """What each id of the file is: vessel, plug, non-return valve, ..."""
        return kinds_of_ids(self.installation)

    @property
    def ambient(self) -> float:
        """Ambient pressure, Pa absolute."""
        return self.installation.site.ambient_pressure

    def holder(self, name: str) -> Vessel | Line:
        """The vessel or line with this id."""
        return self._holders[self.network.name(name)]

    def section_at(self, part: str) -> Section:
        """The shut-in section of a vessel or line."""
        return section_of(self.sections, self.network.name(part))

    def pressure(self, part: str) -> float:
        """Pressure when the fire starts, Pa absolute."""
        return start_state(self.installation, self.holder(part))[0]

    def highest_pressure(self, part: str) -> float:
        """Highest pressure that can stand in the shut-in section of a part, Pa absolute."""
        section = self.section_at(part)
        if section.id not in self._highest:
            self._highest[section.id] = highest_pressure(
                self.installation, section, self._cut_outs, uncredited=self.distrusted
            )
        return self._highest[section.id]

    def holders_of(self, members: Iterable[str]) -> tuple[str, ...]:
        """Those of some parts that hold air: vessels and lines."""
        return tuple(name for name in members if name in self._holders)

    def stored(self, holders: Iterable[str]) -> float:
        """Gauge pressure times volume of some vessels and lines, Pa m3.

        The highest pressure that can stand there counts: a part that is empty today may be full
        when it burns.
        """
        return sum(
            max(self.highest_pressure(name) - self.ambient, 0.0) * self.volume(name)
            for name in holders
        )

    def volume(self, part: str) -> float:
        """Volume of a vessel or line, m3."""
        return holder_volume(self.holder(part))

    def is_small(self, section: Section) -> bool:
        """Whether a section holds too little air to matter."""
        return self.is_little(section.holders)

    def is_little(self, holders: Iterable[str]) -> bool:
        """Whether some vessels and lines together hold too little air to matter."""
        return self.stored(holders) < self.installation.choices.small_section

    def largest_holder(self, names: Iterable[str]) -> str:
        """The vessel (or else line) of the largest volume."""
        return min(
            names,
            key=lambda n: (
                isinstance(self.holder(n), Line),
                -self.volume(n),
                n.casefold(),
            ),
        )

    def plug_state(self, plug: Plug) -> PlugState:
        """State of a plug on the date of the study."""
        return plug_state(self.installation, plug, self.on)

    def part_of(self, device: Device) -> str:
        """Id of the part that a device stands on."""
        return self.network.name(device.on)


@dataclass(frozen=True)
class Unanswered:
    """A rule could not be asked of one part; its other parts and the other rules have answers."""

    part: str  # empty: of nothing at all
    error: Exception


RuleFunction = Callable[[RuleContext], Iterable[Finding | Unanswered]]


@dataclass(frozen=True)
class Rule:
    """One rule with its texts; they stand in resources/findings.toml under its id."""

    id: str
    check: RuleFunction

    def _text(self, key: str) -> str:
        return str(read_toml(TEXTS_FILE)[self.id].get(key, ""))

    @property
    def title(self) -> str:
        """A few words."""
        return self._text("title")

    @property
    def meaning(self) -> str:
        """What the rule asks and why."""
        return self._text("meaning")

    @property
    def source(self) -> str:
        """Where the rule comes from, or "common practice, no source"."""
        return source_of(self.id)


def source_of(rule: str) -> str:
    """Source and standing of a rule as one text."""
    entry = read_toml(TEXTS_FILE)[rule]
    source, standing = str(entry["source"]), str(entry.get("standing", ""))
    if standing == "from memory":
        return said("source-edition-not-checked", source=quoted(source))
    if standing in ("", "published"):
        return quoted(source)
    return said("source-and-standing", source=quoted(source), standing=quoted(standing))


# keys of values that hold ids
_IDS = frozenset(
    {
        "on", "parts", "fails", "fire_on", "fires", "valve", "valves", "plugs", "compressor",
        "lines", "stops", "left", "worst_valves", "last_valves", "protects", "relief_valves",
        "stopped", "room", "bursts", "places", "source", "sources", "vessel",
    }
)  # fmt: skip


def with_kinds(context: RuleContext, found: Finding) -> Finding:
    """A finding with what each id in it is, for the words about it."""
    names = [found.part]
    if found.rule in ("calculation-failed", "outlet-into-occupied-place"):
        names.append(found.values["place"])  # of a plug in the water it is no id
    for key, value in found.values.items():
        if key in _IDS:
            names += [value] if isinstance(value, str) else list(value or ())
    kinds = {name: context.kinds[name] for name in names if name in context.kinds}
    return replace(found, kinds=kinds)


def fire_named(fire: FireRecord) -> dict[str, Any]:
    """The values by which a finding names a fire."""
    return {"fire": fire.id, "fire_class_of": fire.fire_class, "fire_on": fire.exposed[:1]}


def finding(
    rule: str,
    severity: Severity,
    part: str,
    *,
    section: str = "",
    fire_class: FireClass | None = None,
    **values: Any,
) -> Finding:
    """A finding with the source of its rule; ``variant`` chooses among its texts and cures.

    ``text_variant`` does so for the text alone; ``section`` and ``fire_class`` are given where
    the finding is about a section, or about its fires of one class.
    """
    return Finding(rule, severity, part, source_of(rule), values, section, fire_class)


SEVERITY_ORDER: dict[str, int] = {word: place for place, word in enumerate(SEVERITIES)}


def worst_of(severities: Iterable[Severity]) -> Severity:
    """The most severe of some."""
    return min(severities, key=lambda severity: SEVERITY_ORDER[severity])


def at_most(severity: Severity, most: Severity) -> Severity:
    """A severity, or a milder one that it may not exceed."""
    return max(severity, most, key=lambda word: SEVERITY_ORDER[word])


def at_least(severity: Severity, least: Severity) -> Severity:
    """A severity, or a graver one that it may not fall below."""
    return worst_of((severity, least))


def milder(severity: Severity) -> Severity:
    """One step milder; a note stays one."""
    return SEVERITIES[min(SEVERITY_ORDER[severity] + 1, len(SEVERITIES) - 1)]
