"""The cutting diagrams of a mould, for papers and pages alike: each sheet and length it is cut from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from quoting.engine.cutting.values import BarStock, CutPlan, Stock
from quoting.engine.drawing.cut_diagram import alike, bar_diagram, cut_diagram
from quoting.engine.drawing.values import Drawing
from quoting.engine.estimate.build import Estimate
from quoting.engine.values import PriceBook


def cut_sheets(made: Estimate, book: PriceBook, system: str, suffix: str) -> Iterator[Drawing]:
    """Diagrams of sheets, then of lengths; `book` gives the sizes of the stock they are cut from."""
    for number, (code, plan) in enumerate(made.mould.layouts):
        used = sorted({sheet.code for sheet in plan.sheets} & set(book.materials))
        rows = [book.materials[name] for name in used]
        stock = [
            Stock(row.code, float(row.length_mm or 0), float(row.width_mm or 0), row.price) for row in rows
        ]
        name = stock_names(book, used, code)
        yield from one_by_one(plan, stock, system, name, f"cuts-{suffix}-{number}")
    for number, (code, bars) in enumerate(made.mould.bars):
        used = sorted({bar.code for bar in bars.bars} & set(book.materials))
        lengths = [
            BarStock(name, float(book.materials[name].length_mm or 0), book.materials[name].price)
            for name in used
        ]
        title = f"Lengths of {stock_names(book, used, code)}"
        yield bar_diagram(bars, lengths, system, title=title, prefix=f"bars-{suffix}-{number}")


def one_by_one(
    plan: CutPlan, stock: Sequence[Stock], system: str, name: str, prefix: str
) -> Iterator[Drawing]:
    """A diagram for each of the different sheets, to one scale: several in one would outgrow a page."""
    different = len(alike(plan))
    for number in range(different):
        title = f"Sheets of {name}" + (f", {number + 1} of {different}" if different > 1 else "")
        yield cut_diagram(plan, stock, system, only=number, title=title, prefix=f"{prefix}-{number}")


def stock_names(book: PriceBook, used: Sequence[str], code: str) -> str:
    """Names of the stock that parts of a material (`code`) are cut from: another size may be cheaper."""
    return " and ".join(book.materials[name].name for name in used) or code
