"""Compiled code is loaded only from where nobody else can have put it."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from airrisk.kernel import compiled, shipped
from airrisk.kernel.private_cache import cache_folder, is_private

pytestmark = pytest.mark.skipif(os.name == "nt", reason="no owners and modes as on POSIX")


@pytest.fixture
def folder(tmp_path, monkeypatch):
    named = tmp_path / "cache"
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(named))
    return named


def test_a_folder_is_made_closed_to_others(folder):
    assert cache_folder() == folder
    assert folder.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("mode", [0o777, 0o770, 0o702])
def test_a_folder_that_others_may_write_to_is_not_used(folder, mode):
    folder.mkdir()
    folder.chmod(mode)
    assert cache_folder() is None


def test_a_folder_of_somebody_else_is_not_used(folder, monkeypatch):
    folder.mkdir(mode=0o700)
    monkeypatch.setattr(os, "getuid", lambda: folder.stat().st_uid + 1)
    assert cache_folder() is None


def test_a_link_is_not_followed(tmp_path):
    real = tmp_path / "real"
    real.write_bytes(b"code")
    real.chmod(0o600)
    link = tmp_path / "link"
    link.symlink_to(real)
    assert is_private(real)
    assert not is_private(link)


def test_without_a_place_for_a_folder_nothing_is_kept(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "file" / "cache"))
    assert cache_folder() is None


def test_machine_code_that_others_may_change_is_not_read(tmp_path):
    kept = tmp_path / "entry.o"
    shipped._keep(kept, b"machine code")
    assert shipped._read_kept(kept) == b"machine code"
    kept.chmod(0o666)
    assert shipped._read_kept(kept) is None
    kept.chmod(0o600)
    assert shipped._read_kept(kept) == b"machine code"


@pytest.mark.parametrize("spoilt", ["", "kernel.py", "__pycache__", "__pycache__/kernel.nbc"])
def test_what_numba_keeps_is_trusted_only_as_a_whole(folder, spoilt):
    """Property: one file that others may change spoils the folder of its module."""
    module = folder / "kernel"
    (module / "__pycache__").mkdir(parents=True)
    for name in ("kernel.py", "__pycache__/kernel.nbc"):
        (module / name).write_text("x")
        (module / name).chmod(0o600)
    for path in (folder, module, module / "__pycache__"):
        path.chmod(0o700)
    assert compiled._folder_of("kernel") == module
    (module / spoilt).chmod(0o777)
    assert compiled._folder_of("kernel") is None


def test_the_program_runs_with_a_cache_that_it_does_not_trust(folder):
    """The kernel is loaded all the same, and nothing is written there."""
    folder.mkdir()
    folder.chmod(0o777)
    code = (
        "from airrisk.kernel import compiled\n"
        "assert compiled.compile_now('drive'), compiled.failure('drive')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=600
    )
    assert done.returncode == 0, done.stderr
    assert list(folder.iterdir()) == []
