"""How long the reports of the samples are, and how long the sentences of their first pages.

``python -m tests.report.figures`` prints a line for each sample.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

from pypdf import PdfReader

from airrisk.report.blocks import Bullets, Paragraph, Report, Table
from airrisk.report.content import units_for
from airrisk.report.pdf import render_pdf
from airrisk.report.short_report import build_short_report, build_whole_report
from airrisk.tables import sample_names
from tests.samples.answers import sample_answer, sample_installation
from tests.wording.sentence_rules import sentences, words

DISTANT = {"drawing"}  # lists of ids below a figure are no sentences


def texts(report: Report) -> Iterator[str]:
    """What is read as sentences: paragraphs, lists, cells."""
    for section in report.sections:
        if section.key in DISTANT:
            continue
        for block in section.blocks:
            if isinstance(block, Paragraph):
                yield block.text
            elif isinstance(block, Bullets):
                yield from block.items
            elif isinstance(block, Table):
                yield from (cell for row in block.rows for cell in row if cell.endswith("."))


def lengths(name: str) -> list[int]:
    """Words of each sentence of the short report of a sample."""
    answer, installation = sample_answer(name), sample_installation(name)
    report = build_short_report(answer, installation)
    return [
        words(one, answer.kinds)
        for text in texts(report)
        for one in sentences(text)
        if not one.startswith("Its chapters")  # a list of titles
    ]


def pages(name: str, *, whole: bool) -> int:
    """Pages of a report on A4."""
    installation = sample_installation(name)
    build = build_whole_report if whole else build_short_report
    made = render_pdf(build(sample_answer(name), installation), units_for(installation))
    return len(PdfReader(io.BytesIO(made)).pages)


def main() -> None:
    """Print the figures."""
    print(f"{'sample':20} short full | sentences  mean  longest, words")
    for name in sample_names():
        counted = lengths(name)
        print(
            f"{Path(name).stem:20} {pages(name, whole=False):5} {pages(name, whole=True):4} | "
            f"{len(counted):9} {sum(counted) / len(counted):5.1f} {max(counted):8}"
        )


if __name__ == "__main__":
    main()
