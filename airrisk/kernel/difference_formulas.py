"""Backward differences in quasi-constant steps: the formulas of order 1 to 5.

Source: Shampine and Reichelt (1997), SIAM J. Sci. Comput. 18, 1-22 (NDF formulas).
"""

from __future__ import annotations


def kappa_of(order):
    """Coefficient that shifts the formula from plain backward differences."""
    if order == 1:
        return -0.1850
    if order == 2:
        return -1.0 / 9.0
    if order == 3:
        return -0.0823
    if order == 4:
        return -0.0415
    return 0.0


def harmonic(order):
    """1 + 1/2 + ... + 1/order."""
    total = 0.0
    for k in range(1, order + 1):
        total += 1.0 / k
    return total


def error_constant(order):
    """Local error over the difference of the next order."""
    return kappa_of(order) * harmonic(order) + 1.0 / (order + 1.0)


def rescale(D, order, factor, columns, R, E):
    """Backward differences for a step changed by ``factor``."""
    for j in range(order + 1):
        R[0, j] = 1.0
        E[0, j] = 1.0
    for i in range(1, order + 1):
        R[i, 0] = 0.0
        E[i, 0] = 0.0
        for j in range(1, order + 1):
            R[i, j] = R[i - 1, j] * (i - 1.0 - factor * j) / i
            E[i, j] = E[i - 1, j] * (i - 1.0 - j) / i
    last = order + 1
    for i in range(last):
        for j in range(last):
            total = 0.0
            for m in range(last):
                total += R[j, m] * E[m, i]
            R[last, j] = total
        for j in range(last):
            E[j, i] = R[last, j]
    for k in range(columns):
        for i in range(last):
            total = 0.0
            for j in range(last):
                total += E[j, i] * D[j, k]
            R[last, i] = total
        for i in range(last):
            D[i, k] = R[last, i]


def interpolate(D, order, h, back, columns, result):
    """State ``back`` seconds before the end of the last step."""
    for k in range(columns):
        result[k] = D[0, k]
    product = 1.0
    for j in range(order):
        product *= (j * h - back) / (h * (1.0 + j))
        for k in range(columns):
            result[k] += D[j + 1, k] * product


def interpolate_few(D, order, h, back, first, stride, count, result):
    """The same for ``count`` numbers of the state from ``first``, each ``stride`` apart."""
    for place in range(count):
        k = first + place * stride
        result[k] = D[0, k]
    product = 1.0
    for j in range(order):
        product *= (j * h - back) / (h * (1.0 + j))
        for place in range(count):
            k = first + place * stride
            result[k] += D[j + 1, k] * product
