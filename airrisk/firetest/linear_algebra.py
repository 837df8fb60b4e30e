"""Small dense systems of linear equations, and the norm their solutions are measured with."""

from __future__ import annotations

import math


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


def newton_factors(LU, J, c, n, pivot):
    """Factors of the matrix of the iteration, 1 - c J; 0 when singular."""
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
