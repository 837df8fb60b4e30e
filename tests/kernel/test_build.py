"""The kernel compiled ahead of its use, by the command and by the hook of the build."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import pytest

from airrisk import tables
from airrisk.kernel import build, shipped
from airrisk.kernel.source import SIGNATURES, files_digest
from tests.kernel.test_shipped import needs_code

ROOT = Path(__file__).resolve().parents[2]
IN_CHECKOUT = pytest.mark.skipif(not (ROOT / "pyproject.toml").is_file(), reason="no checkout")

PROBE = '''
import numpy as np
import pytest
from airrisk.kernel import build, shipped
from airrisk.kernel.source import SIGNATURES

SIGNATURES["probe"] = "i8(i8, f8, f8[::1], i8[:, ::1], f8[:, :, ::1], f8[:, :, :, ::1], i8)"
source = f"""
from numba import njit

@njit("{SIGNATURES["probe"]}", nogil=True, error_model="numpy", _nrt=False)
def probe(n, x, a, b, c, d, last):
    if n < 0:
        raise ValueError("n")
    for i in range(a.shape[0]):
        a[i] = x * i
    for i in range(b.shape[0]):
        for j in range(b.shape[1]):
            b[i, j] = last + 10 * i + j
    for i in range(c.shape[0]):
        for j in range(c.shape[1]):
            for k in range(c.shape[2]):
                c[i, j, k] = 100 * i + 10 * j + k
                for l in range(d.shape[3]):
                    d[i, j, k, l] += c[i, j, k] + l / 10
    return n + d.shape[3]
"""
code = build.compile_module("probe", source)
import llvmlite.binding as llvm

assert build._outside(llvm, code) == ["memcpy", "memmove", "memset"]
machine = shipped.processor_here(llvm)[1]
machine_code = shipped.generate(llvm, machine, code.as_bitcode())
call = shipped.PackedCall("probe", shipped.linked(llvm, machine, "probe", machine_code))
a, b, c = np.zeros(5), np.zeros((2, 3), dtype=np.int64), np.zeros((2, 3, 4))
d = np.ones((2, 3, 4, 5))
assert call(37, 0.5, a, b, c, d, 7) == 42
i, j, k, l = np.indices(d.shape)
assert np.array_equal(a, 0.5 * np.arange(5))
assert np.array_equal(b, 7 + 10 * i[:, :, 0, 0] + j[:, :, 0, 0])
assert np.array_equal(c, (100 * i + 10 * j + k)[..., 0])
assert np.allclose(d, 1 + 100 * i + 10 * j + k + l / 10, rtol=1e-15)
with pytest.raises(RuntimeError, match="status 1"):
    call(-1, 0.5, a, b, c, d, 7)
build._CALLED = "i32 (ptr, ptr, i64)"
with pytest.raises(build.NotCompiled, match="numba calls its functions as"):
    build.compile_module("probe", source)
print("all as it should be")
'''


def test_arrays_and_numbers_arrive_as_they_were_given() -> None:
    """Property, of the numba that is installed: every element of arrays of unlike lengths."""
    pytest.importorskip("numba")
    done = subprocess.run(
        [sys.executable, "-c", PROBE],
        cwd=ROOT,
        env={**os.environ, **build.FIXED},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.strip() == "all as it should be", done.stderr


def test_the_compiler_is_not_run_in_any_environment() -> None:
    with pytest.raises(build.NotCompiled, match="run as a command"):
        build.compile_module("drive", "")


@pytest.fixture
def place(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A copy of the compiled code."""
    folder = tmp_path / "compiled"
    folder.mkdir()
    for entry in SIGNATURES:
        for name in shipped.product_names(entry):
            shutil.copy(tables.compiled_path(name), folder)
    monkeypatch.setattr(tables, "compiled_path", lambda name: folder / name)
    return folder


def _say(place: Path, **other: Any) -> bytes:
    path = place / shipped.bitcode_name("drive")
    about, code = shipped.unpacked(path.read_bytes())
    path.write_bytes(shipped.packed({**about, **other}, code))
    return code


