"""Quotes: drafts that follow the prices of the day, their pieces and lines, and what happened to them."""

from datetime import date
from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from quoting.models.clients import Client
from quoting.models.pieces import PieceRevision

LAPSED = "lapsed"
"""State of a quote that nobody answered in time. It follows from the date; nothing has to be written."""


class NumberSeries(models.Model):
    """The last number given in a series; its row is locked while a number is taken."""

    name = models.CharField(max_length=20, unique=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.name}: {self.last}"


class Quote(models.Model):
    """An offer to one client: pieces, other lines, terms."""

    class Status(models.TextChoices):
        DRAFT = "draft", "Draft"
        ISSUED = "issued", "Issued"
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Declined"
        WITHDRAWN = "withdrawn", "Withdrawn"
        SUPERSEDED = "superseded", "Superseded"

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="quotes")
    title = models.CharField(max_length=200)
    status = models.CharField(max_length=12, choices=Status.choices, default=Status.DRAFT)
    number = models.CharField(max_length=20, unique=True, null=True, blank=True, editable=False)
    quoted_on = models.DateField(help_text="Prices of this day are used.")
    valid_days = models.PositiveSmallIntegerField(validators=(MinValueValidator(1), MaxValueValidator(365)))
    discount = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        default=Decimal(0),
        validators=(MinValueValidator(Decimal(0)), MaxValueValidator(Decimal("0.9"))),
        help_text="Share of the price, 0.05 for 5 %.",
    )
    note = models.TextField(max_length=4000, blank=True, help_text="Shown to the client.")
    revises = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="revised_by",
        help_text="The quote that this one takes the place of when it is issued.",
    )
    version = models.PositiveIntegerField(default=1, help_text="Grows with every change.")
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ("-created_at", "-pk")
        indexes = (models.Index(fields=("-created_at", "-id"), name="quoting_newest_first"),)
        constraints = (
            models.CheckConstraint(
                condition=models.Q(status="draft", number__isnull=True)
                | (~models.Q(status="draft") & models.Q(number__isnull=False)),
                name="quoting_number_given_at_issue",
            ),
        )

    def __str__(self) -> str:
        return f"{self.number or 'draft'}: {self.title}"

    def state(self, on: date) -> str:
        """Where the quote stands on a day: its status, or `lapsed` when it is out past its last valid day."""
        if self.status == self.Status.ISSUED and self.issued.valid_until < on:
            return LAPSED
        return self.status


class QuoteItem(models.Model):
    """A saved piece in a quote; the quantity is the quote's, whatever the specification says."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="items")
    position = models.PositiveSmallIntegerField()
    revision = models.ForeignKey(PieceRevision, on_delete=models.PROTECT, related_name="quoted_in")
    option = models.CharField(
        max_length=80, blank=True, help_text="The alternative it belongs to; empty: part of every one."
    )
    quantity = models.PositiveIntegerField(validators=(MinValueValidator(1), MaxValueValidator(1000)))
    tax_category = models.CharField(max_length=30, default="standard", db_default="standard")

    class Meta:
        ordering = ("quote", "position")
        constraints = (
            models.UniqueConstraint(fields=("quote", "position"), name="quoting_item_position_once"),
            models.CheckConstraint(
                condition=models.Q(quantity__gte=1, quantity__lte=1000), name="quoting_item_quantity"
            ),
        )

    def __str__(self) -> str:
        return f"{self.quantity} × {self.revision}"


class QuoteLine(models.Model):
    """A line that no piece makes: a survey, a site visit, a credit."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=300)
    option = models.CharField(
        max_length=80, blank=True, help_text="The alternative it belongs to; empty: part of every one."
    )
    quantity = models.DecimalField(max_digits=9, decimal_places=3, default=Decimal(1))
    unit_price = models.DecimalField(max_digits=12, decimal_places=4)
    tax_category = models.CharField(max_length=30, default="standard")

    class Meta:
        ordering = ("quote", "position")
        constraints = (
            models.UniqueConstraint(fields=("quote", "position"), name="quoting_line_position_once"),
        )

    def __str__(self) -> str:
        return self.text


class QuoteEvent(models.Model):
    """What happened to a quote, in order."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="events")
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    kind = models.CharField(max_length=20)
    detail = models.TextField(max_length=2000, blank=True)

    class Meta:
        ordering = ("quote", "at", "pk")

    def __str__(self) -> str:
        return f"{self.kind} {self.at:%Y-%m-%d %H:%M}"
