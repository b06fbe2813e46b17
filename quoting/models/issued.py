"""What was issued and what was answered: written once, never changed.

Three bars, each of its own: these rows refuse `save` and `delete`, their querysets refuse bulk changes, and
triggers in the database (`quoting.models.frozen`) refuse whatever goes past both.
"""

from __future__ import annotations

from typing import Any, NoReturn

from django.conf import settings
from django.db import models

from quoting.errors import Frozen
from quoting.models.quotes import Quote


class FrozenQuerySet(models.QuerySet[Any]):
    """Rows that can be added and read."""

    def update(self, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise Frozen(self.model._meta.verbose_name)

    def bulk_update(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise Frozen(self.model._meta.verbose_name)

    def delete(self) -> NoReturn:
        """Refuse."""
        raise Frozen(self.model._meta.verbose_name)


class FrozenRow(models.Model):
    """A row that is written once."""

    objects = FrozenQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Add the row. Raises Frozen when it is there already."""
        if not self._state.adding:
            raise Frozen(self._meta.verbose_name)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise Frozen(self._meta.verbose_name)


class IssuedQuote(FrozenRow):
    """What went to the client, byte for byte, and what it rests on.

    `data` is all that was said to the client (its hash is taken over the canonical spelling), `basis` the
    shop's own side of it: specifications, take-off, prices used, build-up. `workshop` is what traveller and
    buying list say; it is null where a quote was issued before that was kept.
    """

    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="issued")
    data = models.JSONField()
    basis = models.JSONField()
    workshop = models.JSONField(null=True)
    data_sha256 = models.CharField(max_length=64)
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    valid_until = models.DateField()

    def __str__(self) -> str:
        return f"issued {self.quote.number}"


class QuoteAnswer(FrozenRow):
    """The client's answer to an issued quote: there is one at most."""

    class Kind(models.TextChoices):
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Declined"

    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="answer")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    at = models.DateTimeField()
    name = models.CharField(max_length=200, help_text="As the client typed it.")
    option = models.CharField(max_length=80, blank=True, help_text="The alternative chosen.")
    gross = models.DecimalField(max_digits=14, decimal_places=4, null=True, help_text="What was accepted.")
    data_sha256 = models.CharField(max_length=64, help_text="Of the issued data that was answered.")
    note = models.TextField(max_length=2000, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        help_text="Who wrote it down for the client; empty: the client, by the link.",
    )

    def __str__(self) -> str:
        return f"{self.quote.number} {self.kind}"
