"""Memory that a calculation has left goes back to the machine."""

from __future__ import annotations

import ctypes


def give_back() -> bool:
    """Hand over what lies free between what is in use; False where the system has no such call.

    glibc keeps it otherwise, and in each thread's heap apart: some hundred megabytes after hours.
    It takes a few milliseconds, whoever calls.
    """
    try:
        trim = ctypes.CDLL(None).malloc_trim
    except (AttributeError, OSError, TypeError):  # TypeError: Windows wants a name
        return False
    trim.argtypes, trim.restype = [ctypes.c_size_t], ctypes.c_int
    trim(0)
    return True
