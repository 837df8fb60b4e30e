"""The chapter and charts of the what-if study, from records made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from airrisk.report.blocks import Drawn
from airrisk.report.plotting import draw
from airrisk.report.svg import figure_svg
from airrisk.report.what_if_sections import what_if_section
from airrisk.study.records import CornerRecord
from airrisk.study.sampling import SobolIndices, Together, share
from airrisk.study.what_if_records import (
    BoreSpread,
    Distributed,
    Point,
    Sampled,
    Subject,
    Sweep,
    SweepMap,
    SweptInput,
    Tornado,
    TornadoBar,
    VariedInput,
    WhatIf,
)
from airrisk.wording.charts import BarChart, Chart, MapChart, SpanChart
from airrisk.wording.units import Units
from airrisk.wording.what_if_charts import index_bars, map_chart, sweep_charts, tornado_chart
from airrisk.wording.what_if_texts import (
    bore_text,
    distribution_text,
    index_text,
    input_name,
    method_sentences,
    point_sentence,
    sampled_sentences,
    sweep_sentence,
    tornado_sentence,
)

METRIC, US = Units("metric", 101325.0), Units("US customary", 101325.0)
SUBJECT = Subject(
    "F1",
    "R1",
    ("R1",),
    (),
    "stated",
    CornerRecord(1.1013e6, "stated", 1.0, 1.0, "credited", "off"),
    "off",
    "tensile",
    0.667,
    ("FP1", "FP2"),
    ("FP2",),
)


def point(use: float | None, outcome: str = "vents in time", bore: float | None = 0.01) -> Point:
    return Point(
        outcome,  # type: ignore[arg-type]
        outcome == "vents in time",
        use,
        None if use is None else 0.667 - use,
        117.0,
        190.0,
        73.0,
        {"FP1": bore},
    )


WALL = TornadoBar(
    "R1.wall_thickness", "length", 8e-3, 7.62e-3, 8.2e-3, point(0.46), point(0.42), 0.04
)
TOGETHER = Together(("R1.creep_life", "FP1.fouling"), 0.002, 0.001, 0.003)
WORKS = TornadoBar(
    "FP1.works", "share", 1.0, 0.0, 1.0, point(1.0, "ruptures", None), point(0.44), 0.56
)
TORNADO = Tornado(point(0.44), (WORKS, WALL), True)
SPREAD = Distributed(
    4, 0.5, 0.1, {"0.01": 0.3, "0.05": 0.31, "0.25": 0.4, "0.5": 0.45, "0.95": 0.6},
    (0.3, 0.5, 0.7),
    (3, 1),
)  # fmt: skip
SAMPLED = Sampled(
    method="sobol", seed=3, samples=400,
    inputs=(
        VariedInput("R1.wall_thickness", "length", 8e-3, "normal",
                    {"mean": 8e-3, "deviation": 3e-4, "low": 7e-3}, "typed", "the system file", ""),
        VariedInput("FP1.works", "share", 1.0, "chance", {"probability": 0.9}, "default",
                    "a survey <of> plugs", "P"),
    ),
    outcomes={"vents in time": 350, "passes the limit": 8, "ruptures": 40,
              "outlasts the fire": 0, "not converged": 2},
    plug_acts_first=share(350, 400), acts_first_if_all_work=share(350, 360),
    safe=share(350, 400), not_converged=2, clipped=5, peak_strength_use=SPREAD,
    strength_use_margin=SPREAD, time_samples=400, time_margin_s=replace(SPREAD, mean=80.0),
    no_vent=40, no_rupture=0,
    bores=(BoreSpread("FP1", 0.025, 8, 1, 0, SPREAD, share(7, 8)),),
    indices=SobolIndices(("R1.wall_thickness", "FP1.works"), (-1e-9, 0.9), (0.02, 0.98),
                         (-0.01, 0.8), (0.01, 1.0), (0.0, 0.9), (0.03, 1.1), 512),
    indices_if_all_work=SobolIndices(("R1.wall_thickness",), (1.0,), (1.0,), (0.9,), (1.1,),
                                     (0.9,), (1.1,), 512),
    indices_not_converged=1,
)  # fmt: skip
SWEEP = Sweep(
    SweptInput("FP1.bore", "length", 0.025, (0.005, 0.015, 0.025)),
    ("ruptures", "vents in time", "vents in time"), (False, True, True), (1.0, 0.6, 0.5),
    (117.0, 117.0, None), (190.0, 190.0, 190.0), (0.0103,), 0.667,
)  # fmt: skip
MAP = SweepMap(
    SweptInput("FP1.bore", "length", 0.025, (0.005, 0.015)),
    SweptInput("R1.pressure", "pressure", 1.1e6, (0.9e6, 1.1e6, 1.3e6)),
    (("vents in time",) * 2, ("ruptures", "vents in time"), ("not converged", "outlasts the fire")),
    ((True, True), (False, True), (False, False)),
    ((0.4, 0.3), (1.0, 0.4), (None, 0.7)),
    (((0.005, 1.0e6), (0.01, 1.2e6)),),
    0.667,
)
ANSWER = WhatIf(SUBJECT, TORNADO, (SWEEP,), (MAP,), SAMPLED)


def texts(section) -> str:
    found = []
    for block in section.blocks:
        for name in ("text", "caption"):
            found.append(str(getattr(block, name, "")))
        found += list(getattr(block, "items", ()))
        found += [cell for row in getattr(block, "rows", ()) for cell in row]
    return "\n".join(found)


def test_chapter_names_what_is_varied_and_what_has_no_credit():
    text = texts(what_if_section(ANSWER, METRIC))
    assert "One run is varied: F1 on R1, as stated" in text
    assert "Without credit and taken as shut: FP2" in text
    assert "87.5\u00a0% (83.9\u00a0% to 90.4\u00a0%) of 400 samples" in text
    assert "2 samples did not converge; they count as unsafe." in text
    assert "5 drawn values lay outside" in text


def test_tornado_sentence_names_the_input_that_turns_the_verdict():
    assert "Alone able to turn the verdict: FP1 works at all." in tornado_sentence(TORNADO)
    only_wall = replace(TORNADO, bars=(WALL,))
    assert "None of them alone turns" in tornado_sentence(only_wall)


def test_where_the_metal_ruptures_anyway_the_time_to_rupture_is_shown():
    lost = replace(point(1.0, "ruptures", None), rupture_without_vent_s=200.0)
    earlier = replace(lost, rupture_without_vent_s=150.0)
    bar = replace(WALL, at_low=earlier, at_high=lost, swing=0.0, time_swing_s=50.0)
    tornado = Tornado(lost, (bar,), False)
    assert "time to rupture without any plug depends most on R1 wall" in tornado_sentence(tornado)
    chart = tornado_chart(tornado, SUBJECT, METRIC)
    assert chart is not None
    assert chart.axis.kind == "time"
    assert (chart.middle, chart.spans[0].at_low) == (200.0, 150.0)


def test_numbers_come_in_the_units_of_the_reader():
    wall = SAMPLED.inputs[0]
    assert distribution_text(wall, METRIC) == (
        "normal about 8\u00a0mm, standard deviation 0.3\u00a0mm, cut at 7\u00a0mm"
    )
    assert "0.315\u00a0in" in distribution_text(wall, US)
    assert distribution_text(SAMPLED.inputs[1], METRIC) == "yes with 90\u00a0%"
    assert "safe above 10.3\u00a0mm" in sweep_sentence(SWEEP, METRIC)
    assert input_name("F1.exposed_share.R1") == "F1 share in the fire of R1"


def test_a_bore_at_the_floor_of_the_search_reads_as_at_most():
    assert bore_text(1e-3, METRIC) == "at most 1\u00a0mm"
    assert bore_text(None, METRIC) == "none is enough"
    assert index_text(-1e-9) == "0.000"


def test_without_a_sampled_study_nothing_is_said_of_samples():
    bare = WhatIf(SUBJECT, TORNADO)
    assert "samples" not in texts(what_if_section(bare, METRIC))
    assert len(method_sentences(bare)) == 1
    assert "400" in sampled_sentences(SAMPLED)[0]


def test_tornado_chart_starts_at_the_run_as_stated_and_shows_the_limit():
    chart = tornado_chart(TORNADO, SUBJECT, METRIC)
    assert isinstance(chart, SpanChart)
    assert chart.middle == 0.44
    assert [(s.at_low, s.at_high) for s in chart.spans] == [(1.0, 0.44), (0.46, 0.42)]
    assert chart.guides[0].value == 0.667
    assert chart.spans[1].note == "7.62\u00a0mm to 8.2\u00a0mm"
    failed = replace(TORNADO, present=point(None, "not converged"))
    assert tornado_chart(failed, SUBJECT, METRIC) is None


def test_map_never_shows_a_failed_or_passed_limit_cell_as_safe():
    chart = map_chart(MAP, METRIC)
    assert isinstance(chart, MapChart)
    labels = [[chart.classes[cell].label for cell in row] for row in chart.cells]
    assert labels[2] == ["not converged", "outlasts the fire, limit passed"]
    signs = {kind.sign for kind in chart.classes}
    assert len(signs) == len(chart.classes)


def charts_of(answer, units):
    return [b.picture for b in what_if_section(answer, units).blocks if isinstance(b, Drawn)]


@pytest.mark.parametrize("units", [METRIC, US])
def test_every_chart_draws_with_its_title_and_numbers(units):
    kinds = set()
    for chart in charts_of(ANSWER, units):
        kinds.add(type(chart))
        svg = figure_svg(draw(chart, units, 480.0), "k")
        assert "nan" not in svg.casefold()
        assert "<title" in svg
    assert kinds == {SpanChart, Chart, MapChart, BarChart}


def test_samples_that_are_all_alike_have_no_chart_of_shares():
    """Where every sample ruptures there is no variance to share out."""
    same = replace(SPREAD, deviation=4e-3, quantiles=dict.fromkeys(SPREAD.quantiles, 1.0))
    answer = WhatIf(SUBJECT, None, (), (), replace(SAMPLED, peak_strength_use=same))
    keys = [chart.key for chart in charts_of(answer, METRIC)]
    assert "what-if-indices" not in keys
    assert "what-if-use" not in keys
    texts = [b.text for b in what_if_section(answer, METRIC).blocks if hasattr(b, "text")]
    assert any("the same in all samples" in text for text in texts)
    assert not any("Sobol" in text for text in texts)
    said = " ".join(sampled_sentences(answer.sampled))
    assert "at 1, where the metal ruptures, in all samples" in said
    assert "below 1" not in said


def test_samples_of_which_some_rupture_are_not_said_to_lie_below_1():
    high = dict(SPREAD.quantiles) | {"0.95": 1.0, "0.99": 1.0}
    some = replace(SAMPLED, peak_strength_use=replace(SPREAD, deviation=0.2, quantiles=high))
    said = " ".join(sampled_sentences(some))
    assert "in more than 5 % of the samples it is at 1" in said.replace("\u00a0", " ")
    assert "below 1" not in said


def test_outcomes_that_sound_safe_are_marked_where_they_are_not():
    unsafe = replace(point(0.7, "outlasts the fire", None), safe=False)
    bar = replace(WALL, at_low=unsafe)
    tornado = replace(TORNADO, present=unsafe, bars=(bar,))
    text = texts(what_if_section(replace(ANSWER, tornado=tornado), METRIC))
    assert "With no input varied: △ outlasts the fire, not safe" in text
    assert "outlasts the fire, not safe – vents in time" in text
    kept = replace(SAMPLED, safe=share(340, 400))
    assert "10 of the samples that vent in time or outlast" in texts(
        what_if_section(replace(ANSWER, sampled=kept), METRIC)
    )


def test_where_creep_decides_no_harmless_strength_use_stands_alone():
    crept = replace(point(0.4, "passes the limit"), creep_damage=0.62)
    assert "highest strength use 0.4, creep damage 0.62" in point_sentence(crept)
    assert "creep" not in point_sentence(point(0.4))
    said = " ".join(sampled_sentences(replace(SAMPLED, by_creep=8)))
    assert "In 8 samples the strength use stays within its limit, but the metal creeps" in said
    assert "creep" not in " ".join(sampled_sentences(SAMPLED))
    below = replace(
        SWEEP, outcomes=("passes the limit", "vents in time", "vents in time"),
        peak_strength_use=(0.6, 0.6, 0.5),
    )  # fmt: skip
    assert "Unsafe below the limit" in sweep_charts(below, METRIC)[0].caption
    assert "Unsafe below the limit" not in sweep_charts(SWEEP, METRIC)[0].caption


def test_inputs_that_were_varied_together_stand_in_chart_and_tables():
    assert SAMPLED.indices is not None
    grouped = replace(SAMPLED.indices, together=TOGETHER)
    sampled = replace(SAMPLED, indices=grouped, indices_if_all_work=None)
    chart = index_bars(sampled)
    assert chart is not None
    assert "2 others together: 0.002 (0.001 – 0.003)" in chart.caption
    section = what_if_section(replace(ANSWER, sampled=sampled), METRIC)
    told = texts(section)
    assert "2 others together" in told
    assert "0.002 (0.001 – 0.003)" in told
