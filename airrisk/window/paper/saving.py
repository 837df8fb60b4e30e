"""Writes the report in the worker."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.window.dispatcher import Report


@dataclass(frozen=True)
class SaveReport:
    """One report to one file, whole or not at all."""

    assessment: Any
    installation: Installation
    unit_set: str
    path: Path
    kind: str

    def __call__(self, report: Report) -> str:
        """Run it in the worker; returns the message to show. Raises NotSaved."""
        from airrisk.window.exports import write_export

        report.progress(0.1, "")
        data = self._data()
        report.progress(0.9, "")
        return write_export(self.path, data)

    def _data(self) -> bytes:
        if self.kind == "short":
            from airrisk.report.content import units_for
            from airrisk.report.pdf import render_pdf
            from airrisk.report.short_report import build_short_report

            made = build_short_report(self.assessment, self.installation, self.unit_set)
            return render_pdf(made, units_for(self.installation, self.unit_set))
        if self.kind == "pdf":
            from airrisk.report.pdf import report_pdf

            return report_pdf(self.assessment, self.installation, self.unit_set)
        if self.kind == "html":
            from airrisk.report.html import report_html

            return report_html(self.assessment, self.installation, self.unit_set).encode("utf-8")
        if self.kind == "csv":
            from airrisk.report.csv import report_csv

            return report_csv(self.assessment, self.installation, self.unit_set).encode("utf-8")
        if self.kind == "xlsx":
            from airrisk.report.data_tables import tables_xlsx

            return tables_xlsx(self.assessment)
        from airrisk.report.json_output import to_json_text

        return to_json_text(self.assessment).encode("utf-8")
