"""The what-if study as JSON text: SI, null for what is absent, the same answer the same bytes."""

from __future__ import annotations

import json
from typing import Any

from airrisk import __version__
from airrisk.report.json_output import plain
from airrisk.study.records import FORMAT
from airrisk.study.what_if_records import WhatIf


def what_if_json(answer: WhatIf, title: str, sha256: str, on: str) -> str:
    """The study as JSON text, ending in a line end.

    Parameters
    ----------
    answer : WhatIf
        The study.
    title : str
        Of the system file.
    sha256 : str
        Of the system file.
    on : str
        Date that decides which plugs are credited, ISO.
    """
    document: dict[str, Any] = {
        "format": FORMAT,
        "program": {"name": "airrisk", "version": __version__},
        "title": title,
        "inputs_sha256": sha256,
        "on": on,
        "what_if": plain(answer),
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
