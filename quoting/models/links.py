"""Secret addresses: a client's page of one quote, a person's calendar. Only their hashes are kept."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from quoting.models.quotes import Quote


class ClientLink(models.Model):
    """The address at which a client reads and answers a quote."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="links")
    token_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    sent_to = models.EmailField(blank=True)

    class Meta:
        ordering = ("-created_at", "-pk")

    def __str__(self) -> str:
        return f"link to {self.quote.number}, {self.created_at:%Y-%m-%d}"


class CalendarFeed(models.Model):
    """A person's own address of the shop's calendar."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="calendar_feeds"
    )
    secret_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    created_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-created_at", "-pk")

    def __str__(self) -> str:
        return f"calendar of {self.user}"


class LinkAttempt(models.Model):
    """A request for a secret address that does not exist, kept for a while to slow down guessing."""

    address = models.CharField(max_length=45)
    at = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return f"{self.address} {self.at:%Y-%m-%d %H:%M}"
