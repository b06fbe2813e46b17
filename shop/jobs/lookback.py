"""What finished jobs say about the shop's standards: bias, spread, suggestions with their evidence. Pure.

A result is the ratio of hours worked to hours that today's standard gives for the same work. Today's
standard is believed to be right (ratio 1), as firmly as one job would show it; results move it by
normal–normal shrinkage. Nothing is suggested from fewer than three jobs, and odd jobs are named, not
dropped.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from shop.jobs.beta import Chance, chance_of_break
from shop.jobs.robust import odd_ones, odd_pairs
from shop.jobs.shrinkage import Posterior, normal_posterior

FEWEST_JOBS = 3
LEAST_SPREAD = 0.05
"""Hands-on work scatters at least so much from job to job, whatever three results say (common practice)."""
PRIOR_CASTINGS = 20
"""How many castings today's breakage standard is worth against what was seen."""


@dataclass(frozen=True, slots=True)
class Result:
    """One job's work on one operation."""

    job: str
    planned: float
    """Hours that today's standard gives."""
    worked: float


@dataclass(frozen=True, slots=True)
class OperationFinding:
    """What the jobs say about one operation."""

    operation: str
    jobs: int
    planned: float
    worked: float
    bias: float | None
    """Mean of worked ÷ planned, less 1."""
    spread: float | None
    """Standard deviation of the ratios; needs two jobs."""
    odd: tuple[str, ...]
    """Jobs far from the others."""
    posterior: Posterior | None
    """Of the ratio; None from fewer than three jobs."""

    @property
    def factor(self) -> float | None:
        """What today's standard would be multiplied with."""
        return None if self.posterior is None else round(self.posterior.mean, 3)


@dataclass(frozen=True, slots=True)
class BreakageFinding:
    """What the jobs say about breakage at one operation."""

    operation: str
    jobs: int
    castings: int
    breaks: int
    standard: float
    seen: Chance | None
    """With a prior that takes no side; None before the first casting."""
    suggested: float | None
    """Drawn towards today's standard; None from fewer than three jobs."""

    @property
    def share_lost(self) -> float | None:
        """breaks ÷ castings; None before the first."""
        return self.breaks / self.castings if self.castings else None


def look_back(
    operation: str, results: Sequence[Result], *, spread: tuple[float, float, float] = (0.8, 1.0, 1.4)
) -> OperationFinding:
    """Bias, spread, odd jobs and the suggested factor of one operation.

    `spread` is the standard's own three-point spread; its sixth, (high − low)/6, is both how far single
    jobs are expected to scatter and how sure today's standard is. More scatter among the jobs than that
    weakens the evidence. Results with nothing planned or worked say nothing about a ratio and are left out.

    >>> jobs = [Result(f"J{n}", 10.0, 12.0) for n in range(4)]
    >>> look_back("CUT", jobs).factor
    1.16
    """
    known = [one for one in results if one.planned > 0 and one.worked > 0]
    ratios = [one.worked / one.planned for one in known]
    expected = max((spread[2] - spread[0]) / 6, LEAST_SPREAD)
    seen = statistics.stdev(ratios) if len(ratios) > 1 else None
    posterior = None
    if len(ratios) >= FEWEST_JOBS:
        scatter = max(seen or 0.0, expected)
        posterior = normal_posterior(1.0, expected, scatter, len(ratios), statistics.fmean(ratios))
    return OperationFinding(
        operation=operation,
        jobs=len(known),
        planned=sum(one.planned for one in known),
        worked=sum(one.worked for one in known),
        bias=statistics.fmean(ratios) - 1 if ratios else None,
        spread=seen,
        odd=tuple(known[at].job for at in _odd(known)),
        posterior=posterior,
    )


def look_at_breakage(
    operation: str, jobs: int, castings: int, breaks: int, standard: float
) -> BreakageFinding:
    """Breakage at one operation: what was seen with its interval, and today's standard moved by it.

    suggested = (m·p + breaks) ÷ (m + castings), with the standard p worth m = 20 castings. ValueError for
    more breaks than castings.

    >>> look_at_breakage("TURN", 5, 20, 1, 0.03).suggested
    0.04
    """
    seen = chance_of_break(breaks, castings) if castings else None
    suggested = None
    if jobs >= FEWEST_JOBS and castings:
        suggested = round((PRIOR_CASTINGS * standard + breaks) / (PRIOR_CASTINGS + castings), 4)
    return BreakageFinding(operation, jobs, castings, breaks, standard, seen, suggested)


def _odd(results: Sequence[Result]) -> tuple[int, ...]:
    """Far from the line of worked on planned hours, or far by ratio."""
    planned, worked = [one.planned for one in results], [one.worked for one in results]
    ratios = [one.worked / one.planned for one in results]
    return tuple(sorted({*odd_pairs(planned, worked), *odd_ones(ratios)}))
