"""The catalogue in `/admin/`, to look at with all its history; it is changed on the pages under Prices.

Only there, and over the API, do writes pass the services, which keep the past as it was.
"""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.db.models import Model
from django.http import HttpRequest

from catalog.models import (
    CatalogueChange,
    Material,
    MaterialPrice,
    Mix,
    MixPart,
    Operation,
    OperationStandard,
    Role,
    RoleRate,
    ShelfItem,
    ShopTerms,
)


class _LookOnly:
    """Refuses every write."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Nobody adds here."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Nobody changes here."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Nobody deletes here."""
        return False


def _rows(of: type[Model], *columns: str, foreign: str | None = None) -> type[admin.TabularInline[Any, Any]]:
    """Return a table of the rows that belong to the one looked at."""

    class Rows(_LookOnly, admin.TabularInline[Any, Any]):
        model = of
        fields = columns
        readonly_fields = columns
        fk_name = foreign
        extra = 0

    return Rows


@admin.register(Material)
class MaterialAdmin(_LookOnly, admin.ModelAdmin[Material]):
    """Materials with their prices."""

    list_display = ("code", "name", "kind", "usage", "supplier", "retired_from")
    list_filter = ("kind", "usage")
    search_fields = ("code", "name", "supplier")
    inlines = (_rows(MaterialPrice, "valid_from", "price", "entered_at", "entered_by"),)


@admin.register(ShelfItem)
class ShelfItemAdmin(_LookOnly, admin.ModelAdmin[ShelfItem]):
    """What is on the shelf."""

    list_display = ("material", "content", "length_mm", "width_mm", "count", "place", "noted_at", "noted_by")


@admin.register(Mix)
class MixAdmin(_LookOnly, admin.ModelAdmin[Mix]):
    """Mixes with their recipes."""

    list_display = ("code", "name", "density_kg_m3", "strength_28d_mpa", "retired_from")
    inlines = (_rows(MixPart, "position", "material", "kg_per_m3", "kind"),)


@admin.register(Role)
class RoleAdmin(_LookOnly, admin.ModelAdmin[Role]):
    """Roles with their pay."""

    list_display = ("code", "name")
    inlines = (_rows(RoleRate, "valid_from", "pay_per_hour", "on_costs", "entered_at", "entered_by"),)


@admin.register(Operation)
class OperationAdmin(_LookOnly, admin.ModelAdmin[Operation]):
    """Operations with their standards."""

    list_display = ("code", "name", "stage", "position", "retired_from")
    list_filter = ("stage",)
    inlines = (
        _rows(
            OperationStandard,
            "valid_from",
            "role",
            "crew",
            "setup_hours",
            "per_driver_hours",
            "breakage",
            "note",
            "entered_by",
            foreign="operation",
        ),
    )


@admin.register(ShopTerms)
class ShopTermsAdmin(_LookOnly, admin.ModelAdmin[ShopTerms]):
    """The shop's terms."""


@admin.register(CatalogueChange)
class CatalogueChangeAdmin(_LookOnly, admin.ModelAdmin[CatalogueChange]):
    """What was changed of all these, and by whom."""

    list_display = ("at", "by", "kind", "code", "new")
    list_filter = ("kind",)
    search_fields = ("by", "code", "words")
