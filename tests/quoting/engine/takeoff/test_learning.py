"""Learning curves: the first unit is whole, nothing is learned at 100 %, nonsense is refused."""

from __future__ import annotations

import pytest

from quoting.engine.takeoff.learning import MODELS, WRIGHT, slope, total_factor, unit_factor


@pytest.mark.parametrize("model", MODELS)
def test_units_sum_to_the_total(model: str) -> None:
    units = sum(unit_factor(0.87, n, model) for n in range(1, 13))
    assert total_factor(0.87, 12, model) == pytest.approx(units, rel=1e-12)
    assert total_factor(0.87, 1, model) == 1


@pytest.mark.parametrize("model", MODELS)
def test_nothing_is_learned_at_one(model: str) -> None:
    assert total_factor(1.0, 7, model) == 7


def test_the_cumulative_model_learns_faster_from_the_same_rate() -> None:
    assert total_factor(0.9, 10, WRIGHT) < total_factor(0.9, 10)


def test_refuses_nonsense() -> None:
    for rate in (0.0, -0.5, 1.2, float("nan")):
        with pytest.raises(ValueError, match="learning rate"):
            slope(rate)
    with pytest.raises(ValueError, match="counted from 1"):
        unit_factor(0.9, 0)
    with pytest.raises(ValueError, match="learning model"):
        total_factor(0.9, 3, "guess")
