"""Parts of the take-off laid out on the sheets and lengths of the price list."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Final

from quoting.engine.cutting.values import (
    BarPart,
    BarPlan,
    BarRequest,
    BarStock,
    CutPlan,
    CutRequest,
    Part,
    Stock,
)
from quoting.engine.errors import Fault, Refused
from quoting.engine.takeoff import effort
from quoting.engine.takeoff.stock import known_figure
from quoting.engine.values import Material, ShopTerms

OnHand = Mapping[str, Sequence[Stock]]
"""Offcuts on hand by the code of their material; each has a label of its own and `on_hand` set."""

MOST_PARTS: Final = 3_000
"""Parts laid out together; a mould of more is a mistake, or an attack, and would take minutes."""

_DUST_MM: Final = 1e-6


def sheet_sizes(material: Material, terms: ShopTerms) -> tuple[float, float]:
    """Usable length and width of a sheet in mm, the saw's trim off all round, the longer first."""
    length = known_figure(material, "length_mm", "the length of a sheet") - 2 * terms.trim_mm
    width = known_figure(material, "width_mm", "the width of a sheet") - 2 * terms.trim_mm
    return max(length, width), min(length, width)


def lay_out_on_sheets(
    materials: Sequence[Material], parts: Sequence[Part], terms: ShopTerms, on_hand: OnHand | None = None
) -> CutPlan:
    """Parts nested on sheets of the given materials (sizes of one board), offcuts on hand first.

    Raises Refused when a part fits on no sheet at all, or there are more than MOST_PARTS.
    """
    _refuse_countless(sum(part.quantity for part in parts), materials[0])
    stock = tuple(
        Stock(
            material.code,
            known_figure(material, "length_mm", "the length of a sheet"),
            known_figure(material, "width_mm", "the width of a sheet"),
            material.price,
        )
        for material in materials
    )
    held = tuple(offcut for material in materials for offcut in (on_hand or {}).get(material.code, ()))
    plan = effort.sheets(CutRequest(terms.kerf_mm, terms.trim_mm, held + stock, tuple(parts)))
    _refuse_unplaced(plan.unplaced, materials[0], "sheet")
    return plan


def lay_out_on_lengths(material: Material, parts: Sequence[BarPart], terms: ShopTerms) -> BarPlan:
    """Pieces laid out on stock lengths of one material.

    Raises Refused for a piece longer than a length, or more than MOST_PARTS.
    """
    _refuse_countless(sum(part.quantity for part in parts), material)
    length_mm = known_figure(material, "length_mm", "the length it comes in")
    stock = (BarStock(material.code, length_mm, material.price),)
    plan = effort.bars(BarRequest(terms.kerf_mm, 0.0, stock, tuple(parts)))
    _refuse_unplaced(plan.unplaced, material, material.pack_name or "length")
    return plan


def _refuse_countless(parts: int, material: Material) -> None:
    if parts > MOST_PARTS:
        message = f"{parts:,} parts would have to be cut of {material.code}; {MOST_PARTS:,} at most"
        raise Refused([Fault(f"materials.{material.code}", message, "too_many_parts")])


def _refuse_unplaced(unplaced: Sequence[str], material: Material, pack: str) -> None:
    if not unplaced:
        return
    named = ", ".join(dict.fromkeys(unplaced))
    message = f"too large for a {pack} of {material.code}: {named}; add a larger {pack} to the price list"
    raise Refused([Fault(f"materials.{material.code}", message, "part_too_large")])


def pieces_of(length_mm: float, stock_mm: float, lap_mm: float = 0.0) -> tuple[int, float]:
    """(pieces, length of each) that make up a length from stock, equal, lapping `lap_mm` at every joint.

    n pieces of l cover n·l − (n − 1)·lap. ValueError when the lap eats the whole stock length.

    >>> pieces_of(9000, 6000, 400)
    (2, 4700.0)
    """
    if length_mm <= stock_mm + _DUST_MM:
        return 1, length_mm
    if stock_mm <= lap_mm:
        raise ValueError("the lap is longer than the stock")
    count = math.ceil((length_mm - lap_mm) / (stock_mm - lap_mm) - 1e-9)
    return count, (length_mm + (count - 1) * lap_mm) / count


