"""How hard an estimate looks for a layout: enough to name a price, at the speed of typing.

A short search first, longer the more parts there are. Where it proves that nothing costs less, that is all:
more steps would only gather the offcut a little better. Where a whole sheet or length may still be saved, the
full search follows. Where only a cheaper size might do, the short search stands, and the plan says that it is
not proven. Layouts are remembered: the same list is laid out once for many questions about a piece.
"""

from __future__ import annotations

from functools import lru_cache

from quoting.engine.cutting.bars import BAR_STEPS, lay_out_bars
from quoting.engine.cutting.sheets import STEPS, lay_out_sheets
from quoting.engine.cutting.values import BarPlan, BarRequest, CutPlan, CutRequest

_BASE_STEPS = 200
_STEPS_A_PART = 20
_REMEMBERED = 256


def short_steps(parts: int) -> int:
    """Steps of the short search for so many single parts.

    >>> short_steps(1), short_steps(14)
    (220, 480)
    """
    return _BASE_STEPS + _STEPS_A_PART * parts


@lru_cache(maxsize=_REMEMBERED)
def sheets(request: CutRequest) -> CutPlan:
    """Parts laid out on sheets with an estimate's effort."""
    short = short_steps(sum(part.quantity for part in request.parts))
    plan = lay_out_sheets(request, min(short, STEPS))
    if plan.proven_optimal or len(plan.sheets) <= plan.lower_bound_sheets:
        return plan
    return lay_out_sheets(request)


@lru_cache(maxsize=_REMEMBERED)
def bars(request: BarRequest) -> BarPlan:
    """Pieces laid out on stock lengths with an estimate's effort."""
    short = short_steps(sum(part.quantity for part in request.parts))
    plan = lay_out_bars(request, min(short, BAR_STEPS))
    if plan.proven_optimal or len(plan.bars) <= plan.lower_bound_bars:
        return plan
    return lay_out_bars(request)
