"""Parts of the take-off laid out on the sheets and lengths of the price list."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from quoting.engine.cutting.bars import lay_out_bars
from quoting.engine.cutting.sheets import lay_out_sheets
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
from quoting.engine.takeoff.stock import known_figure
from quoting.engine.values import Material, ShopTerms

OnHand = Mapping[str, Sequence[Stock]]
"""Offcuts on hand by the code of their material; each has a label of its own and `on_hand` set."""

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

    Raises Refused when a part fits on no sheet at all.
    """
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
    plan = lay_out_sheets(CutRequest(terms.kerf_mm, terms.trim_mm, held + stock, tuple(parts)))
    _refuse_unplaced(plan.unplaced, materials[0], "sheet")
    return plan


def lay_out_on_lengths(material: Material, parts: Sequence[BarPart], terms: ShopTerms) -> BarPlan:
    """Pieces laid out on stock lengths of one material. Raises Refused for a piece longer than a length."""
    length_mm = known_figure(material, "length_mm", "the length it comes in")
    stock = (BarStock(material.code, length_mm, material.price),)
    plan = lay_out_bars(BarRequest(terms.kerf_mm, 0.0, stock, tuple(parts)))
    _refuse_unplaced(plan.unplaced, material, material.pack_name or "length")
    return plan


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


# --- many copies -----------------------------------------------------------------------------------------
LAID_OUT_TOGETHER: Final = 60
"""Single parts in one layout, at most: longer lists are so many times the same layout, and a rest."""


def groups(parts: int, copies: int) -> tuple[int, int, int]:
    """(copies in one layout, whole layouts, copies in a last smaller one) for `copies` of a list of `parts`.

    >>> groups(12, 4), groups(12, 13), groups(100, 2)
    ((4, 1, 0), (5, 2, 3), (1, 2, 0))
    """
    together = min(copies, max(1, LAID_OUT_TOGETHER // max(1, parts)))
    return together, copies // together, copies % together


def sheets_for(
    materials: Sequence[Material],
    parts: Sequence[Part],
    copies: int,
    terms: ShopTerms,
    on_hand: OnHand | None = None,
) -> tuple[CutPlan, dict[str, int]]:
    """The layout of a first group of copies, and the sheets to buy of each material for all copies."""
    together, times, rest = groups(sum(part.quantity for part in parts), copies)
    plan = lay_out_on_sheets(materials, _times(parts, together), terms, on_hand)
    again = lay_out_on_sheets(materials, _times(parts, together), terms) if on_hand and times > 1 else plan
    plans = [(plan, 1), (again, times - 1)]
    if rest:
        plans.append((lay_out_on_sheets(materials, _times(parts, rest), terms), 1))
    codes = [material.code for material in materials]
    bought = {
        code: sum(number * sum(sheet.code == code for sheet in laid.sheets) for laid, number in plans)
        for code in codes
    }
    return plan, {code: count for code, count in bought.items() if count}


def _times(parts: Sequence[Part], copies: int) -> list[Part]:
    return [replace(part, quantity=part.quantity * copies) for part in parts]


def lengths_for(
    material: Material, parts: Sequence[BarPart], copies: int, terms: ShopTerms
) -> tuple[BarPlan, int]:
    """The layout of a first group of copies on stock lengths, and the lengths to buy for all copies."""
    together, times, rest = groups(sum(part.quantity for part in parts), copies)

    def plan_for(number: int) -> BarPlan:
        wanted = [replace(part, quantity=part.quantity * number) for part in parts]
        return lay_out_on_lengths(material, wanted, terms)

    plan = plan_for(together)
    last = len(plan_for(rest).bars) if rest else 0
    return plan, times * len(plan.bars) + last
