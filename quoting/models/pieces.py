"""Saved pieces: a specification is never overwritten, it gets another revision."""

from django.conf import settings
from django.db import models


class SavedPiece(models.Model):
    """A piece the shop has drawn, to quote now and again later."""

    name = models.CharField(max_length=200)
    labels = models.CharField(max_length=200, blank=True, help_text="Words to find it by, comma separated.")
    archived = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("name", "pk")

    def __str__(self) -> str:
        return self.name


class PieceRevision(models.Model):
    """One state of a saved piece: the specification document as it was given."""

    piece = models.ForeignKey(SavedPiece, on_delete=models.CASCADE, related_name="revisions")
    number = models.PositiveIntegerField()
    document = models.JSONField(help_text="Piece specification, format 1.")
    note = models.CharField(max_length=500, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ("piece", "number")
        constraints = (
            models.UniqueConstraint(fields=("piece", "number"), name="quoting_revision_number_once"),
        )

    def __str__(self) -> str:
        return f"{self.piece.name}, revision {self.number}"
