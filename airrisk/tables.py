"""Find and read the data files of resources/, the sample systems and the compiled code.

The only module that knows where they are: beside the package in a checkout or an editable
install, in ``airrisk/_data`` in an installed wheel, in the unpacked bundle when frozen.
"""

from __future__ import annotations

import sys
import tomllib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np


class MissingResource(FileNotFoundError):
    """A data file that should come with the program is not there.

    ``name`` is the file asked for, ``searched`` the folders that were looked into.
    """

    def __init__(self, name: str, searched: tuple[Path, ...]) -> None:
        self.name = name
        self.searched = searched
        places = ", ".join(str(folder) for folder in searched)
        super().__init__(f"data file {name!r} not found; looked in {places}")

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.name, self.searched)


def _candidates(folder: str) -> tuple[Path, ...]:
    package = Path(__file__).resolve().parent
    places = [package / "_data" / folder, package.parent / folder]
    bundle = getattr(sys, "_MEIPASS", None)
    if bundle is not None:
        places[:0] = [Path(bundle) / "airrisk" / "_data" / folder, Path(bundle) / folder]
    return tuple(places)


def _find(folder: str, name: str) -> Path:
    searched = _candidates(folder)
    for place in searched:
        path = place / name
        if path.exists():
            return path
    raise MissingResource(name, searched)


def resource_path(name: str) -> Path:
    """Path of one file in resources/ (``"fonts/x.ttf"`` for one in a folder).

    Raises
    ------
    MissingResource
        The file does not exist.
    """
    return _find("resources", name)


def compiled_path(name: str) -> Path:
    """Path of one file of compiled code.

    Raises
    ------
    MissingResource
        The file does not exist.
    """
    return _find("compiled", name)


def compiled_folder() -> Path:
    """Where compiled code belongs that is made here; it need not exist."""
    package = Path(__file__).resolve().parent
    installed = package / "_data"
    return (installed if installed.is_dir() else package.parent) / "compiled"


def sample_path(name: str) -> Path:
    """Path of one sample system, with or without the ending ``.toml``.

    Raises
    ------
    MissingResource
        There is no such sample.
    """
    return _find("sample_systems", name if name.endswith(".toml") else f"{name}.toml")


def sample_names() -> tuple[str, ...]:
    """Names of all sample systems, without ending, sorted."""
    for place in _candidates("sample_systems"):
        if place.is_dir():
            return tuple(sorted(path.stem for path in place.glob("*.toml")))
    return ()


@cache
def _parsed_toml(name: str) -> dict[str, Any]:
    return tomllib.loads(resource_path(name).read_text(encoding="utf-8"))


def read_toml(name: str) -> dict[str, Any]:
    """Content of one TOML table; read once, so treat it as read-only.

    Raises
    ------
    MissingResource
        The file does not exist.
    """
    return _parsed_toml(name)


def load_arrays(name: str) -> dict[str, np.ndarray]:
    """Arrays of one ``.npz`` file by name.

    Raises
    ------
    MissingResource
        The file does not exist.
    """
    import numpy as np

    with np.load(resource_path(name), allow_pickle=False) as archive:
        return {key: archive[key] for key in archive.files}
