"""The chapter on a what-if study, and a document of it alone."""

from __future__ import annotations

from airrisk import __version__
from airrisk.installation.model import Installation
from airrisk.report.blocks import (
    Block,
    Bullets,
    Drawn,
    Heading,
    Paragraph,
    Report,
    Section,
    Table,
    table_of,
)
from airrisk.study.sampling import SobolIndices
from airrisk.study.what_if_records import Point, Sampled, Tornado, WhatIf
from airrisk.wording import labels
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text, time_text
from airrisk.wording.what_if_charts import (
    map_chart,
    sampled_charts,
    sweep_charts,
    tornado_chart,
)
from airrisk.wording.what_if_texts import (
    bore_sentence,
    bore_text,
    distribution_text,
    index_rows,
    input_name,
    input_text,
    method_sentences,
    no_shares_sentence,
    point_sentence,
    range_text,
    sampled_sentences,
    source_text,
    subject_sentence,
    sweep_sentence,
    tornado_sentence,
    varies,
)


def what_if_section(answer: WhatIf, units: Units) -> Section:
    """The study as one chapter.

    Parameters
    ----------
    answer : WhatIf
        The study.
    units : Units
        Unit set and atmosphere.

    Returns
    -------
    Section
        For ``build_report(..., sensitivity=[...])`` or a document of its own.
    """
    parts: list[Block] = [Paragraph(subject_sentence(answer.subject, units))]
    if answer.tornado is not None:
        parts += _tornado_blocks(answer, answer.tornado, units)
    for sweep in answer.sweeps:
        parts.append(Heading(tr("Sweep of {what}").format(what=input_name(sweep.swept.key))))
        parts.append(Paragraph(sweep_sentence(sweep, units), "strong"))
        parts += [
            Drawn(one, f"{one.title}. {one.caption}", height=0.42)
            for one in sweep_charts(sweep, units)
        ]
    for found in answer.maps:
        one = map_chart(found, units)
        parts += [Heading(one.title), Drawn(one, one.caption, height=0.6)]
    if answer.sampled is not None:
        parts += _sampled_blocks(answer, answer.sampled, units)
    parts.append(Heading(tr("How the study was made")))
    parts.append(Bullets(tuple(method_sentences(answer))))
    return Section("what-if", tr("What if the inputs are not as stated"), tuple(parts))


def _tornado_blocks(answer: WhatIf, tornado: Tornado, units: Units) -> list[Block]:
    found: list[Block] = [
        Paragraph(point_sentence(tornado.present), "lead"),
        Heading(tr("One input at a time")),
        Paragraph(tornado_sentence(tornado)),
    ]
    chart = tornado_chart(tornado, answer.subject, units)
    if chart is not None:
        found.append(Drawn(chart, chart.caption))
    plugs = list(tornado.present.smallest_bore_m)
    columns = [tr("Input"), tr("From – to"), tr("Outcome"), tr("Strength use")]
    columns += [tr("Rupture without plug"), tr("Time margin")]
    columns += [tr("Smallest bore {plug}").format(plug=plug) for plug in plugs]
    rows = []
    for bar in tornado.bars:
        ends = (bar.at_low, bar.at_high)
        row = [input_name(bar.key), range_text(bar, units)]
        row.append(_pair([labels.answer(point.outcome, point.safe) for point in ends]))
        row.append(_pair([_use(point) for point in ends]))
        row.append(_pair([_rupture(point) for point in ends]))
        row.append(_pair([_margin(point) for point in ends]))
        row += [
            _pair([bore_text(point.smallest_bore_m.get(plug), units) for point in ends])
            for plug in plugs
        ]
        rows.append(row)
    if rows:
        found.append(table_of(columns, rows, [1.7, 1.5, 1.4, 1.0, 1.1, 1.1, *([1.0] * len(plugs))]))
    if not tornado.bores:
        found.append(
            Paragraph(tr("Smallest bores were not searched: one run of this section takes too"
                         " much work."), "small")
        )  # fmt: skip
    return found


def _pair(texts: list[str]) -> str:
    return texts[0] if texts[0] == texts[1] else f"{texts[0]} – {texts[1]}"


def _use(point: Point) -> str:
    return "–" if point.peak_strength_use is None else number_text(point.peak_strength_use, 3)


def _rupture(point: Point) -> str:
    seconds = point.rupture_without_vent_s
    return tr("never") if seconds is None else time_text(seconds)


def _margin(point: Point) -> str:
    return tr("none") if point.time_margin_s is None else time_text(point.time_margin_s)


def _sampled_blocks(answer: WhatIf, sampled: Sampled, units: Units) -> list[Block]:
    found: list[Block] = [Heading(tr("All inputs at once"))]
    found.append(Bullets(tuple(sampled_sentences(sampled))))
    if sampled.bores:
        found.append(Bullets(tuple(bore_sentence(one, units) for one in sampled.bores)))
    for chart in sampled_charts(sampled, answer.subject, units):
        caption = f"{chart.title}. {chart.caption}".strip()
        found.append(Drawn(chart, caption, width=0.9, height=0.36))
    if sampled.indices is not None and varies(sampled):
        found.extend(_index_tables(sampled))
    elif sampled.inputs:
        found.append(Paragraph(no_shares_sentence()))
    rows = [
        [input_name(item.key), input_text(item.present, item.kind, item.key, units),
         distribution_text(item, units), source_text(item)]
        for item in sampled.inputs
    ]  # fmt: skip
    found.append(Heading(tr("Spreads")))
    found.append(
        table_of([tr("Input"), tr("As stated"), tr("Spread"), tr("Source")], rows, [1.5, 1, 2, 3])
    )
    return found


def _index_tables(sampled: Sampled) -> list[Block]:
    """As drawn, and, where plugs fail by chance, with all of them working."""
    assert sampled.indices is not None
    found: list[Block] = [_index_table(sampled.indices)]
    if sampled.indices_if_all_work is not None:
        found.append(Paragraph(tr("The same with every credited plug taken as working:")))
        found.append(_index_table(sampled.indices_if_all_work))
    return found


def _index_table(found: SobolIndices) -> Table:
    columns = [tr("Input"), tr("First-order index (95 %)"), tr("Total index (95 %)")]
    rows = [list(row) for row in index_rows(found).values()]
    return table_of(columns, rows, [1.6, 1.3, 1.3])


def what_if_report(
    answer: WhatIf, installation: Installation, units: Units, sha256: str, on: str
) -> Report:
    """A document of the study alone.

    Parameters
    ----------
    answer : WhatIf
        The study.
    installation : Installation
        The system file, read.
    units : Units
        Unit set and atmosphere.
    sha256 : str
        Of the system file.
    on : str
        Date that decides which plugs are credited, ISO.
    """
    about = installation.about
    facts = [
        (tr("On"), on),
        (tr("Site"), about.site),
        (tr("Prepared by"), about.prepared_by),
        (tr("System file"), f"SHA-256 {sha256[:16]}…"),
    ]
    return Report(
        title=installation.title or tr("Compressed-air installation"),
        subtitle=tr("What if the inputs are not as stated"),
        facts=tuple((name, value) for name, value in facts if value),
        sections=(what_if_section(answer, units),),
        footer=f"airrisk {__version__} · {sha256[:12]} · {on}",
        author=about.prepared_by or "airrisk",
        subject=tr("Uncertainty of the inputs of a fire"),
    )
