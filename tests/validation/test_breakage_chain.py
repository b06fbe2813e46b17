"""Yield, scrap and rework against published chains.

Sources (ids of the project's collection of check values in brackets):
- Statistics-package concept page on serial yields [K38]; six-sigma society page on first-pass yield [K39].
- Exercise on two processes with rework [K41]: inputs as published, outputs recomputed.
- Sheskin, Markov-process text, three stages with rework in place [K42, K44]: inputs as published, outputs
  recomputed (attribution from memory).
- Grinstead and Snell, Introduction to Probability, chapter 11, the random walk 0 to 4 [K43]: printed answers.
Scrap and rework in the sources are, here, breaks that go back to the first stage and to the stage itself.
Tolerance: six significant figures, the precision in which outputs are recorded.
"""

from __future__ import annotations

from decimal import Decimal
from math import comb

import numpy as np
import pytest

from quoting.engine.pricing.breakage import Break, Stage, allowance_by_stage, expected_visits

D = Decimal


def serial(*chances: str) -> list[Stage]:
    return [Stage(f"s{i}", D(1), (Break(D(chance), 0),)) for i, chance in enumerate(chances)]


def starts(stages: list[Stage], visits: tuple[float, ...], to: int = 0) -> float:
    """Starts for one good piece: one, and one for every break that goes back to the first stage."""
    return 1 + sum(
        count * float(stage.breaks[0].chance)
        for stage, count in zip(stages, visits, strict=True)
        if stage.breaks[0].back_to == to
    )


def test_k38_serial_yields() -> None:
    stages = serial("0.05", "0.16", "0.12")
    chain = allowance_by_stage(stages)
    assert float(chain.survival) == pytest.approx(0.70224)  # 0.95 × 0.84 × 0.88
    visits = tuple(float(stage.visits) for stage in chain.stages)
    assert 1000 * starts(stages, visits) == pytest.approx(1424.01, abs=0.01)


def test_k39_first_time_yield_of_a_line() -> None:
    # 100 → 95 → 85 → 80
    line = [
        Stage(f"s{i}", D(1), (Break(1 - D(after) / D(before), 0),))
        for i, (before, after) in enumerate(((100, 95), (95, 85), (85, 80)))
    ]
    assert float(allowance_by_stage(line).survival) == pytest.approx(0.80)


def test_k40_expected_starts_and_safety_starts() -> None:
    stage = serial("0.1")
    assert float(expected_visits(stage)[0]) == pytest.approx(1.111111, rel=1e-6)
    printed = {10: 0.348678, 11: 0.697357, 12: 0.889130, 13: 0.965839}
    for begun, chance in printed.items():
        good = sum(comb(begun, k) * 0.9**k * 0.1 ** (begun - k) for k in range(10, begun + 1))
        assert good == pytest.approx(chance, abs=1e-6)


def test_k41_two_processes_with_rework() -> None:
    stages = [
        Stage("A", D(1), (Break(D("0.05"), 0),)),
        Stage("B", D(1), (Break(D("0.05"), 0), Break(D("0.10"), 0))),
    ]
    visits = expected_visits(stages)
    ship = 0.892265
    # Operations for one shipped item: those from one start, ÷ the chance that a start ships.
    assert float(visits[0]) == pytest.approx(1.104972 / ship, rel=2e-6)
    assert float(visits[1]) == pytest.approx(1.049724 / ship, rel=2e-6)
    assert float(sum(visits)) == pytest.approx(2.154696 / ship, rel=2e-6)
    assert float(allowance_by_stage(stages).survival) == pytest.approx(0.8075)


SHESKIN = [
    Stage("1", D(100), (Break(D(".08"), 0), Break(D(".12"), 0))),
    Stage("2", D(40), (Break(D(".06"), 0), Break(D(".09"), 1))),
    Stage("3", D(20), (Break(D(".04"), 0), Break(D(".06"), 2))),
]


def test_k42_three_stages_with_rework_in_place() -> None:
    visits = tuple(float(count) for count in expected_visits(SHESKIN))
    assert visits == pytest.approx((1.397712, 1.228758, 1.111111), rel=1e-6)
    assert starts(SHESKIN, visits) == pytest.approx(1.229987, rel=1e-6)
    assert float(allowance_by_stage(SHESKIN).survival) == pytest.approx(0.612)


def test_k44_cost_with_rework() -> None:
    assert float(allowance_by_stage(SHESKIN).expected_cost) == pytest.approx(211.1437, rel=1e-6)


@pytest.mark.parametrize(
    ("right", "n", "times"),
    [
        (0.5, [[1.5, 1, 0.5], [1, 2, 1], [0.5, 1, 1.5]], [3, 4, 3]),
        (2 / 3, [[1.4, 1.2, 0.8], [0.6, 1.8, 1.2], [0.2, 0.6, 1.4]], [3.4, 3.6, 2.2]),
    ],
)
def test_k43_the_matrix_used_as_oracle_gives_the_printed_answers(
    right: float, n: list[list[float]], times: list[float]
) -> None:
    """The fundamental matrix of tests/quoting/engine/pricing/test_breakage.py, on the printed random walk."""
    q = np.array([[0, right, 0], [1 - right, 0, right], [0, 1 - right, 0]])
    fundamental = np.linalg.inv(np.eye(3) - q)
    assert fundamental == pytest.approx(np.array(n), rel=1e-9)
    assert fundamental.sum(axis=1) == pytest.approx(times, rel=1e-9)
