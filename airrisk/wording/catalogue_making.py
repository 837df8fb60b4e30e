"""The texts of one language, from what translators write to what the program reads, with Babel."""

from __future__ import annotations

import io
from pathlib import Path

from babel.messages import mofile, pofile
from babel.messages.catalog import Catalog

from airrisk.wording.catalogue_places import DIGEST, FOLDER, digest_of, product_path, source_path


class Damaged(ValueError):
    """A file of texts that cannot be read; the text says why."""


def read_source(source: bytes, code: str) -> Catalog:
    """The catalogue that a ``.po`` holds.

    Raises
    ------
    Damaged
        It is no such file.
    """
    try:
        found = pofile.read_po(io.BytesIO(source), locale=code, abort_invalid=True)
    except Exception as error:
        raise Damaged(str(error) or type(error).__name__) from None
    if not len(found):
        raise Damaged("there is no text in it")
    return found


def product_of(source: bytes, code: str) -> bytes:
    """The bytes of the ``.mo`` that belongs to the bytes of a ``.po``.

    Raises
    ------
    Damaged
        The ``.po`` cannot be read.
    """
    catalogue = read_source(source, code)
    context, name = DIGEST
    catalogue.add(name, digest_of(source), context=context)
    out = io.BytesIO()
    mofile.write_mo(out, catalogue)
    return out.getvalue()


def codes(folder: Path | None = None) -> list[str]:
    """The languages that there are texts in."""
    return sorted(path.parts[-3] for path in (folder or FOLDER).glob("*/LC_MESSAGES/airrisk.po"))


def make_products(folder: Path | None = None) -> list[Path]:
    """Write the ``.mo`` of every language; returns where they stand.

    Raises
    ------
    Damaged
        A ``.po`` cannot be read.
    """
    made = []
    for code in codes(folder):
        path = product_path(code, folder)
        path.write_bytes(product_of(source_path(code, folder).read_bytes(), code))
        made.append(path)
    return made


if __name__ == "__main__":  # of the build, which needs nothing else of the package
    for made_path in make_products():
        print(made_path)
