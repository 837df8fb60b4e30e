"""The functions of the kernel, gathered into the text of one module for each entry.

They are written once, as plain Python, in several rooms. An entry is a function that the
program calls from outside; its module holds it and what it needs, and nothing else, so that
work on one entry leaves the compiled code of another valid.
"""

from __future__ import annotations

import ast
import hashlib
from functools import cache
from pathlib import Path

import airrisk

# Modules in the order of their dependence; a function is taken when an entry needs it.
KERNEL_MODULES = (
    "airrisk.physics.air_kernel",
    "airrisk.physics.flow_kernel",
    "airrisk.physics.heat_kernel",
    "airrisk.physics.metal_kernel",
    "airrisk.physics.transport_kernel",
    "airrisk.physics.water_kernel",
    "airrisk.physics.creep_kernel",
    "airrisk.kernel.layout",
    "airrisk.kernel.records",
    "airrisk.kernel.places",
    "airrisk.kernel.flames",
    "airrisk.kernel.pools",
    "airrisk.kernel.rhs",
    "airrisk.kernel.events",
    "airrisk.kernel.difference_formulas",
    "airrisk.kernel.linear_algebra",
    "airrisk.kernel.jacobian",
    "airrisk.kernel.moments",
    "airrisk.kernel.searches",
    "airrisk.kernel.run_ends",
    "airrisk.kernel.run_notes",
    "airrisk.kernel.spent_spaces",
    "airrisk.kernel.events_inside",
    "airrisk.kernel.implicit_steps",
    "airrisk.kernel.stepper",
    "airrisk.kernel.batch_entries",
    "airrisk.kernel.space_steps",
    "airrisk.kernel.space_events",
    "airrisk.kernel.space_runs",
)
_ARRAYS = "f8[::1], i8[::1]"
_TABLE = "f8[:, :, ::1], f8[::1], f8[::1], f8, f8[:, :, :, ::1], f8[::1], f8[::1]"
# The entries. Each has machine code of everything below it, so there are few.
SIGNATURES = {
    "drive": (
        f"i8(i8, f8[::1], {_ARRAYS}, i8[::1], f8[:, ::1], i8, i8, i8[::1], f8[::1], f8[::1], "
        f"f8[:, ::1], f8[:, ::1], f8[:, ::1], f8[:, ::1], f8[:, ::1], i8[::1], f8[:, ::1], "
        f"{_TABLE}, f8[::1], f8[:, ::1], i8[:, ::1], f8[:, ::1], f8[:, ::1], i8)"
    ),
    "space_variants": (
        f"i8(f8[::1], {_ARRAYS}, i8[::1], f8[:, ::1], i8, i8, i8[::1], f8[::1], f8[:, ::1], "
        f"{_TABLE}, f8[:, ::1])"
    ),
}

_CONSTANT = (
    ast.Constant,
    ast.UnaryOp,
    ast.BinOp,
    ast.Name,
    ast.operator,
    ast.unaryop,
    ast.expr_context,
)
_HEAD = (
    "import math\n"
    "from collections import namedtuple\n"
    "from numba import njit\n"
    # only compiled code calls them: a fifth less to compile without what Python and C would need
    '_inner = njit(nogil=True, error_model="numpy", _nrt=False, no_cpython_wrapper=True, '
    "no_cfunc_wrapper=True)\n"
    "def _compile(signature):\n"
    '    return njit(signature, nogil=True, error_model="numpy", cache=True, _nrt=False)\n'
)


def _file_of(module: str) -> Path:
    return Path(airrisk.__file__).parent.joinpath(*module.split(".")[1:]).with_suffix(".py")


def files_digest() -> str:
    """Digest of the files the kernel is written in, remarks and all, and of this one.

    Takes a millisecond.

    Raises
    ------
    OSError
        The sources are not there.
    """
    digest = hashlib.sha256()
    for module in (*KERNEL_MODULES, __name__):  # signatures and decorators stand here
        text = _file_of(module).read_bytes().replace(b"\r\n", b"\n")
        digest.update(f"{module} {len(text)}\n".encode())
        digest.update(text)
    return digest.hexdigest()


@cache
def _definitions() -> dict[str, tuple[str, frozenset[str]]]:
    """Text of functions, numbers and named tuples, and the names in it, in the order of files."""
    found: dict[str, tuple[str, frozenset[str]]] = {}
    owner: dict[str, str] = {}
    for module in KERNEL_MODULES:
        for node in ast.parse(_file_of(module).read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef):
                names = [node.name]
                _strip(node)
            elif isinstance(node, ast.Assign):
                names = [target.id for target in node.targets if isinstance(target, ast.Name)]
                if not _is_plain(node.value):
                    continue
            else:
                continue
            used = frozenset(part.id for part in ast.walk(node) if isinstance(part, ast.Name))
            for name in names:
                if owner.setdefault(name, module) != module:
                    raise ValueError(f"{name} stands in {owner[name]} and in {module}")
                found[name] = (ast.unparse(node), used)
    return found


def _is_plain(value: ast.expr) -> bool:
    """Whether a value is a number, made of numbers, or the type of a named tuple."""
    if isinstance(value, ast.Call):
        return isinstance(value.func, ast.Name) and value.func.id == "namedtuple"
    return all(isinstance(part, _CONSTANT) for part in ast.walk(value))


def _strip(function: ast.FunctionDef) -> None:
    """Take away what compiled code does not depend on."""
    function.returns = None
    for argument in function.args.args:
        argument.annotation = None
    if ast.get_docstring(function) is not None:
        del function.body[0]


def gathered_source(entry: str = "drive") -> str:
    """Text of the compiled module of an entry: what it needs, decorated.

    Raises
    ------
    OSError
        The sources are not there (a frozen program without them).
    ValueError
        Two modules define the same name.
    """
    known = _definitions()
    wanted = {entry}
    waiting = [entry]
    while waiting:
        for name in known[waiting.pop()][1]:
            if name in known and name not in wanted:
                wanted.add(name)
                waiting.append(name)
    body = []
    for name, (text, _) in known.items():
        if name in wanted:
            if name == entry:
                text = f'@_compile("{SIGNATURES[entry]}")\n{text}'
            elif text.startswith("def "):
                text = f"@_inner\n{text}"
            body.append(text)
    return _HEAD + "\n\n".join(body) + "\n"


def source_digest(entry: str) -> str:
    """Digest of ``gathered_source``: remarks and docstrings do not count."""
    return hashlib.sha256(gathered_source(entry).encode()).hexdigest()
