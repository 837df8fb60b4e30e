"""Compiled code that comes with the program: of the present sources, and the same numbers."""

from __future__ import annotations

import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from airrisk import tables
from airrisk.fire.batch import BatchResult, Stepping, run_batch
from airrisk.fire.run import FireRun, run
from airrisk.kernel import compiled, shipped, source
from airrisk.kernel import layout as at
from airrisk.kernel.source import SIGNATURES, files_digest, gathered_source
from tests.fire.systems import case_of, fire, plug, relief, vessel

needs_code = pytest.mark.skipif(
    not shipped.belongs("drive"), reason="compiled code is missing or out of date"
)


def test_compiled_code_was_made_from_the_present_sources() -> None:
    # property
    missing = [entry for entry in SIGNATURES if not shipped.is_there(entry)]
    if missing:
        pytest.skip(f"no compiled code for {shipped.platform_name()}; numba compiles it")
    old = [entry for entry in SIGNATURES if not shipped.belongs(entry)]
    assert not old, "the kernel has changed; run: python -m airrisk.kernel.build"
    for entry in SIGNATURES:
        assert shipped.header(entry)["signature"] == SIGNATURES[entry]


@needs_code
def test_shipped_and_plain_code_give_the_same_numbers(
    monkeypatch: pytest.MonkeyPatch, bitcode_only: Path, tmp_path: Path
) -> None:
    # property: one text, three ways to run it
    case = case_of(vessel(), plug(), relief(), fire(share=0.25))

    def run_with(function: Any) -> FireRun:
        monkeypatch.setitem(compiled._loaded, "drive", function)
        return run(case)

    made_here = shipped.load("drive", tmp_path / "cache")
    again = shipped.load("drive", tmp_path / "cache")  # machine code of the first load
    monkeypatch.undo()
    built = shipped.load("drive", None)
    assert not made_here.built
    first = run_with(built)
    for other in (made_here, again):
        assert np.array_equal(first.states, run_with(other).states)
    plain = run(case, interpreted=True)
    assert [e.event for e in first.events] == [e.event for e in plain.events]
    assert first.steps == plain.steps
    assert np.allclose(first.states, plain.states, rtol=1e-8, atol=1e-8)
    assert first.peak_use == pytest.approx(plain.peak_use, rel=1e-9)


@needs_code
def test_what_numba_compiles_gives_the_same_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    # property: the smaller of the entries, as the way is the same and each takes long
    case = case_of(vessel(), plug(), relief(), fire())
    variants = {"F1.emissivity": np.array([0.6, 0.75, 0.9])}

    def run_with(function: Any) -> BatchResult:
        monkeypatch.setitem(compiled._loaded, "space_variants", function)
        return run_batch(case, variants, threads=1, stepping=Stepping(steps="explicit"))

    shipped_one = run_with(shipped.load("space_variants", None))
    numba = run_with(compiled.made_by_numba("space_variants"))
    assert np.all(shipped_one.status == at.ENDED)
    assert shipped_one.evaluations.tolist() == numba.evaluations.tolist()
    assert np.ptp(numba.peak_use) > 0.0
    assert np.allclose(shipped_one.peak_use, numba.peak_use, rtol=1e-9, atol=0.0)
    assert np.allclose(shipped_one.first_vent, numba.first_vent, rtol=1e-9, atol=0.0)


@needs_code
def test_a_run_on_shipped_code_loads_no_numba() -> None:
    program = (
        "import sys\n"
        "from airrisk.kernel import compiled\n"
        "from airrisk.fire.run import run\n"
        "from tests.fire.systems import case_of, fire, vessel\n"
        "assert not compiled.must_compile()\n"
        "run(case_of(vessel(), fire()), store=False)\n"
        "print('numba' in sys.modules, compiled.origin())\n"
    )
    said = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert said.stdout.startswith("False shipped")


def test_what_numba_compiles_says_why(monkeypatch: pytest.MonkeyPatch, place: Path) -> None:
    monkeypatch.delenv("AIRRISK_INTERPRETED", raising=False)
    for held in ("_loaded", "_failures", "_origins"):
        monkeypatch.setattr(compiled, held, {})
    monkeypatch.setattr(compiled, "made_by_numba", lambda name: print)
    assert compiled.compile_now("drive")
    where = shipped.platform_name()
    assert compiled.origin("drive") == f"numba (no compiled code of drive for {where})"


