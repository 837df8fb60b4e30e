"""Sections and flow paths of hand-made networks with known answers."""

from __future__ import annotations

import networkx as nx
import pytest

from airrisk.installation import sections
from airrisk.installation.model import (
    BurstingDisc,
    Compressor,
    Consumer,
    Installation,
    Junction,
    Line,
    Plug,
    ReliefValve,
    Valve,
    Vessel,
)
from airrisk.installation.sections import (
    as_drawn,
    flow_links,
    gas_graph,
    section_of,
    sections_with,
    shut_in,
)


def vessel(name: str, volume: float = 1.0, **other: object) -> Vessel:
    values = {
        "inside_diameter": 1.0,
        "cylinder_length": 1.0,
        "wall_thickness": 0.008,
        "material": "P265GH",
        "design_pressure": 1.2e6,
        "pressure": 1.1e6,
    }
    return Vessel(id=name, volume=volume, **(values | other))


def line(name: str, start: str, goal: str, **other: object) -> Line:
    values = {"length": 10.0, "inside_diameter": 0.05, "wall_thickness": 0.003}
    return Line(id=name, from_=start, to=goal, **(values | other))


def plug(name: str, on: str, **other: object) -> Plug:
    return Plug(id=name, on=on, **({"alloy": "tin", "bore": 0.01} | other))


def relief(name: str, on: str) -> ReliefValve:
    return ReliefValve(id=name, on=on, discharge_coefficient=0.8, set_pressure=1.2e6, area=8e-5)


C1 = Compressor(id="C1", delivery=0.1, discharge_pressure=1.1e6)
LINE_VOLUME = 3.141592653589793 / 4 * 0.05**2 * 10.0


def series(*valves: Valve) -> Installation:
    """C1 - L1 - R1 - L2 - R2 with a plug on R1 and a relief valve on R2."""
    return Installation(
        compressors=(C1,),
        vessels=(vessel("R1", 2.0), vessel("R2", 1.0)),
        lines=(line("L1", "C1", "R1"), line("L2", "R1", "R2")),
        valves=valves,
        plugs=(plug("P1", "R1"),),
        relief_valves=(relief("S2", "R2"),),
    )


def members(installation: Installation, *closed: str) -> list[tuple[str, ...]]:
    return [section.members for section in sections_with(installation, closed)]


def test_without_valves_everything_is_one_section() -> None:
    (section,) = shut_in(series())
    assert section.id == "C1+L1+L2+R1+R2"
    assert section.volume == pytest.approx(3.0 + 2 * LINE_VOLUME, rel=1e-12)  # analytic
    assert section.plugs == ("P1",)
    assert section.relief_valves == ("S2",)
    assert section.compressors == ("C1",)
    assert section.holders == ("R1", "R2", "L1", "L2")


def test_line_lies_beyond_the_valve_at_its_end() -> None:
    at_part = series(Valve(id="V1", on="L2", end="from"))
    assert members(at_part, "V1") == [("C1", "L1", "R1"), ("L2", "R2")]
    at_far_part = series(Valve(id="V1", on="L2", end="to"))
    assert members(at_far_part, "V1") == [("C1", "L1", "L2", "R1"), ("R2",)]


def test_valves_at_both_ends_cut_the_line_off_alone() -> None:
    both = series(Valve(id="V1", on="L2", end="from"), Valve(id="V2", on="L2", end="to"))
    assert members(both, "V1", "V2") == [("C1", "L1", "R1"), ("L2",), ("R2",)]
    alone = section_of(shut_in(both), "L2")
    assert alone.closed_valves == ("V1", "V2")
    assert alone.volume == pytest.approx(LINE_VOLUME)


def test_each_side_is_bounded_by_its_nearest_closed_valve() -> None:
    two = series(
        Valve(id="V1", on="L2", end="to", order=0), Valve(id="V2", on="L2", end="to", order=1)
    )
    sections = shut_in(two)
    assert section_of(sections, "R2").closed_valves == ("V1",)
    assert section_of(sections, "L2").closed_valves == ("V2",)


