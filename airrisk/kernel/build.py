"""Compile the kernel for shipping: ``python -m airrisk.kernel.build``.

Writes ``resources/kernel/<entry>-<platform>.ll.xz`` for the platform it runs on: the optimised
intermediate code that numba and LLVM make for a processor without extras, and a function around
it that takes one block of arguments. The same sources and the same numba give the same bytes.
An entry whose code belongs to the present sources already is left alone; ``--all`` makes every
one anew, ``--check`` writes nothing and ends with 1 when one is out of date.
"""

from __future__ import annotations

import contextlib
import json
import lzma
import os
import re
import struct
import subprocess
import sys
import tempfile
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

FIXED = {  # what the code must not depend on
    "NUMBA_CPU_NAME": "generic",
    "NUMBA_CPU_FEATURES": "",
    "NUMBA_OPT": "3",
    "PYTHONHASHSEED": "0",
}
_SLOT = 8  # bytes of one place in the block
_C_NAMES = {"minnum": "fmin", "maxnum": "fmax", "powi": "__powidf2"}
_LOWERED = ("fabs", "sqrt", "fma", "fmuladd", "copysign")  # instructions everywhere


def wrapper_text(entry: str, inner: str) -> str:
    """A function in LLVM's language that unpacks the block and calls the compiled entry.

    numba takes an array as (owner, parent, count, bytes each, address, lengths, strides).
    """
    body: list[str] = []
    given = ["ptr %block", "ptr %error"]
    types = ["ptr", "ptr"]
    place = 1

    def read(kind: str, at: int) -> str:
        body.append(f"%a{at} = getelementptr i8, ptr %block, i64 {_SLOT * at}")
        body.append(f"%v{at} = load {kind}, ptr %a{at}, align {_SLOT}")
        return f"%v{at}"

    for kind, axes in shipped.argument_kinds(entry):
        if axes == 0:
            word = "double" if kind == "f8" else "i64"
            given.append(f"{word} {read(word, place)}")
            types.append(word)
            place += 1
            continue
        address = read("ptr", place)
        lengths = [read("i64", place + 1 + axis) for axis in range(axes)]
        strides = ["8"]
        for axis in range(axes - 1, -1, -1):
            name = f"%s{place}.{axis}"
            body.append(f"{name} = mul i64 {strides[0]}, {lengths[axis]}")
            strides.insert(0, name)
        body.append(f"%n{place} = sdiv i64 {strides[0]}, 8")
        numbers = [f"%n{place}", "8"]
        given += ["ptr null", "ptr null", *(f"i64 {n}" for n in numbers), f"ptr {address}"]
        given += [f"i64 {n}" for n in (*lengths, *strides[1:])]
        types += ["ptr", "ptr", "i64", "i64", "ptr", *["i64"] * (2 * axes)]
        place += 1 + axes
    lines = [
        f'declare i32 @"{inner}"({", ".join(types)})',
        f"define i32 @{shipped.wrapper_name(entry)}(ptr %block) {{",
        "%error = alloca ptr, align 8",
        "store ptr null, ptr %error, align 8",
        *body,
        f'%status = call i32 @"{inner}"({", ".join(given)})',
        "ret i32 %status",
        "}",
    ]
    return "\n".join(lines) + "\n"


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
    for function in module.functions:
        if not function.is_declaration:
            continue
        name = function.name
        if name.startswith("llvm."):
            word = re.fullmatch(r"llvm\.(\w+)\.f64(?:\.i32)?", name)
            if word is None or word[1] in _LOWERED:
                continue
            name = _C_NAMES.get(word[1], word[1])
        if not llvm.address_of_symbol(name):
            raise RuntimeError(f"the code calls {name}, which is not in the C library")
        names.add(name)
    return sorted(names)


def compile_entry(entry: str) -> bytes:
    """The content of the file of one entry; the environment must hold ``FIXED``.

    Raises
    ------
    RuntimeError
        The environment differs, or the code calls the interpreter.
    """
    if any(os.environ.get(name) != value for name, value in FIXED.items()):
        raise RuntimeError("run as a command: python -m airrisk.kernel.build")
    import llvmlite
    import llvmlite.binding as llvm
    import numba

    source = gathered_source(entry)
    with tempfile.TemporaryDirectory() as folder:
        os.environ["NUMBA_CACHE_DIR"] = folder
        path = Path(folder) / "fire_kernel.py"
        path.write_text(source, encoding="utf-8")
        sys.path.insert(0, folder)
        try:
            module = __import__("fire_kernel")
        finally:
            sys.path.remove(folder)
    dispatcher = getattr(module, entry)
    compiled = dispatcher.overloads[dispatcher.signatures[0]]
    inner = compiled.fndesc.llvm_func_name
    code = llvm.parse_assembly(compiled.library.get_llvm_str())
    code.link_in(llvm.parse_assembly(wrapper_text(entry, inner)))
    for one in (*code.functions, *code.global_variables):
        if not one.is_declaration and one.name != shipped.wrapper_name(entry):
            one.linkage = llvm.Linkage.internal
    passes = llvm.create_new_module_pass_manager()
    passes.add_global_dead_code_eliminate_pass()
    options = llvm.create_pipeline_tuning_options(speed_level=0)
    machine = llvm.Target.from_default_triple().create_target_machine(cpu="generic", jit=True)
    passes.run(code, llvm.create_pass_builder(machine, options))
    code.name = entry
    code.verify()
    about = {
        "format": shipped.FORMAT,
        "entry": entry,
        "signature": SIGNATURES[entry],
        "files": files_digest(),
        "source": source_digest(entry),
        "calls": _outside(llvm, code),
        "pointer_bytes": struct.calcsize("P"),
        "triple": code.triple,
        "data_layout": code.data_layout,
        "made_with": {
            "numba": numba.__version__,
            "llvmlite": llvmlite.__version__,
            "llvm": ".".join(map(str, llvm.llvm_version_info)),
        },
    }
    text = f"; {json.dumps(about)}\n{_plain_names(str(code))}"
    llvm.parse_assembly(text).verify()
    return lzma.compress(text.encode("utf-8"), preset=9 | lzma.PRESET_EXTREME)


def _out_of_date(entry: str) -> bool:
    """Whether the file is missing, of other sources, or of other remarks."""
    try:
        return shipped.check_belongs(entry)["files"] != files_digest()
    except shipped.NotShipped:
        return True


def main(words: list[str]) -> int:
    """Make what is out of date; ``--all`` everything, ``--check`` nothing."""
    wanted = [entry for entry in SIGNATURES if "--all" in words or _out_of_date(entry)]
    if "--check" in words:
        for entry in wanted:
            print(f"{shipped.resource_name(entry)} is out of date")
        return 1 if wanted else 0
    folder = tables.resource_path("materials.toml").parent
    for entry in wanted:
        path = folder / shipped.resource_name(entry)
        path.parent.mkdir(exist_ok=True)
        # an own process each: numba numbers what it compiles
        subprocess.run(
            [sys.executable, "-m", "airrisk.kernel.build", "--entry", entry, str(path)],
            env={**os.environ, **FIXED},
            check=True,
        )
        print(f"{path}: {path.stat().st_size} bytes")
    return 0


if __name__ == "__main__":
    if sys.argv[1:2] == ["--entry"]:
        target = Path(sys.argv[3])
        fresh = target.with_name(target.name + ".tmp")
        fresh.write_bytes(compile_entry(sys.argv[2]))
        with contextlib.suppress(FileNotFoundError):
            target.unlink()
        fresh.rename(target)
        sys.exit(0)
    sys.exit(main(sys.argv[1:]))
