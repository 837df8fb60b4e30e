"""Compiled code of the kernel that comes with the program.

``build`` makes it, when the program is built or installed: for each entry a file of LLVM bitcode,
good for every processor of its kind, and one of machine code for the processor it was built on.
On that processor the machine code is loaded as it is. On another, or with another LLVM, machine
code is made of the bitcode, a second's work that is kept in the user's cache folder. Either is
called without numba. Code that was made from other sources than the present ones is never used.

A file is one line that says what it is, then the code.
"""

from __future__ import annotations

import ctypes
import hashlib
import json
import os
import platform
import re
import struct
import sys
import tempfile
import threading
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from airrisk import tables
from airrisk.kernel.private_cache import is_private
from airrisk.kernel.source import SIGNATURES, files_digest, source_digest

FORMAT = 2  # of the files and of the block of arguments
_OK = (0, -2)  # numba's status of a function that returned (-2: None)
_held: list[Any] = []  # engines own the machine code


class NotShipped(Exception):
    """There is no such code for these sources on this platform; the message says why."""


def platform_name() -> str:
    """System and processor, as they stand in the names of the files."""
    machine = platform.machine().lower()
    return f"{sys.platform}-{'x86_64' if machine == 'amd64' else machine}"


def bitcode_name(entry: str) -> str:
    """Name of the file of bitcode of an entry for this platform."""
    return f"{entry}-{platform_name()}.bc"


def code_name(entry: str) -> str:
    """Name of the file of machine code of an entry for this platform."""
    return f"{entry}-{platform_name()}.o"


def product_names(entry: str) -> tuple[str, str]:
    """Names of the files of an entry for this platform."""
    return bitcode_name(entry), code_name(entry)


def packed(about: dict[str, Any], code: bytes) -> bytes:
    """The content of a file: a line about it, with the digest of the code, and the code."""
    line = json.dumps({**about, "sha256": hashlib.sha256(code).hexdigest()})
    return line.encode() + b"\n" + code


def unpacked(content: bytes) -> tuple[dict[str, Any], bytes]:
    """What ``packed`` put together.

    Raises
    ------
    NotShipped
        It is torn or something else.
    """
    line, _, code = content.partition(b"\n")
    try:
        about = json.loads(line)
        whole = about["sha256"] == hashlib.sha256(code).hexdigest()
    except (ValueError, TypeError, KeyError):
        whole = False
    if not whole:
        raise NotShipped("compiled code cannot be read: it is not whole")
    return about, code


def wrapper_name(entry: str) -> str:
    """Name of the function that takes the block of arguments."""
    return f"airrisk_{entry}"


@cache
def argument_kinds(entry: str) -> tuple[tuple[str, int], ...]:
    """Type (``f8`` or ``i8``) and number of axes, 0 for a scalar, of what an entry takes.

    Raises
    ------
    ValueError
        The signature has something else in it.
    """
    found = re.fullmatch(r"i8\((.*)\)", SIGNATURES[entry])
    kinds = []
    words = re.findall(r"\s*([^,\[]+(?:\[[^\]]*\])?),?", found[1] if found else "")
    for word in words:
        axes = re.fullmatch(r"(f8|i8)(?:\[((?::, )*)::1\])?", word.strip())
        if axes is None:
            raise ValueError(f"{entry}: {word} cannot be handed over")
        kinds.append((axes[1], 0 if axes[2] is None else axes[2].count(":") + 1))
    if not kinds:
        raise ValueError(f"{entry}: {SIGNATURES[entry]} cannot be handed over")
    return tuple(kinds)


def header(entry: str) -> dict[str, Any]:
    """What the bitcode of an entry says about itself; the code is not looked at.

    Raises
    ------
    NotShipped
        There is none for this platform, or it cannot be read.
    """
    try:
        with tables.compiled_path(bitcode_name(entry)).open("rb") as stream:
            found = json.loads(stream.readline())
    except FileNotFoundError:
        raise NotShipped(f"no compiled code of {entry} for {platform_name()}") from None
    except (OSError, ValueError) as error:
        raise NotShipped(f"compiled code of {entry} cannot be read: {error}") from None
    return found if isinstance(found, dict) else {}


def check_belongs(entry: str) -> dict[str, Any]:
    """The header of code that was made from the present sources.

    Raises
    ------
    NotShipped
        It was not, or there is none.
    """
    about = header(entry)
    if about.get("format") != FORMAT:
        raise NotShipped(f"compiled code of {entry} has another format")
    try:
        same = about.get("files") == files_digest() or about.get("source") == source_digest(entry)
    except OSError:
        same = True  # without sources nobody can have changed them
    except (ValueError, SyntaxError, KeyError) as error:
        raise NotShipped(f"the sources of {entry} cannot be gathered: {error}") from None
    if not same:
        raise NotShipped(
            f"compiled code of {entry} was made from other sources; "
            "python -m airrisk.kernel.build makes it anew"
        )
    return about


