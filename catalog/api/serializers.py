"""What the catalogue's API shows, and what it takes.

Serializers of what is taken describe it, for the schema; the services are what checks it, so that every fault
is said at once, in the same words as on the pages and in a CSV file.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ParseError
from rest_framework.request import Request

from catalog.api.pages import Query, ordering
from catalog.models import (
    Material,
    MaterialPrice,
    Mix,
    MixPart,
    Operation,
    OperationStandard,
    Picture,
    Role,
    RoleRate,
    ShelfItem,
    ShopTerms,
)
from catalog.selectors import PaidRole, PlannedOperation, PricedMaterial, trimmed
from catalog.services.labour import STANDARD_FIGURES
from catalog.services.materials import DESCRIPTION
from catalog.services.mixes import FIGURES as MIX_FIGURES
from catalog.services.shelf import SIZES
from catalog.services.terms import TERMS
from catalog.vocabulary import MaterialKind, PartKind, Stage


def body(request: Request) -> Mapping[str, object]:
    """Return the object that a request brings, or answer that there is none."""
    if not isinstance(request.data, Mapping):
        raise ParseError("Send one JSON object.")
    return request.data


def dated_body(request: Request) -> tuple[dict[str, object], Any]:
    """Return the values a request brings and the date they shall hold from, today where none is said."""
    values = dict(body(request))
    return values, values.pop("valid_from", None) or timezone.localdate()


class MaterialQuery(Query):
    """How the list of materials may be narrowed."""

    kind = serializers.ChoiceField(MaterialKind.choices, required=False, default="")
    usage = serializers.CharField(required=False, default="")
    search = serializers.CharField(required=False, default="", help_text="Words of code, name or supplier.")
    on = serializers.DateField(
        required=False, default=None, help_text="Prices of this date; today by default."
    )
    retired = serializers.BooleanField(required=False, default=False, help_text="Retired ones too.")
    ordering = ordering("code", "name", "kind", "supplier")


class MixQuery(Query):
    """How the list of mixes may be narrowed."""

    search = serializers.CharField(required=False, default="", help_text="Words of code or name.")
    retired = serializers.BooleanField(required=False, default=False, help_text="Retired ones too.")
    ordering = ordering("code", "name", "density_kg_m3", "strength_28d_mpa")


class RoleQuery(Query):
    """How the list of roles may be narrowed."""

    search = serializers.CharField(required=False, default="", help_text="Words of code or name.")
    ordering = ordering("code", "name")


class OperationQuery(Query):
    """How the list of operations may be narrowed."""

    search = serializers.CharField(required=False, default="", help_text="Words of code or name.")
    stage = serializers.ChoiceField(Stage.choices, required=False, default="")
    retired = serializers.BooleanField(required=False, default=False, help_text="Retired ones too.")
    ordering = ordering("position", "code", "name")


class MaterialSerializer(serializers.ModelSerializer[Material]):
    """A material with the price that holds. `context["priced"]` has prices by key."""

    content_unit = serializers.CharField(read_only=True)
    price = serializers.SerializerMethodField()
    price_from = serializers.SerializerMethodField()
    unit_price = serializers.SerializerMethodField(help_text="Price of one unit of content, for show.")
    stale = serializers.SerializerMethodField(help_text="The price is older than the shop lets it be.")

    class Meta:
        model = Material
        fields = ("code", *DESCRIPTION, "content_unit", "price", "price_from", "unit_price", "stale")

    def _priced(self, row: Material) -> PricedMaterial:
        found: PricedMaterial = self.context["priced"][row.pk]
        return found

    @extend_schema_field(serializers.DecimalField(12, 4, allow_null=True))
    def get_price(self, row: Material) -> str | None:
        """Price of one pack, without tax."""
        price = self._priced(row).price
        return None if price is None else str(trimmed(price))

    @extend_schema_field(serializers.DateField(allow_null=True))
    def get_price_from(self, row: Material) -> str | None:
        """Date the price holds from."""
        start = self._priced(row).price_from
        return None if start is None else start.isoformat()

    @extend_schema_field(serializers.DecimalField(16, 4, allow_null=True))
    def get_unit_price(self, row: Material) -> str | None:
        """Price of one unit of content."""
        price = self._priced(row).unit_price
        return None if price is None else str(price)

    def get_stale(self, row: Material) -> bool:
        """Whether the price is old."""
        return self._priced(row).stale


class MaterialChange(serializers.ModelSerializer[Material]):
    """What may change of a material; every key may be left out."""

    class Meta:
        model = Material
        fields = DESCRIPTION


class MaterialWrite(MaterialChange):
    """A new material, with its first price where one is known."""

    price = serializers.DecimalField(max_digits=12, decimal_places=4, required=False)
    valid_from = serializers.DateField(required=False, help_text="The price's first day; today by default.")

    class Meta(MaterialChange.Meta):
        fields = ("code", *DESCRIPTION, "price", "valid_from")


class PriceSerializer(serializers.ModelSerializer[MaterialPrice]):
    """A price of one pack from a date."""

    class Meta:
        model = MaterialPrice
        fields = ("price", "valid_from", "entered_at", "entered_by")


class PriceWrite(serializers.Serializer[Any]):
    """A new price."""

    price = serializers.DecimalField(max_digits=12, decimal_places=4)
    valid_from = serializers.DateField(required=False, help_text="Today by default; never in the past.")


class PartSerializer(serializers.ModelSerializer[MixPart]):
    """One material of a recipe."""

    material = serializers.SlugRelatedField("code", queryset=Material.objects.all())
    kind = serializers.CharField(required=False, help_text=f"One of {', '.join(PartKind.values)}.")

    class Meta:
        model = MixPart
        fields = ("material", "kg_per_m3", "kind")


class MixSerializer(serializers.ModelSerializer[Mix]):
    """A mix: a bag with its water, or a recipe for one m³."""

    bag = serializers.SlugRelatedField(
        "code", queryset=Material.objects.all(), allow_null=True, required=False
    )
    fibre = serializers.SlugRelatedField(
        "code", queryset=Material.objects.all(), allow_null=True, required=False
    )
    parts = PartSerializer(many=True, required=False)

    class Meta:
        model = Mix
        fields = ("code", *MIX_FIGURES, "bag", "fibre", "parts")


class ShelfQuery(Query):
    """How the shelf may be narrowed."""

    search = serializers.CharField(required=False, default="", help_text="Words of code, name or place.")


class ShelfSerializer(serializers.ModelSerializer[ShelfItem]):
    """Something on the shelf: a board's offcuts by their sizes, anything else by its content."""

    material = serializers.SlugRelatedField("code", queryset=Material.objects.all())
    name = serializers.CharField(source="material.name", read_only=True)
    content_unit = serializers.CharField(source="material.content_unit", read_only=True)

    class Meta:
        model = ShelfItem
        fields = ("id", "material", "name", *SIZES, "content_unit", "noted_at", "noted_by")
        read_only_fields = ("noted_at", "noted_by")


