"""What was changed of the catalogue and who did: rows that are added and never touched again."""

from __future__ import annotations

from typing import Any, ClassVar, NoReturn

from django.db import models
from django.utils import timezone

from catalog.models.columns import JSONColumn


class ChangedKind(models.TextChoices):
    """What a change was made to."""

    TERMS = "terms", "Shop terms"
    MATERIAL = "material", "Material"
    MIX = "mix", "Mix"
    ROLE = "role", "Role"
    OPERATION = "operation", "Operation"


class CatalogueChange(models.Model):
    """One write to what has no dates of its own: when, by whom, and each column before and after.

    Prices, pay and standards are not here: each of their rows says itself who entered it and when.
    """

    at = models.DateTimeField(default=timezone.now, editable=False, db_index=True)
    by = models.CharField(max_length=150, blank=True, editable=False)
    kind = models.CharField(max_length=9, choices=ChangedKind.choices, editable=False)
    code = models.CharField(max_length=40, blank=True, editable=False, help_text="Empty for the terms.")
    new = models.BooleanField(default=False, editable=False, help_text="It was added by this.")
    columns: models.JSONField[Any, list[dict[str, Any]]] = JSONColumn(default=list, editable=False)
    words = models.TextField(blank=True, editable=False, help_text="What a search looks in.")

    class Meta:
        ordering: ClassVar[list[str]] = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.code}".strip()

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Add the row; one that is there already stays as it is."""
        if not self._state.adding:
            raise TypeError("what was noted of a change stays as it is")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise TypeError("what was noted of a change stays as it is")
