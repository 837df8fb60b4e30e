"""The data files are found in a checkout, in an installed wheel and in a frozen bundle."""

from __future__ import annotations

import pickle
import sys
from pathlib import Path

import numpy as np
import pytest

from airrisk import tables


def test_arrays_tables_and_samples_are_found():
    """Property: every kind of data file is read."""
    assert tables.load_arrays("air_table.npz")["x_axis"].dtype == np.float64
    assert tables.read_toml("materials.toml")["P265GH"]["family"] == "carbon"
    assert tables.sample_names() == tuple(sorted(tables.sample_names()))
    for name in tables.sample_names():
        assert tables.sample_path(name) == tables.sample_path(f"{name}.toml")


def test_a_missing_file_names_itself_and_the_places():
    """Property: the error says what was looked for and where, also after pickling."""
    with pytest.raises(tables.MissingResource, match="no_such_file") as caught:
        tables.resource_path("no_such_file.csv")
    again = pickle.loads(pickle.dumps(caught.value))
    assert again.name == "no_such_file.csv"
    assert again.searched == caught.value.searched


def test_the_folder_of_a_frozen_bundle_is_searched_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """Property: the bundle may hold a table of its own."""
    folder = tmp_path / "resources"
    folder.mkdir()
    (folder / "a.toml").write_text("x = 1\n", encoding="utf-8")
    monkeypatch.setattr(sys, "_MEIPASS", str(tmp_path), raising=False)
    assert tables.read_toml("a.toml") == {"x": 1}


def test_the_wheel_place_is_beside_the_package():
    """Property: an installed package looks into its own _data folder."""
    package = Path(tables.__file__).parent
    assert package / "_data" / "resources" in tables._candidates("resources")
