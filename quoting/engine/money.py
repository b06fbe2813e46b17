"""Money: Decimal from end to end, one rounding rule, parts that sum to their total.

Rounding is half up, ties away from zero, the commercial rule (Council Regulation (EC) 1103/97 article 5 for
the euro). Unrounded amounts are kept as long as possible; `to_minor` is the only rounding to cents. This
module imports nothing of ours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from typing import Final

# Wide enough for any amount of any currency; independent of the ambient context.
_CONTEXT: Final = Context(prec=60, rounding=ROUND_HALF_UP)

# ISO 4217 minor units other than 2, as words. JPY, ISK, KWD, BHD, TND, IQD, CLF are check value K52; the rest
# are from memory.
_NO_MINOR: Final = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THREE: Final = "BHD IQD JOD KWD LYD OMR TND"
_FOUR: Final = "CLF UYW"
_NOT_FOR_PRICES: Final = "XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX"


def minor_units(currency: str) -> int:
    """Decimal places of a currency's minor unit (ISO 4217): 2 unless the standard says otherwise.

    Raises ValueError for what is no three-letter code, and for codes without a minor unit (metals, tests).

    >>> minor_units("EUR"), minor_units("JPY"), minor_units("KWD")
    (2, 0, 3)
    """
    if not (len(currency) == 3 and currency.isascii() and currency.isalpha() and currency.isupper()):
        raise ValueError(f"currency must be three capital letters, such as EUR, not {currency!r}")
    if currency in _NOT_FOR_PRICES:
        raise ValueError(f"{currency} has no minor unit and cannot price a piece")
    if currency in _NO_MINOR:
        return 0
    return 3 if currency in _THREE else 4 if currency in _FOUR else 2


def exact(value: float | int) -> Decimal:
    """The Decimal a float is written as (its shortest spelling), for quantities that meet prices.

    Raises ValueError when not finite.

    >>> exact(0.1)
    Decimal('0.1')
    """
    if not math.isfinite(value):
        raise ValueError("only finite quantities can be priced")
    return Decimal(repr(float(value)) if isinstance(value, float) else int(value))


def to_minor(amount: Decimal, minor_units: int = 2) -> Decimal:
    """Round an amount to its minor unit, half up, ties away from zero.

    `minor_units` is the number of decimal places. Raises ValueError when the amount is not finite.

    >>> to_minor(Decimal("2.125")), to_minor(Decimal("-2.125"))
    (Decimal('2.13'), Decimal('-2.13'))
    """
    if not amount.is_finite():
        raise ValueError("only finite amounts can be rounded")
    rounded = amount.quantize(Decimal(1).scaleb(-minor_units), rounding=ROUND_HALF_UP, context=_CONTEXT)
    return abs(rounded) if rounded.is_zero() else rounded


def round_up_to_step(amount: Decimal, step: Decimal) -> Decimal:
    """The least multiple of `step` (above zero) that is not below `amount`, in the same currency.

    >>> round_up_to_step(Decimal("1201.01"), Decimal("5"))
    Decimal('1205')
    """
    if not (step.is_finite() and step > 0):
        raise ValueError("a price step must be above zero")
    steps, rest = _CONTEXT.divmod(amount, step)
    return _CONTEXT.multiply(steps + 1 if rest > 0 else steps + 0, step)


def allocate(total: Decimal, weights: Sequence[Decimal | int], minor_units: int = 2) -> tuple[Decimal, ...]:
    """Split a total in proportion to weights so that the parts sum to it exactly.

    Every part is its exact share rounded down to the minor unit; the units left over go one each to the
    largest remainders, the earlier part first on a tie (check value K58). `total` must be whole minor units,
    weights must be zero or more and not all zero; ValueError otherwise.

    >>> allocate(Decimal("100.00"), [1, 1, 1])
    (Decimal('33.34'), Decimal('33.33'), Decimal('33.33'))
    """
    if to_minor(total, minor_units) != total:
        raise ValueError("a total to split must be whole minor units")
    shares = [Fraction(weight) for weight in weights]
    whole = sum(shares)
    if not whole or min(shares) < 0:
        raise ValueError("weights to split by must be zero or more, and not all zero")
    unit = Decimal(1).scaleb(-minor_units)
    units = int(abs(total).scaleb(minor_units, context=_CONTEXT))
    exact_parts = [units * share / whole for share in shares]
    parts = [math.floor(part) for part in exact_parts]
    by_remainder = sorted(range(len(parts)), key=lambda i: (parts[i] - exact_parts[i], i))
    for index in by_remainder[: units - sum(parts)]:
        parts[index] += 1
    sign = -1 if total < 0 else 1
    return tuple(_CONTEXT.multiply(Decimal(sign * part if part else 0), unit) for part in parts)


def margin_to_markup(margin: Decimal) -> Decimal:
    """Markup on cost k = m/(1 − m) for a margin m of the price; fractions, m below 1 (check value K14).

    >>> margin_to_markup(Decimal("0.20"))
    Decimal('0.25')
    """
    return margin / _share_of_price_left(margin)


def markup_to_margin(markup: Decimal) -> Decimal:
    """Margin of the price m = k/(1 + k) for a markup k on cost; fractions, k above −1 (check value K14).

    >>> markup_to_margin(Decimal("0.25"))
    Decimal('0.2')
    """
    if not (markup.is_finite() and markup > -1):
        raise ValueError("a markup must be above −100 %")
    return markup / (1 + markup)


def price_for_margin(cost: Decimal, margin: Decimal) -> Decimal:
    """Price = cost ÷ (1 − margin), unrounded; margin is a fraction of the price, below 1.

    >>> price_for_margin(Decimal("700"), Decimal("0.20"))
    Decimal('875')
    """
    return cost / _share_of_price_left(margin)


def _share_of_price_left(margin: Decimal) -> Decimal:
    if not (margin.is_finite() and margin < 1):
        raise ValueError("a margin must be below 100 % of the price")
    return 1 - margin
