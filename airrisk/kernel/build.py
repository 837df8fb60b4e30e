"""Compile the kernel ahead of its use: ``python -m airrisk.kernel.build``.

Makes two products for each entry, in ``compiled/`` of a checkout or beside the data of an
installed package: the optimised code that numba and LLVM make for a processor without extras, as
LLVM bitcode, and from it the machine code of the processor this runs on. The hook of the build
(``packaging/build_hook.py``) runs the same command.

An entry whose products belong to the present sources and to the numba at hand is left alone;
``--all`` makes every one anew, ``--check`` writes nothing and ends with 1 when one is out of
date, ``--paths`` prints the files in the end. The same sources, Python and numba give the same
bitcode.
"""

from __future__ import annotations

import os
import re
import struct
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from airrisk import tables
from airrisk.kernel import shipped
from airrisk.kernel.source import (
    SIGNATURES,
    files_digest,
    gathered_source,
    source_digest,
)

FIXED = {  # what the bitcode must not depend on
    "NUMBA_CPU_NAME": "generic",
    "NUMBA_CPU_FEATURES": "",
    "NUMBA_DISABLE_INTEL_SVML": "1",
    "NUMBA_OPT": "3",
    "PYTHONHASHSEED": "0",
}
_C_NAMES = {"minnum": "fmin", "maxnum": "fmax", "powi": "__powidf2"}
_LOWERED = ("fabs", "sqrt", "fma", "fmuladd", "copysign")  # instructions everywhere
_INTERPRETER = re.compile(r"_?Py|NRT_|numba_")  # names that only Python or numba have
_DTYPES = {"f8": "np.float64", "i8": "np.int64"}

# Compiled by numba as well, so that only numba has to know what an array of its looks like.
_UNPACKING = """
import numpy as np
from numba import carray, types
from numba.extending import intrinsic

@intrinsic
def _at(typingctx, address):
    def generate(context, builder, signature, arguments):
        return builder.inttoptr(arguments[0], context.get_value_type(types.voidptr))
    return types.voidptr(types.int64), generate

@njit("i8(voidptr)", nogil=True, error_model="numpy")
def unpack_{entry}(block):
    whole = carray(block, ({places},), np.int64)
    real = carray(block, ({places},), np.float64)
    return {entry}(
        {given},
    )
"""
# numba calls with the place of the answer and that of an error before the arguments, and its
# functions return a status. The answer is the first place of the block.
_CALLED = "i32 (ptr, ptr, ptr)"
_OUTER = """
declare i32 @"{inner}"(ptr, ptr, ptr)
define i32 @{outer}(ptr %block) {{
%error = alloca ptr, align 8
store ptr null, ptr %error, align 8
%status = call i32 @"{inner}"(ptr %block, ptr %error, ptr %block)
ret i32 %status
}}
"""


class NotCompiled(Exception):
    """An entry could not be compiled; the message says why."""


def unpacking_source(entry: str) -> str:
    """A function that takes the block of arguments (``shipped.PackedCall``) apart."""
    given = []
    place = 1
    for kind, axes in shipped.argument_kinds(entry):
        if axes == 0:
            given.append(f"{'real' if kind == 'f8' else 'whole'}[{place}]")
        else:
            lengths = "".join(f"whole[{place + 1 + axis}], " for axis in range(axes))
            given.append(f"carray(_at(whole[{place}]), ({lengths}), {_DTYPES[kind]})")
        place += 1 + axes
    return _UNPACKING.format(entry=entry, places=place, given=",\n        ".join(given))


def _plain_names(text: str) -> str:
    """Short names for the mangled ones, numbered as they appear."""
    known: dict[str, str] = {}

    def short(found: re.Match[str]) -> str:
        word = found[0]
        if word not in known:
            name = re.match(r"_ZN11fire_kernel\d+(\w+?)B\d*v\d", word)
            known[word] = f"{name[1] if name else 'f'}.{len(known)}"
        return known[word]

    return re.sub(r"_ZN(?:11fire_kernel)?[\w.$]+", short, text)


def _outside(llvm: Any, module: Any) -> list[str]:
    """Functions of the C library that the machine code may call."""
    names = {"memset", "memcpy", "memmove"}
    for one in (*module.functions, *module.global_variables):
        if not one.is_declaration:
            continue
        name = one.name
        if name.startswith("llvm."):
            word = re.fullmatch(r"llvm\.(\w+)\.f64(?:\.i32)?", name)
            if word is None or word[1] in _LOWERED:
                continue
            name = _C_NAMES.get(word[1], word[1])
        if _INTERPRETER.match(name) or not llvm.address_of_symbol(name):
            raise NotCompiled(f"the code needs {name}, which is not in the C library")
        names.add(name)
    return sorted(names)