def is_there(entry: str) -> bool:
    """Whether there is code for this platform, of whatever sources."""
    try:
        header(entry)
    except NotShipped:
        return False
    return True


def belongs(entry: str) -> bool:
    """Whether there is code of the present sources for this platform."""
    try:
        check_belongs(entry)
    except NotShipped:
        return False
    return True


def processor_here(llvm: Any) -> tuple[dict[str, str], Any]:
    """What machine code depends on, here, and LLVM's machine that makes it."""
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    triple, name = llvm.get_process_triple(), llvm.get_host_cpu_name()
    try:
        extras = llvm.get_host_cpu_features().flatten()
    except RuntimeError:  # LLVM cannot tell on this system
        extras = ""
    machine = llvm.Target.from_triple(triple).create_target_machine(
        cpu=name, features=extras, opt=2, jit=True, codemodel="jitdefault"
    )
    number = ".".join(map(str, llvm.llvm_version_info))
    return {"triple": triple, "processor": name, "features": extras, "llvm": number}, machine


def stamp_of(about: dict[str, Any], processor: dict[str, str]) -> dict[str, Any]:
    """What is said of machine code: made of which bitcode, for which processor."""
    return {"format": FORMAT, "bitcode": about["sha256"], **processor}


def generate(llvm: Any, machine: Any, bitcode: bytes) -> bytes:
    """Machine code of bitcode."""
    module = llvm.parse_bitcode(bitcode)
    module.triple = machine.triple
    module.data_layout = str(machine.target_data)
    module.verify()
    code: bytes = machine.emit_object(module)
    return code


def _built_code(entry: str, stamp: dict[str, Any]) -> bytes | None:
    """The machine code that came along, when it is for this processor and of this bitcode."""
    try:
        about, code = unpacked(tables.compiled_path(code_name(entry)).read_bytes())
    except (OSError, NotShipped):
        return None
    return code if about == {**stamp, "sha256": about["sha256"]} else None


def fits_here(entry: str) -> bool:
    """Whether the machine code that came along is for this processor and this LLVM.

    Raises
    ------
    NotShipped
        There is nothing of the present sources.
    """
    stamp = stamp_of(check_belongs(entry), processor_here(_llvm())[0])
    return _built_code(entry, stamp) is not None


def _llvm() -> Any:
    try:
        import llvmlite.binding as llvm
    except ImportError as error:
        raise NotShipped(f"no llvmlite: {error}") from None
    return llvm


def load(entry: str, cache_folder: Path | None) -> PackedCall:
    """An entry as a callable that takes what the plain function takes.

    Parameters
    ----------
    entry : str
        Key of ``SIGNATURES``.
    cache_folder : Path or None
        Where machine code is kept; None: nowhere.

    Raises
    ------
    NotShipped
        There is none, it was made from other sources, or it does not fit this machine.
    """
    about = check_belongs(entry)
    if about["pointer_bytes"] != struct.calcsize("P") or sys.byteorder != "little":
        raise NotShipped("compiled code is for another kind of processor")
    llvm = _llvm()
    try:
        processor, machine = processor_here(llvm)
        define_outside_functions(llvm, about["calls"])
        code, built = _machine_code(llvm, machine, entry, stamp_of(about, processor), cache_folder)
        return PackedCall(entry, linked(llvm, machine, entry, code), built=built)
    except (RuntimeError, ValueError, OSError) as error:
        raise NotShipped(f"{type(error).__name__}: {error}") from None


def linked(llvm: Any, machine: Any, entry: str, code: bytes) -> int:
    """Address of an entry in machine code that is put into this process.

    Raises
    ------
    NotShipped
        The entry is not in it.
    RuntimeError
        LLVM refuses it.
    """
    empty = llvm.parse_assembly("")
    empty.triple = machine.triple
    engine = llvm.create_mcjit_compiler(empty, machine)
    engine.add_object_file(llvm.ObjectFileRef.from_data(code))
    engine.finalize_object()
    address: int = engine.get_function_address(wrapper_name(entry))
    if not address:
        raise NotShipped(f"{wrapper_name(entry)} is not in the compiled code")
    _held.append(engine)
    return address


