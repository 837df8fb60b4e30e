"""The texts of one language from their files, for a program that runs.

What translators write is the ``.po``; what is read is the ``.mo``, a product of the build. One
that is missing, damaged or made from other texts is passed over and the ``.po`` is read, which
takes longer. Nothing of this is imported where English is spoken.
"""

from __future__ import annotations

import gettext
import io
import os
from pathlib import Path

from airrisk.wording.catalogue_places import (
    DIGEST,
    DOMAIN,
    FOLDER,
    digest_of,
    product_path,
    source_path,
)  # fmt: skip


class CatalogueLost(Exception):
    """The texts of a language cannot be read; the text says why."""


def load(code: str, folder: Path | None = None) -> gettext.GNUTranslations:
    """The texts of a language.

    Parameters
    ----------
    code : str
        Of the language.
    folder : Path, optional
        With the texts of all languages; that of the program when none is given.

    Raises
    ------
    CatalogueLost
        They cannot be read.
    """
    path = source_path(code, folder)
    try:
        source = path.read_bytes()
    except OSError as error:
        raise CatalogueLost(f"{path.name} of {code!r}: {error.strerror or error}") from None
    found = _product(code, folder, digest_of(source))
    if found is not None:
        _for_click(code, folder)
        return found
    return _of_source(code, path, source)


def _product(code: str, folder: Path | None, digest: str) -> gettext.GNUTranslations | None:
    try:
        found = gettext.GNUTranslations(io.BytesIO(product_path(code, folder).read_bytes()))
    except Exception:  # whatever a damaged file makes of its reader, the .po is read then
        return None
    return found if found.pgettext(*DIGEST) == digest else None


def _of_source(code: str, path: Path, source: bytes) -> gettext.GNUTranslations:
    from airrisk.wording.catalogue_making import Damaged, product_of

    try:
        return gettext.GNUTranslations(io.BytesIO(product_of(source, code)))
    except (Damaged, ImportError) as error:
        raise CatalogueLost(f"{path.name} of {code!r}: {error}") from None


def _for_click(code: str, folder: Path | None) -> None:
    """Have click's own words (usage, wrong options) looked up in the same file."""
    gettext.bindtextdomain(DOMAIN, str(folder or FOLDER))
    gettext.textdomain(DOMAIN)
    os.environ["LANGUAGE"] = code
