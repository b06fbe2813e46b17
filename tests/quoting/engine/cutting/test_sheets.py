"""Parts on sheets: what a maker gets, and what it costs."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import CutPlan, CutRequest, Part, Stock
from quoting.engine.cutting.verify import verify_plan

BOARD = Stock("board", 2440, 1220, Decimal("48.50"))
HALF = Stock("half", 1220, 1220, Decimal("27.10"))
MOULD = (
    Part("base", 2100, 900),
    Part("long side", 2136, 58, 2),
    Part("short side", 900, 58, 2),
    Part("trough end", 180, 160, 2),
    Part("trough side", 600, 160, 2, turn=False),
)


def lay_out(*stock: Stock, parts: tuple[Part, ...] = MOULD, kerf: float = 3.2, trim: float = 10) -> CutPlan:
    """A plan that has passed the checker."""
    request = CutRequest(kerf, trim, stock, parts)
    plan = lay_out_sheets(request)
    assert verify_plan(request, plan) == []
    return plan


def test_a_mould_comes_off_one_board() -> None:
    plan = lay_out(BOARD)
    assert [sheet.code for sheet in plan.sheets] == ["board"]
    assert (plan.cost, plan.lower_bound_sheets, plan.proven_optimal) == (Decimal("48.50"), 1, True)
    assert plan.unplaced == ()
    assert len(plan.sheets[0].placed) == 9


def test_every_part_keeps_its_true_size() -> None:
    plan = lay_out(BOARD, parts=(Part("odd", 606.4251, 12.3456, 3), Part("inch", 149.225, 98.425)))
    sizes = {(p.name, *sorted((p.length_mm, p.width_mm))) for sheet in plan.sheets for p in sheet.placed}
    assert sizes == {("odd", 12.3456, 606.4251), ("inch", 98.425, 149.225)}


def test_parts_that_fill_a_sheet_in_inches_to_the_last_sixteenth_fit() -> None:
    """Two of 47 15/16 in and a blade of 1/8 in make 96 in: exact in inches, so exact here."""
    sheet = Stock("eight feet", 96 * 25.4, 48 * 25.4, Decimal(60))
    part = Part("panel", 47.9375 * 25.4, 48 * 25.4, 2, turn=False)
    assert len(lay_out(sheet, parts=(part,), kerf=3.175, trim=0).sheets) == 1


@pytest.mark.parametrize(
    ("across", "up", "kerf"), [(3, 1, 4.0), (3, 2, 3.0), (7, 3, 3.2), (6, 5, 2.2), (3, 3, 0.0)]
)
def test_equal_shares_of_a_sheet_fill_it_though_no_decimal_tells_them(
    across: int, up: int, kerf: float
) -> None:
    length, width = (2440 - (across - 1) * kerf) / across, (1220 - (up - 1) * kerf) / up
    plan = lay_out(BOARD, parts=(Part("share", length, width, across * up),), kerf=kerf, trim=0)
    assert (len(plan.sheets), plan.proven_optimal) == (1, True)


def test_a_part_that_may_not_turn_does_not() -> None:
    fits_turned = Part("grain", 1200, 1000, turn=False)
    plan = lay_out(Stock("narrow", 1100, 1300, Decimal(20)), BOARD, parts=(fits_turned,))
    assert [(s.code, s.placed[0].turned) for s in plan.sheets] == [("board", False)]
    turned = lay_out(Stock("narrow", 1100, 1300, Decimal(20)), BOARD, parts=(Part("plain", 1200, 1000),))
    assert [(s.code, s.placed[0].turned) for s in turned.sheets] == [("narrow", True)]


def test_the_last_sheet_is_the_cheaper_smaller_one_that_holds_the_rest() -> None:
    parts = (Part("top", 2400, 1190, 2), Part("shelf", 900, 600))
    plan = lay_out(BOARD, HALF, parts=parts)
    assert sorted(sheet.code for sheet in plan.sheets) == ["board", "board", "half"]
    assert plan.cost == Decimal("124.10")
    assert plan.proven_optimal


def test_two_small_sheets_where_they_are_cheaper_than_a_large_one() -> None:
    cheap = Stock("half", 1220, 1220, Decimal("20"))
    plan = lay_out(BOARD, cheap, parts=(Part("panel", 1190, 1190, 2),), trim=10)
    assert [sheet.code for sheet in plan.sheets] == ["half", "half"]


def test_offcuts_on_hand_are_used_before_anything_is_bought() -> None:
    scrap = Stock("scrap", 700, 500, Decimal(0), 2)
    plan = lay_out(BOARD, scrap, parts=(Part("end", 600, 400, 2),), trim=0)
    assert [sheet.code for sheet in plan.sheets] == ["scrap", "scrap"]
    assert (plan.cost, plan.proven_optimal) == (Decimal(0), True)


def test_stock_on_hand_adds_nothing_to_the_cost_whatever_its_price() -> None:
    rest = Stock("rest", 1000, 1000, Decimal(30), 1, on_hand=True)
    plan = lay_out(rest, BOARD, parts=(Part("lid", 900, 900), Part("large", 2000, 1000)))
    assert [sheet.code for sheet in plan.sheets] == ["rest", "board"]
    assert plan.cost == Decimal("48.50")


def test_what_fits_nowhere_or_finds_no_stock_is_named() -> None:
    one = Stock("board", 2440, 1220, Decimal(48), 1)
    plan = lay_out(one, parts=(Part("giant", 2500, 300), Part("top", 2300, 1100, 2), Part("chip", 100, 100)))
    assert plan.unplaced == ("giant", "top")
    assert [sorted(p.name for p in s.placed) for s in plan.sheets] == [["chip", "top"]]
    assert not plan.proven_optimal


def test_parts_make_way_on_scarce_stock_for_those_that_fit_nowhere_else() -> None:
    """No part left over fits the smallest sheet, yet opening it lets another move there and make room."""
    stock = (
        Stock("large", 120, 80, Decimal(5), 1),
        Stock("strip", 80, 40, Decimal(5), 1),
        Stock("square", 80, 80, Decimal(7), 1),
    )
    sides = ((69, 56), (91, 17), (13, 43), (31, 41), (66, 53), (48, 41), (20, 53), (42, 49))
    plan = lay_out(*stock, parts=tuple(Part(f"p{n}", w, h) for n, (w, h) in enumerate(sides)), kerf=0, trim=0)
    assert sorted(sheet.code for sheet in plan.sheets) == ["large", "square", "strip"]
    assert len(plan.unplaced) == 1


def test_no_parts_make_an_empty_plan() -> None:
    assert lay_out(BOARD, parts=()) == CutPlan((), Decimal(0), 0, True, ())


def test_trim_comes_off_first_and_kerf_is_kept() -> None:
    plan = lay_out(Stock("sheet", 1000, 600, Decimal(5)), parts=(Part("half", 488.4, 580, 2),), trim=10)
    (sheet,) = plan.sheets
    assert [p.x_mm for p in sheet.placed] == [10.0, 501.6]
    assert [(cut.axis, cut.at_mm, cut.from_mm, cut.to_mm) for cut in sheet.cuts] == [
        ("x", 6.8, 0.0, 600.0),
        ("x", 990.0, 0.0, 600.0),
        ("y", 6.8, 10.0, 990.0),
        ("y", 590.0, 10.0, 990.0),
        ("x", 498.4, 10.0, 590.0),
    ]
    assert sheet.offcuts == ()
    assert len(lay_out(Stock("sheet", 1000, 600, Decimal(5)), parts=(Part("h", 488.5, 580, 2),)).sheets) == 2


def test_a_trim_narrower_than_the_blade_is_a_skim() -> None:
    plan = lay_out(Stock("sheet", 1000, 600, Decimal(5)), parts=(Part("all", 996, 596),), trim=2)
    assert plan.sheets[0].cuts[0].at_mm == 0.0


def test_what_is_left_is_gathered_in_one_reusable_piece() -> None:
    plan = lay_out(BOARD, parts=(Part("strip", 1200, 100, 4), Part("block", 400, 400, 3)), trim=0)
    (sheet,) = plan.sheets
    best = max(o.area_mm2 for o in sheet.offcuts if min(o.length_mm, o.width_mm) >= 150)
    used = sum(p.length_mm * p.width_mm for p in sheet.placed)
    assert best > 0.85 * (2440 * 1220 - used)


def test_four_in_a_block_leave_the_rest_of_the_sheet_whole() -> None:
    """Any other way to lay four of 350 × 300 on 1000 × 600 leaves less than 300 × 600 in one piece."""
    plan = lay_out(Stock("s", 1000, 600, Decimal(1)), parts=(Part("p", 350, 300, 4),), kerf=0, trim=0)
    assert max(o.area_mm2 for o in plan.sheets[0].offcuts) == pytest.approx(180_000)


def test_the_same_request_gives_the_same_plan() -> None:
    parts = tuple(Part(f"p{n}", 200 + 37 * n, 150 + 23 * (n % 7), 1 + n % 3) for n in range(15))
    request = CutRequest(3.2, 10, (BOARD, HALF), parts)
    assert lay_out_sheets(request, steps=3000) == lay_out_sheets(request, steps=3000)


def test_more_steps_never_cost_more() -> None:
    parts = tuple(Part(f"p{n}", 300 + 41 * n, 200 + 29 * (n % 5), 2) for n in range(14))
    request = CutRequest(3.2, 10, (BOARD,), parts)
    costs = [lay_out_sheets(request, steps=steps).cost for steps in (1, 500, 5000)]
    assert costs == sorted(costs, reverse=True)
