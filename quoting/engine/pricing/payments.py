"""Deposit and staged payments: shares of a total that sum to it to the minor unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.engine.money import allocate, to_minor
from quoting.engine.values import ShopTerms


@dataclass(frozen=True, slots=True)
class Payment:
    """One payment: when it falls due, its share of the total, the amount."""

    name: str
    share: Decimal
    amount: Decimal


def staged_payments(
    gross: Decimal, stages: Sequence[tuple[str, Decimal]], minor_units: int = 2
) -> tuple[Payment, ...]:
    """Split a total into named payments by their shares (fractions that sum to 1).

    Amounts sum to `gross` exactly; minor units that do not divide go to the largest remainders, the earlier
    payment first (check value K58). ValueError when shares are negative or do not sum to 1.

    >>> stages = [("on order", Decimal("0.3")), ("on delivery", Decimal("0.7"))]
    >>> [str(payment.amount) for payment in staged_payments(Decimal("0.05"), stages)]
    ['0.02', '0.03']
    """
    shares = [share for _, share in stages]
    if not shares or min(shares) < 0 or sum(shares) != 1:
        raise ValueError("shares of the payments must be zero or more and sum to 100 %")
    amounts = allocate(gross, shares, minor_units)
    return tuple(Payment(name, share, amount) for (name, share), amount in zip(stages, amounts, strict=True))


def deposit_and_balance(gross: Decimal, deposit: Decimal, minor_units: int = 2) -> tuple[Payment, ...]:
    """A deposit on order (a fraction of the gross total, rounded half up) and the balance before delivery.

    A payment of nothing is left out, so that a deposit of 0 or 1 gives one payment. ValueError when the
    fraction is not from 0 to 1.

    >>> [str(payment.amount) for payment in deposit_and_balance(Decimal("1000.01"), Decimal("0.5"))]
    ['500.01', '500.00']
    """
    if not 0 <= deposit <= 1:
        raise ValueError("a deposit must be from 0 to 100 % of the total")
    first = to_minor(gross * deposit, minor_units)
    parts = (
        Payment("deposit on order", deposit, first),
        Payment("balance before delivery", 1 - deposit, gross - first),
    )
    return tuple(part for part in parts if part.share)


def payments_of(gross: Decimal, terms: ShopTerms) -> tuple[Payment, ...]:
    """The payments of a total by the shop's terms: its stages, or the deposit and the balance.

    >>> terms = ShopTerms(payment_stages=(("on order", Decimal("0.3")), ("on delivery", Decimal("0.7"))))
    >>> [str(payment.amount) for payment in payments_of(Decimal("1000.00"), terms)]
    ['300.00', '700.00']
    """
    if terms.payment_stages:
        return staged_payments(gross, terms.payment_stages, terms.minor_units)
    return deposit_and_balance(gross, terms.deposit, terms.minor_units)
