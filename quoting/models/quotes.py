"""Quotes: a draft that follows the prices of the day, and what was issued, which never changes."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from quoting.models.clients import Client
from quoting.models.pieces import PieceRevision


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
        WITHDRAWN = "withdrawn", "Withdrawn"

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
    version = models.PositiveIntegerField(default=1, help_text="Grows with every change.")
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ("-created_at", "-pk")
        constraints = (
            models.CheckConstraint(
                condition=models.Q(status="draft", number__isnull=True)
                | (~models.Q(status="draft") & models.Q(number__isnull=False)),
                name="quoting_number_given_at_issue",
            ),
        )

    def __str__(self) -> str:
        return f"{self.number or 'draft'}: {self.title}"


class QuoteItem(models.Model):
    """A saved piece in a quote; the quantity is the quote's, whatever the specification says."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="items")
    position = models.PositiveSmallIntegerField()
    revision = models.ForeignKey(PieceRevision, on_delete=models.PROTECT, related_name="quoted_in")
    quantity = models.PositiveIntegerField(validators=(MinValueValidator(1), MaxValueValidator(1000)))

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


class IssuedQuote(models.Model):
    """What went to the client, byte for byte, and what it rests on. Written once, never changed.

    `data` is all that was said to the client (its hash is taken over the canonical spelling), `basis` the
    shop's own side of it: specifications, take-off, prices used, build-up.
    """

    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="issued")
    data = models.JSONField()
    basis = models.JSONField()
    data_sha256 = models.CharField(max_length=64)
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    valid_until = models.DateField()

    def __str__(self) -> str:
        return f"issued {self.quote.number}"


class QuoteEvent(models.Model):
    """What happened to a quote, in order."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="events")
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    kind = models.CharField(max_length=20)
    detail = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ("quote", "at", "pk")

    def __str__(self) -> str:
        return f"{self.kind} {self.at:%Y-%m-%d %H:%M}"
