"""Qt's binding for Python, kept from reading the source of all that is imported after it.

It looks for ``PySide6`` in each module, to know whom its ``__feature__`` concerns, which nobody
uses here. Python keeps every line that was read so: 60 MB in the end, and a tenth of the time that
the imports take. Import this first.
"""

from __future__ import annotations

import importlib

import PySide6.QtCore  # noqa: F401 - makes shibokensupport


def read_no_sources() -> bool:
    """Have every module count as one that may use Qt; False where the binding asks otherwise."""
    try:
        feature = importlib.import_module("shibokensupport.feature")
    except ImportError:
        return False
    if not hasattr(feature, "_mod_uses_pyside"):
        return False
    feature._mod_uses_pyside = lambda _module: True  # type: ignore[attr-defined]
    return True


SPARED = read_no_sources()
