"""How likely a break is, from so many breaks in so many castings: the Beta distribution. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass

_STEPS = 300
_TINY = 1e-300


@dataclass(frozen=True, slots=True)
class Chance:
    """A chance with its interval."""

    mean: float
    low: float
    high: float
    level: float


def chance_of_break(
    breaks: int, castings: int, *, prior: tuple[float, float] = (0.5, 0.5), level: float = 0.95
) -> Chance:
    """Chance of a break after seeing `breaks` in `castings`: Beta(a + breaks, b + castings − breaks).

    The default prior is Jeffreys', which takes no side. The interval leaves equal parts of 1 − level at
    both ends. ValueError for more breaks than castings.

    >>> round(chance_of_break(1, 20).mean, 4)
    0.0714
    """
    if not 0 <= breaks <= castings:
        raise ValueError("breaks are counted among castings")
    a, b = prior[0] + breaks, prior[1] + castings - breaks
    tail = (1 - level) / 2
    return Chance(a / (a + b), beta_quantile(tail, a, b), beta_quantile(1 - tail, a, b), level)


def beta_quantile(share: float, a: float, b: float) -> float:
    """The value below which a Beta(a, b) variable falls with probability `share`, to machine precision.

    Halving of the interval on `beta_below`. ValueError unless 0 ≤ share ≤ 1 and a, b above zero.

    >>> round(beta_quantile(0.5, 2.0, 2.0), 12)
    0.5
    """
    if not 0 <= share <= 1 or a <= 0 or b <= 0:
        raise ValueError("a share is from 0 to 1, shapes are above zero")
    low, high = 0.0, 1.0
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if beta_below(middle, a, b) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def beta_below(x: float, a: float, b: float) -> float:
    """Probability that a Beta(a, b) variable is below x: the regularised incomplete beta function.

    By its continued fraction (DLMF 8.17.22; from memory), taken from the side where it converges fast.

    >>> round(beta_below(0.25, 1.0, 1.0), 12)
    0.25
    """
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    scale = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    front = math.exp(scale + a * math.log(x) + b * math.log1p(-x))
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1 - front * _fraction(1 - x, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    """Lentz's evaluation of the continued fraction."""
    c, d = 1.0, _away(1 - (a + b) * x / (a + 1))
    d = 1 / d
    whole = d
    for m in range(1, _STEPS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d, c = 1 / _away(1 + even * d), _away(1 + even / c)
        whole *= d * c
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        d, c = 1 / _away(1 + odd * d), _away(1 + odd / c)
        whole *= d * c
        if abs(d * c - 1) < 1e-16:
            break
    return whole


def _away(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
