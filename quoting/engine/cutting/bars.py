"""Lengths on bars: the same search as for sheets, on sheets that are one strip wide."""

from __future__ import annotations

from quoting.engine.cutting.sheets import lay_out
from quoting.engine.cutting.values import (
    REUSABLE_MM,
    BarLayout,
    BarPiece,
    BarPlan,
    BarRequest,
    CutRequest,
    Part,
    SheetPlan,
    Stock,
)

BAR_STEPS = 60_000
"""A step costs less than on sheets, so there can be more of them."""
STRIP_MM = 1.0
"""Width given to bars and pieces alike; any would do."""


def lay_out_bars(request: BarRequest, steps: int = BAR_STEPS, reusable_mm: float = REUSABLE_MM) -> BarPlan:
    """Lay lengths out on the cheapest set of bars, a kerf apart; bars on hand come first.

    Among plans that cost the same, the one with the longest end left over (at least `reusable_mm`) is kept.
    Bounds and limits as for `lay_out_sheets`; lengths in mm.

    >>> from decimal import Decimal
    >>> from quoting.engine.cutting.values import BarPart, BarStock
    >>> request = BarRequest(3, 0, (BarStock("tube", 3000, Decimal(9)),), (BarPart("leg", 997, 6),))
    >>> plan = lay_out_bars(request)
    >>> len(plan.bars), plan.cost, plan.proven_optimal, [piece.x_mm for piece in plan.bars[0].pieces]
    (2, Decimal('18'), True, [0.0, 1000.0, 2000.0])
    """
    wide = STRIP_MM + 2 * request.trim_mm
    stock = tuple(Stock(s.code, s.length_mm, wide, s.price, s.count, s.on_hand) for s in request.stock)
    parts = tuple(Part(p.name, p.length_mm, STRIP_MM, p.quantity, turn=False) for p in request.parts)
    strips = CutRequest(request.kerf_mm, request.trim_mm, stock, parts)
    plan = lay_out(strips, steps, (reusable_mm, 0.0))
    bars = tuple(_bar(sheet) for sheet in plan.sheets)
    return BarPlan(bars, plan.cost, plan.lower_bound_sheets, plan.proven_optimal, plan.unplaced)


def _bar(sheet: SheetPlan) -> BarLayout:
    pieces = tuple(BarPiece(p.name, p.x_mm, p.length_mm) for p in sheet.placed)
    return BarLayout(sheet.code, pieces, sum(offcut.length_mm for offcut in sheet.offcuts))
