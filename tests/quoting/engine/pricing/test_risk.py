"""Risk: the draws agree with the exact mean, are the same every time, and say what drives them."""

from __future__ import annotations

import time
from dataclasses import replace
from decimal import Decimal

import pytest

from quoting.engine.errors import Refused
from quoting.engine.pricing.build_up import price
from quoting.engine.pricing.risk import BREAKAGE, Risk, simulate
from quoting.engine.takeoff.lines import LabourLine
from tests.quoting.engine.pricing.world import LABOUR, MATERIALS, TERMS, work

D = Decimal
BY_STAGE = replace(TERMS, breakage_method="by_stage")
RISKY = (
    work("build", "mould", 6.0),
    work("pour", "cast", 4.0, breakage=0.02),
    work("strip", "strip", 1.0, breakage=0.05, back_to="pour"),
    work("turn", "turn", 1.5, breakage=0.08, back_to="strip", spread=(0.7, 1.0, 2.5)),
    work("polish", "polish", 5.0, breakage=0.03, back_to="build"),
)


def risk(
    labour: tuple[LabourLine, ...] = RISKY, quantity: int = 1, seed: int = 1, draws: int = 10_000
) -> Risk:
    sold = price(MATERIALS, labour, terms=BY_STAGE, quantity=quantity)
    return simulate(labour, MATERIALS, sold, terms=BY_STAGE, seed=seed, draws=draws)


@pytest.mark.parametrize("quantity", [1, 4, 50, 51, 1000])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_mean_agrees_with_the_exact_figure(quantity: int, seed: int) -> None:
    found = risk(quantity=quantity, seed=seed)
    # Four standard errors: a sound simulation fails one seed in 16,000.
    assert abs(found.mean - found.expected) < 4 * found.standard_error


def test_the_exact_figure_by_pencil() -> None:
    labour = (work("pour", "cast", 4.0), work("turn", "turn", 2.0, breakage=0.2, back_to="pour"))
    sold = price([], labour, terms=BY_STAGE)
    found = simulate(labour, [], sold, terms=BY_STAGE, draws=100)
    # Both are done 1/0.8 times; the mean of the spread is 3.2/3 of the plan; 36.50 an hour.
    assert found.expected == D("292.00")  # 6 × 36.5 × 3.2/3 ÷ 0.8


def test_without_breakage_or_spread_nothing_is_uncertain() -> None:
    labour = (work("pour", "cast", 4.0, spread=(1.0, 1.0, 1.0)),)
    sold = price(MATERIALS, labour, terms=TERMS)
    found = simulate(labour, MATERIALS, sold, terms=TERMS)
    assert {found.p10, found.p50, found.p90, found.mean, found.expected} == {sold.cost}
    assert (found.chance_of_margin, found.chance_of_loss) == (1.0, 0.0)
    assert [driver.swing for driver in found.drivers] == [0]


def test_the_same_seed_gives_the_same_draws() -> None:
    assert risk(seed=5) == risk(seed=5)
    assert risk(seed=5).mean != risk(seed=6).mean


def test_quantiles_and_chances_follow_the_price() -> None:
    found = risk()
    assert found.p10 < found.p50 < found.p80 < found.p90
    assert 0 < found.chance_of_margin < 1
    assert 0 < found.chance_of_loss < 1 - found.chance_of_margin
    cheap = replace(BY_STAGE, target_margin=D("0.02"), price_step=D("0.01"))
    sold = price(MATERIALS, RISKY, terms=cheap)
    assert simulate(RISKY, MATERIALS, sold, terms=cheap).chance_of_loss > 0.3
    assert found.contingency_p80 == found.p80 - price(MATERIALS, RISKY, terms=BY_STAGE).cost


def test_drivers_are_ranked_by_what_they_do_to_the_spread() -> None:
    found = risk()
    assert found.drivers[0].code == BREAKAGE
    assert found.drivers[0].low < 0 < found.drivers[0].high
    assert {driver.code for driver in found.drivers} == {BREAKAGE, "build", "pour", "strip", "turn", "polish"}
    shares = [driver.share for driver in found.drivers]
    assert shares == sorted(shares, reverse=True)
    # Breakage and hours vary together a little (a remake takes the drawn hours), so shares sum near one.
    assert sum(shares) == pytest.approx(1, abs=0.1)
    hours = risk(labour=tuple(replace(line, breakage=0.0) for line in RISKY))
    build = next(driver for driver in hours.drivers if driver.code == "build")
    # 6 h × 36.50 × (0.8 + √(0.1·0.6·0.2) − 3.2/3) and × (1.4 − √(0.1·0.6·0.4) − 3.2/3)
    assert (build.low, build.high) == (D("-34.41"), D("39.07"))
    assert sum(driver.share for driver in hours.drivers) == pytest.approx(1, abs=0.05)


def test_a_flat_allowance_is_a_certain_cost_where_no_stage_can_break() -> None:
    labour = tuple(replace(line, breakage=0.0) for line in LABOUR)
    sold = price(MATERIALS, labour, terms=TERMS)
    found = simulate(labour, MATERIALS, sold, terms=TERMS)
    assert sold.breakage_allowance > 0
    assert abs(found.mean - found.expected) < 4 * found.standard_error
    assert found.expected > sold.cost  # hours run over more than under


def test_a_realistic_commission_takes_less_than_sixty_milliseconds() -> None:
    labour = tuple(
        work(f"op{n}", "cast", 1.0 + n / 7, breakage=0.01 if n % 3 else 0.0, back_to="op0") for n in range(20)
    )
    sold = price(MATERIALS, labour, terms=BY_STAGE, quantity=4)
    best = float("inf")
    for _ in range(5):
        start = time.process_time()
        simulate(labour, MATERIALS, sold, terms=BY_STAGE)
        best = min(best, time.process_time() - start)
    assert best < 0.060


def test_refuses_spreads_out_of_order_and_no_draws() -> None:
    bad = (work("pour", "cast", 4.0, spread=(1.2, 1.0, 1.4)),)
    sold = price(MATERIALS, bad, terms=TERMS)
    with pytest.raises(Refused) as refused:
        simulate(bad, MATERIALS, sold, terms=TERMS, draws=0)
    assert [fault.path for fault in refused.value.faults] == ["draws", "operations.pour.spread"]


def test_many_pieces_drawn_by_count_spread_like_pieces_drawn_one_by_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The same 60 pieces both ways: mean and spread of breakage within the noise of 10,000 draws."""
    by_count = risk(quantity=60)
    monkeypatch.setattr("quoting.engine.pricing.risk._ONE_BY_ONE", 60)
    one_by_one = risk(quantity=60)
    assert by_count.expected == one_by_one.expected
    error = by_count.standard_error
    assert abs(by_count.mean - one_by_one.mean) < 6 * error  # four standard errors of a difference
    # The standard error is the spread ÷ 100; a spread of 10,000 draws is known to some 0.7 %.
    assert float(error / one_by_one.standard_error) == pytest.approx(1, abs=0.04)
    assert abs(by_count.p90 - one_by_one.p90) < 10 * error


def test_ten_thousand_pieces_are_no_harder_than_ten() -> None:
    found = risk(quantity=10_000)
    assert abs(found.mean - found.expected) < 4 * found.standard_error
    assert found.p10 < found.p50 < found.p90
