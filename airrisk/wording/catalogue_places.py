"""Where the texts of the languages stand: ``.po`` as translators write them, ``.mo`` as read."""

from __future__ import annotations

import zlib
from pathlib import Path

DOMAIN = "airrisk"
FOLDER = Path(__file__).resolve().parent / "locale"
# Where a .mo keeps the digest of the .po that it was made from.
DIGEST = ("catalogue", "digest of the texts")


def source_path(code: str, folder: Path | None = None) -> Path:
    """Where the texts of a language stand."""
    return (folder or FOLDER) / code / "LC_MESSAGES" / f"{DOMAIN}.po"


def product_path(code: str, folder: Path | None = None) -> Path:
    """Where the texts of a language stand for the machine."""
    return source_path(code, folder).with_suffix(".mo")


def digest_of(source: bytes) -> str:
    """What tells one version of the texts from another."""
    return f"{zlib.crc32(source):08x}-{len(source)}"
