"""Many copies of one list: how many are laid out together."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoting.engine.cutting.values import Part
from quoting.engine.takeoff import nesting
from tests.quoting.engine.estimate.world import book, terms


def priced(a_sheet: int, tried: list[int]) -> Decimal:
    """What the copies asked for last cost, so many to a sheet of 62."""
    return Decimal(62) * -(-tried[-1] // a_sheet)


@pytest.mark.parametrize("a_sheet", [23, 31, 46, 60, 61])
def test_a_bound_on_the_copies_spares_layouts_and_changes_nothing(a_sheet: int) -> None:
    def together(most: float) -> tuple[int, int]:
        tried: list[int] = []

        def cost(copies: int) -> Decimal:
            tried.append(copies)
            return priced(a_sheet, tried)

        return nesting.copies_together(1, 500, cost, lambda price: float(price) / 62 * most), len(tried)

    (free, often), (bound, seldom) = together(500.0), together(a_sheet * 1.1)
    assert free == bound == -(-60 // a_sheet) * a_sheet
    assert seldom < often


def test_no_more_copies_are_tried_than_the_sheets_have_room_for(monkeypatch: pytest.MonkeyPatch) -> None:
    board = book().materials["BOARD-18"]
    part = Part("panel", 600.0, 480.0)
    tried: list[int] = []
    whole = nesting.lay_out_on_sheets

    def laid_out(materials, parts, *rest):  # type: ignore[no-untyped-def]
        tried.append(parts[0].quantity)
        return whole(materials, parts, *rest)

    monkeypatch.setattr(nesting, "lay_out_on_sheets", laid_out)
    _, bought = nesting.sheets_for([board], [part], 500, terms())
    room = (board.length_mm or 0.0) * (board.width_mm or 0.0) / (part.length_mm * part.width_mm)
    assert max(tried) <= 4 * room, "sixty take four sheets, which have room for 80"
    assert bought == {"BOARD-18": 28}, "eighteen a sheet"


def test_stock_that_costs_nothing_bounds_nothing() -> None:
    assert nesting._held([(1000.0, Decimal(0))], 10.0)(Decimal(0)) == float("inf")
    assert nesting._held([(1000.0, Decimal(5))], 0.0)(Decimal(5)) == float("inf")
    assert nesting._held([(1000.0, Decimal(5)), (900.0, Decimal(3))], 10.0)(Decimal(6)) == 180