class ShelfChange(serializers.ModelSerializer[ShelfItem]):
    """What is corrected; the material stays."""

    class Meta:
        model = ShelfItem
        fields = SIZES


class RoleSerializer(serializers.ModelSerializer[Role]):
    """A role; for owners with the pay that holds today."""

    class Meta:
        model = Role
        fields = ("code", "name")


class RateSerializer(serializers.ModelSerializer[RoleRate]):
    """Pay of a role from a date; `on_costs` is a fraction of it."""

    class Meta:
        model = RoleRate
        fields = ("pay_per_hour", "on_costs", "valid_from", "entered_at", "entered_by")


class RateWrite(serializers.Serializer[Any]):
    """New pay of a role."""

    pay_per_hour = serializers.DecimalField(max_digits=12, decimal_places=4)
    on_costs = serializers.DecimalField(max_digits=7, decimal_places=5, required=False)
    valid_from = serializers.DateField(required=False, help_text="Today by default; never in the past.")


class PaidRoleSerializer(serializers.Serializer[PaidRole]):
    """A role; `rate` only for owners."""

    code = serializers.CharField(source="role.code")
    name = serializers.CharField(source="role.name")
    rate = RateSerializer(allow_null=True, required=False)


class StandardSerializer(serializers.ModelSerializer[OperationStandard]):
    """What an operation is planned to take from a date."""

    role = serializers.SlugRelatedField("code", queryset=Role.objects.all())
    back_to = serializers.SlugRelatedField(
        "code", queryset=Operation.objects.all(), allow_null=True, required=False
    )
    per_driver_hours = serializers.DictField(child=serializers.FloatField(), required=False)

    class Meta:
        model = OperationStandard
        fields = ("role", *STANDARD_FIGURES, "back_to", "valid_from", "entered_at", "entered_by")
        read_only_fields = ("entered_at", "entered_by")


class StandardWrite(StandardSerializer):
    """A new standard; what is left out stays as it was."""

    role = serializers.SlugRelatedField("code", queryset=Role.objects.all(), required=False)
    valid_from = serializers.DateField(required=False, help_text="Today by default; never in the past.")


class OperationSerializer(serializers.ModelSerializer[Operation]):
    """A step of the shop's work."""

    class Meta:
        model = Operation
        fields = ("code", "name", "stage", "position", "retired_from")
        extra_kwargs: ClassVar[Any] = {"position": {"required": False}}


class PlannedOperationSerializer(serializers.Serializer[PlannedOperation]):
    """A step of the shop's work with the standard that holds today."""

    code = serializers.CharField(source="operation.code")
    name = serializers.CharField(source="operation.name")
    stage = serializers.CharField(source="operation.stage")
    position = serializers.IntegerField(source="operation.position")
    standard = StandardSerializer(allow_null=True)


class PictureSerializer(serializers.ModelSerializer[Picture]):
    """A picture as it is kept; its bytes have an address of their own."""

    class Meta:
        model = Picture
        fields = ("sha256", "media_type", "width_px", "height_px", "length")
        read_only_fields = fields


class TermsSerializer(serializers.ModelSerializer[ShopTerms]):
    """How the shop builds, prices and sells."""

    default_mix = serializers.SlugRelatedField(
        "code", queryset=Mix.objects.all(), allow_null=True, required=False
    )
    finish_sealer = serializers.SlugRelatedField(
        "code", queryset=Material.objects.all(), allow_null=True, required=False
    )
    website = serializers.CharField(max_length=200, required=False, allow_blank=True)
    tax_rates = serializers.DictField(
        child=serializers.CharField(), required=False, help_text="Fractions as text, by category."
    )
    payment_stages = serializers.ListField(
        child=serializers.ListField(child=serializers.CharField(), min_length=2, max_length=2),
        required=False,
        help_text="When each payment falls due, and its share of the total as text.",
    )
    finish_grits = serializers.ListField(child=serializers.IntegerField(), required=False)
    finish_faces = serializers.ListField(child=serializers.CharField(), required=False)
    shop_temperature_c = serializers.ListField(child=serializers.FloatField(), required=False)
    working_days = serializers.ListField(child=serializers.IntegerField(), required=False)
    logo = PictureSerializer(read_only=True, allow_null=True)

    class Meta:
        model = ShopTerms
        fields = (*TERMS, "default_mix", "finish_sealer", "logo", "logo_text")
        read_only_fields = ("logo_text",)
