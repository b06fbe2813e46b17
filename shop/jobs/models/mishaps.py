"""Mishaps: a crack, a chip, a wrong colour, and what is done about it."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from catalog.vocabulary import Stage
from shop.jobs.models.jobs import Job, JobPiece


class Mishap(models.Model):
    """Something went wrong. What it costs is the work and material booked on it."""

    class Outcome(models.TextChoices):
        REPAIR = "repair", "Repair"
        RECAST = "recast", "Cast again"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="mishaps")
    piece = models.ForeignKey(JobPiece, on_delete=models.CASCADE, related_name="mishaps")
    operation = models.CharField(max_length=40, help_text="Code of the operation at which it happened.")
    stage = models.CharField(max_length=10, choices=Stage.choices)
    cause = models.CharField(max_length=200)
    outcome = models.CharField(max_length=8, choices=Outcome.choices)
    castings = models.PositiveSmallIntegerField(
        default=1, validators=(MinValueValidator(1), MaxValueValidator(1000)), help_text="How many pieces."
    )
    happened_on = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    note = models.TextField(max_length=2000, blank=True)
    key = models.CharField(max_length=64, null=True, blank=True)  # noqa: DJ001 - none is no key

    class Meta:
        ordering = ("job", "at", "pk")
        constraints = (models.UniqueConstraint(fields=("by", "key"), name="mishap_key_once"),)

    def __str__(self) -> str:
        return f"{self.get_outcome_display()}: {self.cause}"
