"""Jobs: the shop's work on one commission, its pieces and its dates."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from quoting.models import Client, PieceRevision, Quote


class JobSeries(models.Model):
    """The last job number of a year; its row is locked while a number is taken."""

    year = models.PositiveSmallIntegerField(unique=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.year}: {self.last}"


class Job(models.Model):
    """The shop's work on one commission, with what was quoted for it."""

    class Status(models.TextChoices):
        OPEN = "open", "Open"
        CLOSED = "closed", "Closed"

    number = models.CharField(max_length=20, unique=True, editable=False)
    title = models.CharField(max_length=200)
    status = models.CharField(max_length=8, choices=Status.choices, default=Status.OPEN)
    client = models.ForeignKey(Client, null=True, blank=True, on_delete=models.PROTECT, related_name="jobs")
    quote = models.OneToOneField(Quote, null=True, blank=True, on_delete=models.PROTECT, related_name="job")
    currency = models.CharField(max_length=3)
    minor_units = models.PositiveSmallIntegerField(default=2)
    price = models.DecimalField(
        max_digits=14,
        decimal_places=4,
        default=Decimal(0),
        validators=(MinValueValidator(Decimal(0)),),
        help_text="Agreed, without tax.",
    )
    breakage_allowance = models.DecimalField(
        max_digits=14, decimal_places=4, default=Decimal(0), validators=(MinValueValidator(Decimal(0)),)
    )
    overhead_rate = models.DecimalField(
        max_digits=12,
        decimal_places=4,
        default=Decimal(0),
        validators=(MinValueValidator(Decimal(0)),),
        help_text="For one labour hour, as it was quoted.",
    )
    opened_on = models.DateField()
    due_on = models.DateField(null=True, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    note = models.TextField(max_length=4000, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ("-opened_on", "-pk")
        constraints = (
            models.CheckConstraint(
                condition=models.Q(status="open", closed_on__isnull=True)
                | models.Q(status="closed", closed_on__isnull=False),
                name="job_closed_on_a_day",
            ),
        )

    def __str__(self) -> str:
        return f"{self.number}: {self.title}"


class JobPiece(models.Model):
    """One kind of piece that a job makes, so many of it."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="pieces")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=200)
    quantity = models.PositiveIntegerField(
        default=1, validators=(MinValueValidator(1), MaxValueValidator(1000))
    )
    kind = models.CharField(max_length=40, blank=True, help_text="What sort of piece, to compare margins by.")
    price = models.DecimalField(
        max_digits=14, decimal_places=4, default=Decimal(0), validators=(MinValueValidator(Decimal(0)),)
    )
    revision = models.ForeignKey(
        PieceRevision, null=True, blank=True, on_delete=models.PROTECT, related_name="made_in"
    )
    drivers: models.JSONField[dict[str, float], dict[str, float]] = models.JSONField(
        default=dict, blank=True, help_text="Take-off quantities of one piece that hours follow from."
    )

    class Meta:
        ordering = ("job", "position")
        constraints = (models.UniqueConstraint(fields=("job", "position"), name="job_piece_position_once"),)

    def __str__(self) -> str:
        return f"{self.quantity} × {self.name}"


class JobDate(models.Model):
    """A day of the cure plan: when a step of a piece is planned."""

    piece = models.ForeignKey(JobPiece, on_delete=models.CASCADE, related_name="dates")
    position = models.PositiveSmallIntegerField()
    step = models.CharField(max_length=20)
    name = models.CharField(max_length=80)
    planned_on = models.DateField()

    class Meta:
        ordering = ("piece", "position")

    def __str__(self) -> str:
        return f"{self.name} {self.planned_on}"


class JobEvent(models.Model):
    """What happened to a job, in order."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="events")
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    kind = models.CharField(max_length=20)
    detail = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ("job", "at", "pk")

    def __str__(self) -> str:
        return f"{self.kind} {self.at:%Y-%m-%d %H:%M}"
