"""Gauss-Legendre nodes: exact for polynomials of degree 2n − 1."""

from __future__ import annotations

import math
from functools import cache


@cache
def gauss(count: int) -> tuple[tuple[float, float], ...]:
    """Nodes and weights on [0, 1], by Newton's method on the Legendre polynomial.

    >>> round(sum(weight * node**3 for node, weight in gauss(2)), 12)
    0.25
    """
    out = []
    for i in range(count):
        x = math.cos(math.pi * (i + 0.75) / (count + 0.5))
        slope = 1.0
        for _ in range(100):
            last, value = 1.0, x
            for k in range(2, count + 1):
                last, value = value, ((2 * k - 1) * x * value - (k - 1) * last) / k
            slope = count * (x * value - last) / (x * x - 1.0)
            step = value / slope
            x -= step
            if abs(step) < 1e-16:
                break
        out.append((0.5 * (1.0 - x), 1.0 / ((1.0 - x * x) * slope * slope)))
    return tuple(out)


def nodes(start: float, end: float, count: int) -> list[tuple[float, float]]:
    """The same on [start, end]."""
    length = end - start
    return [(start + length * node, length * weight) for node, weight in gauss(count)]
