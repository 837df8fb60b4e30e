"""Where a finding's rule comes from, and the numbers it used, as rich text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import is_dataclass
from html import escape
from typing import TYPE_CHECKING

from airrisk.wording.findings import finding_source, finding_title
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, keyed_text

if TYPE_CHECKING:
    from airrisk.study.records import Finding


UNIT_ENDING = re.compile(r"(_gauge)?_(pa|k|m|m2|m3|s|j|kg)$")  # the value has its unit
WORDING = "variant"  # such a value chooses the sentence, and says nothing by itself


def finding_source_html(finding: Finding, units: Units) -> str:
    """Title, source and every number of a finding."""
    rows: list[str] = []
    seen: set[str] = set()
    for key, value in finding.values.items():
        if key.endswith(WORDING) or is_dataclass(value) or isinstance(value, Mapping):
            continue  # what is no value of its own is told by the sentence
        try:
            text = keyed_text(key, value, units)
        except KeyError:
            text = str(value)
        if not isinstance(value, (int, float)):
            if text in seen:
                continue  # one part or fire is often there under two names
            seen.add(text)
        name = UNIT_ENDING.sub("", key).replace("_", " ")
        rows.append(f"<tr><td>{escape(name)}&nbsp;&nbsp;</td><td>{escape(text)}</td></tr>")
    return (
        f"<p><b>{escape(finding_title(finding))}</b> ({escape(finding.rule)})</p>"
        f"<p>{tr('Source')}: {escape(finding_source(finding))}</p>"
        f"<p>{tr('Numbers it used')}:</p><table>{''.join(rows)}</table>"
    )
