"""Memory that a calculation has left serves the next one, or goes back to the machine."""

from __future__ import annotations

import ctypes

ARENA_MAX = -8  # M_ARENA_MAX of glibc's malloc.h


def share_one_heap() -> bool:
    """Have all threads take memory from one heap; False where the system has no such call.

    glibc gives threads heaps of their own, up to eight for each processor. Here threads come and
    go with every calculation, and what one leaves free serves no other: some 80 MB. To be called
    before there are any.
    """
    try:
        choose = ctypes.CDLL(None).mallopt
    except (AttributeError, OSError, TypeError):  # TypeError: Windows wants a name
        return False
    choose.argtypes, choose.restype = [ctypes.c_int, ctypes.c_int], ctypes.c_int
    return bool(choose(ARENA_MAX, 1))


def give_back() -> bool:
    """Hand over what lies free between what is in use; False where the system has no such call.

    glibc keeps it otherwise. It takes a few milliseconds, whoever calls.
    """
    try:
        trim = ctypes.CDLL(None).malloc_trim
    except (AttributeError, OSError, TypeError):
        return False
    trim.argtypes, trim.restype = [ctypes.c_size_t], ctypes.c_int
    trim(0)
    return True
