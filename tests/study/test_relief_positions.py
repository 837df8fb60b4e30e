"""Relief capacity in every position of the valves: by force on random systems, and by hand."""

from __future__ import annotations

import datetime as dt
import itertools
import random
from dataclasses import replace

import networkx as nx
import pytest

from airrisk.installation.model import Compressor, Installation, Junction, Valve
from airrisk.installation.sections import Network, closable_valves, gas_graph
from airrisk.study.assessment import assess
from airrisk.study.relief_positions import MOST_WAYS, Ways, shortfalls
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.fire.systems import installation, line, relief, vessel

DAY = dt.date(2026, 11, 1)


def machine(name: str, delivery: float = 1.0 / 60.0) -> Compressor:
    return Compressor(
        id=name, delivery=delivery, discharge_pressure=11.0e5, lubrication="oil-free"
    )  # fmt: skip


def random_plant(seed: int) -> tuple[Installation, dict[str, float], dict[str, float]]:
    """A plant of at most six closable valves, with what its machines deliver and devices pass."""
    rng = random.Random(seed)
    vessels = [vessel(f"R{n}") for n in range(rng.randint(1, 3))]
    junctions = tuple(Junction(id=f"J{n}") for n in range(rng.randint(0, 2)))
    machines = tuple(machine(f"C{n}") for n in range(rng.randint(1, 3)))
    places = [one.id for one in (*vessels, *junctions)]
    pairs = [(one.id, rng.choice(places)) for one in machines]
    pairs += [(here, rng.choice(places[:n])) for n, here in enumerate(places) if n]
    pairs += [tuple(rng.sample(places, 2)) for _ in range(rng.randint(0, 2)) if len(places) > 1]
    lines = [
        line(f"L{n}", *(pair if rng.random() < 0.6 or pair[0][0] == "C" else pair[::-1]))
        for n, pair in enumerate(pairs)
    ]
    devices = [relief(f"RV{n}", on=rng.choice(vessels).id) for n in range(rng.randint(0, 3))]
    valves = []
    for number, on in enumerate(rng.sample(lines, min(len(lines), rng.randint(1, 6)))):
        kind, end = rng.choice(("isolating", "isolating", "non-return")), rng.choice(("from", "to"))
        state = "open" if kind == "non-return" else rng.choice(("open", "open", "closed"))
        reverse = kind == "non-return" and rng.random() < 0.3
        valves.append(
            Valve(id=f"V{number}", on=on.id, end=end, kind=kind, state=state, reverse=reverse)
        )
    plant = replace(
        installation(*vessels, *lines, *devices),
        junctions=junctions, compressors=machines, valves=tuple(valves),
    )  # fmt: skip
    deliveries = {one.id: float(rng.randint(1, 4)) for one in machines}
    return plant, deliveries, {one.id: float(rng.randint(1, 6)) for one in devices}


def short_at(plant, closed, deliveries, capacity):
    """Vessels that are short in one position, by trying each set of machines."""
    graph = gas_graph(plant, closed)
    reached = {name: nx.descendants(graph, name) for name in deliveries}
    found = {}
    for one in plant.vessels:
        feeding = [name for name in deliveries if one.id in reached[name]]
        for size in range(1, len(feeding) + 1):
            for machines in itertools.combinations(feeding, size):
                left = set().union(*(reached[name] for name in machines)) & capacity.keys()
                if sum(capacity[name] for name in left) < sum(deliveries[n] for n in machines):
                    found.setdefault(one.id, set()).add((machines, tuple(sorted(left))))
    return found


@pytest.mark.parametrize("block", range(5))
def test_every_shortfall_of_every_position_is_found_and_no_other(block):
    """By force: all positions of all valves that can be closed; 200 random plants."""
    told = turned = 0
    for seed in range(40 * block, 40 * block + 40):
        plant, deliveries, capacity = random_plant(seed)
        valves = closable_valves(plant)
        by_force: set[str] = set()
        for size in range(len(valves) + 1):
            for closed in itertools.combinations(valves, size):
                by_force |= short_at(plant, closed, deliveries, capacity).keys()
        found = shortfalls(
            plant, deliveries, frozenset(capacity),
            lambda _vessel, left, capacity=capacity: sum(capacity[name] for name in left),
        )  # fmt: skip
        assert {one.vessel for one in found} == by_force, seed
        drawn = Network.of(plant).drawn_closed()
        for one in found:  # and each is there in the position that it names
            closed = (drawn | set(one.shut)) - set(one.opened)
            there = short_at(plant, closed, deliveries, capacity)[one.vessel]
            assert (one.machines, one.devices) in there, seed
            told, turned = told + 1, turned + bool(one.turned)
        as_drawn = short_at(plant, drawn, deliveries, capacity)
        assert {one.vessel for one in found if not one.turned} == as_drawn.keys(), seed
    assert told > turned > 0


