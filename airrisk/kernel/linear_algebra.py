"""The linear equations of a step, and the norm their solutions are measured with.

The equations of one space are dense and small. Those of several are eliminated space by space:
first what meets the space's own air only, its walls, plugs and lifts, then the two numbers of its
air in the order that the case brings. No rows are exchanged between spaces: the air that leaves
one arrives in another, so that the equations are dominated by what a space keeps.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

import math

from airrisk.kernel.layout import *


def factorize(A, n, pivot):
    """LU factors with row exchanges, in place; 0 when singular."""
    for k in range(n):
        best = k
        largest = abs(A[k, k])
        for r in range(k + 1, n):
            if abs(A[r, k]) > largest:
                largest = abs(A[r, k])
                best = r
        if not largest > 0.0:
            return 0
        pivot[k] = best
        if best != k:
            for c in range(n):
                A[k, c], A[best, c] = A[best, c], A[k, c]
        inverse = 1.0 / A[k, k]
        for r in range(k + 1, n):
            factor = A[r, k]
            if factor != 0.0:
                factor *= inverse
                A[r, k] = factor
                for c in range(k + 1, n):
                    A[r, c] -= factor * A[k, c]
    return 1


def row_of(place, i, own, I):
    """Row of one number of a space: mass, energy, hot wall, cold wall, then its own devices."""
    if place < 4:
        return place * I[I_SPACES] + i
    return 4 * I[I_SPACES] + I[own + place - 4]


def pool_in(i, I):
    """The pool of a space, or -1."""
    for w in range(I[I_POOLS]):
        if I[I[I_I_POOL] + w * WI_SIZE + WI_SPACE] == i:
            return w
    return -1


def neighbour_of(w, number, I):
    """Where a neighbour of a pool's space stands in their list; its block stands behind it."""
    return I[I_I_BESIDE] + BESIDE_SIZE * (I[I[I_I_POOL] + w * WI_SIZE + WI_FIRST] + number)


