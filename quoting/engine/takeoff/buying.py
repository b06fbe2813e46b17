"""The buying list: what to order from whom for one quote or many, less what is on hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from quoting.engine.money import to_minor
from quoting.engine.takeoff.boards_together import STAGE as TOGETHER
from quoting.engine.takeoff.lines import MaterialLine
from quoting.engine.takeoff.wording import count_of, figure, quantity, whole_packs
from quoting.engine.values import PriceBook, ShopTerms


@dataclass(frozen=True, slots=True)
class BuyingLine:
    """One material to order: gross of all quotes together less what is on hand, in whole packs."""

    code: str
    name: str
    gross: float
    unit: str
    on_hand: float
    """Taken from the shelf, in the same unit."""
    packs: int
    pack_size: float
    pack_name: str
    cost: Decimal
    lead_days: int
    stale: bool
    working: str


@dataclass(frozen=True, slots=True)
class SupplierOrder:
    """What one supplier is asked for. `lead_days` is the longest of its lines."""

    supplier: str
    lines: tuple[BuyingLine, ...]
    cost: Decimal
    lead_days: int


def buying_list(
    takeoffs: Iterable[Iterable[MaterialLine]],
    book: PriceBook,
    terms: ShopTerms,
    on_hand: Mapping[str, float] | None = None,
) -> tuple[SupplierOrder, ...]:
    """Orders by supplier (by name, then code) for the lines of one or many take-offs.

    `on_hand` is content by material code in its unit: part packs and whole ones. For what is divided into
    packs: packs = (Σ gross − on hand) ÷ pack size, rounded up, once for all. For what is laid out on sheets
    or lengths, the layouts' packs are added and whole ones on hand taken off (offcuts were used by the
    layouts already). Materials wholly on hand are listed with no packs.
    """
    gathered: dict[str, list[MaterialLine]] = {}
    for takeoff in takeoffs:
        for line in takeoff:
            gathered.setdefault(line.code, []).append(line)
    held = on_hand or {}
    by_supplier: dict[str, list[BuyingLine]] = {}
    for code in sorted(gathered):
        lines = gathered[code]
        made = _order_line(lines, book, terms, held.get(code, 0.0))
        by_supplier.setdefault(lines[0].supplier, []).append(made)
    return tuple(
        SupplierOrder(
            supplier,
            tuple(lines),
            sum((line.cost for line in lines), Decimal(0)),
            max(line.lead_days for line in lines),
        )
        for supplier, lines in sorted(by_supplier.items())
    )


def _order_line(lines: list[MaterialLine], book: PriceBook, terms: ShopTerms, held: float) -> BuyingLine:
    first = lines[0]
    gross = sum(line.gross for line in lines)
    system = terms.unit_system
    pack = quantity(first.pack_size, first.unit, system)
    if any(line.by_layout for line in lines):
        wanted = sum(line.packs for line in lines)
        spare = min(wanted, int(held / first.pack_size + 1e-9))
        packs, used = wanted - spare, spare * first.pack_size
        less = f" − {spare} on hand" if spare else ""
        laid = [line.working for line in lines if line.stage == TOGETHER]
        apart = sum(line.packs for line in lines if line.stage != TOGETHER)
        if apart or not laid:
            laid.append(f"{count_of(apart, first.pack_name)} by layout")
        working = f"{'; '.join(laid)}{less}, buy {packs}"
    else:
        used = min(gross, held)
        packs = whole_packs(gross - used, first.pack_size)
        less = f" − {quantity(used, first.unit, system)} on hand" if used else ""
        ratio = figure((gross - used) / first.pack_size)
        whole = quantity(gross, first.unit, system)
        need = f"({whole}{less})" if less else whole
        working = f"{need} ÷ {pack} a {first.pack_name} = {ratio}, buy {packs}"
    price = book.materials[first.code].price
    return BuyingLine(
        code=first.code,
        name=first.name,
        gross=gross,
        unit=first.unit,
        on_hand=used,
        packs=packs,
        pack_size=first.pack_size,
        pack_name=first.pack_name,
        cost=to_minor(price * packs, terms.minor_units),
        lead_days=first.lead_days,
        stale=first.stale,
        working=working,
    )
