"""How far a few results should move what was believed before: normal and empirical Bayes shrinkage. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Posterior:
    """What is believed after the evidence."""

    mean: float
    sd: float
    weight: float
    """Of the evidence, from 0 to 1; the rest is the belief of before."""


@dataclass(frozen=True, slots=True)
class Shrunk:
    """Several results, each drawn towards their common mean."""

    centre: float
    factor: float
    """Share of a result's distance from the centre that is kept, from 0 to 1."""
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Pooled:
    """Groups of known error taken together."""

    mean: float
    sd: float
    heterogeneity: float
    """Q: weighted squared distance from the mean; groups − 1 is what chance alone gives on average."""
    between_variance: float
    """Moment estimate of the variance between groups, never below zero."""


def normal_posterior(prior_mean: float, prior_sd: float, sigma: float, count: int, mean: float) -> Posterior:
    """Belief about a mean after `count` results: precisions add, 1/v = 1/τ² + n/σ².

    `prior_sd` (τ) says how sure the belief was, `sigma` (σ) how much single results scatter; both above
    zero (ValueError). With no result the belief stays. Check value K86.

    >>> round(normal_posterior(6.5, 0.4, 0.5, 25, 5.735).mean, 2)
    5.78
    """
    if prior_sd <= 0 or sigma <= 0 or count < 0:
        raise ValueError("standard deviations must be above zero, counts not below")
    before, evidence = 1 / prior_sd**2, count / sigma**2
    weight = evidence / (before + evidence)
    return Posterior(
        mean=prior_mean + weight * (mean - prior_mean) if count else prior_mean,
        sd=math.sqrt(1 / (before + evidence)),
        weight=weight,
    )


def shrink_to_mean(values: Sequence[float], variance: float) -> Shrunk:
    """Draw results of equal error towards their mean: c = 1 − (k − 3)σ²/Σ(y − ȳ)², not below zero.

    `variance` is σ² of one result. Fewer than four results are drawn nowhere: c would reach 1.
    Source: Efron and Morris 1977; check value K87.

    >>> shrink_to_mean([1.0, 2.0, 3.0, 4.0], 1.0).factor
    0.8
    """
    centre = math.fsum(values) / len(values)
    spread = math.fsum((value - centre) ** 2 for value in values)
    extra = max(len(values) - 3, 0) * variance
    factor = 0.0 if extra >= spread and extra > 0 else 1 - (extra / spread if spread else 0.0)
    return Shrunk(centre, factor, tuple(centre + factor * (value - centre) for value in values))


def pool(values: Sequence[float], errors: Sequence[float]) -> Pooled:
    """Weighted mean of groups with known standard errors, and how much they differ beyond chance.

    Weights 1/s²; τ² by moments: max(0, (Q − (k − 1)) / (Σw − Σw²/Σw)). Check value K88.

    >>> pool([1.0, 3.0], [1.0, 1.0]).mean
    2.0
    """
    weights = [1 / error**2 for error in errors]
    whole = math.fsum(weights)
    mean = math.fsum(w * y for w, y in zip(weights, values, strict=True)) / whole
    q = math.fsum(w * (y - mean) ** 2 for w, y in zip(weights, values, strict=True))
    spare = whole - math.fsum(w**2 for w in weights) / whole
    between = max(0.0, (q - (len(values) - 1)) / spare) if spare > 0 else 0.0
    return Pooled(mean, math.sqrt(1 / whole), q, between)


def group_means(
    values: Sequence[float], errors: Sequence[float], between_sd: float
) -> tuple[float, tuple[float, ...]]:
    """Mean of the groups, and each group's own mean drawn towards it, at a between-group deviation τ.

    μ weighs groups by 1/(s² + τ²); a group keeps τ²/(s² + τ²) of its distance. τ = 0 pools completely.
    Check value K88.

    >>> group_means([0.0, 4.0], [1.0, 1.0], 1.0)
    (2.0, (1.0, 3.0))
    """
    tau2 = between_sd**2
    weights = [1 / (error**2 + tau2) for error in errors]
    centre = math.fsum(w * y for w, y in zip(weights, values, strict=True)) / math.fsum(weights)
    kept = [tau2 / (error**2 + tau2) for error in errors]
    return centre, tuple(centre + k * (y - centre) for k, y in zip(kept, values, strict=True))