@pytest.fixture
def place(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """An empty folder instead of that of the compiled code."""
    folder = tmp_path / "compiled"
    folder.mkdir()
    monkeypatch.setattr(tables, "compiled_path", lambda name: folder / name)
    monkeypatch.setattr(tables, "compiled_folder", lambda: folder)
    return folder


@pytest.fixture
def bitcode_only(place: Path) -> Path:
    """As on a processor for which no machine code came along."""
    name = shipped.bitcode_name("drive")
    whole = (tables._find("compiled", name)).read_bytes()
    (place / name).write_bytes(whole)
    return place


def _bitcode(place: Path, code: bytes = b"code", **about: Any) -> Path:
    path = place / shipped.bitcode_name("drive")
    usual = {"format": shipped.FORMAT, "files": files_digest(), "pointer_bytes": 8, "calls": []}
    path.write_bytes(shipped.packed({**usual, **about}, code))
    return path


@pytest.mark.parametrize(
    ("about", "reason"),
    [
        ({"files": "0", "source": "0"}, "other sources"),
        ({"format": 0}, "another format"),
        ({"pointer_bytes": 2}, "another kind of processor"),
        ({"calls": ["no_such_function"]}, "no_such_function"),
    ],
)
def test_code_that_does_not_belong_is_not_used(
    place: Path, about: dict[str, Any], reason: str
) -> None:
    _bitcode(place, **about)
    with pytest.raises(shipped.NotShipped, match=reason):
        shipped.load("drive", None)


def test_the_digest_of_the_files_knows_signatures_and_decorators(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    before = files_digest()
    changed = tmp_path / "source.py"
    changed.write_bytes(source._file_of(source.__name__).read_bytes() + b"\n")
    usual = source._file_of
    monkeypatch.setattr(
        source, "_file_of", lambda name: changed if name == source.__name__ else usual(name)
    )
    assert files_digest() != before


def test_a_changed_kernel_has_no_shipped_code(place: Path) -> None:
    _bitcode(place, files="0", source="0")
    assert shipped.is_there("drive")
    assert not shipped.belongs("drive")


@pytest.mark.parametrize(
    ("spoil", "reason"),
    [
        (lambda whole: whole[:40], "cannot be read"),
        (lambda whole: whole[:-1], "not whole"),
        (lambda whole: whole + b"x", "not whole"),
    ],
)
def test_a_torn_file_is_not_used(place: Path, spoil: Any, reason: str) -> None:
    path = _bitcode(place)
    path.write_bytes(spoil(path.read_bytes()))
    with pytest.raises(shipped.NotShipped, match=reason):
        shipped.load("drive", None)


def test_code_that_llvm_refuses_is_not_used(place: Path) -> None:
    _bitcode(place, b"define words")
    with pytest.raises(shipped.NotShipped, match="bitcode parsing error"):
        shipped.load("drive", None)


@needs_code
@pytest.mark.parametrize("other", ["processor", "features", "llvm", "triple", "bitcode", ""])
def test_machine_code_of_another_processor_is_not_used(
    place: Path, bitcode_only: Path, other: str
) -> None:
    """Nor what another LLVM made, or of other bitcode, or a torn file (the last case)."""
    name = shipped.code_name("drive")
    _, code = shipped.unpacked(tables._find("compiled", name).read_bytes())
    here = shipped.processor_here(shipped._llvm())[0]
    stamp = shipped.stamp_of(shipped.header("drive"), here)
    (place / name).write_bytes(shipped.packed(stamp, code))
    assert shipped.fits_here("drive")
    assert shipped.load("drive", None).built
    spoilt = shipped.packed({**stamp, other: "other"}, code) if other else b"{}\ntorn"
    (place / name).write_bytes(spoilt)
    assert not shipped.fits_here("drive")


def test_a_function_that_is_nowhere_is_said_before_the_code_runs() -> None:
    import llvmlite.binding as llvm

    with pytest.raises(shipped.NotShipped, match="no_such_function"):
        shipped.define_outside_functions(llvm, ["pow", "no_such_function"])


@needs_code
def test_damaged_machine_code_in_the_cache_is_made_again(
    bitcode_only: Path, tmp_path: Path
) -> None:
    cache = tmp_path / "cache"
    shipped.load("drive", cache)
    (kept,) = cache.glob("*.o")
    whole = kept.read_bytes()
    kept.write_bytes(whole[:-100])
    shipped.load("drive", cache)
    assert kept.read_bytes() == whole
    assert [path.name for path in cache.iterdir()] == [kept.name]


@needs_code
def test_a_cache_that_cannot_be_written_is_no_matter(bitcode_only: Path, tmp_path: Path) -> None:
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
