"""Lengths on bars."""

from __future__ import annotations

from decimal import Decimal

from quoting.engine.cutting.bars import lay_out_bars
from quoting.engine.cutting.values import BarPart, BarPlan, BarRequest, BarStock

TUBE = BarStock("tube", 3000, Decimal("9.40"))


def lay_out(*stock: BarStock, parts: tuple[BarPart, ...], kerf: float = 3, trim: float = 0) -> BarPlan:
    """A plan whose pieces lie on their bars, in order and a kerf apart."""
    plan = lay_out_bars(BarRequest(kerf, trim, stock, parts))
    lengths = {row.code: row.length_mm for row in stock}
    for bar in plan.bars:
        at = trim
        for piece in bar.pieces:
            assert piece.x_mm >= at - 1e-6
            at = piece.x_mm + piece.length_mm + kerf
        assert at - kerf <= lengths[bar.code] - trim + 1e-6
        assert bar.offcut_mm <= max(0.0, lengths[bar.code] - trim - at) + 1e-3
    placed = [piece.name for bar in plan.bars for piece in bar.pieces]
    wanted = [part.name for part in parts for _ in range(part.quantity)]
    assert sorted([*placed, *plan.unplaced]) == sorted(wanted)
    return plan


def test_the_blade_takes_its_share_of_a_bar() -> None:
    assert len(lay_out(TUBE, parts=(BarPart("third", 1000, 3),)).bars) == 2
    assert len(lay_out(TUBE, parts=(BarPart("third", 998, 3),)).bars) == 1
    assert len(lay_out(TUBE, parts=(BarPart("third", 1000, 3),), kerf=0).bars) == 1


def test_both_ends_are_trimmed() -> None:
    assert len(lay_out(TUBE, parts=(BarPart("long", 2980),), trim=10).bars) == 1
    assert lay_out(TUBE, parts=(BarPart("long", 2981),), trim=10).unplaced == ("long",)


def test_best_fit_is_not_enough_and_the_search_finds_the_exact_fit() -> None:
    """Longest first, each where least is left, puts 40 with 50 and needs a third bar for the last 20."""
    parts = (BarPart("a", 50), BarPart("b", 40), BarPart("c", 30, 2), BarPart("d", 20), BarPart("e", 30))
    plan = lay_out(BarStock("bar", 100, Decimal(1)), parts=parts, kerf=0)
    assert (len(plan.bars), plan.proven_optimal) == (2, True)


def test_offcuts_first_then_the_cheapest_lengths() -> None:
    short = BarStock("short", 1500, Decimal("4.00"))
    rest = BarStock("rest", 900, Decimal(0), 1)
    plan = lay_out(TUBE, short, rest, parts=(BarPart("a", 880), BarPart("b", 1400), BarPart("c", 2900)))
    assert [bar.code for bar in plan.bars] == ["rest", "tube", "short"]
    assert (plan.cost, plan.proven_optimal) == (Decimal("13.40"), True)


def test_the_end_left_over_is_as_long_as_can_be() -> None:
    """Three bars whichever way; packing two of them full leaves the most of the third."""
    parts = (BarPart("a", 1700, 2), BarPart("b", 1297, 2), BarPart("c", 700))
    plan = lay_out(TUBE, parts=parts)
    assert max(bar.offcut_mm for bar in plan.bars) == 2297.0


def test_stock_that_runs_out_leaves_pieces_unplaced() -> None:
    plan = lay_out(BarStock("tube", 3000, Decimal(9), 1), parts=(BarPart("leg", 1400, 3),))
    assert plan.unplaced == ("leg",)
    assert not plan.proven_optimal
