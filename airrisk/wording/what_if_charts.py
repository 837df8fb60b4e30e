"""Charts of the what-if study: one at a time, sweeps, map, distributions, Sobol indices."""

from __future__ import annotations

import numpy as np

from airrisk.study.what_if_records import (
    Distributed,
    Point,
    Sampled,
    Subject,
    Sweep,
    SweepMap,
    Tornado,
)
from airrisk.verdict.rule import OUTCOMES
from airrisk.wording import labels
from airrisk.wording.chart_kinds import (
    DASHES,
    Axis,
    Bar,
    BarChart,
    Chart,
    Guide,
    MapChart,
    MapClass,
    Mark,
    Picture,
    Span,
    SpanChart,
    line_of,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text, quantity_text
from airrisk.wording.what_if_texts import (
    index_text,
    input_kind,
    input_name,
    input_text,
    range_text,
    together_texts,
    varies,
)

MOST_SPANS = 14
# The darker, the worse; signs are those of the outcomes.
_FILLS = {
    ("vents in time", True): "#E3F0F7",
    ("outlasts the fire", True): "#F4F4EA",
    ("passes the limit", False): "#D9A77C",
    ("ruptures", False): "#8A3B3B",
    ("outlasts the fire", False): "#C9B26A",
    ("not converged", False): "#404040",
}
_CLASSES = tuple(_FILLS)


def _strength_axis(low: float | None = None) -> Axis:
    return Axis(tr("Highest strength use"), "ratio", low=low)


def _limit_guide(limit: float, axis: str) -> Guide:
    text = tr("limit {value}").format(value=number_text(limit, 3))
    return Guide(axis, limit, text, "limit", DASHES["limit"])  # type: ignore[arg-type]


def tornado_chart(tornado: Tornado, subject: Subject, units: Units) -> SpanChart | None:
    """Effect of every input alone on the highest strength use, or on the time to rupture.

    None where the run as stated has no such number.
    """
    by_time = tornado.by_time

    def result(point: Point) -> float | None:
        return point.rupture_without_vent_s if by_time else point.peak_strength_use

    middle = result(tornado.present)
    if middle is None:
        return None
    spans = []
    for bar in tornado.bars:
        low, high = result(bar.at_low), result(bar.at_high)
        if low is None or high is None:
            continue
        spans.append(Span(input_name(bar.key), range_text(bar, units), low, high))
    if not spans:
        return None
    return SpanChart(
        key="what-if-one-at-a-time",
        title=tr("One input at a time: {fire} on {section}").format(
            fire=subject.fire, section=subject.section
        ),
        axis=Axis(tr("Rupture without any plug after"), "time") if by_time else _strength_axis(),
        middle=middle,
        spans=tuple(spans[:MOST_SPANS]),
        guides=() if by_time else (_limit_guide(subject.strength_use_limit, "x"),),
        caption=tr(
            "Each input at its 5 % and at its 95 % value, the others as stated. The dark line is"
            " the run as stated; at a strength use of 1 the metal ruptures."
        ),
    )


def _unsafe_below(sweep: Sweep) -> str:
    """Why answers are unsafe although the strength use is within its limit; empty: none is."""
    for outcome, use in zip(sweep.outcomes, sweep.peak_strength_use, strict=True):
        if use is None or use > sweep.strength_use_limit:
            continue
        if outcome in ("passes the limit", "ruptures"):
            return " " + tr("Unsafe below the limit: the metal creeps for too long, or a line "
                            "ruptures.")  # fmt: skip
    return ""


def sweep_charts(sweep: Sweep, units: Units) -> tuple[Chart, ...]:
    """Strength use, and times of vent and rupture, over one swept input."""
    one = sweep.swept
    name = input_name(one.key)
    x = Axis(name, input_kind(one.kind, one.key), low=one.values[0], high=one.values[-1])
    turns = [
        Guide("x", value, input_text(value, one.kind, one.key, units), "neutral", (2.0, 2.0))
        for value in sweep.crossings
    ]
    guides = [*turns]
    if one.values[0] <= one.present <= one.values[-1]:
        guides.append(Guide("x", one.present, tr("as stated"), "design", DASHES["design"]))
    values = np.array(one.values)
    strength = Chart(
        key=f"what-if-sweep-use-{one.key}",
        title=tr("Highest strength use against {what}").format(what=name),
        x=x,
        y=_strength_axis(0.0),
        series=(line_of("use", tr("highest strength use"), values, _floats(sweep.peak_strength_use),
                        "metal", 1.6),),
        guides=(*guides, _limit_guide(sweep.strength_use_limit, "y")),
        caption=tr("At the labelled values safe turns to unsafe or back. At 1 the metal ruptures.")
        + _unsafe_below(sweep),
    )  # fmt: skip
    vents, ruptures = _floats(sweep.first_vent_s), _floats(sweep.rupture_without_vent_s)
    lines = []
    if np.isfinite(vents).any():
        lines.append(line_of("vent", tr("first plug or disc opens"), values, vents, "plug", 1.6))
    if np.isfinite(ruptures).any():
        lines.append(
            line_of("rupture", tr("rupture without any plug"), values, ruptures, "rupture", 1.4)
        )
    if not lines:
        return (strength,)
    times = Chart(
        key=f"what-if-sweep-time-{one.key}",
        title=tr("Times against {what}").format(what=name),
        x=x,
        y=Axis(tr("Time"), "time", low=0.0),
        series=tuple(lines),
        guides=tuple(guides),
        caption=tr("Where a line is missing it does not happen within the run."),
    )
    return strength, times


def _floats(values: tuple[float | None, ...]) -> np.ndarray:
    return np.array([np.nan if value is None else value for value in values])


def map_chart(found: SweepMap, units: Units) -> MapChart:
    """Answers over two inputs with the border between safe and unsafe."""
    x, y = found.x, found.y
    words = {
        ("outlasts the fire", True): tr("outlasts the fire within the limit"),
        ("outlasts the fire", False): tr("outlasts the fire, limit passed"),
    }
    classes = tuple(
        MapClass(
            words.get(one, labels.outcome(one[0])),
            _FILLS[one],
            "△" if one == ("outlasts the fire", False) else labels.outcome_shape(one[0]),
        )
        for one in _CLASSES
    )
    cells = tuple(
        tuple(_CLASSES.index((outcome, safe)) for outcome, safe in zip(row, flags, strict=True))
        for row, flags in zip(found.outcomes, found.safe, strict=True)
    )
    return MapChart(
        key=f"what-if-map-{x.key}-{y.key}",
        title=tr("Safe and unsafe over {first} and {second}").format(
            first=input_name(x.key), second=input_name(y.key)
        ),
        x=Axis(input_name(x.key), input_kind(x.kind, x.key)),
        y=Axis(input_name(y.key), input_kind(y.kind, y.key)),
        xs=x.values,
        ys=y.values,
        cells=cells,
        classes=classes,
        border=found.border,
        marks=(Mark(x.present, y.present, tr("as stated"), "neutral", "diamond"),),
        caption=_border_sentence(found),
    )


def _border_sentence(found: SweepMap) -> str:
    told = tr("Each cell is one run; the border was found by halving between the cells.")
    if found.border:
        return told
    flags = {safe for row in found.safe for safe in row}
    if flags == {True}:
        return tr("Each cell is one run. There is no border: all runs are safe in this range.")
    if flags == {False}:
        return tr("Each cell is one run. There is no border: no run is safe in this range.")
    return told


def cumulative_chart(
    key: str, title: str, label: str, kind: str, found: Distributed, guide: Guide | None = None
) -> Chart:
    """Share of the samples at or below a value.

    Parameters
    ----------
    key, title, label, kind : str
        Of the chart and its horizontal axis.
    found : Distributed
        Quantiles and histogram.
    guide : Guide or None
        A line at a value that matters.
    """
    shares = np.concatenate([[0.0], np.cumsum(found.counts) / max(found.count, 1)])
    return Chart(
        key=key,
        title=title,
        x=Axis(label, kind),
        y=Axis(tr("Share of the samples at or below"), "share", low=0.0, high=1.0),
        series=(line_of("cumulated", tr("cumulated share"), found.edges, shares, "first", 1.6),),
        guides=() if guide is None else (guide,),
        caption=tr("{count} samples.").format(count=found.count),
    )


def histogram_chart(
    key: str, title: str, label: str, kind: str, found: Distributed, guide: Guide | None = None
) -> Chart:
    """Share of the samples by classes of a value, as an outline of steps.

    Parameters
    ----------
    key, title, label, kind : str
        Of the chart and its horizontal axis.
    found : Distributed
        Quantiles and histogram.
    guide : Guide or None
        A line at a value that matters.
    """
    edges = np.repeat(np.array(found.edges), 2)
    shares = np.concatenate([[0.0], np.repeat(np.array(found.counts) / found.count, 2), [0.0]])
    return Chart(
        key=key,
        title=title,
        x=Axis(label, kind),
        y=Axis(tr("Share of the samples in each class"), "share", low=0.0),
        series=(line_of("classes", tr("share"), edges, shares, "first", 1.2),),
        guides=() if guide is None else (guide,),
        caption=tr("{count} samples in {bins} classes.").format(
            count=found.count, bins=len(found.counts)
        ),
    )


def outcome_bars(sampled: Sampled) -> BarChart:
    """How often each outcome came."""
    return BarChart(
        key="what-if-outcomes",
        title=tr("Outcomes of {count} samples").format(count=sampled.samples),
        axis=Axis(tr("Share of the samples"), "share", low=0.0),
        bars=tuple(
            Bar(
                f"{labels.outcome_shape(name)} {labels.outcome(name)}",
                sampled.outcomes[name] / sampled.samples,
                "first",
            )
            for name in OUTCOMES
            if sampled.outcomes[name]
        ),
        caption=" ".join(filter(None, (_unsafe_but_kept(sampled), _never_seen(sampled)))),
    )


def _never_seen(sampled: Sampled) -> str:
    """The outcomes that no sample came to, in place of empty bars."""
    never = [labels.outcome(name) for name in OUTCOMES if not sampled.outcomes[name]]
    return tr("In no sample: {outcomes}.").format(outcomes=", ".join(never)) if never else ""


def _unsafe_but_kept(sampled: Sampled) -> str:
    """How many samples are not safe although their outcome sounds so."""
    kept = sampled.outcomes["vents in time"] + sampled.outcomes["outlasts the fire"]
    unsafe = kept - sampled.safe.count
    if not unsafe:
        return ""
    return tr(
        "{count} of the samples that vent in time or outlast the fire are not safe: the limit was"
        " passed or a line ruptured."
    ).format(count=unsafe)


def index_bars(sampled: Sampled) -> BarChart | None:
    """Total Sobol index of every input, the largest first, the first-order one beside it.

    Where plugs fail by chance, that chance hides the rest; then the indices are those with all
    credited plugs working.
    """
    found = sampled.indices_if_all_work or sampled.indices
    if found is None or not varies(sampled):
        return None
    title = tr("Share of the variance of the highest strength use (total Sobol index)")
    if sampled.indices_if_all_work is not None:
        title += tr(", all credited plugs working")
    order = sorted(range(len(found.keys)), key=lambda n: (-found.total[n], found.keys[n]))
    caption = tr("Alone: the first-order index; the rest comes with other inputs together.")
    rest = together_texts(found)
    if rest is not None:
        caption += f" {rest[0]}: {rest[1]}."
    return BarChart(
        key="what-if-indices",
        title=title,
        axis=Axis(tr("Total Sobol index"), "ratio", low=0.0),
        bars=tuple(
            Bar(
                input_name(found.keys[n]),
                round(max(0.0, found.total[n]), 3),
                "third",
                tr("alone {value}").format(value=index_text(found.first_order[n])),
            )
            for n in order[:MOST_SPANS]
        ),
        caption=caption,
    )


def sampled_charts(sampled: Sampled, subject: Subject, units: Units) -> tuple[Picture, ...]:
    """Every chart of the sampled study."""
    charts: list[Picture] = [outcome_bars(sampled)]
    zero = Guide("x", 0.0, tr("none left"), "limit", DASHES["limit"])
    if sampled.peak_strength_use is not None and varies(sampled):
        charts.append(
            cumulative_chart(
                "what-if-use", tr("Highest strength use over the samples"),
                tr("Highest strength use"), "ratio", sampled.peak_strength_use,
                _limit_guide(subject.strength_use_limit, "x"),
            )
        )  # fmt: skip
    if sampled.time_margin_s is not None:
        charts.append(
            histogram_chart(
                "what-if-time-margin",
                tr("Time between the first vent and the rupture that it forestalls"),
                tr("Time margin"), "time", sampled.time_margin_s, zero,
            )
        )  # fmt: skip
    for one in sampled.bores:
        if one.bores is not None:
            fitted = tr("fitted {bore}").format(bore=quantity_text(one.fitted_m, "length", units))
            charts.append(
                cumulative_chart(
                    f"what-if-bore-{one.plug}",
                    tr("Smallest adequate bore of {plug}").format(plug=one.plug),
                    tr("Smallest adequate bore"), "length", one.bores,
                    Guide("x", one.fitted_m, fitted, "plug", DASHES["plug"]),
                )
            )  # fmt: skip
    indices = index_bars(sampled)
    if indices is not None:
        charts.append(indices)
    return tuple(charts)