def two_receivers(state: str = "open", **changes: object) -> Installation:
    """Two machines on a header; each receiver has a valve and a relief valve for one machine."""
    # 9.26 mm2 pass 1 m3/min at Kd 0.7 and 10 % over 11 bar(g): reference, section 5
    more = {"area": 11e-6, "discharge_coefficient": 0.7, "set_pressure": 12.01325e5, **changes}
    tanks = [vessel(name, design_pressure=12.01325e5, temperature=293.15) for name in ("R1", "R2")]
    lines = [line("L1", "C1", "J1"), line("L2", "C2", "J1"), line("L3", "J1", "R1"),
             line("L4", "J1", "R2")]  # fmt: skip
    valves = tuple(
        Valve(id=name, on=on, end="from", state=state) for name, on in (("V1", "L3"), ("V2", "L4"))
    )
    return replace(
        installation(*tanks, *lines, relief("RV1", "R1", **more), relief("RV2", "R2", **more)),
        junctions=(Junction(id="J1"),), compressors=(machine("C1"), machine("C2")), valves=valves,
    )  # fmt: skip


def found(plant: Installation):
    answer = assess(plant, DAY, bores=False)
    return [one for one in answer.findings if one.rule == "relief-capacity-too-small"]


def test_two_relief_valves_are_enough_until_one_of_two_valves_is_shut():
    told = found(two_receivers())
    assert [one.part for one in told] == ["R1", "R2"]
    assert [one.values["left"] for one in told] == [("RV1",), ("RV2",)]
    text = finding_text(told[0], Units())
    assert text.startswith("With valve V2 shut, at most ")
    assert "Compressors C1 and C2 can deliver" in text
    assert "lock open" in finding_cure(told[0], Units())
    assert found(two_receivers(area=22e-6)) == []
    assert found(two_receivers("locked open")) == []


def test_a_relief_valve_that_nobody_may_count_on_is_not_counted():
    from airrisk.installation.model import Inspection

    plant = two_receivers(area=22e-6)
    seized = Inspection(on="RV1", date=dt.date(2026, 5, 1), by="Invented", condition="seized")
    told = found(replace(plant, inspections=(seized,)))
    assert [(one.part, one.values["left"]) for one in told] == [("R1", ())]
    assert "no relief valve" in finding_text(told[0], Units())


def test_a_relief_valve_behind_a_non_return_valve_does_not_count_for_what_lies_behind_it():
    """C1 feeds R1; R2 with the relief valve lets air to R1 only, never back."""
    plant = two_receivers(area=44e-6)
    lines = (line("L1", "C1", "R1"), line("L2", "R2", "R1"))
    check = Valve(id="V9", on="L2", end="from", kind="non-return")
    plant = replace(
        plant, lines=lines, junctions=(), compressors=(machine("C1"),), valves=(check,),
        relief_valves=tuple(one for one in plant.relief_valves if one.id == "RV2"),
    )  # fmt: skip
    assert [(one.part, one.values["left"]) for one in found(plant)] == [("R1", ())]
    turned = replace(plant, valves=(replace(check, reverse=True),))
    assert found(turned) == []


def test_a_net_with_very_many_ways_comes_to_an_end():
    """A square of junctions with a valve in every line: thousands of ways from corner to corner."""
    size = 5
    junctions = {(x, y): Junction(id=f"J{x}{y}") for x in range(size) for y in range(size)}
    pairs = [
        (here, there)
        for here in junctions
        for there in ((here[0] + 1, here[1]), (here[0], here[1] + 1))
        if there in junctions
    ]
    lines = [line("LC", "C1", "J00"), line("LR", f"J{size - 1}{size - 1}", "R1")]
    lines += [
        line(f"L{n}", junctions[a].id, junctions[b].id) for n, (a, b) in enumerate(pairs)
    ]  # fmt: skip
    valves = tuple(Valve(id=f"V{n}", on=f"L{n}", end="from") for n in range(len(pairs)))
    plant = replace(
        installation(vessel("R1"), *lines, relief("RV1", "R1")),
        junctions=tuple(junctions.values()), compressors=(machine("C1"),), valves=valves,
    )  # fmt: skip
    (one,) = shortfalls(plant, {"C1": 2.0}, frozenset({"RV1"}), lambda _vessel, left: len(left))
    assert (one.vessel, one.devices, one.turned) == ("R1", ("RV1",), 0)
    ways = Ways(plant).ways_to("C1")["R1"]
    assert len(ways) == MOST_WAYS
    assert {len(way) for way in ways} == {2 * (size - 1)}  # the shortest
