"""The kernel as compiled code, or as plain Python when there is none.

The functions of the kernel are written once, as plain Python. For compilation their sources
are gathered into one module in the user's cache folder, whose name carries a digest of the
text, of numba and of Python; numba keeps the machine code beside it. So a new version never
meets old code, a read-only installation compiles once a user, and numba is imported only when
a run is asked for. Where numba or the sources are missing, the plain functions give the same
numbers, more slowly.
"""

from __future__ import annotations

import ast
import hashlib
import importlib
import importlib.util
import inspect
import os
import sys
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

# Modules in the order of their dependence; a function is taken when an entry needs it.
KERNEL_MODULES = (
    "airrisk.physics.air_kernel",
    "airrisk.physics.flow_kernel",
    "airrisk.physics.heat_kernel",
    "airrisk.physics.metal_kernel",
    "airrisk.physics.transport_kernel",
    "airrisk.firetest.layout",
    "airrisk.firetest.rhs",
    "airrisk.firetest.kernel_events",
    "airrisk.firetest.stepper",
    "airrisk.firetest.batch_kernel",
)
_ARRAYS = "f8[::1], i8[::1]"
_TABLE = "f8[:, :, ::1], f8[::1], f8[::1], f8, f8[:, :, :, ::1], f8[::1], f8[::1]"
# one entry only: machine code of everything below it is made once
SIGNATURES = {
    "drive": (
        f"i8(i8, f8[::1], {_ARRAYS}, i8[::1], f8[:, ::1], i8, i8, i8[::1], f8[::1], f8[::1], "
        f"f8[:, ::1], f8[:, ::1], f8[:, ::1], f8[:, ::1], f8[:, ::1], i8[::1], f8[:, ::1], "
        f"{_TABLE}, f8[::1], f8[:, ::1], i8[:, ::1], f8[:, ::1], f8[:, ::1], i8)"
    ),
}

_lock = threading.Lock()
_loaded: dict[str, Callable[..., Any]] | None = None
_failure: str | None = None


def plain(name: str) -> Callable[..., Any]:
    """An entry of the kernel as plain Python."""
    for module in reversed(KERNEL_MODULES):
        found = getattr(importlib.import_module(module), name, None)
        if found is not None:
            return found  # type: ignore[no-any-return]
    raise AttributeError(name)


def gathered_source() -> str:
    """Source of the compiled module: every kernel function, decorated.

    Raises
    ------
    OSError
        The sources are not there (a frozen program without them).
    ValueError
        Two modules define the same name.
    """
    body: list[str] = []
    owner: dict[str, str] = {}
    for name in KERNEL_MODULES:
        text = inspect.getsource(importlib.import_module(name))
        for node in ast.parse(text).body:
            if isinstance(node, ast.FunctionDef):
                names = [node.name]
            elif isinstance(node, ast.Assign):
                names = [target.id for target in node.targets if isinstance(target, ast.Name)]
                if not all(isinstance(part, _CONSTANT) for part in ast.walk(node.value)):
                    continue
            else:
                continue
            for defined in names:
                if owner.setdefault(defined, name) != name:
                    raise ValueError(f"{defined} stands in {owner[defined]} and in {name}")
            if isinstance(node, ast.FunctionDef):
                node.returns = None
                for argument in node.args.args:
                    argument.annotation = None
                signature = SIGNATURES.get(node.name)
                call = f'@_compile("{signature}")' if signature else "@_inner"
                body.append(f"{call}\n{ast.unparse(node)}")
            else:
                body.append(ast.unparse(node))
    head = (
        "import math\n"
        "from numba import njit\n"
        '_inner = njit(nogil=True, error_model="numpy", _nrt=False)\n'
        "def _compile(signature):\n"
        '    return njit(signature, nogil=True, error_model="numpy", cache=True, _nrt=False)\n'
    )
    return head + "\n\n".join(body) + "\n"


_CONSTANT = (
    ast.Constant,
    ast.UnaryOp,
    ast.BinOp,
    ast.Name,
    ast.operator,
    ast.unaryop,
    ast.expr_context,
)


def _cache_folder() -> Path:
    named = os.environ.get("NUMBA_CACHE_DIR")
    if named:
        return Path(named)
    try:
        import platformdirs

        return Path(platformdirs.user_cache_dir("airrisk", appauthor=False))
    except ImportError:
        return Path(tempfile.gettempdir()) / "airrisk"


def _write(folder: Path, name: str, text: str) -> Path:
    """Write the module unless the same text is there already; atomic for other processes."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.py"
    try:
        if path.read_text(encoding="utf-8") == text:
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


def _module_name(text: str) -> str:
    import numba

    stamp = f"{text}\n{numba.__version__}\n{sys.version}"
    return f"airrisk_fire_kernel_{hashlib.sha256(stamp.encode()).hexdigest()[:16]}"


def must_compile() -> bool:
    """Whether the next ``compile_now`` has to compile, half a minute, instead of load."""
    if _loaded is not None or _failure is not None or os.environ.get("AIRRISK_INTERPRETED"):
        return False
    try:
        name = _module_name(gathered_source())
        return not any((_cache_folder() / "__pycache__").glob(f"{name}.*.nbi"))
    except (OSError, ValueError, ImportError):
        return False


def _load() -> dict[str, Callable[..., Any]]:
    text = gathered_source()
    name = _module_name(text)
    try:
        path = _write(_cache_folder(), name, text)
    except OSError:
        path = _write(Path(tempfile.mkdtemp(prefix="airrisk-")), name, text)
    module = _import(path, name)
    return {entry: getattr(module, entry) for entry in SIGNATURES}


def compile_now() -> bool:
    """Compile, or load what was compiled before; safe from any thread.

    Returns
    -------
    bool
        Whether compiled code is ready. ``failure()`` says why not.
    """
    global _loaded, _failure
    with _lock:
        if _loaded is None and _failure is None:
            if os.environ.get("AIRRISK_INTERPRETED"):
                _failure = "switched off by AIRRISK_INTERPRETED"
            else:
                try:
                    _loaded = _load()
                except Exception as error:  # any failure of the compiler leaves the plain path
                    _failure = f"{type(error).__name__}: {error}"
    return _loaded is not None


def compile_in_background() -> threading.Thread:
    """Start ``compile_now`` in a thread of its own and return the thread."""
    thread = threading.Thread(target=compile_now, name="compile-fire-kernel", daemon=True)
    thread.start()
    return thread


def is_ready() -> bool:
    """Whether compiled code is loaded."""
    return _loaded is not None


def failure() -> str | None:
    """Why there is no compiled code, if an attempt was made."""
    return _failure


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
    if compile_now() and _loaded is not None:
        return _loaded[name]
    return plain(name)
