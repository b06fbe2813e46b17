"""What the API answers of a quote's price, key by key: priced pieces, the bridge from then to now, orders."""

from __future__ import annotations

from datetime import date

from quoting.api.described import Absent, Described, Money
from quoting.api.figures import EstimateRead, PricePayment, PriceTax
from quoting.api.mould_figures import EstimateLayout


class PricedItem(Described):
    """A piece of a quote with its price and its estimate; `option` is empty where it is part of every one."""

    name: str
    option: str
    quantity: int
    unit_price: Money
    net: Money
    estimate: EstimateRead


class PricedText(Described):
    """Another line of a quote with its price."""

    text: str
    option: str
    net: Money


class PricedOptionRead(Described):
    """One of the alternatives a quote offers, as a whole price: what is common to all, and its own."""

    name: str
    discount: Money
    net: Money
    tax: list[PriceTax]
    gross: Money
    payments: list[PricePayment]
    cost: Money


class PricedQuoteRead(Described):
    """What a quote comes to: a draft at the prices of its day, an issued one as it was frozen.

    Where it offers alternatives, the sums are the first one's. The last three keys are those of issued ones.
    """

    currency: str
    items: list[PricedItem]
    lines: list[PricedText]
    discount: Money
    net: Money
    tax: list[PriceTax]
    gross: Money
    payments: list[PricePayment]
    cost: Money
    options: list[PricedOptionRead]
    valid_until: date | Absent = None
    data_sha256: str | Absent = None
    pdf_sha256: str | Absent = None


class BridgeEnd(Described):
    """One end of a bridge."""

    prices_on: date
    total: Money


class BridgePart(Described):
    """What one cause adds to the price, and what it is then."""

    name: str
    change: Money
    after: Money


class BridgePiece(Described):
    """What changed in a piece."""

    name: str
    quantity_then: int
    quantity_now: int
    differences: list[str]


class BridgeRead(Described):
    """From what was asked to what it would be now; the parts sum exactly."""

    quote: str
    option: str
    currency: str
    then: BridgeEnd
    now: BridgeEnd
    change: Money
    parts: list[BridgePart]
    pieces: list[BridgePiece]
    notes: list[str]


class DifferencesRead(Described):
    """Two revisions of a piece, compared."""

    before: int
    after: int
    differences: list[str]


class OrderLine(Described):
    """What to order of one material, in whole packs."""

    code: str
    name: str
    packs: int
    pack_name: str
    gross: float
    unit: str
    cost: Money
    lead_days: int
    stale: bool
    working: str


class SupplierOrderRead(Described):
    """What to order from one supplier."""

    supplier: str
    lead_days: int
    cost: Money
    lines: list[OrderLine]


class BuyingListRead(Described):
    """What to order for a quote, by supplier."""

    orders: list[SupplierOrderRead]


class ToBuyLine(OrderLine):
    """What to order of one material for all the quotes."""

    on_hand: float


class ToBuyOrder(Described):
    """What to order from one supplier for all the quotes."""

    supplier: str
    lead_days: int
    cost: Money
    lines: list[ToBuyLine]


class ToBuyPiece(Described):
    """A piece to be made; `mark` goes before the names of its mould's parts in the layouts."""

    mark: str
    quote: int
    number: str
    name: str
    quantity: int


class ToBuyRead(Described):
    """What to order for several quotes together, by supplier, and how their boards are cut."""

    on: date
    currency: str
    cost: Money
    pieces: list[ToBuyPiece]
    orders: list[ToBuyOrder]
    layouts: list[EstimateLayout]
