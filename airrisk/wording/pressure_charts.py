"""Descriptions of the heating chart and of the order ruler of one vessel or line."""

from __future__ import annotations

import numpy as np

from airrisk.study.records import HeatingRecord, RulerMark
from airrisk.wording import labels
from airrisk.wording.chart_kinds import (
    Axis,
    Band,
    Chart,
    Guide,
    Mark,
    Role,
    Ruler,
    Shape,
    Tick,
    line_of,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, and_list, gauge_text, quantity_text

_LOOK: dict[str, tuple[Role, Shape]] = {
    "running": ("running", "plus"),
    "plug solidus": ("plug", "triangle"),
    "plug liquidus": ("plug", "diamond"),
    "relief lift": ("device", "square"),
    "design pressure": ("design", "plus"),
    "rupture": ("rupture", "cross"),
}


def chosen_basis(record: HeatingRecord) -> str | None:
    """The strength basis whose rupture temperature is the record's own; None: no rupture."""
    if record.rupture_temperature_k is None:
        return None
    by_basis = record.rupture_temperature_by_basis_k
    return next(
        (
            key
            for key, value in by_basis.items()
            if value is not None and abs(value - record.rupture_temperature_k) < 1e-3
        ),
        None,
    )


def heating_chart(
    record: HeatingRecord,
    units: Units,
    basis: str | None = None,
    ghost: HeatingRecord | None = None,
) -> Chart:
    """Pressure and burst pressure against temperature, air and wall heated together.

    Parameters
    ----------
    record : HeatingRecord
        Screening of the part.
    units : Units
        For the numbers in labels and caption.
    basis : str or None
        Strength basis of the burst curve; None: found from the record.
    ghost : HeatingRecord or None
        An earlier answer, drawn pale for comparison.
    """
    basis = basis or chosen_basis(record)
    curve = record.curve
    last = shown_to(record)
    shown = np.asarray(curve.temperature_k) <= last
    temperature = np.asarray(curve.temperature_k)[shown]
    series = [
        line_of(
            "pressure",
            tr("Air, shut in"),
            temperature,
            np.asarray(curve.pressure_pa)[shown],
            "air",
            1.6,
        ),
        line_of(
            "burst",
            tr("Bursts here ({basis})").format(basis=labels.basis(basis))
            if basis
            else tr("Bursts here"),
            temperature,
            np.asarray(curve.burst_pressure_pa)[shown],
            "metal",
            1.6,
        ),
    ]
    if ghost is not None:
        old = ghost.curve
        kept = np.asarray(old.temperature_k) <= last
        before = np.asarray(old.temperature_k)[kept]
        series.append(
            line_of(
                "ghost air", tr("Air, before"), before, np.asarray(old.pressure_pa)[kept], "ghost"
            )
        )
        series.append(
            line_of(
                "ghost burst",
                tr("Burst, before"),
                before,
                np.asarray(old.burst_pressure_pa)[kept],
                "ghost",
            )
        )
    guides: list[Guide] = []
    bands: list[Band] = []
    marks = [
        Mark(record.temperature_k, record.pressure_pa, tr("start"), "air", "circle"),
    ]
    solidus = {m.source: m.temperature_k for m in record.marks if m.kind == "plug solidus"}
    for mark in record.marks:
        role, shape = _LOOK[mark.kind]
        if mark.kind == "plug liquidus" and mark.temperature_k is not None:
            start = solidus.get(mark.source)
            if start is not None and mark.temperature_k - start > 1.0:
                bands.append(
                    Band(
                        "x", start, mark.temperature_k,
                        tr("{plug} melts").format(plug=mark.source), "plug",
                    )
                )  # fmt: skip
            guides.append(
                Guide(
                    "x",
                    mark.temperature_k,
                    tr("{plug} molten").format(plug=mark.source),
                    "plug",
                    (9.0, 2.5, 2.0, 2.5),
                )
            )
        elif mark.kind in ("relief lift", "design pressure") and mark.pressure_pa is not None:
            name = (
                tr("{valve} lifts").format(valve=mark.source)
                if mark.kind == "relief lift"
                else tr("design pressure")
            )
            guides.append(
                Guide(
                    "y", mark.pressure_pa, name, role,
                    (5.0, 2.0, 1.5, 2.0) if mark.kind == "relief lift" else (1.5, 3.0),
                )
            )  # fmt: skip
            if mark.temperature_k is not None:
                marks.append(Mark(mark.temperature_k, mark.pressure_pa, "", role, shape))
    if record.rupture_temperature_k is not None and record.rupture_pressure_pa is not None:
        marks.append(
            Mark(
                record.rupture_temperature_k,
                record.rupture_pressure_pa,
                tr("rupture {temperature}").format(
                    temperature=quantity_text(record.rupture_temperature_k, "temperature", units)
                ),
                "rupture",
                "cross",
            )
        )
    return Chart(
        key=f"heating-{record.id}",
        title=tr("{part}: pressure when it is heated shut in").format(part=record.id),
        x=Axis(tr("Temperature of air and wall"), "temperature"),
        y=Axis(tr("Pressure"), "pressure", low=units.ambient_pressure),
        series=tuple(series),
        marks=tuple(marks),
        guides=tuple(guides),
        bands=tuple(bands),
        caption=_heating_caption(record, units),
    )


def shown_to(record: HeatingRecord) -> float:
    """The temperature up to which the heating chart is drawn: a little past the last event."""
    events = [m.temperature_k for m in record.marks if m.temperature_k is not None]
    events += [t for t in record.rupture_temperature_by_basis_k.values() if t is not None]
    end = record.curve.temperature_k[-1]
    if record.rupture_temperature_k is None or not events:
        return end
    last = max(events)
    return min(end, last + max(0.25 * (last - record.temperature_k), 40.0))


def _heating_caption(record: HeatingRecord, units: Units) -> str:
    start = tr("From {pressure} at {temperature}.").format(
        pressure=quantity_text(record.pressure_pa, "pressure", units),
        temperature=quantity_text(record.temperature_k, "temperature", units),
    )
    cold = tr("Cold burst pressure {pressure}.").format(
        pressure=gauge_text(record.burst_pressure_cold_gauge_pa, units)
    )
    if record.rupture_temperature_k is None or record.rupture_pressure_pa is None:
        end = tr("The curves do not meet within the range of the material.")
    else:
        end = tr("The curves meet at {temperature} and {pressure}.").format(
            temperature=quantity_text(record.rupture_temperature_k, "temperature", units),
            pressure=quantity_text(record.rupture_pressure_pa, "pressure", units),
        )
    return f"{start} {cold} {end}"


def _tick_label(mark: RulerMark) -> str:
    if mark.kind.startswith("plug"):
        verb = tr("begins to melt") if mark.kind == "plug solidus" else tr("molten")
        return f"{mark.source} {verb}"
    if mark.kind == "relief lift":
        return tr("{valve} lifts").format(valve=mark.source)
    if mark.kind == "rupture":
        return mark.source
    return labels.ruler_mark(mark.kind)


def order_ruler(record: HeatingRecord, units: Units, sentence: str = "") -> Ruler:
    """What happens in which order as the part warms: one temperature axis with labelled ticks.

    Parameters
    ----------
    record : HeatingRecord
        Screening of the part.
    units : Units
        For the numbers in the caption.
    sentence : str
        A sentence to stand below, usually that of the fire.
    """
    ticks: list[Tick] = []
    bases: list[Tick] = []
    absent: list[str] = []
    at_once = _melts_at_once(record)
    for mark in record.marks:
        role, shape = _LOOK[mark.kind]
        label = _tick_label(mark)
        if mark.kind == "rupture" or (mark.kind == "plug solidus" and mark.source in at_once):
            continue
        if mark.kind == "plug liquidus" and mark.source in at_once:
            label = tr("{plug} melts").format(plug=mark.source)
        if mark.temperature_k is None:
            absent.append(label)
        else:
            ticks.append(Tick(mark.kind, label, mark.temperature_k, role, shape))
    for basis, value in record.rupture_temperature_by_basis_k.items():
        if value is None:
            absent.append(tr("rupture ({basis})").format(basis=labels.short_basis(basis)))
        else:
            name = labels.short_basis(basis)
            bases.append(Tick("rupture", name, value, "rupture", "cross"))
    ticks.sort(key=lambda tick: tick.value)
    bases.sort(key=lambda tick: tick.value)
    band = (
        Band("x", bases[0].value, bases[-1].value, tr("rupture, by strength basis"), "rupture")
        if bases
        else None
    )
    values = [record.temperature_k] + [t.value for t in ticks] + [b.value for b in bases]
    low, high = min(values), max(values)
    margin = max(0.06 * (high - low), 10.0)
    caption = tr("Order as {part} warms: {order}.").format(
        part=record.id,
        order=", ".join(
            f"{tick.label} {quantity_text(tick.value, 'temperature', units)}"
            for tick in sorted([*ticks, *_main_rupture(record)], key=lambda t: t.value)
        )
        or tr("nothing within the range"),
    )
    if absent:
        caption += " " + tr("Not within the range: {names}.").format(names=and_list(absent))
    return Ruler(
        key=f"order-{record.id}",
        title=tr("{part}: what happens first").format(part=record.id),
        axis=Axis(tr("Temperature"), "temperature", low=low - margin, high=high + margin),
        ticks=tuple(ticks),
        band=band,
        basis_ticks=tuple(bases),
        caption=caption,
        sentence=sentence,
        absent=tuple(absent),
    )


def _melts_at_once(record: HeatingRecord) -> set[str]:
    """Plugs of a pure metal: they begin and end melting at one temperature."""
    start = {m.source: m.temperature_k for m in record.marks if m.kind == "plug solidus"}
    return {
        mark.source
        for mark in record.marks
        if mark.kind == "plug liquidus"
        and mark.temperature_k is not None
        and (first := start.get(mark.source)) is not None
        and abs(mark.temperature_k - first) < 0.5
    }


def _main_rupture(record: HeatingRecord) -> list[Tick]:
    if record.rupture_temperature_k is None:
        return []
    return [
        Tick("rupture", tr("rupture"), record.rupture_temperature_k, "rupture", "cross"),
    ]
