"""Materials of every kind and their dated prices."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from catalog.models.columns import (
    Between,
    Dated,
    Retirable,
    code_field,
    maybe_number,
    money,
    number,
    within,
)
from catalog.vocabulary import (
    CONTENT_UNIT,
    FIGURES,
    USAGES,
    MaterialKind,
)

_BOUNDS: dict[str, tuple[float, float]] = {figure.name: (figure.low, figure.high) for figure in FIGURES}
LARGEST_PACK = 1_000_000.0


def known_usage(value: str) -> None:
    """Refuse a use that no rule of the take-off looks for."""
    if value not in USAGES:
        raise ValidationError(f"Must be empty or one of: {', '.join(USAGES)}.", code="unknown_usage")


def _whole_figure(name: str) -> models.PositiveIntegerField[int | None, int | None]:
    return models.PositiveIntegerField(
        null=True,
        blank=True,
        validators=[Between(*_BOUNDS[name])],
        error_messages={"invalid": "Give a whole number."},
    )


def _figure(name: str) -> models.FloatField[float | None, float | None]:
    return maybe_number(*_BOUNDS[name])


class Material(Retirable):
    """Something the shop buys. Figures that its kind does not use stay empty."""

    code = code_field()
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=12, choices=MaterialKind.choices)
    usage = models.CharField(max_length=20, blank=True, validators=[known_usage])
    pack_size = number(
        0.000_001, LARGEST_PACK, help_text="Content of one pack in its kind's unit: m², kg, L, mL, m or each."
    )
    pack_name = models.CharField(max_length=30, help_text="What one pack is called: sheet, bag, box.")
    waste = number(0, 1, default=0.0, help_text="Allowance for waste as a fraction: 0.10 for 10 %.")
    supplier = models.CharField(max_length=120, blank=True)
    lead_days = models.PositiveSmallIntegerField(default=0, error_messages={"invalid": "Give whole days."})
    source = models.CharField(max_length=200, blank=True, help_text="Where the figures come from.")

    length_mm = _figure("length_mm")
    width_mm = _figure("width_mm")
    thickness_mm = _figure("thickness_mm")
    casts = _whole_figure("casts")
    least_bend_radius_mm = _figure("least_bend_radius_mm")
    yield_m3 = _figure("yield_m3")
    relative_density = _figure("relative_density")
    absorption = _figure("absorption")
    moisture = _figure("moisture")
    coverage_m2_per_l = _figure("coverage_m2_per_l")
    coverage_next_m2_per_l = _figure("coverage_next_m2_per_l")
    dilution = _figure("dilution")
    mass_kg_per_m2 = _figure("mass_kg_per_m2")
    mass_kg_per_m = _figure("mass_kg_per_m")
    mass_kg_each = _figure("mass_kg_each")
    diameter_mm = _figure("diameter_mm")
    wire_mm = _figure("wire_mm")
    pitch_mm = _figure("pitch_mm")
    watts_per_m = _figure("watts_per_m")
    step_mm = _figure("step_mm")
    watts = _figure("watts")
    grit = _whole_figure("grit")

    class Meta:
        ordering: ClassVar[list[str]] = ["code"]
        constraints = (
            CheckConstraint(condition=Q(kind__in=MaterialKind.values), name="material_kind_known"),
            within("pack_size", 0.000_001, LARGEST_PACK, model="material"),
            within("waste", 0, 1, model="material"),
            *(
                within(name, low, high, model="material", missing=True)
                for name, (low, high) in _BOUNDS.items()
            ),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.name}"

    @property
    def content_unit(self) -> str:
        """What the pack's content is counted in."""
        return CONTENT_UNIT[self.kind]

    def clean(self) -> None:
        """Refuse figures the kind lacks, and figures that belong to another kind."""
        faults: dict[str, Any] = {}
        for figure in FIGURES:
            value = getattr(self, figure.name)
            if value is None and self.kind in figure.needed_by:
                faults[figure.name] = ValidationError("This kind of material needs it.", code="missing")
            if value is not None and self.kind not in figure.kinds:
                faults[figure.name] = ValidationError(
                    "This kind of material has no such figure.", code="not_used"
                )
        if faults:
            raise ValidationError(faults)


class MaterialPrice(Dated):
    """The price of one pack, without tax, from a date."""

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="prices")
    price = money()

    class Meta:
        ordering: ClassVar[list[str]] = ["material", "-valid_from"]
        constraints = (
            UniqueConstraint(fields=("material", "valid_from"), name="one_price_a_material_and_date"),
            within("price", 0, 10_000_000, model="materialprice"),
        )

    def __str__(self) -> str:
        return f"{self.material_id} from {self.valid_from}: {self.price}"
