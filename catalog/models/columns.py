"""Columns and rules that several models share: codes, bounded numbers, dated rows."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import CheckConstraint, Q
from django.utils import timezone
from django.utils.deconstruct import deconstructible

NOT_A_NUMBER = {"invalid": "Give a number.", "null": "Give a number."}
code_validator = RegexValidator(
    r"\A[A-Z0-9](?:[A-Z0-9.-]*[A-Z0-9])?\Z",
    "Write a code in capitals and digits, with - and . between them: BOARD-18.",
    code="code_form",
)


@deconstructible
class Between:
    """Refuses a number outside `low` to `high`, both included; NaN is outside everything."""

    def __init__(self, low: float | Decimal, high: float | Decimal) -> None:
        self.low = low
        self.high = high

    def __call__(self, value: float | Decimal) -> None:
        finite = value.is_finite() if isinstance(value, Decimal) else math.isfinite(value)
        if not finite or not self.low <= value <= self.high:
            raise ValidationError(f"Must be from {self.low:g} to {self.high:g}.", code="out_of_range")

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Between) and (self.low, self.high) == (other.low, other.high)

    def __hash__(self) -> int:
        return hash((self.low, self.high))


class JSONColumn(models.JSONField):
    """A JSON column whose empty lists and objects are values like others: its validators see them too."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.empty_values = [None]


def code_field(**options: Any) -> models.CharField[str, str]:
    """Return the column of a unique code."""
    options.setdefault("unique", True)
    options.setdefault("error_messages", {"unique": "That code is taken."})
    return models.CharField(max_length=40, validators=[code_validator], **options)


def number(low: float, high: float, **options: Any) -> models.FloatField[float, float]:
    """Return the column of a needed number within bounds."""
    return models.FloatField(validators=[Between(low, high)], error_messages=NOT_A_NUMBER, **options)


def maybe_number(low: float, high: float, **options: Any) -> models.FloatField[float | None, float | None]:
    """Return the column of a number within bounds that may be missing."""
    return models.FloatField(
        null=True, blank=True, validators=[Between(low, high)], error_messages=NOT_A_NUMBER, **options
    )


def money(places: int = 4, **options: Any) -> models.DecimalField[Decimal, Decimal]:
    """Return the column of an amount in the shop's currency, nought or more."""
    return models.DecimalField(
        max_digits=8 + places,
        decimal_places=places,
        validators=[Between(Decimal(0), Decimal(10_000_000))],
        error_messages={**NOT_A_NUMBER, "invalid": "Give an amount such as 12.50."},
        **options,
    )


def share(high: str = "1", **options: Any) -> models.DecimalField[Decimal, Decimal]:
    """Return the column of a fraction (0.10 for 10 %) that takes part in money."""
    return models.DecimalField(
        max_digits=7,
        decimal_places=5,
        validators=[Between(Decimal(0), Decimal(high))],
        error_messages={**NOT_A_NUMBER, "invalid": "Give a fraction such as 0.20."},
        **options,
    )


def within(name: str, low: float, high: float, *, model: str, missing: bool = False) -> CheckConstraint:
    """Return the database's own check that column `name` lies within bounds.

    The upper bound also keeps NaN out of PostgreSQL, which sorts it above every number.
    """
    condition = Q(**{f"{name}__gte": low, f"{name}__lte": high})
    if missing:
        condition |= Q(**{f"{name}__isnull": True})
    return CheckConstraint(
        condition=condition,
        name=f"{model}_{name}_range",
        violation_error_message=f"{name} must be from {low:g} to {high:g}.",
        violation_error_code="out_of_range",
    )


class Dated(models.Model):
    """A row that holds from a date until the next such row; rows of the past are never rewritten."""

    valid_from = models.DateField(error_messages={"invalid": "Give a date as YYYY-MM-DD."})
    entered_at = models.DateTimeField(default=timezone.now, editable=False)
    entered_by = models.CharField(max_length=150, blank=True, editable=False)

    class Meta:
        abstract = True


class Retirable(models.Model):
    """A row that may go out of use on a date; it is not deleted, since older work names it."""

    retired_from = models.DateField(
        null=True, blank=True, help_text="First day on which it is no longer used; empty while in use."
    )

    class Meta:
        abstract = True
