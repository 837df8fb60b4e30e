"""Chart descriptions: what is drawn, told apart in grey, in the reader's units."""

import dataclasses

import numpy as np
import pytest

from airrisk.wording.chart_kinds import ORDER, line_of
from airrisk.wording.charts import (
    COLOURS,
    DASHES,
    axis_numbers,
    axis_title,
    energies_chart,
    event_guides,
    fire_creep_chart,
    fire_pressure_chart,
    fire_strength_chart,
    fire_temperature_chart,
    heating_chart,
    order_ruler,
    overpressure_chart,
    thin_out,
)
from airrisk.wording.units import Units
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)
US = Units("US customary", hand_made.AMBIENT)
FIRE_CHARTS = (
    fire_temperature_chart, fire_pressure_chart, fire_strength_chart, fire_creep_chart,
)  # fmt: skip


def test_heating_chart_shows_air_burst_devices_and_rupture():
    chart = heating_chart(hand_made.part(), UNITS)
    assert [s.key for s in chart.series] == ["pressure", "burst"]
    assert {g.label for g in chart.guides} == {"FP1 molten", "RV1 lifts", "design pressure"}
    mark = next(m for m in chart.marks if m.label.startswith("rupture"))
    assert (mark.x, mark.y) == (798.0, 2.85e6)
    assert axis_title(chart.y, UNITS) == "Pressure, bar(g)"
    assert axis_title(chart.x, US) == "Temperature of air and wall, °F"


def test_a_ghost_is_kept_beside_the_new_curves():
    chart = heating_chart(hand_made.part(), UNITS, ghost=hand_made.part())
    assert [s.role for s in chart.series][2:] == ["ghost", "ghost"]


def test_ruler_has_ticks_in_order_and_rupture_as_a_band_over_the_bases():
    ruler = order_ruler(hand_made.part(), UNITS, "sentence")
    values = [t.value for t in ruler.ticks]
    assert values == sorted(values)
    assert (ruler.band.low, ruler.band.high) == (690.0, 840.0)
    assert [t.label for t in ruler.basis_ticks] == [
        "yield", "annex A", "tensile", "tensile, yield factors",
    ]  # fmt: skip
    assert "FP1 melts 231.9\u00a0°C" in ruler.caption
    assert ruler.sentence == "sentence"


def test_fire_charts_label_every_event_and_the_limit():
    temperature, pressure, strength, creep = (make(hand_made.fire(), UNITS) for make in FIRE_CHARTS)
    labels = {g.label for g in event_guides(hand_made.fire())}
    assert labels == {"RV1 lifts", "FP1 opens", "R1 is empty"}
    for chart in (temperature, pressure, strength, creep):
        assert labels <= {g.label for g in chart.guides}
    assert any(g.value == 0.667 for g in strength.guides if g.axis == "y")
    assert len(temperature.series) == 4
    curves = hand_made.fire().curves
    r1 = curves.parts["R1"]
    whole = dataclasses.replace(r1, cold_wall_temperature_k=r1.hot_wall_temperature_k)
    engulfed = hand_made.fire(curves=dataclasses.replace(curves, parts={"R1": whole}))
    labels = [line.label for line in fire_temperature_chart(engulfed, UNITS).series]
    assert not any("out of the fire" in label for label in labels)


def test_a_plug_that_nobody_may_count_on_is_marked_and_one_under_water_not_drawn():
    def labels(why: str) -> list[str]:
        fire = hand_made.fire(uncredited={"FP1": why})
        return [line.label for line in fire_temperature_chart(fire, UNITS).series]

    assert "FP1, plug (no credit)" in labels("overdue")
    assert not any("FP1" in label for label in labels("under water"))


def test_fire_without_curves_has_no_chart():
    assert [make(hand_made.fire(curves=None), UNITS) for make in FIRE_CHARTS] == [None] * 4


def test_creep_damage_is_drawn_with_its_limit_and_what_two_other_counts_give():
    chart = fire_creep_chart(hand_made.fire(), UNITS)
    assert [line.key for line in chart.series] == ["R1", "R1 mean", "R1 omega"]
    assert [line.y[-1] for line in chart.series] == pytest.approx([0.1, 0.035, 0.08])
    assert len({line.dash for line in chart.series}) == 3
    assert {g.label: g.value for g in chart.guides if g.axis == "y"} == {
        "rupture": 1.0, "limit 0.5": 0.5,
    }  # fmt: skip
    assert "Highest 0.1." in chart.caption


@pytest.mark.parametrize("damage", [(), (0.0, 0.004)])
def test_where_there_is_hardly_any_creep_damage_none_is_drawn(damage):
    curves = hand_made.fire().curves
    little = dataclasses.replace(curves.parts["R1"], creep_damage=damage)
    fire = hand_made.fire(curves=dataclasses.replace(curves, parts={"R1": little}))
    assert fire_creep_chart(fire, UNITS) is None


def test_energies_are_given_by_every_measure_now_and_at_rupture():
    chart = energies_chart(hand_made.part(), UNITS)
    assert len(chart.bars) == 11
    assert "0.6453\u00a0kg" in chart.caption


def test_overpressure_has_both_methods_and_the_people():
    chart = overpressure_chart("R1", hand_made.consequences()["R1"], UNITS, [("Canteen", 41.2)])
    assert len(chart.series) == 3
    assert chart.guides[0].label == "Canteen"
    assert chart.x.scale == chart.y.scale == "log"
    assert overpressure_chart("R1", {}, UNITS) is None


def test_thinning_keeps_extremes_and_wanted_points():
    x = np.linspace(0, 1, 5000)
    y = np.sin(20 * x)
    y[1234] = 7.0
    thin = thin_out(line_of("a", "a", x, y, "first"), 200, [float(x[777])])
    assert thin.x.size < 210
    assert 7.0 in thin.y
    assert x[777] in thin.x


def test_points_that_are_not_finite_are_dropped():
    series = line_of("a", "a", [0, 1, 2], [1.0, np.nan, 3.0], "first")
    assert series.x.tolist() == [0, 2]


def test_pressure_axis_counts_from_the_site():
    chart = heating_chart(hand_made.part(), UNITS)
    assert axis_numbers(hand_made.AMBIENT, chart.y, UNITS) == pytest.approx(0, abs=1e-9)


def _luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_lines_have_contrast_on_their_background():
    """WCAG 2.1: graphics at least 3 to 1 (ghosts are meant to be pale)."""
    for role, (light, dark) in COLOURS.items():
        if role == "ghost":
            continue
        assert 1.05 / (_luminance(light) + 0.05) > 3, role
        assert (_luminance(dark) + 0.05) / (_luminance("#202020") + 0.05) > 3, role


def test_series_of_one_chart_differ_without_colour():
    assert len({DASHES[role] for role in ORDER}) == len(ORDER)
