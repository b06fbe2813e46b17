"""What lies in the shop already: part packs by their content, boards by the sizes of their offcuts."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import CheckConstraint, Q
from django.utils import timezone

from catalog.models.columns import Between, maybe_number, within
from catalog.models.materials import LARGEST_PACK, Material
from catalog.vocabulary import MaterialKind

LEAST_CONTENT = 0.001
LEAST_MM, MOST_MM = 10.0, 12_000.0
MOST_ALIKE = 500


class ShelfItem(models.Model):
    """So much of a material, in part packs and whole ones; or offcuts of one size of a board."""

    material = models.ForeignKey(Material, models.PROTECT, related_name="on_shelf")
    content = maybe_number(
        LEAST_CONTENT,
        LARGEST_PACK,
        help_text="All there is of it, in the unit of its packs; empty for boards.",
    )
    length_mm = maybe_number(LEAST_MM, MOST_MM, help_text="Of a board's offcut, or of a whole sheet.")
    width_mm = maybe_number(LEAST_MM, MOST_MM)
    count = models.PositiveSmallIntegerField(
        default=1,
        validators=[Between(1, MOST_ALIKE)],
        help_text="Offcuts of this size.",
        error_messages={"invalid": "Give a whole number.", "null": "Give a whole number."},
    )
    place = models.CharField(max_length=80, blank=True, help_text="Where it lies.")
    noted_at = models.DateTimeField(default=timezone.now, editable=False)
    noted_by = models.CharField(max_length=150, blank=True, editable=False)

    class Meta:
        ordering: ClassVar[list[str]] = ["material__code", "pk"]
        constraints = (
            within("content", LEAST_CONTENT, LARGEST_PACK, model="shelf", missing=True),
            within("length_mm", LEAST_MM, MOST_MM, model="shelf", missing=True),
            within("width_mm", LEAST_MM, MOST_MM, model="shelf", missing=True),
            within("count", 1, MOST_ALIKE, model="shelf"),
            CheckConstraint(
                condition=Q(content__isnull=False, length_mm__isnull=True, width_mm__isnull=True)
                | Q(content__isnull=True, length_mm__isnull=False, width_mm__isnull=False),
                name="shelf_content_or_sizes",
            ),
        )

    def __str__(self) -> str:
        return f"{self.material.code} on the shelf"

    @property
    def is_offcut(self) -> bool:
        """Whether it is a board, counted by sizes."""
        return self.material.kind == MaterialKind.BOARD

    @property
    def label(self) -> str:
        """What an offcut is called on a cutting diagram."""
        return f"Offcut {self.pk}"

    def clean(self) -> None:
        """Refuse a board without sizes, anything else without content, and what the other is told by."""
        if not self.material_id:
            return
        needed = ("length_mm", "width_mm") if self.is_offcut else ("content",)
        unused = ("content",) if self.is_offcut else ("length_mm", "width_mm")
        faults: dict[str, Any] = {}
        for name in needed:
            if getattr(self, name) is None:
                faults[name] = ValidationError("This kind of material needs it.", code="missing")
        for name in unused:
            if getattr(self, name) is not None:
                faults[name] = ValidationError("This kind of material has no such figure.", code="not_used")
        if not self.is_offcut and self.count != 1:
            faults["count"] = ValidationError("Only offcuts are counted; say its content.", code="not_used")
        if faults:
            raise ValidationError(faults)