def _machine_code(
    llvm: Any, machine: Any, entry: str, stamp: dict[str, Any], cache_folder: Path | None
) -> tuple[bytes, bool]:
    """Machine code of this processor, and whether it came along."""
    built = _built_code(entry, stamp)
    if built is not None:
        return built, True
    digest = hashlib.sha256(json.dumps(stamp, sort_keys=True).encode()).hexdigest()
    kept = None if cache_folder is None else cache_folder / f"{entry}-{digest[:20]}.o"
    code = _read_kept(kept)
    if code is None:
        found = tables.compiled_path(bitcode_name(entry)).read_bytes()
        code = generate(llvm, machine, unpacked(found)[1])
        _keep(kept, code)
    return code, False


def define_outside_functions(llvm: Any, names: list[str]) -> None:
    """Make functions of the C library known to LLVM where it does not find them itself.

    Raises
    ------
    NotShipped
        One is not in the C library.
    """
    missing = [name for name in names if not llvm.address_of_symbol(name)]
    if not missing:
        return
    import ctypes.util

    place = "ucrtbase" if sys.platform == "win32" else ctypes.util.find_library("m")
    library = ctypes.CDLL(place)
    for name in missing:
        try:
            address = ctypes.cast(getattr(library, name), ctypes.c_void_p).value
        except AttributeError:
            raise NotShipped(f"function {name} is not in the C library") from None
        llvm.add_symbol(name, address)


def _read_kept(path: Path | None) -> bytes | None:
    """Machine code of an earlier start, when all of it is there."""
    if path is None or not is_private(path):
        return None
    try:
        data = path.read_bytes()
    except OSError:
        return None
    code = data[32:]
    return code if hashlib.sha256(code).digest() == data[:32] else None


def _keep(path: Path | None, code: bytes) -> None:
    """Write machine code for the next start; whole or not at all, and no matter if not."""
    if path is None:
        return
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, suffix=".tmp")
        with os.fdopen(handle, "wb") as stream:
            stream.write(hashlib.sha256(code).digest() + code)
        os.replace(temporary, path)
    except OSError:
        pass


class PackedCall:
    """A compiled entry, called with one block of addresses, lengths and numbers.

    The first place of the block takes the answer. A scalar takes one place, an array its
    address and its lengths. The interpreter is not held while the code runs. Arrays of the last
    call of a thread are remembered: most of them come again. ``built``: whether the machine
    code came with the program, instead of being made on this machine.
    """

    def __init__(self, entry: str, address: int, *, built: bool = True) -> None:
        self.entry = entry
        self.built = built
        self._kinds = argument_kinds(entry)
        self._places = 1 + sum(1 + axes for _, axes in self._kinds)
        self._function = ctypes.CFUNCTYPE(ctypes.c_int32, ctypes.c_void_p)(address)
        self._local = threading.local()

    def _state(self) -> tuple[list[Any], Any, Any, int]:
        block = (ctypes.c_int64 * self._places)()
        integers = memoryview(block).cast("B").cast("q")
        floats = memoryview(block).cast("B").cast("d")
        state = ([None] * len(self._kinds), integers, floats, ctypes.addressof(block))
        self._local.state = state
        return state

    def __call__(self, *arguments: Any) -> int:
        """What the entry returns.

        Raises
        ------
        TypeError
            An argument is not what the signature says.
        RuntimeError
            The code ended with an error.
        """
        if len(arguments) != len(self._kinds):
            raise TypeError(
                f"{self.entry} takes {len(self._kinds)} arguments, not {len(arguments)}"
            )
        try:
            known, integers, floats, address = self._local.state
        except AttributeError:
            known, integers, floats, address = self._state()
        place = 1
        for number, (kind, axes) in enumerate(self._kinds):
            argument = arguments[number]
            if axes == 0:
                if kind == "f8":
                    floats[place] = argument
                else:
                    integers[place] = argument
            elif argument is not known[number]:
                self._check(number, argument)
                integers[place] = argument.ctypes.data
                for axis in range(axes):
                    integers[place + 1 + axis] = argument.shape[axis]
                known[number] = argument
            place += 1 + axes
        status = self._function(address)
        if status not in _OK:
            raise RuntimeError(f"{self.entry} ended with status {status}")
        return int(integers[0])

    def _check(self, number: int, argument: Any) -> None:
        kind, axes = self._kinds[number]
        fits = (
            isinstance(argument, np.ndarray)
            and argument.dtype == np.dtype(kind)
            and argument.ndim == axes
            and argument.flags.c_contiguous
            and argument.flags.aligned
        )
        if not fits:
            what = getattr(argument, "dtype", type(argument).__name__)
            raise TypeError(
                f"argument {number} of {self.entry}: contiguous {kind} with {axes} axes wanted, "
                f"{what} with {getattr(argument, 'ndim', 0)} given"
            )
