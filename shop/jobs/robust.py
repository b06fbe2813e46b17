"""Lines and odd ones out that one wild job cannot pull about: Theil–Sen, median deviations, errors of
forecasts. Pure.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

ODD_FROM = 3.5
"""Modified z-score from which a result is named as odd (Iglewicz and Hoaglin 1993; from memory)."""
_NORMAL = 0.6745
"""Median absolute deviation of a standard normal distribution."""


@dataclass(frozen=True, slots=True)
class Line:
    """y = intercept + slope × x."""

    slope: float
    intercept: float

    def at(self, x: float) -> float:
        """The line's value."""
        return self.intercept + self.slope * x


@dataclass(frozen=True, slots=True)
class ForecastErrors:
    """How far forecasts were from what came; `mape` and `median_ape` None where something came to nought."""

    mae: float
    rmse: float
    bias: float
    """Mean of forecast − actual."""
    weighted: float | None
    """Sum of errors over the sum of actuals."""
    mape: float | None
    median_ape: float | None


def theil_sen(x: Sequence[float], y: Sequence[float]) -> Line | None:
    """Line through the median of all pairwise slopes: intercept = median(y) − slope × median(x).

    None where fewer than two different x are known. Breaks down only when 29 % of the points are wild.
    Check values K89, K90.

    >>> theil_sen([1, 2, 3, 4, 5, 6, 7], [1, 2, 3, 4, 5, 16, 7])
    Line(slope=1.0, intercept=0.0)
    """
    slopes = [
        (y[j] - y[i]) / (x[j] - x[i]) for i in range(len(x)) for j in range(i + 1, len(x)) if x[i] != x[j]
    ]
    if not slopes:
        return None
    slope = float(statistics.median(slopes))
    return Line(slope, float(statistics.median(y) - slope * statistics.median(x)))


def odd_ones(values: Sequence[float]) -> tuple[int, ...]:
    """Positions of results that lie far from the middle: 0.6745·|v − median|/MAD of 3.5 or more.

    Nothing is odd among fewer than four. Where more than half are alike (MAD nought), the mean deviation
    takes its place: |v − median|/(1.2533 × mean deviation). Nothing is dropped here.

    >>> odd_ones([1.0, 1.1, 0.9, 1.05, 4.0])
    (4,)
    """
    if len(values) < 4:
        return ()
    middle = statistics.median(values)
    away = [abs(value - middle) for value in values]
    scale = statistics.median(away) / _NORMAL or 1.2533 * statistics.fmean(away)
    if not scale:
        return ()
    return tuple(at for at, distance in enumerate(away) if distance / scale >= ODD_FROM)


def odd_pairs(x: Sequence[float], y: Sequence[float]) -> tuple[int, ...]:
    """Positions whose y lies far from the Theil–Sen line through all; by ratio alone where x never varies.

    >>> odd_pairs([1, 2, 3, 4, 5, 6, 7], [1.1, 1.9, 3.05, 4.0, 4.9, 16, 7.1])
    (5,)
    """
    line = theil_sen(x, y)
    if line is None:
        return odd_ones(y)
    return odd_ones([value - line.at(at) for at, value in zip(x, y, strict=True)])


def forecast_errors(actual: Sequence[float], forecast: Sequence[float]) -> ForecastErrors:
    """Errors of forecasts: mean absolute, root mean square, bias, and shares of what came. Check value K91.

    ValueError for no pair, or lists of unequal length.

    >>> forecast_errors([10, 5, 8, 10], [15, 12, 5, 8]).mape
    0.61875
    """
    if not actual:
        raise ValueError("no forecast to judge")
    errors = [f - a for a, f in zip(actual, forecast, strict=True)]
    sizes = [abs(error) for error in errors]
    whole = sum(abs(a) for a in actual)
    shares = None if 0 in actual else [size / abs(a) for size, a in zip(sizes, actual, strict=True)]
    return ForecastErrors(
        mae=statistics.fmean(sizes),
        rmse=statistics.fmean(error**2 for error in errors) ** 0.5,
        bias=statistics.fmean(errors),
        weighted=sum(sizes) / whole if whole else None,
        mape=statistics.fmean(shares) if shares else None,
        median_ape=statistics.median(shares) if shares else None,
    )
