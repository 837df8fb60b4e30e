"""The entries of the kernel as compiled code, or as plain Python when there is none.

The functions of the kernel are written once, as plain Python (``source``). In order:

1. compiled code that was made when the program was built or installed (``shipped``), when it is
   of the present sources and for this platform; numba is not even imported;
2. what numba compiles on this machine, a minute or two once a user. The gathered text of an entry
   is a module in the user's cache folder whose name carries a digest of the text, of numba and
   of Python; numba keeps the machine code beside it, so a new version never meets old code, and
   nothing that others could have changed is loaded (``private_cache``);
3. the plain functions.

All three give the same numbers. Entries are loaded one by one, when they are asked for. A
program that people look at calls ``prepare`` early: it loads in the background, and where numba
has to compile, a process of its own does it, so that the window stays quick meanwhile.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib
import importlib.util
import os
import sys
import tempfile
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from types import ModuleType
from typing import Any

from airrisk.kernel import shipped
from airrisk.kernel.private_cache import cache_folder, is_private
from airrisk.kernel.source import KERNEL_MODULES, SIGNATURES, gathered_source

__all__ = [
    "KERNEL_MODULES",
    "SIGNATURES",
    "compile_now",
    "entry",
    "failure",
    "gathered_source",
    "is_preparing",
    "is_ready",
    "made_by_numba",
    "must_compile",
    "origin",
    "plain",
    "prepare",
]

LOOK_AGAIN = 0.02  # s, whether the preparation has come to an entry

_locks = {name: threading.Lock() for name in SIGNATURES}
_loaded: dict[str, Callable[..., Any]] = {}
_failures: dict[str, str] = {}
_origins: dict[str, str] = {}
_preparing: dict[str, threading.Thread] = {}


def plain(name: str) -> Callable[..., Any]:
    """An entry of the kernel as plain Python."""
    for module in reversed(KERNEL_MODULES):
        found = getattr(importlib.import_module(module), name, None)
        if found is not None:
            return found  # type: ignore[no-any-return]
    raise AttributeError(name)


def _write(folder: Path, name: str, text: str) -> Path:
    """Write the module unless the same text is there already; atomic for other processes."""
    path = folder / f"{name}.py"
    try:
        if is_private(path) and path.read_text(encoding="utf-8") == text:
            return path
    except OSError:
        pass
    handle, temporary = tempfile.mkstemp(dir=folder, suffix=".tmp")
    with os.fdopen(handle, "w", encoding="utf-8") as stream:
        stream.write(text)
    os.replace(temporary, path)
    return path


def _import(path: Path, name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, path)
    if spec is None or spec.loader is None:
        raise ImportError(f"cannot load {path}")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def _module_name(name: str, text: str) -> str:
    # of the installed package, without importing it
    from importlib.metadata import version

    stamp = f"{text}\n{version('numba')}\n{sys.version}"
    return f"airrisk_fire_kernel_{name}_{hashlib.sha256(stamp.encode()).hexdigest()[:16]}"


def _folder_of(module: str) -> Path | None:
    """The folder of a module and of what numba keeps beside it; None: it cannot be trusted."""
    whole = cache_folder()
    if whole is None:
        return None
    folder = whole / module
    inside = (folder, *folder.glob("*"), *folder.glob("__pycache__/*")) if folder.exists() else ()
    return folder if all(is_private(path) for path in inside) else None


def must_compile(name: str = "drive") -> bool:
    """Whether the next ``compile_now`` has to compile, a minute or two, instead of load."""
    if name in _loaded or name in _failures or os.environ.get("AIRRISK_INTERPRETED"):
        return False
    if shipped.belongs(name):
        return False
    try:
        folder = _folder_of(_module_name(name, gathered_source(name)))
        return folder is None or not any((folder / "__pycache__").glob("*.nbi"))
    except (OSError, ValueError, ImportError, SyntaxError):
        return False


def made_by_numba(name: str) -> Callable[..., Any]:
    """An entry compiled by numba on this machine, now or at an earlier start."""
    text = gathered_source(name)
    module = _module_name(name, text)
    folder = _folder_of(module)
    try:
        if folder is None:
            raise OSError("no folder that can be trusted")
        folder.mkdir(mode=0o700, exist_ok=True)
        path = _write(folder, module, text)
    except OSError:  # compiled for this time only, in a new folder that is closed to others
        path = _write(Path(tempfile.mkdtemp(prefix="airrisk-")), module, text)
    return getattr(_import(path, module), name)  # type: ignore[no-any-return]


def _load(name: str) -> None:
    if os.environ.get("AIRRISK_INTERPRETED"):
        _failures[name] = "switched off by AIRRISK_INTERPRETED"
        return
    try:
        call = shipped.load(name, cache_folder())
        _loaded[name] = call
        _origins[name] = "shipped" if call.built else "shipped (machine code made here)"
        return
    except shipped.NotShipped as error:
        reason = str(error)
    try:
        function = made_by_numba(name)
    except Exception as error:  # any failure of the compiler leaves the plain path
        _failures[name] = f"{reason}; {type(error).__name__}: {error}"
        return
    _origins[name] = f"numba ({reason})"
    _loaded[name] = function


def compile_now(name: str = "drive") -> bool:
    """Load an entry, or compile it; safe from any thread.

    Returns
    -------
    bool
        Whether compiled code is ready. ``failure()`` says why not.
    """
    if name not in _loaded:
        preparing = _preparing.get(name)
        while preparing not in (None, threading.current_thread()) and is_preparing(name):
            preparing.join(LOOK_AGAIN)
        with _locks[name]:
            if name not in _loaded and name not in _failures:
                _load(name)
    return name in _loaded


def prepare(names: Sequence[str] = tuple(SIGNATURES)) -> threading.Thread:
    """Load entries in the background; what has to be compiled is, in a process of its own.

    Parameters
    ----------
    names : sequence of str
        Keys of ``SIGNATURES`` in the order in which they are wanted.

    Returns
    -------
    Thread
        It ends when all are ready or cannot be. Until then ``is_preparing`` is true of those
        that are not there yet, and ``compile_now`` waits for them.
    """
    long = {name for name in names if must_compile(name)}
    # a short one is waited for when the program ends: a thread must not die within LLVM
    thread = threading.Thread(
        target=_prepare, args=(names, long), name="prepare-fire-kernel", daemon=bool(long)
    )
    for name in names:
        _preparing[name] = thread
    thread.start()
    return thread


def _prepare(names: Sequence[str], long: set[str]) -> None:
    for name in names:
        if name in long:
            import multiprocessing

            # the compiler is Python too and would hold the interpreter most of that time
            compiler = multiprocessing.get_context("spawn").Process(
                target=compile_now, args=(name,), name=f"compile-{name}", daemon=True
            )
            with contextlib.suppress(OSError, RuntimeError):
                compiler.start()
                compiler.join()
        compile_now(name)


def is_preparing(name: str = "drive") -> bool:
    """Whether ``prepare`` is at work on an entry that is not there yet."""
    if name in _loaded or name in _failures:
        return False
    thread = _preparing.get(name)
    return thread is not None and thread.is_alive()


def is_ready(name: str = "drive") -> bool:
    """Whether compiled code is loaded."""
    return name in _loaded


def failure(name: str = "drive") -> str | None:
    """Why there is no compiled code, if an attempt was made."""
    return _failures.get(name)


def origin(name: str = "drive") -> str | None:
    """Where the loaded code comes from: ``shipped``, or ``numba`` and why; None: not loaded.

    Of shipped code it says when the machine code was made for this processor first.
    """
    return _origins.get(name)


def entry(name: str, *, interpreted: bool = False) -> Callable[..., Any]:
    """An entry of the kernel: compiled, or plain when there is no compiled code.

    Parameters
    ----------
    name : str
        Key of ``SIGNATURES``.
    interpreted : bool
        Ask for the plain function.

    Returns
    -------
    callable
        The function; compiles first when that has not been tried.
    """
    if interpreted:
        return plain(name)
    return _loaded[name] if compile_now(name) else plain(name)
