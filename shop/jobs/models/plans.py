"""What a job was planned to take, and what mishaps made it take again."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MinValueValidator
from django.db import models

from catalog.vocabulary import Stage
from shop.jobs.models.jobs import JobPiece
from shop.jobs.models.mishaps import Mishap

_NOUGHT = (MinValueValidator(Decimal(0)),)


def _amount(**options: Any) -> models.DecimalField[Decimal, Decimal]:
    return models.DecimalField(max_digits=14, decimal_places=4, validators=_NOUGHT, **options)


class PlannedOperation(models.Model):
    """One operation of one piece: hours of all hands, at the rate it was planned with.

    Rows with a `mishap` were added by it; the others are what was quoted and never change.
    """

    piece = models.ForeignKey(JobPiece, on_delete=models.CASCADE, related_name="operations")
    mishap = models.ForeignKey(
        Mishap, null=True, blank=True, on_delete=models.CASCADE, related_name="operations"
    )
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=80)
    stage = models.CharField(max_length=10, choices=Stage.choices)
    role = models.CharField(max_length=40, blank=True, help_text="Code of the role whose work it is.")
    crew = models.PositiveSmallIntegerField(default=1, validators=(MinValueValidator(1),))
    hours = _amount()
    rate = models.DecimalField(
        max_digits=19,
        decimal_places=9,
        validators=_NOUGHT,
        help_text="Pay and on-costs, as exact as they are.",
    )
    cost = _amount()
    remake_hours = _amount(help_text="To do it once more for one piece.")
    breakage = models.FloatField(default=0.0)
    back_to = models.CharField(max_length=40, blank=True)
    spread: models.JSONField[list[float], list[float]] = models.JSONField(default=list, blank=True)
    planned_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ("piece", "mishap", "position", "pk")

    def __str__(self) -> str:
        return self.name


class PlannedMaterial(models.Model):
    """A quantity of one material for one piece, all of them; as quoted, or again after a mishap."""

    piece = models.ForeignKey(JobPiece, on_delete=models.CASCADE, related_name="materials")
    mishap = models.ForeignKey(
        Mishap, null=True, blank=True, on_delete=models.CASCADE, related_name="materials"
    )
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=40, blank=True)
    name = models.CharField(max_length=200)
    stage = models.CharField(max_length=20)
    unit = models.CharField(max_length=10)
    quantity = models.DecimalField(max_digits=14, decimal_places=6, validators=_NOUGHT)
    pack_size = models.DecimalField(max_digits=14, decimal_places=6, default=Decimal(1), validators=_NOUGHT)
    pack_name = models.CharField(max_length=40, blank=True)
    cost = _amount()

    class Meta:
        ordering = ("piece", "mishap", "position", "pk")

    def __str__(self) -> str:
        return self.name

    @property
    def unit_price(self) -> Decimal:
        """What one unit was planned to cost; nought for a quantity of nought."""
        return self.cost / self.quantity if self.quantity else Decimal(0)
