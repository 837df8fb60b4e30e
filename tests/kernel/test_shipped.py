"""Compiled code that comes with the program: of the present sources, and the same numbers."""

from __future__ import annotations

import json
import lzma
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from airrisk import tables
from airrisk.fire.run import FireRun, run
from airrisk.kernel import compiled, shipped
from airrisk.kernel.source import SIGNATURES, files_digest, gathered_source
from tests.fire.systems import case_of, fire, plug, relief, vessel

REBUILD = "run: python -m airrisk.kernel.build"
HERE = (tables.resource_path("materials.toml").parent / "kernel").glob(
    f"*-{shipped.platform_name()}.ll.xz"
)
exists = pytest.mark.skipif(
    not list(HERE), reason=f"no compiled code for {shipped.platform_name()}; {REBUILD}"
)
needs_code = pytest.mark.skipif(
    not shipped.belongs("drive"), reason=f"compiled code is out of date; {REBUILD}"
)


@exists
@pytest.mark.parametrize("entry", SIGNATURES)
def test_shipped_code_was_made_from_the_present_sources(entry: str) -> None:
    # property
    try:
        about = shipped.check_belongs(entry)
    except shipped.NotShipped as error:
        pytest.fail(f"{error}; {REBUILD}")
    assert about["signature"] == SIGNATURES[entry]
    # the digest of the files spares every start the gathering of the sources
    assert about["files"] == files_digest(), f"remarks changed; {REBUILD}"


