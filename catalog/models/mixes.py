"""Mixes: a recipe by mass, or a bagged mix with its yield."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from catalog.models.columns import Retirable, code_field, number, within
from catalog.models.materials import Material
from catalog.vocabulary import CementClass, PartKind


class Mix(Retirable):
    """A concrete the shop casts with. It has a bag, or parts; never both."""

    code = code_field()
    name = models.CharField(max_length=120)
    fresh_density_kg_m3 = number(200, 5000)
    density_kg_m3 = number(200, 5000, help_text="Hardened: what a piece weighs.")
    strength_28d_mpa = number(1, 250)
    cement_class = models.CharField(
        max_length=1,
        choices=CementClass.choices,
        default=CementClass.NORMAL,
        help_text="EN 1992-1-1 3.1.2(6)",
    )
    bag = models.ForeignKey(
        Material, null=True, blank=True, on_delete=models.PROTECT, related_name="mixes_of_bag"
    )
    water_l_per_bag = number(0, 200, default=0.0)
    air = number(0, 0.4, default=0.0, help_text="Fraction of the volume.")
    fibre = models.ForeignKey(
        Material, null=True, blank=True, on_delete=models.PROTECT, related_name="mixes_of_fibre"
    )
    fibre_share = number(0, 0.2, default=0.0, help_text="Of the whole mix by mass, fibre included.")
    allowance = number(0, 1, default=0.10, help_text="Mixed above the net volume, a fraction.")
    max_aggregate_mm = number(0, 100, default=10.0)
    source = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["code"]
        verbose_name_plural = "mixes"
        constraints = (
            CheckConstraint(condition=Q(cement_class__in=CementClass.values), name="mix_cement_class_known"),
            CheckConstraint(
                condition=Q(fibre__isnull=False) | Q(fibre_share=0),
                name="mix_fibre_share_has_fibre",
                violation_error_message="A share of fibre needs the fibre it is of.",
            ),
            within("fresh_density_kg_m3", 200, 5000, model="mix"),
            within("density_kg_m3", 200, 5000, model="mix"),
            within("strength_28d_mpa", 1, 250, model="mix"),
            within("water_l_per_bag", 0, 200, model="mix"),
            within("air", 0, 0.4, model="mix"),
            within("fibre_share", 0, 0.2, model="mix"),
            within("allowance", 0, 1, model="mix"),
            within("max_aggregate_mm", 0, 100, model="mix"),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class MixPart(models.Model):
    """One material of a recipe: kg of it in one cubic metre of concrete."""

    mix = models.ForeignKey(Mix, on_delete=models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField()
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="recipe_parts")
    kg_per_m3 = number(0.001, 5000, help_text="Aggregate: saturated, surface dry.")
    kind = models.CharField(max_length=10, choices=PartKind.choices, default=PartKind.OTHER)

    class Meta:
        ordering: ClassVar[list[str]] = ["mix", "position"]
        constraints = (
            UniqueConstraint(fields=("mix", "material"), name="one_part_a_mix_and_material"),
            UniqueConstraint(fields=("mix", "position"), name="one_part_a_mix_and_position"),
            CheckConstraint(condition=Q(kind__in=PartKind.values), name="mixpart_kind_known"),
            within("kg_per_m3", 0.001, 5000, model="mixpart"),
        )

    def __str__(self) -> str:
        return f"{self.kg_per_m3:g} kg of {self.material_id}"
