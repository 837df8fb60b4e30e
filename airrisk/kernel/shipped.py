"""Compiled code of the kernel that comes with the program.

``resources/kernel/`` holds, for each entry and each platform it was made on, the optimised
intermediate code of LLVM (``build`` makes it). Here it is turned into machine code of
this processor, a second's work that is kept in the user's cache folder, and called without
numba. Code that was made from other sources than the present ones is never used.
"""

from __future__ import annotations

import ctypes
import hashlib
import json
import lzma
import os
import platform
import re
import struct
import sys
import tempfile
import threading
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from airrisk import tables
from airrisk.kernel.private_cache import is_private
from airrisk.kernel.source import SIGNATURES, files_digest, source_digest

FORMAT = 1  # of the header and of the block of arguments
_OK = (0, -2)  # numba's status of a function that returned (-2: None)
_held: list[Any] = []  # engines own the machine code


class NotShipped(Exception):
    """There is no such code for these sources on this platform; the message says why."""


def platform_name() -> str:
    """System and processor, as they stand in the names of the files."""
    machine = platform.machine().lower()
    return f"{sys.platform}-{'x86_64' if machine == 'amd64' else machine}"


def resource_name(entry: str) -> str:
    """Name in resources/ of the code of an entry for this platform."""
    return f"kernel/{entry}-{platform_name()}.ll.xz"


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
    """What the shipped code of an entry says about itself.

    Raises
    ------
    NotShipped
        There is none for this platform, or it cannot be read.
    """
    try:
        with lzma.open(tables.resource_path(resource_name(entry))) as stream:
            found = json.loads(stream.readline().decode("utf-8").removeprefix("; "))
    except FileNotFoundError:
        raise NotShipped(f"no compiled code of {entry} for {platform_name()}") from None
    except (OSError, EOFError, ValueError, lzma.LZMAError) as error:
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


def belongs(entry: str) -> bool:
    """Whether there is code of the present sources for this platform."""
    try:
        check_belongs(entry)
    except NotShipped:
        return False
    return True


def load(entry: str, cache_folder: Path | None) -> Callable[..., int]:
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
    try:
        import llvmlite.binding as llvm
    except ImportError as error:
        raise NotShipped(f"no llvmlite: {error}") from None
    packed = tables.resource_path(resource_name(entry)).read_bytes()
    try:
        llvm.initialize_native_target()
        llvm.initialize_native_asmprinter()
        processor = llvm.get_host_cpu_name()
        extras = llvm.get_host_cpu_features().flatten()
        machine = llvm.Target.from_default_triple().create_target_machine(
            cpu=processor, features=extras, opt=2, jit=True, codemodel="jitdefault"
        )
        stamp = f"{FORMAT} {llvm.llvm_version_info} {processor} {extras}".encode()
        name = f"{entry}-{hashlib.sha256(stamp + packed).hexdigest()[:20]}.o"
        kept = None if cache_folder is None else cache_folder / name
        define_outside_functions(llvm, about["calls"])
        code = _read_kept(kept)
        if code is None:
            code = _generate(llvm, machine, packed)
            _keep(kept, code)
        empty = llvm.parse_assembly("")
        empty.triple = machine.triple
        engine = llvm.create_mcjit_compiler(empty, machine)
        engine.add_object_file(llvm.ObjectFileRef.from_data(code))
        engine.finalize_object()
        address = engine.get_function_address(wrapper_name(entry))
    except (RuntimeError, ValueError, OSError, lzma.LZMAError) as error:
        raise NotShipped(f"{type(error).__name__}: {error}") from None
    if not address:
        raise NotShipped(f"{wrapper_name(entry)} is not in the compiled code")
    _held.append(engine)
    return PackedCall(entry, address)


def _generate(llvm: Any, machine: Any, packed: bytes) -> bytes:
    """Machine code of this processor."""
    module = llvm.parse_assembly(lzma.decompress(packed).decode("utf-8"))
    module.triple = machine.triple
    module.data_layout = str(machine.target_data)
    module.verify()
    code: bytes = machine.emit_object(module)
    return code


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
    call of a thread are remembered: most of them come again.
    """

    def __init__(self, entry: str, address: int) -> None:
        self.entry = entry
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
