"""Learning curves: what repeats of the same work take, by the unit model or the cumulative-average model.

Both say that time falls to `rate` of itself at every doubling; they differ in what falls. In the unit model
(Crawford) it is the time of the n-th unit, in the cumulative-average model (Wright) the mean of the first
n. A rate means nothing without its model: at 85 % and 125 units their totals differ by almost a third.
"""

from __future__ import annotations

import math

CRAWFORD = "crawford"
WRIGHT = "wright"
MODELS = (CRAWFORD, WRIGHT)


def slope(rate: float) -> float:
    """Exponent b = log₂(rate) of the curve n^b; `rate` is a fraction above 0, up to 1 (no learning).

    ValueError outside. Source: any text on learning curves; check value K30.

    >>> round(slope(0.80), 7)
    -0.3219281
    """
    if not 0 < rate <= 1:
        raise ValueError("a learning rate is above 0 and at most 1 (1: no learning)")
    return math.log2(rate)


def unit_factor(rate: float, n: int, model: str = CRAWFORD) -> float:
    """Time of the n-th unit as a share of the first.

    Crawford: n^b. Wright: n^(1+b) − (n−1)^(1+b). `n` is 1 or more; ValueError for less or an unknown model.
    Check values K26, K29.

    >>> round(unit_factor(0.85, 3), 4)
    0.7729
    """
    _check(n, model)
    b = slope(rate)
    if model == CRAWFORD:
        return float(n**b)
    return float(n ** (1 + b) - (n - 1) ** (1 + b))


def total_factor(rate: float, n: int, model: str = CRAWFORD) -> float:
    """Time of the first n units together, in times of the first unit.

    Crawford: Σ k^b, k = 1 … n. Wright: n^(1+b). `n` is 1 or more; ValueError for less or an unknown model.
    Check values K27 to K29.

    >>> round(total_factor(0.80, 4), 4), round(total_factor(0.80, 4, WRIGHT), 4)
    (3.1421, 2.56)
    """
    _check(n, model)
    b = slope(rate)
    if b == 0:
        return float(n)
    if model == CRAWFORD:
        return math.fsum(k**b for k in range(1, n + 1))
    return float(n ** (1 + b))


def _check(n: int, model: str) -> None:
    if n < 1:
        raise ValueError("units are counted from 1")
    if model not in MODELS:
        raise ValueError(f"the learning model is one of {', '.join(MODELS)}, not {model!r}")
