"""The bridge between two offers: whatever changed, its parts sum to the cent, and each has its own cause."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.errors import Refused
from quoting.engine.estimate.build import estimate
from quoting.engine.estimate.offer_bridge import NOT_KEPT, Offer, Ordered, offer_bridge, offer_total, stages
from quoting.engine.values import PriceBook
from tests.quoting.engine.estimate.world import book, piece, terms

HEARTH, OVAL = piece("hearth"), piece("shape-oval")
THEN = Offer(
    (Ordered(HEARTH, 1),), book(), terms(), lines=((Decimal(120), "standard"),), discount=Decimal("0.05")
)


def dearer(by: Decimal) -> PriceBook:
    rows = {code: replace(row, price=row.price * by) for code, row in book().materials.items()}
    return replace(book(), materials=rows)


def better_paid(by: Decimal) -> PriceBook:
    roles = {code: replace(role, pay_per_hour=role.pay_per_hour * by) for code, role in book().roles.items()}
    return replace(book(), roles=roles)


def slower(by: float) -> PriceBook:
    work = tuple(replace(step, setup_hours=step.setup_hours * by) for step in book().operations)
    return replace(book(), operations=work)


def riskier() -> PriceBook:
    return replace(book(), operations=tuple(replace(step, breakage=0.04) for step in book().operations))


def test_a_total_is_the_estimate_s_own() -> None:
    alone = replace(THEN, lines=(), discount=Decimal(0))
    assert offer_total(alone) == estimate(HEARTH, book(), terms(), quantity=1).price.gross


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("Material prices", {"book": dearer(Decimal("1.2"))}),
        ("Wage rates", {"book": better_paid(Decimal("1.2"))}),
        ("Standard hours", {"book": slower(1.5)}),
        ("Quantity", {"ordered": (Ordered(HEARTH, 3),)}),
        ("Changes to the piece", {"ordered": (Ordered(OVAL, 1),)}),
        ("Changes to the piece", {"ordered": (Ordered(HEARTH, 1), Ordered(OVAL, 2))}),
        ("Overhead", {"terms": replace(terms(), overhead_per_labour_hour=Decimal(40))}),
        ("Breakage", {"terms": replace(terms(), breakage_method="flat", breakage_flat=Decimal("0.2"))}),
        ("Margin", {"terms": replace(terms(), target_margin=Decimal("0.45"))}),
        ("Rounding and least price", {"terms": replace(terms(), price_step=Decimal(500))}),
        ("Other terms of the shop", {"terms": replace(terms(), hours_basis="likely")}),
        ("Other lines", {"lines": ((Decimal(200), "standard"),)}),
        ("Discount", {"discount": Decimal(0)}),
        ("Tax", {"terms": replace(terms(), tax_rates={"standard": Decimal("0.25")})}),
    ],
)
def test_a_single_change_is_the_only_part(name: str, change: dict[str, Any]) -> None:
    now = replace(THEN, **change)
    held = offer_bridge(THEN, now)
    assert [part.name for part in held.parts] == [name]
    assert held.parts[0].change == offer_total(now) - offer_total(THEN) != 0


def test_chances_of_breakage_are_apart_from_hours() -> None:
    assert THEN.terms.breakage_method == "by_stage"
    held = offer_bridge(THEN, replace(THEN, book=riskier()))
    assert {part.name for part in held.parts if part.change} == {"Breakage"}


def test_a_material_that_is_gone_and_one_that_is_new() -> None:
    """The old piece can still be priced on the way, the new one already, with what only it uses."""
    glass = piece("feature-inlay")
    rows = dict(book().materials)
    gone = {code: row for code, row in rows.items() if code != "GLASS-8"}
    then = Offer((Ordered(glass, 1),), book(), terms())
    assert offer_bridge(
        then, replace(then, ordered=(Ordered(HEARTH, 1),), book=replace(book(), materials=gone))
    )
    before = Offer((Ordered(HEARTH, 1),), replace(book(), materials=gone), terms())
    held = offer_bridge(before, then)
    assert held.end == offer_total(then)


def test_a_later_day_alone_changes_nothing() -> None:
    old = {code: replace(row, stale=True) for code, row in book().materials.items()}
    later = replace(book(), on=book().on.replace(year=book().on.year + 1), materials=old)
    assert offer_bridge(THEN, replace(THEN, book=later)).parts == ()


REDUCED = replace(
    terms(), tax_rates={"standard": Decimal("0.20"), "reduced": Decimal("0.05"), "exempt": Decimal(0)}
)


def test_pieces_are_taxed_in_their_own_category() -> None:
    """The tax is worked out for each of them here, and rounded once."""
    nets = [estimate(each, book(), terms(), quantity=1).price.net for each in (HEARTH, OVAL)]
    offer = Offer((Ordered(HEARTH, 1), Ordered(OVAL, 1, "reduced")), book(), REDUCED)
    taxes = (nets[0] * Decimal("0.20"), nets[1] * Decimal("0.05"))
    assert offer_total(offer) == sum(nets) + sum(round(tax, 2) for tax in taxes)
    alone = replace(offer, ordered=offer.ordered[1:])
    own = estimate(OVAL, book(), REDUCED, quantity=1, tax_category="reduced").price
    assert offer_total(alone) == own.gross
    assert [(line.category, line.tax) for line in own.tax_lines] == [("reduced", round(taxes[1], 2))]


def test_another_category_is_a_part_of_the_tax() -> None:
    then = replace(THEN, terms=REDUCED)
    now = replace(then, ordered=(Ordered(HEARTH, 1, "exempt"),))
    held = offer_bridge(then, now)
    assert [part.name for part in held.parts] == ["Tax"]
    assert held.parts[0].change == offer_total(now) - offer_total(then) < 0


def test_a_piece_more_in_a_category_that_is_new_and_one_in_a_category_given_up() -> None:
    then = replace(
        THEN,
        ordered=(Ordered(HEARTH, 1, "old"),),
        terms=replace(terms(), tax_rates={"standard": Decimal("0.20"), "old": Decimal("0.10")}),
    )
    now = replace(then, ordered=(Ordered(HEARTH, 1, "reduced"), Ordered(OVAL, 1, "exempt")), terms=REDUCED)
    held = offer_bridge(then, now)
    assert [part.name for part in held.parts if part.change] == ["Changes to the piece", "Tax"]
    assert held.end == offer_total(now)
    with pytest.raises(Refused):
        offer_total(replace(now, ordered=then.ordered))


def test_what_was_asked_counts() -> None:
    held = offer_bridge(THEN, THEN, asked_then=Decimal("1234.56"))
    assert [part.name for part in held.parts] == [NOT_KEPT]
    assert held.start == Decimal("1234.56")
    assert held.end == offer_total(THEN)


def test_another_currency_is_refused() -> None:
    with pytest.raises(Refused):
        offer_bridge(THEN, replace(THEN, terms=replace(terms(), currency="XTS")))


def _shares(low: str, high: str) -> st.SearchStrategy[Decimal]:
    return st.decimals(Decimal(low), Decimal(high), places=3)


@settings(max_examples=8, deadline=None)
@given(
    rise=_shares("0.8", "1.5"),
    pay=_shares("0.8", "1.5"),
    hours=st.floats(0.5, 2.0),
    quantity=st.integers(1, 6),
    margin=_shares("0.05", "0.6"),
    overhead=_shares("0", "60"),
    tax=_shares("0", "0.3"),
    discount=_shares("0", "0.3"),
    step=st.sampled_from(["0.01", "1", "25"]),
    other=st.booleans(),
)
def test_parts_sum_to_the_cent(
    rise: Decimal,
    pay: Decimal,
    hours: float,
    quantity: int,
    margin: Decimal,
    overhead: Decimal,
    tax: Decimal,
    discount: Decimal,
    step: str,
    other: bool,
) -> None:
    dear, paid, slow = dearer(rise), better_paid(pay), slower(hours)
    now = Offer(
        (Ordered(OVAL if other else HEARTH, quantity),),
        replace(dear, roles=paid.roles, operations=slow.operations),
        replace(
            terms(),
            target_margin=margin,
            overhead_per_labour_hour=overhead,
            tax_rates={"standard": tax},
            price_step=Decimal(step),
        ),
        lines=((round(rise * 100, 2), "standard"),),
        discount=discount,
    )
    held = offer_bridge(THEN, now)
    assert held.start + sum((part.change for part in held.parts), Decimal(0)) == held.end
    assert (held.start, held.end) == (offer_total(THEN), offer_total(now))
    assert list(stages(THEN, now))[-1][1] == now, "nothing is left unchanged at the end"
    assert all(part.change == round(part.change, 2) for part in held.parts)