def panels_of(length_mm: float, width_mm: float, sheet_mm: tuple[float, float]) -> tuple[int, float, float]:
    """(panels, length and width of each) that make up a plate from sheets (longer side first), all alike.

    >>> panels_of(900, 4000, (2800, 2070))
    (2, 900, 2000.0)
    """
    along, each_long = pieces_of(max(length_mm, width_mm), sheet_mm[0])
    across, each_wide = pieces_of(min(length_mm, width_mm), sheet_mm[1])
    if width_mm > length_mm:
        each_long, each_wide = each_wide, each_long
    return along * across, each_long, each_wide


# --- many copies -----------------------------------------------------------------------------------------
LAID_OUT_TOGETHER: Final = 60
"""Single parts in one layout, or a little over: longer lists are the same layout again, and a rest."""


def copies_together(
    parts: int,
    copies: int,
    cost: Callable[[int], Decimal],
    held: Callable[[Decimal], float] = lambda _: math.inf,
) -> int:
    """Copies of a list of `parts` to lay out together, of `copies` wanted; `cost` prices a layout of so many.

    All of them where that is at most 60 parts; else as many as cost no more than a layout of about 60 parts:
    its last sheet is filled up before the next layout begins (found by halving). `held` is how many copies
    no layout of a price can exceed.

    >>> copies_together(1, 500, lambda copies: Decimal(-(-copies // 46)))
    92
    """
    least = max(1, LAID_OUT_TOGETHER // max(1, parts))
    if copies <= least:
        return copies
    price = cost(least)
    most = int(min(copies, 2 * least, max(least, held(price))))
    while least < most:
        middle = (least + most + 1) // 2
        least, most = (middle, most) if cost(middle) == price else (least, middle - 1)
    return least


def _held(stock: Sequence[tuple[float, Decimal]], needed: float) -> Callable[[Decimal], float]:
    """How many copies a price can hold at best: `stock` is measure and price of a sheet or length, `needed`
    the measure that a copy takes of it.
    """
    if not needed or any(price <= 0 for _, price in stock):
        return lambda price: math.inf
    most = max(measure / float(price) for measure, price in stock) / needed
    return lambda price: math.floor(float(price) * most + _DUST_MM)


def sheets_for(
    materials: Sequence[Material],
    parts: Sequence[Part],
    copies: int,
    terms: ShopTerms,
    on_hand: OnHand | None = None,
) -> tuple[CutPlan, dict[str, int]]:
    """The layout of a first group of copies, and the sheets to buy of each material for all copies."""

    @cache
    def plan_for(number: int, *, offcuts: bool = False) -> CutPlan:
        wanted = [replace(part, quantity=part.quantity * number) for part in parts]
        return lay_out_on_sheets(materials, wanted, terms, on_hand if offcuts else None)

    count = sum(part.quantity for part in parts)
    sheets = [(math.prod(sheet_sizes(material, terms)), material.price) for material in materials]
    held = _held(sheets, sum(part.length_mm * part.width_mm * part.quantity for part in parts))
    together = copies_together(count, copies, lambda number: plan_for(number).cost, held)
    times, rest = divmod(copies, together)
    first = plan_for(together, offcuts=True) if on_hand else plan_for(together)
    plans = [(first, 1)]
    if times > 1:
        plans.append((plan_for(together), times - 1))
    if rest:
        plans.append((plan_for(rest), 1))
    bought = {
        material.code: sum(n * sum(sheet.code == material.code for sheet in plan.sheets) for plan, n in plans)
        for material in materials
    }
    return first, {code: number for code, number in bought.items() if number}


def lengths_for(
    material: Material, parts: Sequence[BarPart], copies: int, terms: ShopTerms
) -> tuple[BarPlan, int]:
    """The layout of a first group of copies on stock lengths, and the lengths to buy for all copies."""

    @cache
    def plan_for(number: int) -> BarPlan:
        wanted = [replace(part, quantity=part.quantity * number) for part in parts]
        return lay_out_on_lengths(material, wanted, terms)

    count = sum(part.quantity for part in parts)
    length_mm = known_figure(material, "length_mm", "the length it comes in")
    held = _held([(length_mm, Decimal(1))], sum(part.length_mm * part.quantity for part in parts))
    together = copies_together(count, copies, lambda number: Decimal(len(plan_for(number).bars)), held)
    times, rest = divmod(copies, together)
    first = plan_for(together)
    last = len(plan_for(rest).bars) if rest else 0
    return first, times * len(first.bars) + last
