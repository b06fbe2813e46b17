"""What the columns of the shop's terms refuse, and what they hold until the shop has said."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator

from catalog.vocabulary import FINISH_FACES, FINISH_FILLS

TAX_CATEGORY = re.compile(r"\A[a-z][a-z0-9_]{0,29}\Z")
currency_validator = RegexValidator(
    r"\A[A-Z]{3}\Z", "Give the three letters of ISO 4217: EUR.", code="currency"
)
region_validator = RegexValidator(
    r"\A[A-Z]{2}(?:-[A-Z0-9]{1,3})?\Z", "Give a code of ISO 3166: GB or US-CA.", code="region"
)
locale_validator = RegexValidator(
    r"\A[a-z]{2}(?:_[A-Z]{2})?\Z", "Give a locale such as en_GB.", code="locale"
)


def known_tax_rates(value: object) -> None:
    """Refuse tax rates that are not fractions by category, `standard` among them."""
    if not isinstance(value, dict) or "standard" not in value:
        raise ValidationError("Give fractions by category, one of them named standard.", code="tax_form")
    for category, rate in value.items():
        if not TAX_CATEGORY.match(category):
            raise ValidationError(f"{category!r} is not a name in small letters.", code="tax_category")
        try:
            fraction = Decimal(rate) if isinstance(rate, str) else None
        except InvalidOperation:
            fraction = None
        if fraction is None or not fraction.is_finite() or not 0 <= fraction < 1:
            raise ValidationError(f'{category}: give a fraction as text, such as "0.20".', code="tax_rate")


def known_payment_stages(value: object) -> None:
    """Refuse payments without a name, or whose shares (fractions as text) do not sum to 1."""
    message = 'Give when each payment falls due and its share: ["on order", "0.30"]; shares sum to 1.'
    if not isinstance(value, list) or len(value) > 12:
        raise ValidationError(message, code="payment_stages")
    total = Decimal(0)
    for stage in value:
        good = isinstance(stage, list) and len(stage) == 2 and all(isinstance(part, str) for part in stage)
        if not good or not 0 < len(stage[0].strip()) <= 60:
            raise ValidationError(message, code="payment_stages")
        try:
            share = Decimal(stage[1])
        except InvalidOperation:
            raise ValidationError(message, code="payment_stages") from None
        if not share.is_finite() or not 0 < share <= 1:
            raise ValidationError(message, code="payment_stages")
        total += share
    if value and total != 1:
        raise ValidationError(f"The shares of the payments sum to {total}, not to 1.", code="payment_sum")


def known_grits(value: object) -> None:
    """Refuse grits that are not rising whole numbers."""
    whole = isinstance(value, list) and all(type(grit) is int and 1 <= grit <= 20_000 for grit in value)
    if not whole or list(value) != sorted(set(value)):  # type: ignore[call-overload]
        raise ValidationError("Give rising whole numbers: 200, 400, 800.", code="grits")


def known_faces(value: object) -> None:
    """Refuse faces that a piece does not have."""
    known = isinstance(value, list) and bool(value) and all(face in FINISH_FACES for face in value)
    if not known or len(set(value)) != len(value):  # type: ignore[call-overload, arg-type]
        raise ValidationError(f"Give one or more of {', '.join(FINISH_FACES)}.", code="faces")


def known_fill(value: str) -> None:
    """Refuse a fill that does not exist."""
    if value not in FINISH_FILLS:
        raise ValidationError(f"Must be one of {', '.join(FINISH_FILLS)}.", code="fill")


def twelve_temperatures(value: object) -> None:
    """Refuse anything but twelve temperatures of a workplace."""
    good = isinstance(value, list) and len(value) == 12
    good = good and all(type(t) in (int, float) and -30 <= t <= 50 for t in value)  # type: ignore[attr-defined]
    if not good:
        raise ValidationError("Give twelve means in °C from -30 to 50, January first.", code="temperatures")


def known_weekdays(value: object) -> None:
    """Refuse anything but rising weekdays, Monday 0."""
    good = (
        isinstance(value, list) and bool(value) and all(type(day) is int and 0 <= day <= 6 for day in value)
    )
    if not good or list(value) != sorted(set(value)):  # type: ignore[call-overload]
        raise ValidationError("Give rising weekdays, Monday 0 to Sunday 6.", code="weekdays")


def default_tax_rates() -> dict[str, str]:
    """Return the rates of a shop that has not said."""
    return {"standard": "0.20"}


def default_faces() -> list[str]:
    """Return the faces finished where nothing is said."""
    return ["show", "sides"]


def default_temperatures() -> list[float]:
    """Return a heated shop's twelve months."""
    return [18.0] * 12


def default_working_days() -> list[int]:
    """Return Monday to Friday."""
    return [0, 1, 2, 3, 4]
