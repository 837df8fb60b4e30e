"""Records of a system file as plain JSON values, to keep them and to compare them later.

``python -m tests.installation.plain_records FILE`` prints those of one file.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import sys
from typing import Any

from airrisk.installation.reading import load_bytes


def plain_records(value: Any) -> Any:
    """A record as dictionaries, lists, numbers and texts; numbers keep every digit."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain_records(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, (set, frozenset)):
        return sorted(value)
    if isinstance(value, (list, tuple)):
        return [plain_records(one) for one in value]
    if isinstance(value, (dt.date, dt.datetime)):
        return value.isoformat()
    return value


if __name__ == "__main__":
    print(json.dumps(plain_records(load_bytes(sys.argv[1])[0]), ensure_ascii=False, indent=1))
