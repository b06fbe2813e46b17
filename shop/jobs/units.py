"""Quantities of a job's materials in the shop's own units, and back into the material's when they are typed.

What is kept counts as the catalogue does: kg, m², L, mL, m, each. A US shop reads and types pounds, square
feet, gallons, fluid ounces and feet. Pure.
"""

from __future__ import annotations

from decimal import Decimal

from quoting.engine.money import to_minor
from quoting.engine.takeoff.wording import in_shop_units

PLACES = 6
"""To which a quantity is kept."""


def shop_unit(unit: str, system: str) -> str:
    """What a quantity kept in `unit` is counted in by a shop of `system` (metric or us).

    >>> shop_unit("kg", "us"), shop_unit("kg", "metric"), shop_unit("each", "us")
    ('lb', 'kg', 'each')
    """
    return in_shop_units(1.0, unit, system)[1]


def shown(quantity: Decimal, unit: str, system: str) -> Decimal:
    """A kept quantity in the shop's unit, to six places.

    >>> shown(Decimal("22.679619"), "kg", "us")
    Decimal('50.000001')
    """
    return to_minor(quantity * Decimal(repr(in_shop_units(1.0, unit, system)[0])), PLACES)


def said(quantity: Decimal, unit: str, system: str) -> str:
    """A kept quantity with the shop's unit, to three places at most.

    >>> said(Decimal("22.679619"), "kg", "us"), said(Decimal("12.500000"), "m²", "metric")
    ('50 lb', '12.5 m²')
    """
    plain = f"{to_minor(shown(quantity, unit, system), 3):f}".rstrip("0").rstrip(".")
    return f"{plain} {shop_unit(unit, system)}"


def typed_in(unit: str, system: str) -> str:
    """The unit a form that was shown to a shop of `system` took a quantity in; the kept one where it says
    none of the two.

    >>> typed_in("kg", "us"), typed_in("kg", "nautical")
    ('lb', 'kg')
    """
    return shop_unit(unit, system) if system in ("metric", "us") else unit


def kept(quantity: Decimal, given: str, unit: str) -> Decimal | None:
    """A quantity typed in `given` as one of `unit`; None where the one is no measure of the other.

    Nothing given means the unit itself.

    >>> kept(Decimal(50), "lb", "kg"), kept(Decimal(5), "", "kg"), kept(Decimal(5), "ft", "kg")
    (Decimal('22.679619'), Decimal('5'), None)
    """
    if given in ("", unit):
        return quantity
    if given != shop_unit(unit, "us"):
        return None
    return to_minor(quantity / Decimal(repr(in_shop_units(1.0, unit, "us")[0])), PLACES)
