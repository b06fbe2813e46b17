"""What really happened: hours, materials, progress. Entries are corrected or struck out, never lost."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from shop.jobs.models.jobs import Job
from shop.jobs.models.mishaps import Mishap
from shop.jobs.models.plans import PlannedMaterial, PlannedOperation

_NOUGHT = (MinValueValidator(Decimal(0)),)


class TimeEntry(models.Model):
    """One person's time on one operation: between two instants, or so many minutes of a day.

    Instants are kept in UTC, so that midnight and clock changes do not touch what was worked.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="time")
    operation = models.ForeignKey(
        PlannedOperation, null=True, blank=True, on_delete=models.PROTECT, related_name="time"
    )
    mishap = models.ForeignKey(Mishap, null=True, blank=True, on_delete=models.PROTECT, related_name="time")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="time")
    worked_on = models.DateField()
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    seconds = models.PositiveIntegerField(null=True, blank=True, help_text="Empty while the timer runs.")
    rate = models.DecimalField(max_digits=19, decimal_places=9, validators=_NOUGHT)
    note = models.CharField(max_length=300, blank=True)
    struck_out = models.BooleanField(default=False)
    key = models.CharField(max_length=64, null=True, blank=True)  # noqa: DJ001 - none is no key
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("worked_on", "started_at", "pk")
        verbose_name_plural = "time entries"
        constraints = (
            models.UniqueConstraint(
                fields=("person",),
                condition=Q(seconds__isnull=True, struck_out=False),
                name="time_one_timer_a_person",
            ),
            models.UniqueConstraint(fields=("person", "key"), name="time_key_once"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gt=F("started_at")),
                name="time_ends_after_start",
            ),
            models.CheckConstraint(
                condition=Q(seconds__gt=0) | Q(seconds__isnull=True, started_at__isnull=False),
                name="time_has_a_length_or_runs",
            ),
        )

    def __str__(self) -> str:
        return f"{self.person_id} {self.worked_on}"


class Draw(models.Model):
    """Material for a job: drawn from stock, bought for it, or put back."""

    class Kind(models.TextChoices):
        STOCK = "stock", "Drawn from stock"
        BOUGHT = "bought", "Bought"
        RETURN = "return", "Put back"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="draws")
    material = models.ForeignKey(
        PlannedMaterial, null=True, blank=True, on_delete=models.PROTECT, related_name="draws"
    )
    mishap = models.ForeignKey(Mishap, null=True, blank=True, on_delete=models.PROTECT, related_name="draws")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    code = models.CharField(max_length=40, blank=True)
    name = models.CharField(max_length=200)
    unit = models.CharField(max_length=10)
    quantity = models.DecimalField(
        max_digits=14, decimal_places=6, validators=(MinValueValidator(Decimal("0.000001")),)
    )
    amount = models.DecimalField(
        max_digits=14, decimal_places=4, validators=_NOUGHT, help_text="For all of it, without tax."
    )
    supplier = models.CharField(max_length=120, blank=True)
    invoice = models.CharField(max_length=80, blank=True)
    drawn_on = models.DateField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    note = models.CharField(max_length=300, blank=True)
    struck_out = models.BooleanField(default=False)
    key = models.CharField(max_length=64, null=True, blank=True)  # noqa: DJ001 - none is no key
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("drawn_on", "pk")
        constraints = (
            models.UniqueConstraint(fields=("by", "key"), name="draw_key_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="draw_quantity_above_nought"),
            models.CheckConstraint(condition=Q(amount__gte=0), name="draw_amount_not_below_nought"),
        )

    def __str__(self) -> str:
        return f"{self.quantity} {self.unit} {self.name}"


class Progress(models.Model):
    """How far an operation is, as somebody saw it; the latest word counts."""

    operation = models.ForeignKey(PlannedOperation, on_delete=models.CASCADE, related_name="progress")
    share = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        validators=(MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(1))),
    )
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    key = models.CharField(max_length=64, null=True, blank=True)  # noqa: DJ001 - none is no key

    class Meta:
        ordering = ("operation", "at", "pk")
        verbose_name_plural = "progress"
        constraints = (
            models.UniqueConstraint(fields=("by", "key"), name="progress_key_once"),
            models.CheckConstraint(condition=Q(share__gte=0, share__lte=1), name="progress_is_a_share"),
        )

    def __str__(self) -> str:
        return f"{self.operation_id}: {self.share}"


class Correction(models.Model):
    """How an entry read before it was corrected or struck out, who did it, when and why."""

    time = models.ForeignKey(
        TimeEntry, null=True, blank=True, on_delete=models.CASCADE, related_name="corrections"
    )
    draw = models.ForeignKey(
        Draw, null=True, blank=True, on_delete=models.CASCADE, related_name="corrections"
    )
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    reason = models.CharField(max_length=300)
    before = models.JSONField()

    class Meta:
        ordering = ("at", "pk")
        constraints = (
            models.CheckConstraint(
                condition=Q(time__isnull=False, draw__isnull=True) | Q(time__isnull=True, draw__isnull=False),
                name="correction_of_one_entry",
            ),
        )

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M}: {self.reason}"