def test_drawn_and_shut_in_differ_by_the_open_valves() -> None:
    plant = series(
        Valve(id="V1", on="L1", end="to", state="closed"),
        Valve(id="V2", on="L2", end="from", state="open"),
        Valve(id="V3", on="L2", end="to", state="locked open"),
    )
    assert [s.members for s in as_drawn(plant)] == [("C1", "L1"), ("L2", "R1", "R2")]
    assert [s.members for s in shut_in(plant)] == [("C1", "L1"), ("L2", "R2"), ("R1",)]


def test_ring_main_is_cut_by_two_valves_not_by_one() -> None:
    ring = Installation(
        junctions=tuple(Junction(id=f"J{i}") for i in range(4)),
        lines=tuple(line(f"L{i}", f"J{i}", f"J{(i + 1) % 4}") for i in range(4)),
        valves=tuple(Valve(id=f"V{i}", on=f"L{i}", end="from") for i in range(4)),
    )
    assert len(sections_with(ring, ["V0"])) == 1
    assert sections_with(ring, ["V0"])[0].closed_valves == ("V0",)
    assert [s.lines for s in sections_with(ring, ["V0", "V2"])] == [("L2", "L3"), ("L0", "L1")]


def test_parallel_receivers_stay_joined_through_either_branch() -> None:
    plant = Installation(
        vessels=(vessel("R1"), vessel("R2")),
        junctions=(Junction(id="J1"), Junction(id="J2")),
        lines=(
            line("A1", "J1", "R1"),
            line("A2", "R1", "J2"),
            line("B1", "J1", "R2"),
            line("B2", "R2", "J2"),
        ),
        valves=(Valve(id="V1", on="A1", end="from"), Valve(id="V2", on="A2", end="to")),
    )
    assert len(sections_with(plant, ["V1"])) == 1
    assert [s.vessels for s in sections_with(plant, ["V1", "V2"])] == [("R1",), ("R2",)]


@pytest.mark.parametrize(
    ("end", "reverse", "forward", "backward"),
    [
        ("from", False, True, False),
        ("to", False, True, False),
        ("from", True, False, True),
        ("to", True, False, True),
    ],
)
def test_non_return_valve_passes_one_way_at_either_end(
    end: str, reverse: bool, forward: bool, backward: bool
) -> None:
    plant = series(Valve(id="N1", on="L2", end=end, kind="non-return", reverse=reverse))
    link = flow_links(plant, ())["L2"]
    assert (link.forward, link.backward) == (forward, backward)
    graph = gas_graph(plant)
    assert nx.has_path(graph, "R1", "R2") is forward
    assert nx.has_path(graph, "R2", "R1") is backward
    assert len(shut_in(plant)) == 1  # they still exchange air


def test_opposed_non_return_valves_at_one_end_separate() -> None:
    plant = series(
        Valve(id="N1", on="L2", end="to", kind="non-return", order=0),
        Valve(id="N2", on="L2", end="to", kind="non-return", reverse=True, order=1),
    )
    assert members(plant) == [("C1", "L1", "L2", "R1"), ("R2",)]
    assert not flow_links(plant, ())["L2"].to_end.passes


def test_closed_device_valve_isolates_the_device_and_touches_the_section() -> None:
    plant = series(Valve(id="V9", on="P1"))
    (section,) = shut_in(plant)
    assert section.plugs == ()
    assert section.isolated_devices == ("P1",)
    assert section.closed_valves == ("V9",)
    assert as_drawn(plant)[0].plugs == ("P1",)


def test_reversed_non_return_valve_before_a_device_isolates_it() -> None:
    plant = series(Valve(id="N9", on="P1", kind="non-return", reverse=True))
    assert as_drawn(plant)[0].isolated_devices == ("P1",)
    right_way = series(Valve(id="N9", on="P1", kind="non-return"))
    assert as_drawn(right_way)[0].plugs == ("P1",)


def test_lines_to_the_atmosphere_or_a_blank_are_not_joined_there() -> None:
    plant = Installation(
        vessels=(vessel("R1"), vessel("R2")),
        lines=(
            line("D1", "R1", "atmosphere"),
            line("D2", "R2", "atmosphere"),
            line("B1", "R1", "closed"),
            line("B2", "closed", "R2"),
        ),
        valves=(Valve(id="V1", on="D1", end="to"),),
    )
    first, second = as_drawn(plant)
    assert first.members == ("B1", "D1", "R1")
    assert first.open_ends == (("D1", "to"),)
    assert second.open_ends == (("D2", "to"),)
    assert shut_in(plant)[0].open_ends == ()
    assert flow_links(plant, ())["B1"].to_end.part is None


