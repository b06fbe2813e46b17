"""The breakage chain: exact, and refusing chains that never end."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.errors import Refused
from quoting.engine.pricing.breakage import Break, Stage, allowance_by_stage, expected_visits

D = Decimal


def transitions(stages: list[Stage]) -> np.ndarray:
    """Chances of moving from stage to stage, the end left out: Q of the absorbing chain."""
    q = np.zeros((len(stages), len(stages)))
    for i, stage in enumerate(stages):
        for way in stage.breaks:
            q[i, way.back_to] += float(way.chance)
        if i + 1 < len(stages):
            q[i, i + 1] += 1 - sum(float(way.chance) for way in stage.breaks)
    return q


@st.composite
def chains(draw: st.DrawFn) -> list[Stage]:
    stages = []
    for number in range(draw(st.integers(1, 9))):
        breaks = tuple(
            Break(D(draw(st.integers(0, 300))) / 1000, draw(st.integers(0, number)))
            for _ in range(draw(st.integers(0, 3)))
        )
        stages.append(Stage(f"s{number}", D(draw(st.integers(0, 100_000))) / 100, breaks))
    return stages


@settings(max_examples=200, deadline=None)
@given(chains())
def test_agrees_with_the_fundamental_matrix(stages: list[Stage]) -> None:
    n = np.linalg.inv(np.eye(len(stages)) - transitions(stages))
    assert [float(visits) for visits in expected_visits(stages)] == pytest.approx(n[0], rel=1e-9)
    costs = [float(stage.cost) for stage in stages]
    assert float(allowance_by_stage(stages).expected_cost) == pytest.approx(float(n[0] @ costs), rel=1e-9)


def test_a_whole_remake_costs_one_over_the_yield() -> None:
    one = allowance_by_stage([Stage("all", D("450"), (Break(D("0.1"), 0),))])
    assert one.expected_cost == 500
    assert one.allowance == 50
    assert one.survival == Fraction(9, 10)
    assert one.rounded(quantity=3) == D("150.00")


def test_a_break_that_goes_back_costs_what_is_done_again() -> None:
    stages = [
        Stage("cast", D("100")),
        Stage("turn", D("20")),
        Stage("polish", D("60"), (Break(D("0.25"), 1),)),
    ]
    # Turning and polishing are done 1/0.75 times.
    assert allowance_by_stage(stages).allowance == Fraction(80, 3)
    assert allowance_by_stage(stages).rounded() == D("26.67")


def test_agrees_with_a_simulation() -> None:
    stages = [
        Stage("cast", D("200"), (Break(D("0.05"), 0),)),
        Stage("turn", D("30"), (Break(D("0.10"), 0),)),
        Stage("polish", D("90"), (Break(D("0.08"), 1), Break(D("0.02"), 0))),
    ]
    rng = np.random.default_rng(7)
    costs = []
    for _ in range(20_000):
        at, cost = 0, 0.0
        while at < len(stages):
            cost += float(stages[at].cost)
            u = rng.random()
            for way in stages[at].breaks:
                if u < float(way.chance):
                    at = way.back_to
                    break
                u -= float(way.chance)
            else:
                at += 1
        costs.append(cost)
    error = np.std(costs) / np.sqrt(len(costs))
    # Four standard errors: a sound chain fails one seed in 16,000.
    assert abs(np.mean(costs) - float(allowance_by_stage(stages).expected_cost)) < 4 * error


def test_no_stages_and_no_breaks_allow_nothing() -> None:
    assert allowance_by_stage([]).allowance == 0
    assert allowance_by_stage([Stage("cast", D("100"))]).allowance == 0


def test_refuses_chains_that_never_end_or_run_forward() -> None:
    with pytest.raises(Refused) as refused:
        allowance_by_stage(
            [
                Stage("cast", D(1), (Break(D("0.6"), 0), Break(D("0.4"), 0))),
                Stage("turn", D(1), (Break(D("0.1"), 2),)),
            ]
        )
    assert [fault.code for fault in refused.value.faults] == ["bad_chance", "bad_return"]
    with pytest.raises(Refused, match="chance of a break"):
        allowance_by_stage([Stage("cast", D(1), (Break(D("-0.1"), 0),))])
    with pytest.raises(Refused, match="chance of a break"):
        allowance_by_stage([Stage("cast", D(1), (Break(D("NaN"), 0),))])
