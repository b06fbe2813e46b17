"""What an hour or a unit of material costs on a day, from the catalogue."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from catalog import selectors as catalogue
from catalog.errors import NoSuchRow


def hour_rate(role: str, on: date) -> Decimal | None:
    """Cost of an hour of a role on a day, on-costs in; None where the catalogue has no pay for it."""
    for paid in catalogue.paid_roles(on):
        if paid.role.code == role and paid.rate is not None:
            cost: Decimal = paid.rate.pay_per_hour * (1 + paid.rate.on_costs)
            return cost
    return None


def unit_price(code: str, on: date) -> Decimal | None:
    """Price of one unit of a material's content on a day; None where the catalogue has none."""
    try:
        price = catalogue.price_on(code, on)
    except NoSuchRow:
        return None
    return None if price is None else price.price / Decimal(repr(price.material.pack_size))