def own_factors(LU, J, c, i, n, pivot, I):
    """Reduce the equations of a space to those of the air; 0 when singular.

    The vapour over a pool is thinned by the air that flows in, and so follows the neighbours'
    air too; what is left of that joins the blocks between the spaces.
    """
    starts = I[I_I_OWN] + i
    own = I[I_I_OWN] + I[I_SPACES] + 1 + I[starts]
    m = 4 + I[starts + 1] - I[starts]
    w = pool_in(i, I)
    whole = m if w < 0 else m + 2 * I[I[I_I_POOL] + w * WI_SIZE + WI_COUNT]
    rows = n + 4 * i + I[starts]
    for q in range(m):
        r = row_of(q, i, own, I)
        pivot[rows + q] = r
        for p in range(whole):
            LU[r, p] = -c * J[r, p]
        LU[r, q] += 1.0
    for k in range(m - 1, 1, -1):
        low = pivot[rows + k]
        if not abs(LU[low, k]) > 0.0:
            return 0
        inverse = 1.0 / LU[low, k]
        for q in range(k):
            r = pivot[rows + q]
            factor = LU[r, k]
            if factor != 0.0:
                factor *= inverse
                LU[r, k] = factor
                for p in range(k):
                    LU[r, p] -= factor * LU[low, p]
                for p in range(m, whole):
                    LU[r, p] -= factor * LU[low, p]
    for x in range(m, whole, 2):
        block = n + I[neighbour_of(w, (x - m) // 2, I) + 1]
        for half in range(2):
            LU[block, half] += LU[i, x + half]
            LU[block, 2 + half] += LU[I[I_SPACES] + i, x + half]
    return 1


def network_factors(LU, J, c, n, pivot, I):
    """Factors of 1 - c J for several spaces; 0 when singular.

    Behind the exchanged rows ``pivot`` keeps the rows of each space, one space after the other.
    """
    spaces = I[I_SPACES]
    for r in range(n + spaces, n + I[I_BLOCKS]):
        for p in range(4):
            LU[r, p] = -c * J[r, p]
    for i in range(spaces):
        if own_factors(LU, J, c, i, n, pivot, I) == 0:
            return 0
        for p in range(2):
            LU[n + i, p] = LU[i, p]
            LU[n + i, 2 + p] = LU[spaces + i, p]
    at = I[I_I_ELIMINATION]
    for _ in range(spaces):
        d = n + I[at]
        count = I[at + 1]
        # the factors in place of the block, its rows exchanged where that is sounder
        i = I[at]
        pivot[i] = 0
        if abs(LU[d, 2]) > abs(LU[d, 0]):
            pivot[i] = 1
            LU[d, 0], LU[d, 2] = LU[d, 2], LU[d, 0]
            LU[d, 1], LU[d, 3] = LU[d, 3], LU[d, 1]
        if not abs(LU[d, 0]) > 0.0:
            return 0
        LU[d, 2] /= LU[d, 0]
        LU[d, 3] -= LU[d, 2] * LU[d, 1]
        if not abs(LU[d, 3]) > 0.0:
            return 0
        changed = at + 2 + 3 * count
        for row in range(count):
            r = n + I[at + 4 + 3 * row]
            for half in range(2):
                left = LU[r, 2 * half] / LU[d, 0]
                right = (LU[r, 2 * half + 1] - left * LU[d, 1]) / LU[d, 3]
                left -= right * LU[d, 2]
                LU[r, 2 * half] = right if pivot[i] == 1 else left
                LU[r, 2 * half + 1] = left if pivot[i] == 1 else right
            for column in range(count):
                w = n + I[at + 3 + 3 * column]
                t = n + I[changed + row * count + column]
                LU[t, 0] -= LU[r, 0] * LU[w, 0] + LU[r, 1] * LU[w, 2]
                LU[t, 1] -= LU[r, 0] * LU[w, 1] + LU[r, 1] * LU[w, 3]
                LU[t, 2] -= LU[r, 2] * LU[w, 0] + LU[r, 3] * LU[w, 2]
                LU[t, 3] -= LU[r, 2] * LU[w, 1] + LU[r, 3] * LU[w, 3]
        at = changed + count * count
    return 1


def network_solve(LU, n, pivot, b, I):
    """Solve with the factors of several spaces, in place."""
    spaces = I[I_SPACES]
    for i in range(spaces):
        starts = I[I_I_OWN] + i
        rows = n + 4 * i + I[starts]
        for k in range(3 + I[starts + 1] - I[starts], 1, -1):
            known = b[pivot[rows + k]]
            if known != 0.0:
                for q in range(k):
                    r = pivot[rows + q]
                    b[r] -= LU[r, k] * known
    at = I[I_I_ELIMINATION]
    for _ in range(spaces):
        i = I[at]
        count = I[at + 1]
        for row in range(count):
            j = I[at + 2 + 3 * row]
            r = n + I[at + 4 + 3 * row]
            b[j] -= LU[r, 0] * b[i] + LU[r, 1] * b[spaces + i]
            b[spaces + j] -= LU[r, 2] * b[i] + LU[r, 3] * b[spaces + i]
        at += 2 + 3 * count + count * count
    for step in range(spaces - 1, -1, -1):
        at = I[I_I_ELIMINATION] + I[I[I_I_STEPS] + step]
        i = I[at]
        mass = b[i]
        energy = b[spaces + i]
        for row in range(I[at + 1]):
            j = I[at + 2 + 3 * row]
            w = n + I[at + 3 + 3 * row]
            mass -= LU[w, 0] * b[j] + LU[w, 1] * b[spaces + j]
            energy -= LU[w, 2] * b[j] + LU[w, 3] * b[spaces + j]
        if pivot[i] == 1:
            mass, energy = energy, mass
        b[spaces + i] = (energy - LU[n + i, 2] * mass) / LU[n + i, 3]
        b[i] = (mass - LU[n + i, 1] * b[spaces + i]) / LU[n + i, 0]
    for i in range(spaces):
        starts = I[I_I_OWN] + i
        rows = n + 4 * i + I[starts]
        m = 4 + I[starts + 1] - I[starts]
        w = pool_in(i, I)
        beside = 0 if w < 0 else I[I[I_I_POOL] + w * WI_SIZE + WI_COUNT]
        for k in range(2, m):
            r = pivot[rows + k]
            total = b[r]
            for q in range(k):
                total -= LU[r, q] * b[pivot[rows + q]]
            for number in range(beside):
                other = I[neighbour_of(w, number, I)]
                total -= LU[r, m + 2 * number] * b[other]
                total -= LU[r, m + 2 * number + 1] * b[spaces + other]
            b[r] = total / LU[r, k]


def newton_solve(LU, n, pivot, b, I):
    """Solve with the factors of ``newton_factors``, in place."""
    if I[I_SPACES] == 1:
        back_substitute(LU, n, pivot, b)
    else:
        network_solve(LU, n, pivot, b, I)


def newton_factors(LU, J, c, n, pivot, I):
    """Factors of the matrix of the iteration, 1 - c J; 0 when singular."""
    if I[I_SPACES] > 1:
        return network_factors(LU, J, c, n, pivot, I)
    for r in range(n):
        for q in range(n):
            LU[r, q] = -c * J[r, q]
        LU[r, r] += 1.0
    return factorize(LU, n, pivot)


def back_substitute(A, n, pivot, b):
    """Solve with the factors, in place."""
    for k in range(n):
        other = pivot[k]
        if other != k:
            b[k], b[other] = b[other], b[k]
    for r in range(1, n):
        total = b[r]
        for c in range(r):
            total -= A[r, c] * b[c]
        b[r] = total
    for r in range(n - 1, -1, -1):
        total = b[r]
        for c in range(r + 1, n):
            total -= A[r, c] * b[c]
        b[r] = total / A[r, r]


def scaled_norm(values, factor, scale, n):
    """Root mean square of values over their allowance."""
    total = 0.0
    for k in range(n):
        part = factor * values[k] / scale[k]
        total += part * part
    return math.sqrt(total / n)