def _by_numba(entry: str, source: str) -> Any:
    """What numba made of the function that takes the block apart."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["NUMBA_CACHE_DIR"] = folder
        path = Path(folder) / "fire_kernel.py"
        path.write_text(source + unpacking_source(entry), encoding="utf-8")
        sys.path.insert(0, folder)
        try:
            module = __import__("fire_kernel")
        finally:
            sys.path.remove(folder)
    dispatcher = getattr(module, f"unpack_{entry}")
    return dispatcher.overloads[dispatcher.signatures[0]]


def compile_module(entry: str, source: str) -> Any:
    """The LLVM module of an entry: one function to call, and what it needs.

    Parameters
    ----------
    entry : str
        Key of ``SIGNATURES``.
    source : str
        Text of a module that holds the entry, decorated.

    Raises
    ------
    NotCompiled
        The environment does not hold ``FIXED``, the code calls the interpreter, or numba calls
        its functions in another way than is known here.
    """
    if any(os.environ.get(name) != value for name, value in FIXED.items()):
        raise NotCompiled("run as a command: python -m airrisk.kernel.build")
    import llvmlite.binding as llvm

    compiled = _by_numba(entry, source)
    inner = compiled.fndesc.llvm_func_name
    outer = shipped.wrapper_name(entry)
    code = llvm.parse_assembly(compiled.library.get_llvm_str())
    called = str(code.get_function(inner).global_value_type)
    if called != _CALLED:
        raise NotCompiled(f"numba calls its functions as {called}, not as {_CALLED}")
    code.link_in(llvm.parse_assembly(_OUTER.format(inner=inner, outer=outer)))
    for one in (*code.functions, *code.global_variables):
        if not one.is_declaration and one.name != outer:
            one.linkage = llvm.Linkage.internal
    passes = llvm.create_new_module_pass_manager()
    passes.add_global_dead_code_eliminate_pass()
    options = llvm.create_pipeline_tuning_options(speed_level=0)
    machine = llvm.Target.from_triple(llvm.get_process_triple()).create_target_machine(
        cpu="generic", jit=True
    )
    passes.run(code, llvm.create_pass_builder(machine, options))
    short = llvm.parse_assembly(_plain_names(str(code)))
    short.name = entry
    short.verify()
    return short


def products_of(entry: str) -> tuple[bytes, bytes]:
    """The contents of both files of an entry: bitcode and machine code.

    Raises
    ------
    NotCompiled
        See ``compile_module``.
    """
    files = files_digest()  # first: of an edit in the meantime it must know nothing
    code = compile_module(entry, gathered_source(entry))
    import llvmlite.binding as llvm

    about = {
        "format": shipped.FORMAT,
        "entry": entry,
        "signature": SIGNATURES[entry],
        "files": files,
        "source": source_digest(entry),
        "calls": _outside(llvm, code),
        "pointer_bytes": struct.calcsize("P"),
        "made_with": {name: version(name) for name in ("numba", "llvmlite", "numpy")},
    }
    bitcode = shipped.packed(about, code.as_bitcode())
    processor, machine = shipped.processor_here(llvm)
    stamp = shipped.stamp_of(shipped.unpacked(bitcode)[0], processor)
    return bitcode, shipped.packed(stamp, shipped.generate(llvm, machine, code.as_bitcode()))


def _numba_here() -> str | None:
    try:
        return version("numba")
    except PackageNotFoundError:
        return None


def _state(entry: str, files: str) -> str:
    """``current``, ``remarks`` (only they have changed) or ``old``."""
    try:
        about = shipped.check_belongs(entry)
        fits = shipped.fits_here(entry)
    except shipped.NotShipped:
        return "old"
    if not fits or about["made_with"]["numba"] != _numba_here():
        return "old"
    return "current" if about["files"] == files else "remarks"


def _write(path: Path, content: bytes) -> None:
    """Whole or not at all."""
    path.parent.mkdir(exist_ok=True)
    handle, fresh = tempfile.mkstemp(dir=path.parent, suffix=".tmp")
    with os.fdopen(handle, "wb") as stream:
        stream.write(content)
    os.chmod(fresh, 0o644)
    os.replace(fresh, path)


def _restamp(entry: str, files: str) -> None:
    """Note the present digest of the files: it spares every start a look into the sources."""
    path = tables.compiled_path(shipped.bitcode_name(entry))
    about, code = shipped.unpacked(path.read_bytes())
    _write(path, shipped.packed({**about, "files": files}, code))


def _make(entry: str) -> None:
    """Both files of an entry, by a process of its own: numba numbers what it compiles."""
    done = subprocess.run(
        [sys.executable, "-m", "airrisk.kernel.build", "--entry", entry],
        env={**os.environ, **FIXED},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        lines = done.stderr.strip().splitlines()
        raise NotCompiled(f"{entry}: {lines[-1] if lines else f'ended with {done.returncode}'}")
    shipped.load(entry, None)  # numba is not loaded here, as it is not where the code is used


def _make_here(entry: str) -> None:
    bitcode, code = products_of(entry)
    folder = tables.compiled_folder()
    _write(folder / shipped.code_name(entry), code)
    _write(folder / shipped.bitcode_name(entry), bitcode)


def main(words: list[str]) -> int:
    """Make what is out of date; ``--all`` everything, ``--check`` nothing.

    Returns
    -------
    int
        0; 1 when an entry is out of date (``--check``) or cannot be compiled.
    """
    files = files_digest()
    states = {e: "old" if "--all" in words else _state(e, files) for e in SIGNATURES}
    old = [entry for entry, state in states.items() if state == "old"]
    if "--check" in words:
        for entry in old:
            print(f"compiled code of {entry} is out of date")
        return 1 if old else 0
    for entry, state in states.items():
        if state == "remarks":
            _restamp(entry, files)
    try:
        with ThreadPoolExecutor(os.cpu_count()) as pool:
            list(pool.map(_make, old))
    except (NotCompiled, shipped.NotShipped) as error:
        print(error, file=sys.stderr)
        return 1
    for entry in SIGNATURES:
        for name in shipped.product_names(entry):
            path = tables.compiled_path(name)
            if "--paths" in words:
                print(path)
            elif entry in old:
                print(f"{path}: {path.stat().st_size} bytes")
    return 0


if __name__ == "__main__":
    if sys.argv[1:2] == ["--entry"]:
        _make_here(sys.argv[2])
        sys.exit(0)
    sys.exit(main(sys.argv[1:]))