@needs_code
def test_shipped_numba_and_plain_code_give_the_same_numbers(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    # property: one text, three ways to run it
    case = case_of(vessel(), plug(), relief(), fire(share=0.25))

    def run_with(function: Any) -> FireRun:
        monkeypatch.setitem(compiled._loaded, "drive", function)
        return run(case)

    first = run_with(shipped.load("drive", tmp_path))
    again = run_with(shipped.load("drive", tmp_path))  # machine code of the first load
    numba = run_with(compiled.made_by_numba("drive"))
    plain = run(case, interpreted=True)
    assert np.array_equal(first.states, again.states)
    assert [e.event for e in first.events] == [e.event for e in numba.events]
    assert first.steps == numba.steps == plain.steps
    assert np.allclose(first.states, numba.states, rtol=1e-9, atol=1e-12)
    assert np.allclose(first.states, plain.states, rtol=1e-8, atol=1e-8)
    assert first.peak_use == pytest.approx(plain.peak_use, rel=1e-9)


@needs_code
def test_a_run_on_shipped_code_loads_no_numba(tmp_path: Path) -> None:
    program = (
        "import sys\n"
        "from airrisk.kernel import compiled\n"
        "from airrisk.fire.run import run\n"
        "from tests.fire.systems import case_of, fire, vessel\n"
        "assert not compiled.must_compile()\n"
        "run(case_of(vessel(), fire()), store=False)\n"
        "print(compiled.origin(), 'numba' in sys.modules)\n"
    )
    said = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert said.stdout.split() == ["shipped", "False"]


def _write(path: Path, about: dict[str, Any]) -> Path:
    path.write_bytes(lzma.compress(f"; {json.dumps(about)}\n".encode()))
    return path


@pytest.mark.parametrize(
    ("about", "reason"),
    [
        ({"format": 1, "files": "0", "source": "0"}, "other sources"),
        ({"format": 0, "files": files_digest()}, "another format"),
    ],
)
def test_code_of_other_sources_is_not_used(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, about: dict[str, Any], reason: str
) -> None:
    path = _write(tmp_path / "code.xz", about)
    monkeypatch.setattr(tables, "resource_path", lambda name: path)
    assert not shipped.belongs("drive")
    with pytest.raises(shipped.NotShipped, match=reason):
        shipped.load("drive", tmp_path)


def test_a_torn_file_is_not_used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    path = _write(tmp_path / "code.xz", {"format": 1, "files": files_digest()})
    path.write_bytes(path.read_bytes()[:40])
    monkeypatch.setattr(tables, "resource_path", lambda name: path)
    with pytest.raises(shipped.NotShipped, match="cannot be read"):
        shipped.load("drive", tmp_path)


def test_code_that_llvm_refuses_is_not_used(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    about = {"format": 1, "files": files_digest(), "pointer_bytes": 8, "calls": ["pow"]}
    path = tmp_path / "code.xz"
    path.write_bytes(lzma.compress(f"; {json.dumps(about)}\ndefine words".encode()))
    monkeypatch.setattr(tables, "resource_path", lambda name: path)
    with pytest.raises(shipped.NotShipped, match="expected"):
        shipped.load("drive", tmp_path)


def test_a_function_that_is_nowhere_is_said_before_the_code_runs() -> None:
    import llvmlite.binding as llvm

    with pytest.raises(shipped.NotShipped, match="no_such_function"):
        shipped.define_outside_functions(llvm, ["pow", "no_such_function"])


@needs_code
def test_damaged_machine_code_in_the_cache_is_made_again(tmp_path: Path) -> None:
    shipped.load("drive", tmp_path)
    (kept,) = tmp_path.glob("*.o")
    whole = kept.read_bytes()
    kept.write_bytes(whole[:-100])
    shipped.load("drive", tmp_path)
    assert kept.read_bytes() == whole
    assert [path.name for path in tmp_path.iterdir()] == [kept.name]


@needs_code
def test_a_cache_that_cannot_be_written_is_no_matter(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    assert shipped.load("drive", blocked / "cache") is not None


def _sum_entry(monkeypatch: pytest.MonkeyPatch) -> shipped.PackedCall:
    """A packed call of a function that notes its block."""
    import ctypes

    monkeypatch.setitem(SIGNATURES, "noted", "i8(i8, f8, f8[:, ::1], i8[::1])")
    shipped.argument_kinds.cache_clear()
    seen: list[tuple[float, ...]] = []

    def note(block: int) -> int:
        whole = (ctypes.c_int64 * 8).from_address(block)
        real = (ctypes.c_double * 8).from_address(block)
        cells = (ctypes.c_double * (whole[4] * whole[5])).from_address(whole[3])
        more = (ctypes.c_int64 * whole[7]).from_address(whole[6])
        seen.append((whole[1], real[2], sum(cells), sum(more)))
        whole[0] = 41 + len(seen)
        return 0 if whole[1] >= 0 else 1

    kept = ctypes.CFUNCTYPE(ctypes.c_int32, ctypes.c_void_p)(note)
    address = ctypes.cast(kept, ctypes.c_void_p).value
    assert address is not None
    call = shipped.PackedCall("noted", address)
    call.kept, call.seen = kept, seen  # type: ignore[attr-defined]
    return call


def test_a_packed_call_hands_over_numbers_and_arrays(monkeypatch: pytest.MonkeyPatch) -> None:
    call = _sum_entry(monkeypatch)
    cells, more = np.ones((2, 3)), np.array([4, 5])
    assert call(7, 0.5, cells, more) == 42
    cells[0, 0] = 3.0
    assert call(8, 1, cells, np.array([1])) == 43
    assert call(9, 1, np.zeros((0, 3)), more) == 44
    assert call.seen == [(7, 0.5, 6.0, 9), (8, 1.0, 8.0, 1), (9, 1.0, 0.0, 9)]  # type: ignore[attr-defined]
    with pytest.raises(RuntimeError, match="status 1"):
        call(-1, 1.0, cells, more)


def test_threads_do_not_share_their_block(monkeypatch: pytest.MonkeyPatch) -> None:
    call = _sum_entry(monkeypatch)
    call(1, 0.0, np.ones((1, 1)), np.array([1]))
    thread = threading.Thread(target=call, args=(2, 0.0, np.ones((2, 1)), np.array([2])))
    thread.start()
    thread.join()
    call(3, 0.0, np.ones((3, 1)), np.array([3]))
    assert [row[2] for row in call.seen] == [1.0, 2.0, 3.0]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "wrong",
    [
        np.ones((2, 2), dtype=np.float32),
        np.ones(4),
        np.ones((4, 4))[:, ::2],
        np.asfortranarray(np.ones((2, 3))),
        [[1.0]],
    ],
)
def test_an_array_of_another_kind_is_refused(monkeypatch: pytest.MonkeyPatch, wrong: Any) -> None:
    call = _sum_entry(monkeypatch)
    with pytest.raises(TypeError, match="argument 2 of noted"):
        call(1, 1.0, wrong, np.array([1]))
    with pytest.raises(TypeError, match="takes 4 arguments, not 2"):
        call(1, 1.0)


@pytest.mark.parametrize("signature", ["i8(f4[::1])", "f8(f8)", "i8(f8[:])", "i8()"])
def test_a_signature_that_cannot_be_shipped_is_refused(
    monkeypatch: pytest.MonkeyPatch, signature: str
) -> None:
    monkeypatch.setitem(SIGNATURES, "odd", signature)
    shipped.argument_kinds.cache_clear()
    with pytest.raises(ValueError, match="cannot be handed over"):
        shipped.argument_kinds("odd")


@pytest.mark.parametrize("entry", SIGNATURES)
def test_every_entry_can_be_handed_over(entry: str) -> None:
    names = gathered_source(entry).split(f"def {entry}(")[1].split(")")[0]
    assert len(shipped.argument_kinds(entry)) == len(names.split(","))
