"""The page of a mould: taken apart, its parts, the sheets and bars they are cut from."""

from __future__ import annotations

from typing import Any

from quoting.documents.cut_sheets import stock_names
from quoting.documents.quoted_piece import mould_in_words
from quoting.engine.cutting.values import BarStock, Stock
from quoting.engine.drawing.cut_diagram import bar_diagram, cut_diagram
from quoting.engine.drawing.mould_view import exploded_for_both
from quoting.engine.drawing.values import Drawing
from quoting.engine.estimate.build import Estimate
from quoting.engine.takeoff.lines import MouldPart
from quoting.engine.values import PriceBook
from quoting.web.shown import Figures


def mould_context(made: Estimate, book: PriceBook, shown: Figures) -> dict[str, Any]:
    """Drawings and parts of the mould of an estimate; `book` gives the sizes of the stock it is cut from."""
    mould = made.mould
    named = mould_in_words(mould, {code: row.name for code, row in book.materials.items()})
    desk, phone = exploded_for_both(made.solid, named, system=shown.system, prefix="mould")
    return {
        "drawing": desk,
        "small": phone,
        "parts": [_part(part, shown) for part in named.parts],
        "cuts": [*_sheets(made, book, shown.system), *_bars(made, book, shown.system)],
        "notes": mould.notes,
        "batches": made.batches,
    }


def _sheets(made: Estimate, book: PriceBook, system: str) -> list[dict[str, Any]]:
    found = []
    for number, (code, plan) in enumerate(made.mould.layouts):
        used = sorted({sheet.code for sheet in plan.sheets} & set(book.materials))
        stock = [
            Stock(code, float(row.length_mm or 0), float(row.width_mm or 0), row.price)
            for code, row in ((code, book.materials[code]) for code in used)
        ]
        desk, phone = (
            cut_diagram(
                plan,
                stock,
                system,
                title=f"Sheets of {stock_names(book, used, code)}",
                compact=compact,
                prefix=f"{'small-' * compact}cuts{number}",
            )
            for compact in (False, True)
        )
        found.append(_cut(desk, phone, len(plan.sheets), plan.lower_bound_sheets, plan.proven_optimal))
    return found


def _bars(made: Estimate, book: PriceBook, system: str) -> list[dict[str, Any]]:
    found = []
    for number, (code, plan) in enumerate(made.mould.bars):
        used = sorted({bar.code for bar in plan.bars} & set(book.materials))
        stock = [
            BarStock(code, float(book.materials[code].length_mm or 0), book.materials[code].price)
            for code in used
        ]
        title = f"Lengths of {stock_names(book, used, code)}"
        desk, phone = (
            bar_diagram(
                plan,
                stock,
                system,
                title=title,
                compact=compact,
                prefix=f"{'small-' * compact}bars{number}",
            )
            for compact in (False, True)
        )
        found.append(_cut(desk, phone, len(plan.bars), plan.lower_bound_bars, plan.proven_optimal))
    return found


def _cut(desk: Drawing, phone: Drawing, used: int, bound: int, proven: bool) -> dict[str, Any]:
    best = "no plan can cost less" if proven else f"no plan can do with fewer than {bound}"
    if not proven and used <= bound:
        best = "no plan can do with fewer"
    return {"drawing": desk, "small": phone, "used": used, "best": best}


def _part(part: MouldPart, shown: Figures) -> dict[str, Any]:
    return {
        "mark": part.drawing,
        "name": part.name,
        "quantity": part.quantity,
        "size": f"{shown.length(part.length_mm)} × {shown.length(part.width_mm)}",
        "thickness": shown.length(part.thickness_mm),
        "material": part.material,
        "edges": part.edges,
        "bend": shown.length(part.bend_radius_mm) if part.bend_radius_mm else "",
    }