@needs_code
def test_a_changed_remark_compiles_nothing(
    place: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(build, "_numba_here", lambda: shipped.header("drive")["made_with"]["numba"])
    monkeypatch.setattr(build, "_make", lambda entry: pytest.fail("compiled"))
    monkeypatch.setattr(shipped, "fits_here", lambda entry: True)
    code = _say(place, files="0")
    assert build._state("drive", files_digest()) == "remarks"
    assert build.main([]) == 0
    assert build._state("drive", files_digest()) == "current"
    assert shipped.unpacked((place / shipped.bitcode_name("drive")).read_bytes())[1] == code


@needs_code
@pytest.mark.parametrize(
    "other",
    [{"files": "0", "source": "0"}, {"made_with": {"numba": "0.1"}}, {"format": 1}],
)
def test_what_is_out_of_date_is_said(
    place: Path, capsys: pytest.CaptureFixture[str], other: dict[str, Any]
) -> None:
    _say(place, **other)
    assert build.main(["--check"]) == 1
    assert "compiled code of drive is out of date" in capsys.readouterr().out


@needs_code
def test_a_failure_of_the_compiler_is_one_line(
    place: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "numba.py").write_text("raise ImportError('broken on purpose')\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path), prepend=os.pathsep)
    monkeypatch.chdir(ROOT)
    before = {path: path.read_bytes() for path in place.iterdir()}
    assert build.main(["--all"]) == 1
    assert capsys.readouterr().err == "drive: ImportError: broken on purpose\n"
    assert before == {path: path.read_bytes() for path in place.iterdir()}


# ---------------------------------------------------------------- the hook


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """The project as it is unpacked from its sources, nothing compiled."""
    pytest.importorskip("hatchling")
    folder = tmp_path / "project"
    folder.mkdir()
    for name in ("airrisk", "resources", "sample_systems", "packaging"):
        ignored = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / name, folder / name, ignore=ignored)
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, folder)
    return folder


def _built(project: Path, kind: str = "wheel", **environment: str) -> tuple[Path, str]:
    """What the build made, and what it said."""
    out = project.parent / "dist"
    out.mkdir()
    done = subprocess.run(
        [sys.executable, "-c", f"import hatchling.build as b; b.build_{kind}({str(out)!r})"],
        cwd=project,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    (made,) = out.iterdir()
    return made, done.stdout + done.stderr


def _compiled_in(wheel: Path) -> list[str]:
    with zipfile.ZipFile(wheel) as archive:
        return [name for name in archive.namelist() if "/compiled/" in name]


@IN_CHECKOUT
def test_where_the_compiler_fails_the_build_goes_on_without(project: Path, tmp_path: Path) -> None:
    (tmp_path / "numba.py").write_text("raise ImportError('broken on purpose')\n")
    made, said = _built(project, PYTHONPATH=str(tmp_path))
    assert made.name.endswith("-py3-none-any.whl")
    assert _compiled_in(made) == []
    (line,) = [line for line in said.splitlines() if "without compiled code" in line]
    assert "ImportError: broken on purpose" in line


@IN_CHECKOUT
@needs_code
def test_a_wheel_with_compiled_code_is_for_one_platform(project: Path) -> None:
    (project / "compiled").mkdir()
    names = sorted(name for entry in SIGNATURES for name in shipped.product_names(entry))
    for name in names:
        shutil.copy(tables.compiled_path(name), project / "compiled")
    (project / "compiled" / "drive-elsewhere.bc").write_bytes(b"of another platform")
    if any(not shipped.fits_here(entry) for entry in SIGNATURES):
        pytest.skip("the machine code is for another processor")
    if shipped.header("drive")["made_with"]["numba"] != build._numba_here():
        pytest.skip("the code was made with another numba")
    made, _ = _built(project)
    assert re.search(r"-py3-none-(?!any)\w+\.whl$", made.name)
    assert sorted(_compiled_in(made)) == [f"airrisk/_data/compiled/{name}" for name in names]


@IN_CHECKOUT
def test_the_compiler_can_be_switched_off(project: Path) -> None:
    made, said = _built(project, AIRRISK_SKIP_KERNEL="1")
    assert made.name.endswith("-py3-none-any.whl")
    assert "AIRRISK_SKIP_KERNEL" in said


@IN_CHECKOUT
def test_sources_are_packed_without_compiled_code(project: Path) -> None:
    (project / "compiled").mkdir()
    (project / "compiled" / "drive.bc").write_bytes(b"code")
    made, _ = _built(project, "sdist")
    with tarfile.open(made) as archive:
        names = archive.getnames()
    assert any(name.endswith("/packaging/build_hook.py") for name in names)
    assert not any("compiled/" in name for name in names)


@IN_CHECKOUT
def test_the_build_takes_the_numba_of_the_constraints() -> None:
    with (ROOT / "pyproject.toml").open("rb") as stream:
        required = tomllib.load(stream)["build-system"]["requires"]
    pins = (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8").split()
    (asked,) = [line.split(";")[0].strip() for line in required if line.startswith("numba")]
    assert asked in pins
