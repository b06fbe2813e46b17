"""Whatever is asked, the plan can be cut: any request, judged by the checker."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import CutRequest, Part, Stock
from quoting.engine.cutting.verify import verify_plan

LENGTHS = st.one_of(
    st.integers(1, 1500).map(float),
    st.floats(0.5, 1500).map(lambda x: round(x, 5)),
    st.sampled_from([606.425, 12.3456, 149.225, 47.9375 * 25.4, 1 / 3]),
)
KERFS = st.sampled_from([0.0, 3.2, 3.175, 2.4, 4.40001])
TRIMS = st.sampled_from([0.0, 10.0, 2.0, 3.175, 6.35])


@st.composite
def requests(draw: st.DrawFn) -> CutRequest:
    """One to three sizes of stock, some scarce, some on hand; up to seven rows of parts."""
    stock = tuple(
        Stock(
            f"s{number}",
            draw(st.floats(200, 2500).map(lambda x: round(x, 2))),
            draw(st.floats(200, 1300).map(lambda x: round(x, 2))),
            Decimal(draw(st.integers(0, 6000))) / 100,
            draw(st.one_of(st.none(), st.integers(1, 3))),
            draw(st.booleans()),
        )
        for number in range(draw(st.integers(1, 3)))
    )
    parts = tuple(
        Part(f"p{number}", draw(LENGTHS), draw(LENGTHS), draw(st.integers(1, 4)), draw(st.booleans()))
        for number in range(draw(st.integers(0, 7)))
    )
    return CutRequest(draw(KERFS), draw(TRIMS), stock, parts)


@given(requests())
@settings(max_examples=80, deadline=None)
def test_every_plan_can_be_cut_as_it_says(request: CutRequest) -> None:
    plan = lay_out_sheets(request, steps=300)
    assert verify_plan(request, plan) == []
    if plan.proven_optimal:
        assert plan.unplaced == ()


@given(requests())
@settings(max_examples=30, deadline=None)
def test_the_order_of_the_steps_is_the_same_every_time(request: CutRequest) -> None:
    assert lay_out_sheets(request, steps=200) == lay_out_sheets(request, steps=200)
