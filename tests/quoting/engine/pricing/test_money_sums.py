"""Whatever the inputs, money sums to the minor unit: thousands of generated commissions."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.money import to_minor
from quoting.engine.pricing.bridge import bridge
from quoting.engine.pricing.build_up import Price, price
from quoting.engine.pricing.compare import compare
from quoting.engine.pricing.totals import document_totals
from quoting.engine.spec.types import Delivery
from quoting.engine.takeoff.lines import LabourLine, MaterialLine
from quoting.engine.values import ShopTerms
from tests.quoting.engine.pricing.world import material, work

PAYMENTS: tuple[tuple[tuple[str, Decimal], ...], ...] = (
    (),
    (("on order", Decimal("0.333")), ("when cast", Decimal("0.333")), ("on delivery", Decimal("0.334"))),
)
STAGES = ("mould", "concrete", "polish", "fit", "extra")


def fraction(top: str, places: int = 3) -> st.SearchStrategy[Decimal]:
    return st.decimals(Decimal(0), Decimal(top), places=places)


amounts = st.decimals(Decimal(0), Decimal("5000"), places=4)
materials = st.lists(
    st.builds(lambda stage, cost: material("m", stage, str(cost)), st.sampled_from(STAGES), amounts),
    max_size=6,
)


@st.composite
def labour(draw: st.DrawFn) -> list[LabourLine]:
    lines: list[LabourLine] = []
    for number in range(draw(st.integers(0, 5))):
        back = draw(st.integers(0, number))
        lines.append(
            work(
                f"op{number}",
                draw(st.sampled_from(("mould", "cast", "turn", "polish"))),
                draw(st.integers(0, 400_000)) / 10_000,
                str(draw(st.decimals(Decimal(5), Decimal(90), places=2))),
                breakage=draw(st.integers(0, 300)) / 1000,
                spread=tuple(sorted(draw(st.integers(5, 40)) / 10 for _ in range(3))),  # type: ignore[arg-type]
                back_to=f"op{back}",
            )
        )
    return lines


@st.composite
def terms(draw: st.DrawFn) -> ShopTerms:
    units = draw(st.sampled_from((0, 2, 3)))
    return ShopTerms(
        minor_units=units,
        tax_rates={"standard": draw(fraction("0.27", 4))},
        overhead_per_labour_hour=draw(st.decimals(Decimal(0), Decimal(40), places=2)),
        target_margin=draw(fraction("0.9")),
        breakage_method=draw(st.sampled_from(("flat", "by_stage"))),
        breakage_flat=draw(fraction("0.3")),
        price_step=draw(st.sampled_from((Decimal("0.01"), Decimal("0.05"), Decimal(1), Decimal(25)))),
        minimum_job_price=draw(st.decimals(Decimal(0), Decimal(900), places=2)),
        deposit=draw(fraction("1")),
        payment_stages=draw(st.sampled_from(PAYMENTS)),
        hours_basis=draw(st.sampled_from(("likely", "expected"))),
        materials_basis=draw(st.sampled_from(("packs", "use"))),
        delivery_per_km=draw(st.decimals(Decimal(0), Decimal(3), places=3)),
    )


@st.composite
def prices(draw: st.DrawFn, units: int | None = None) -> Price:
    shop = draw(terms())
    if units is not None and shop.minor_units != units:
        shop = ShopTerms(minor_units=units)
    return price(
        draw(materials),
        draw(labour()),
        terms=shop,
        quantity=draw(st.integers(1, 40)),
        moulds=draw(st.integers(1, 3)),
        delivery=draw(st.none() | st.builds(Delivery, st.integers(0, 900), st.integers(0, 60))),
        discount=draw(fraction("0.5")),
    )


BELOW_WORKS = ("materials", "wear", "bought_in", "labour", "overrun", "delivery", "overhead")


@settings(max_examples=2000, deadline=None)
@given(prices())
def test_a_price_sums_to_the_minor_unit(sold: Price) -> None:
    amounts = {step.code: step.amount for step in sold.steps}
    assert sum(amounts.get(code, 0) for code in BELOW_WORKS) == amounts["works"] == sold.works_cost
    assert amounts["works"] + amounts["breakage"] == amounts["cost"]
    assert amounts["net"] + amounts.get("discount", 0) + amounts["tax"] == amounts["gross"]
    assert sold.works_cost == (
        sold.materials_cost
        + sold.wear_cost
        + sold.bought_in_cost
        + sold.labour_cost
        + sold.overrun
        + sold.delivery_cost
        + sold.overhead
    )
    assert sold.cost == sold.works_cost + sold.breakage_allowance
    assert sold.net == sold.unit_price * sold.quantity
    assert sold.net_after_discount == sold.net - sold.discount == sold.cost + sold.margin
    assert sold.gross == sold.net_after_discount + sum(line.tax for line in sold.tax_lines)
    assert sum(payment.amount for payment in sold.payments) == sold.gross
    assert sold.net >= sold.price_before_rounding
    if not sold.discount and sold.net:
        assert sold.achieved_margin >= sold.target_margin - Decimal("0.000001")
    for amount in (sold.unit_price, sold.cost, sold.discount, sold.tax, sold.gross, sold.deposit):
        assert to_minor(amount, sold.minor_units) == amount
    assert sold.breakage_allowance >= 0


@settings(max_examples=100, deadline=None)
@given(prices(units=2), prices(units=2))
def test_what_changes_between_two_prices_sums(before: Price, after: Price) -> None:
    comparison = compare(before, after)
    assert sum(part.change for part in comparison.parts) == comparison.gross.change


amount_lists = st.lists(
    st.tuples(
        st.decimals(Decimal(-9000), Decimal(9000), places=2),
        st.sampled_from(("standard", "reduced", "exempt")),
    ),
    max_size=9,
)
RATES = {"standard": Decimal("0.21"), "reduced": Decimal("0.055"), "exempt": Decimal(0)}


@settings(max_examples=300, deadline=None)
@given(amount_lists, amount_lists, amount_lists, st.decimals(Decimal(0), Decimal(9000), places=2))
def test_document_totals_sum(
    lines: list[tuple[Decimal, str]],
    allowances: list[tuple[Decimal, str]],
    charges: list[tuple[Decimal, str]],
    prepaid: Decimal,
) -> None:
    totals = document_totals(lines, RATES, allowances=allowances, charges=charges, prepaid=prepaid)
    assert totals.net == totals.lines - totals.allowances + totals.charges
    assert totals.net == sum(line.base for line in totals.tax_lines)
    assert totals.gross == totals.net + sum(line.tax for line in totals.tax_lines)
    assert totals.due + totals.prepaid == totals.gross
    assert (
        document_totals(lines[::-1], RATES, allowances=allowances, charges=charges, prepaid=prepaid) == totals
    )


@given(amounts, st.lists(st.tuples(st.sampled_from(("wages", "tax", "boards")), amounts), max_size=8))
def test_a_bridge_sums(start: Decimal, changes: list[tuple[str, Decimal]]) -> None:
    crossed = bridge(start, changes)
    assert crossed.start + sum(part.change for part in crossed.parts) == crossed.end
    assert crossed.end == (changes[-1][1] if changes else start)


def test_same_inputs_same_price() -> None:
    lines: list[MaterialLine] = [material("bag", "concrete", "10.005")] * 7
    work_lines = [work("pour", "cast", 0.3333, "31.17")] * 1
    first, again = (price(lines, work_lines, terms=ShopTerms(), quantity=3) for _ in range(2))
    assert first == again
    assert first.materials_cost == Decimal("70.07")  # each line rounded once: 7 × 10.01
