"""Small helpers for amounts that pricing shares: exact fractions into money, and how amounts are written."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction


def fraction_to_minor(amount: Fraction, minor_units: int = 2) -> Decimal:
    """An exact fraction rounded to the minor unit, half up, ties away from zero (the rule of `money`).

    >>> fraction_to_minor(Fraction(17, 8)), fraction_to_minor(Fraction(-17, 8))
    (Decimal('2.13'), Decimal('-2.13'))
    """
    units = int(abs(amount) * 10**minor_units + Fraction(1, 2))
    return Decimal(units if amount >= 0 else -units).scaleb(-minor_units)


def percent(share: Decimal) -> str:
    """A fraction as a percentage without needless zeros, for workings.

    >>> percent(Decimal("0.050")), percent(Decimal("0.3")), percent(Decimal("1"))
    ('5 %', '30 %', '100 %')
    """
    return f"{(share * 100).normalize():f} %"
