"""Three-point estimates: the triangular shape the service draws from, and the PERT convention beside it.

The service draws triangular: its quantiles have a closed form, so that a seeded draw is the same on any
machine.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ThreePoint:
    """Least, most likely and greatest value; ValueError unless in that order and finite."""

    low: float
    mode: float
    high: float

    def __post_init__(self) -> None:
        if not (self.low <= self.mode <= self.high and math.isfinite(self.high - self.low)):
            raise ValueError("a three-point estimate is least, most likely, greatest, in that order")

    @property
    def mean(self) -> float:
        """Mean of the triangular shape, (a + m + b)/3; check values K33, K34."""
        return (self.low + self.mode + self.high) / 3

    @property
    def variance(self) -> float:
        """Variance of the triangular shape, (a² + m² + b² − am − ab − mb)/18; check value K33."""
        a, m, b = self.low, self.mode, self.high
        return (a * a + m * m + b * b - a * m - a * b - m * b) / 18

    @property
    def pert_mean(self) -> float:
        """Mean by the PERT convention, (a + 4m + b)/6; check values K32, K33."""
        return (self.low + 4 * self.mode + self.high) / 6

    @property
    def pert_variance(self) -> float:
        """Variance by the PERT convention, ((b − a)/6)²; check values K32, K33."""
        return ((self.high - self.low) / 6) ** 2

    def quantile(self, share: float) -> float:
        """Value that a share (0 to 1) of the triangular shape lies below; check value K33.

        >>> round(ThreePoint(5, 8, 17).quantile(0.8), 6)
        12.35242
        """
        return float(self.quantiles(np.array([share]))[0])

    def quantiles(self, shares: Floats) -> Floats:
        """`quantile` of many shares at once: a + √(u(b−a)(m−a)) below the mode, b − √((1−u)(b−a)(b−m))
        above.
        """
        a, m, b = self.low, self.mode, self.high
        if a == b:
            return np.full_like(shares, a)
        below = np.sqrt(shares * ((b - a) * (m - a)))
        above = np.sqrt((1.0 - shares) * ((b - a) * (b - m)))
        return np.where(shares < (m - a) / (b - a), a + below, b - above)