def test_air_does_not_pass_back_through_a_compressor() -> None:
    booster = Installation(
        compressors=(C1,),
        vessels=(vessel("R1"), vessel("R2")),
        lines=(line("L1", "R1", "C1"), line("L2", "C1", "R2")),
    )
    assert members(booster) == [("C1", "L2", "R2"), ("L1", "R1")]


def test_section_without_air_is_left_out() -> None:
    plant = Installation(
        compressors=(C1,),
        vessels=(vessel("R1"),),
        consumers=(Consumer(id="U1"),),
        lines=(line("L1", "C1", "R1"), line("L2", "R1", "U1")),
        valves=(Valve(id="V1", on="L1", end="from"), Valve(id="V2", on="L2", end="to")),
    )
    assert members(plant, "V1", "V2") == [("L1", "L2", "R1")]


def test_discs_are_listed_apart_from_relief_valves() -> None:
    plant = Installation(
        vessels=(vessel("R1"),),
        bursting_discs=(
            BurstingDisc(
                id="B1", on="R1", discharge_coefficient=0.6, burst_pressure=1.3e6, area=1e-4
            ),
        ),
    )
    (section,) = shut_in(plant)
    assert (section.discs, section.relief_valves) == (("B1",), ())


def test_ids_are_compared_without_case_and_order_in_the_file_does_not_matter() -> None:
    plant = series(Valve(id="V1", on="l2", end="to"))
    mixed = Installation(
        compressors=plant.compressors,
        vessels=plant.vessels[::-1],
        lines=tuple(reversed((line("L1", "c1", "r1"), line("L2", "r1", "r2")))),
        valves=plant.valves,
        plugs=(plug("P1", "r1"),),
        relief_valves=plant.relief_valves,
    )
    assert sections_with(mixed, ["v1"]) == sections_with(plant, ["V1"])


def test_valve_that_nobody_can_close_is_refused() -> None:
    plant = series(
        Valve(id="V1", on="L2", end="to", state="locked open"),
        Valve(id="N1", on="L2", end="to", kind="non-return", order=1),
    )
    with pytest.raises(ValueError, match="V1 is locked open"):
        sections_with(plant, ["V1"])
    with pytest.raises(ValueError, match="N1 is a non-return valve"):
        sections_with(plant, ["N1"])
    with pytest.raises(ValueError, match="X9 is not a valve"):
        sections_with(plant, ["X9"])


def test_valves_at_the_two_ends_of_a_loop_on_one_part_stay_apart() -> None:
    plant = Installation(
        vessels=(vessel("R1"),),
        lines=(line("L1", "R1", "R1"),),
        valves=(Valve(id="V1", on="L1", end="from"),),
    )
    assert members(plant, "V1") == [("L1", "R1")]
    assert nx.has_path(gas_graph(plant, ["V1"]), "L1", "R1")


def test_answers_about_one_record_are_kept_and_of_another_never_taken():
    """Attack: records that come and go and get each other's place in memory, one valve apart."""
    for number in range(3 * sections.LATEST):
        shut = number % 2 == 1
        plant = Installation(
            vessels=(vessel("R1"), vessel("R2")),
            lines=(line("L1", "R1", "R2"),),
            valves=(Valve(id="V1", on="L1", end="from", state="closed" if shut else "open"),),
        )
        assert len(as_drawn(plant)) == (2 if shut else 1)
        assert as_drawn(plant) is as_drawn(plant)
        assert sections_with(plant, ["v1"]) is sections_with(plant, ("V1",))
        assert nx.has_path(gas_graph(plant), "R1", "R2")
        assert not nx.has_path(gas_graph(plant, ["V1"]), "R1", "R2")
    assert len(sections._kept) <= sections.LATEST


def test_nobody_can_change_the_graph_of_another():
    plant = Installation(vessels=(vessel("R1"), vessel("R2")), lines=(line("L1", "R1", "R2"),))
    with pytest.raises(nx.NetworkXError):
        gas_graph(plant).remove_node("R1")
