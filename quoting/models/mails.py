"""Mail to clients, written with the event it belongs to and kept until the mail server has taken it."""

from __future__ import annotations

from django.db import models

from quoting.models.links import ClientLink


class OutgoingMail(models.Model):
    """One mail with a client's link. It holds no secret: the link's token is made anew when it is sent."""

    class Status(models.TextChoices):
        WAITING = "waiting", "Waiting"
        SENT = "sent", "Sent"
        DROPPED = "dropped", "Dropped"

    link = models.OneToOneField(ClientLink, on_delete=models.CASCADE, related_name="mail")
    message_id = models.CharField(max_length=320, unique=True, help_text="The same at every try.")
    page = models.CharField(max_length=500, help_text="Address of the client's page, {token} in its place.")
    message = models.TextField(max_length=4000, blank=True, help_text="A few words to the client.")
    status = models.CharField(max_length=8, choices=Status.choices, default=Status.WAITING)
    tries = models.PositiveIntegerField(default=0)
    next_try_at = models.DateTimeField(
        null=True, blank=True, help_text="Empty: it waits for somebody to try again, or to drop it."
    )
    claimed_at = models.DateTimeField(null=True, blank=True, help_text="Since when a process has it in hand.")
    last_error = models.CharField(max_length=500, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-pk",)
        indexes = (models.Index(fields=("status", "next_try_at"), name="quoting_mail_due"),)
        constraints = (
            models.CheckConstraint(
                condition=models.Q(status="waiting", settled_at__isnull=True)
                | (models.Q(status__in=("sent", "dropped")) & models.Q(settled_at__isnull=False)),
                name="quoting_mail_settled",
            ),
        )

    def __str__(self) -> str:
        return f"mail {self.pk} with {self.link}"
