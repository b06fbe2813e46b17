"""The shop's terms: one row that says how this shop builds, prices and sells."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import URLValidator
from django.db import models
from django.db.models import CheckConstraint, Q

from catalog.models.columns import Between, JSONColumn, money, number, share, within
from catalog.models.materials import Material
from catalog.models.mixes import Mix
from catalog.models.pictures import Picture
from catalog.models.shop_rules import (
    currency_validator,
    default_faces,
    default_tax_rates,
    default_temperatures,
    default_working_days,
    known_faces,
    known_fill,
    known_grits,
    known_payment_stages,
    known_tax_rates,
    known_weekdays,
    locale_validator,
    region_validator,
    twelve_temperatures,
)


class UnitSystem(models.TextChoices):
    """What lengths and masses are shown in."""

    METRIC = "metric", "Metric"
    US = "us", "US customary"


class PaperSize(models.TextChoices):
    """What documents are printed on."""

    A4 = "A4", "A4"
    LETTER = "Letter", "Letter"


class BreakageMethod(models.TextChoices):
    """How the breakage allowance is worked out."""

    FLAT = "flat", "Flat rate"
    BY_STAGE = "by_stage", "By stage"


class MaterialsBasis(models.TextChoices):
    """What materials are charged by."""

    PACKS = "packs", "Whole packs bought"
    USE = "use", "What is used"


class HoursBasis(models.TextChoices):
    """What planned hours are priced at."""

    EXPECTED = "expected", "Expected: the mean of their spread"
    LIKELY = "likely", "Most likely: as planned"


class RuptureRule(models.TextChoices):
    """By which rule concrete cracks in bending."""

    ACI = "aci", "ACI 318M"
    EC2 = "ec2", "EN 1992-1-1"


class StrengthCurve(models.TextChoices):
    """How strength grows with age."""

    EC2 = "ec2", "EN 1992-1-1"
    ACI209 = "aci209", "ACI 209R"


class MouldSides(models.TextChoices):
    """How the sides of a mould stand."""

    LAPPED = "lapped", "Lapped: fixed to the base's edge"
    STANDING = "standing", "Standing on a larger base"


class LearningModel(models.TextChoices):
    """Which learning curve repeats follow."""

    CRAWFORD = "crawford", "Crawford: unit time"
    WRIGHT = "wright", "Wright: average time"


class Maturity(models.TextChoices):
    """Which maturity function cure times follow (ASTM C1074)."""

    ARRHENIUS = "arrhenius", "Equivalent age"
    NURSE_SAUL = "nurse_saul", "Temperature-time factor"


class ShopTerms(models.Model):
    """What the shop decides once; there is one row, with the key 1."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)

    # who the shop is, for its papers
    name = models.CharField(max_length=120, default="Our workshop")
    address = models.TextField(max_length=400, blank=True, help_text="One line each.")
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    website = models.CharField(
        max_length=200,
        blank=True,
        validators=[URLValidator(("https", "http"), message="Give an address such as https://shop.example.")],
    )
    tax_number = models.CharField(max_length=40, blank=True)
    logo = models.ForeignKey(Picture, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    logo_text = models.CharField(max_length=160, blank=True, help_text="What the logo shows, in words.")
    # how it speaks
    currency = models.CharField(max_length=3, default="EUR", validators=[currency_validator])
    minor_units = models.PositiveSmallIntegerField(default=2, validators=[Between(0, 4)])
    locale = models.CharField(max_length=10, default="en_GB", validators=[locale_validator])
    unit_system = models.CharField(max_length=6, choices=UnitSystem.choices, default=UnitSystem.METRIC)
    paper_size = models.CharField(max_length=6, choices=PaperSize.choices, default=PaperSize.A4)
    # what it makes where nothing is said
    default_mix = models.ForeignKey(Mix, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    finish_fill = models.CharField(max_length=4, default="full", validators=[known_fill])
    finish_grits: models.JSONField[Any, list[int]] = JSONColumn(default=list, validators=[known_grits])
    finish_sealer = models.ForeignKey(
        Material, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    finish_coats = models.PositiveSmallIntegerField(default=0, validators=[Between(0, 10)])
    finish_faces: models.JSONField[Any, list[str]] = JSONColumn(
        default=default_faces, validators=[known_faces]
    )
    # how it sells
    tax_label = models.CharField(max_length=20, default="VAT", help_text="What the tax is called on papers.")
    tax_rates: models.JSONField[Any, dict[str, str]] = JSONColumn(
        default=default_tax_rates, validators=[known_tax_rates], help_text="Fractions as text, by category."
    )
    overhead_per_labour_hour = money(default=Decimal(0))
    target_margin = share("0.95", default=Decimal("0.30"), help_text="Of the price: 0.30 for 30 %.")
    breakage_method = models.CharField(
        max_length=8, choices=BreakageMethod.choices, default=BreakageMethod.FLAT
    )
    breakage_flat = share(default=Decimal("0.05"))
    price_step = money(default=Decimal(1), help_text="Prices are rounded up to a multiple of this.")
    minimum_job_price = money(default=Decimal(0))
    deposit = share(default=Decimal("0.50"))
    payment_stages: models.JSONField[Any, list[list[str]]] = JSONColumn(
        default=list,
        blank=True,
        validators=[known_payment_stages],
        help_text="When each falls due and its share of the total; none: the deposit and the balance.",
    )
    hours_basis = models.CharField(
        max_length=8,
        choices=HoursBasis.choices,
        default=HoursBasis.EXPECTED,
        help_text="Work runs over more often than under: the mean is above the most likely.",
    )
    materials_basis = models.CharField(
        max_length=5, choices=MaterialsBasis.choices, default=MaterialsBasis.PACKS
    )
    # A rate by the mile comes back as it was typed.
    delivery_per_km = money(places=6, default=Decimal(0))
    delivery_per_step = money(default=Decimal(0))
    delivery_fixed = money(default=Decimal(0))
    validity_days = models.PositiveSmallIntegerField(default=30, validators=[Between(1, 730)])
    terms_text = models.TextField(max_length=8000, blank=True)
    stale_after_days = models.PositiveSmallIntegerField(default=180, validators=[Between(1, 3650)])
    # how it builds moulds
    mould_sides = models.CharField(max_length=8, choices=MouldSides.choices, default=MouldSides.LAPPED)
    fillet_radius_mm = number(0, 50, default=6.0)
    screw_spacing_mm = number(20, 2000, default=150.0)
    kerf_mm = number(0, 20, default=3.2)
    trim_mm = number(0, 100, default=0.0)
    mixer_l = number(1, 5000, default=60.0, help_text="Concrete that one batch makes.")
    scale_step_kg = number(0.0001, 10, default=0.1)
    # its people
    lift_limit_kg = number(1, 100, default=25.0, help_text="Mass that one person lifts.")
    people_available = models.PositiveSmallIntegerField(default=4, validators=[Between(1, 50)])
    learning_model = models.CharField(
        max_length=8, choices=LearningModel.choices, default=LearningModel.CRAWFORD
    )
    handling_factor = number(1, 5, default=1.5)
    flexure_safety = number(1, 10, default=1.5)
    rupture_rule = models.CharField(max_length=3, choices=RuptureRule.choices, default=RuptureRule.ACI)
    hours_per_day = number(0.5, 24, default=8.0, help_text="Hands-on hours in a working day.")
    # how concrete cures in it
    maturity = models.CharField(max_length=10, choices=Maturity.choices, default=Maturity.ARRHENIUS)
    datum_c = number(-20, 10, default=0.0)
    activation_k = number(1000, 10_000, default=5000.0)
    reference_c = number(5, 40, default=20.0)
    shop_temperature_c: models.JSONField[Any, list[float]] = JSONColumn(
        default=default_temperatures, validators=[twelve_temperatures]
    )
    strength_curve = models.CharField(max_length=6, choices=StrengthCurve.choices, default=StrengthCurve.EC2)
    strip_mpa = number(0, 60, default=5.0, help_text="Strength before the sides are stripped, MPa.")
    strip_h = number(0, 1000, default=20.0, help_text="Equivalent age before that, in hours.")
    turn_mpa = number(0, 60, default=15.0, help_text="Strength before the piece is turned, MPa.")
    polish_mpa = number(0, 60, default=20.0, help_text="Strength before polishing, MPa.")
    dry_days = models.PositiveSmallIntegerField(
        default=28, validators=[Between(0, 365)], help_text="From the pour to the first coat of sealer."
    )
    coat_days = models.PositiveSmallIntegerField(
        default=1, validators=[Between(0, 60)], help_text="Between coats of sealer."
    )
    harden_days = models.PositiveSmallIntegerField(
        default=3, validators=[Between(0, 60)], help_text="From the last coat to delivery."
    )
    deliver_share = number(0, 1, default=0.75, help_text="Of the 28-day strength, before delivery.")
    working_days: models.JSONField[Any, list[int]] = JSONColumn(
        default=default_working_days, validators=[known_weekdays]
    )
    holiday_region = models.CharField(max_length=6, blank=True, validators=[region_validator])

    class Meta:
        verbose_name_plural = "shop terms"
        constraints = (
            CheckConstraint(condition=Q(id=1), name="one_row_of_shop_terms"),
            CheckConstraint(
                condition=Q(price_step__gt=0),
                name="price_step_above_nought",
                violation_error_message="The step prices are rounded to must be above nought.",
            ),
            within("target_margin", 0, 0.95, model="terms"),
            within("breakage_flat", 0, 1, model="terms"),
            within("deposit", 0, 1, model="terms"),
            within("mixer_l", 1, 5000, model="terms"),
            within("scale_step_kg", 0.0001, 10, model="terms"),
            within("screw_spacing_mm", 20, 2000, model="terms"),
        )

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        """Refuse a step of nought, to which no price can be rounded."""
        if self.price_step == 0:
            raise ValidationError({"price_step": ValidationError("Must be above 0.", code="out_of_range")})
