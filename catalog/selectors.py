"""Reads of the catalogue: what holds on a date. The one door for pages, API, admin and other applications."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import TypeVar

from django.db.models import Case, IntegerField, Max, Model, OuterRef, Q, QuerySet, Subquery, Value, When

from catalog.errors import NoSuchRow
from catalog.models import (
    CatalogueChange,
    Material,
    MaterialPrice,
    Mix,
    Operation,
    OperationStandard,
    Picture,
    Role,
    RoleRate,
    ShelfItem,
    ShopTerms,
)
from catalog.search import words_of
from catalog.vocabulary import Stage

M = TypeVar("M", bound=Model)


@dataclass(frozen=True, slots=True)
class PricedMaterial:
    """A material with the price that holds on a date; None where it has none yet."""

    material: Material
    price: Decimal | None
    price_from: date | None
    stale: bool

    @property
    def unit_price(self) -> Decimal | None:
        """Price of one unit of content (m², kg, L ...), to four places, for show only."""
        if self.price is None:
            return None
        return (self.price / Decimal(repr(self.material.pack_size))).quantize(Decimal("0.0001"))


@dataclass(frozen=True, slots=True)
class PaidRole:
    """A role with the pay that holds on a date."""

    role: Role
    rate: RoleRate | None


@dataclass(frozen=True, slots=True)
class PlannedOperation:
    """An operation with the standard that holds on a date."""

    operation: Operation
    standard: OperationStandard | None


def in_use(rows: QuerySet[M], on: date, of: str = "") -> QuerySet[M]:
    """Return the rows not retired on a date; or those whose `of` (a relation) is not."""
    start = f"{of}__retired_from" if of else "retired_from"
    return rows.filter(Q(**{f"{start}__isnull": True}) | Q(**{f"{start}__gt": on}))


def trimmed(amount: Decimal) -> Decimal:
    """Return an amount without the noughts its column pads it with, two places at least.

    >>> trimmed(Decimal("12.5000")), trimmed(Decimal("0.0625"))
    (Decimal('12.50'), Decimal('0.0625'))
    """
    cents = amount.quantize(Decimal("0.01"))
    return cents if cents == amount else amount.normalize()


def is_stale(price_from: date, on: date, stale_after_days: int) -> bool:
    """Return whether a price is older on a date than the shop lets it be."""
    return on - price_from > timedelta(days=stale_after_days)


def shop_terms() -> ShopTerms:
    """Return the shop's terms; a shop that has not said any has the defaults, unsaved."""
    terms = ShopTerms.objects.select_related("default_mix", "finish_sealer").filter(pk=1).first()
    return terms or ShopTerms()


@dataclass(frozen=True, slots=True)
class Logo:
    """The shop's logo as it goes on a paper."""

    sha256: str
    text: str
    """What it shows, in words."""
    media_type: str
    content: bytes


def logo(terms: ShopTerms) -> Logo | None:
    """Return the logo of the terms; None for a shop without one."""
    return None if terms.logo is None else _as_logo(terms.logo, terms.logo_text or terms.name)


def logo_named(sha256: str, text: str) -> Logo | None:
    """Return the picture of that hash as a logo, whether it is still the shop's or not."""
    kept = Picture.objects.filter(sha256=sha256).first()
    return None if kept is None else _as_logo(kept, text)


def _as_logo(kept: Picture, text: str) -> Logo:
    return Logo(kept.sha256, text, kept.media_type, bytes(kept.content))


def has_terms() -> bool:
    """Return whether the shop has said its terms."""
    return ShopTerms.objects.exists()


def is_empty() -> bool:
    """Return whether nothing is in the price list yet, and nothing can be cast with."""
    return not Material.objects.exists() and not Mix.objects.exists()


def by_code(rows: QuerySet[M], what: str, code: str) -> M:
    """Return the row with a code, or raise `NoSuchRow`."""
    found = rows.filter(code=code).first()
    if found is None:
        raise NoSuchRow(what, code)
    return found


def material(code: str) -> Material:
    """Return a material by its code, in use or not."""
    return by_code(Material.objects.all(), "material", code)


def materials(
    on: date, *, kind: str = "", usage: str = "", search: str = "", retired: bool = False
) -> QuerySet[Material]:
    """Return materials in order of code, narrowed; `search` looks in code, name and supplier."""
    rows = Material.objects.all() if retired else in_use(Material.objects.all(), on)
    if kind:
        rows = rows.filter(kind=kind)
    if usage:
        rows = rows.filter(usage=usage)
    return found_by(search, rows, "code", "name", "supplier").order_by("code")


def found_by(search: str, rows: QuerySet[M], *columns: str) -> QuerySet[M]:
    """Return the rows that have every word of a search in one of some columns."""
    for word in words_of(search):
        either = Q()
        for column in columns:
            either |= Q(**{f"{column}__icontains": word})
        rows = rows.filter(either)
    return rows


def shelf(*, search: str = "") -> QuerySet[ShelfItem]:
    """Return what is on the shelf by code of material; `search` looks in code, name and place."""
    rows = ShelfItem.objects.select_related("material")
    return found_by(search, rows, "material__code", "material__name", "place")


def shelf_item(pk: int | str) -> ShelfItem:
    """Return one thing on the shelf, or raise `NoSuchRow`."""
    known = str(pk).isascii() and str(pk).isdecimal() and len(str(pk)) < 19
    found = ShelfItem.objects.select_related("material").filter(pk=pk).first() if known else None
    if found is None:
        raise NoSuchRow("thing on the shelf", str(pk))
    return found


def changes(*, search: str = "", kind: str = "") -> QuerySet[CatalogueChange]:
    """Return what was changed of the catalogue, latest first, narrowed; prices, pay and standards are dated.

    `search` looks in code, person, kind and in what the columns are called, said and say.
    """
    rows = CatalogueChange.objects.filter(kind=kind) if kind else CatalogueChange.objects.all()
    return found_by(search, rows, "code", "by", "words").order_by("-at", "-pk")


def with_prices(rows: QuerySet[Material], on: date) -> QuerySet[Material]:
    """Return materials with the price that holds on a date, `price_now`, and its first day, `price_since`."""
    latest = MaterialPrice.objects.filter(material=OuterRef("pk"), valid_from__lte=on).order_by("-valid_from")
    return rows.annotate(
        price_now=Subquery(latest.values("price")[:1]), price_since=Subquery(latest.values("valid_from")[:1])
    )


def priced(rows: Iterable[Material], on: date) -> tuple[PricedMaterial, ...]:
    """Return materials with the prices that hold on a date, in three queries at most."""
    found = tuple(rows)
    prices = prices_on(on, found)
    limit = shop_terms().stale_after_days
    return tuple(_priced(row, prices.get(row.pk), on, limit) for row in found)


def _priced(row: Material, price: MaterialPrice | None, on: date, limit: int) -> PricedMaterial:
    if price is None:
        return PricedMaterial(row, None, None, stale=False)
    return PricedMaterial(row, price.price, price.valid_from, is_stale(price.valid_from, on, limit))


def prices_on(on: date, rows: Iterable[Material] | None = None) -> dict[int, MaterialPrice]:
    """Return the price that holds on a date, by the material's key."""
    prices = prices_that_hold(on)
    if rows is not None:
        prices = prices.filter(material__in=[row.pk for row in rows])
    return {price.material_id: price for price in prices}


def prices_that_hold(on: date) -> QuerySet[MaterialPrice]:
    """Return the price of each material that holds on a date: the latest that has started."""
    latest = (
        MaterialPrice.objects.filter(material=OuterRef("material"), valid_from__lte=on)
        .order_by("-valid_from")
        .values("pk")[:1]
    )
    return MaterialPrice.objects.filter(pk=Subquery(latest))


def price_on(code: str, on: date) -> MaterialPrice | None:
    """Return the price of a material that holds on a date, if any."""
    rows = MaterialPrice.objects.filter(material=material(code), valid_from__lte=on)
    return rows.order_by("-valid_from").first()


def price_history(code: str) -> QuerySet[MaterialPrice]:
    """Return all prices of a material, latest first."""
    return material(code).prices.order_by("-valid_from")


def mix(code: str) -> Mix:
    """Return a mix by its code with its parts, in use or not."""
    return by_code(mixes_with_parts(), "mix", code)


def mixes_with_parts() -> QuerySet[Mix]:
    """Return every mix with bag, fibre and parts at hand, in order of code."""
    rows = Mix.objects.select_related("bag", "fibre").prefetch_related("parts__material")
    return rows.order_by("code")


def mixes(on: date, *, search: str = "", retired: bool = False) -> QuerySet[Mix]:
    """Return the mixes in use on a date, or the retired ones too; `search` looks in code and name."""
    rows = mixes_with_parts() if retired else in_use(mixes_with_parts(), on)
    return found_by(search, rows, "code", "name")


def role(code: str) -> Role:
    """Return a role by its code."""
    return by_code(Role.objects.all(), "role", code)


def roles(on: date, *, search: str = "") -> QuerySet[Role]:
    """Return roles by code, with `pay_now`, `on_costs_now` and `paid_since` on a date to order them by."""
    latest = RoleRate.objects.filter(role=OuterRef("pk"), valid_from__lte=on).order_by("-valid_from")
    rows = Role.objects.annotate(
        pay_now=Subquery(latest.values("pay_per_hour")[:1]),
        on_costs_now=Subquery(latest.values("on_costs")[:1]),
        paid_since=Subquery(latest.values("valid_from")[:1]),
    )
    return found_by(search, rows, "code", "name").order_by("code")


def paid_roles(on: date, rows: Iterable[Role] | None = None) -> tuple[PaidRole, ...]:
    """Return roles, or every one in order of code, with the pay that holds on a date."""
    rates: dict[int, RoleRate] = {}
    for rate in RoleRate.objects.filter(valid_from__lte=on).order_by("valid_from"):
        rates[rate.role_id] = rate
    found = Role.objects.order_by("code") if rows is None else rows
    return tuple(PaidRole(row, rates.get(row.pk)) for row in found)


def operation(code: str) -> Operation:
    """Return an operation by its code, in use or not."""
    return by_code(Operation.objects.all(), "operation", code)


def operations(on: date, *, search: str = "", stage: str = "", retired: bool = False) -> QuerySet[Operation]:
    """Return operations in order of work, narrowed; `search` looks in code and name.

    With what their standard says on a date, to order them by: `role_now`, `crew_now`, `setup_now`,
    `breakage_now`; and `stage_place`, nought for the first stage.
    """
    rows = Operation.objects.all() if retired else in_use(Operation.objects.all(), on)
    if stage:
        rows = rows.filter(stage=stage)
    held = OperationStandard.objects.filter(operation=OuterRef("pk"), valid_from__lte=on)
    latest = held.order_by("-valid_from")
    stages = [When(stage=name, then=Value(place)) for place, name in enumerate(Stage.values)]
    rows = rows.annotate(
        role_now=Subquery(latest.values("role__name")[:1]),
        crew_now=Subquery(latest.values("crew")[:1]),
        setup_now=Subquery(latest.values("setup_hours")[:1]),
        breakage_now=Subquery(latest.values("breakage")[:1]),
        stage_place=Case(*stages, output_field=IntegerField()),
    )
    return found_by(search, rows, "code", "name").order_by("position", "code")


def planned_operations(on: date, rows: Iterable[Operation] | None = None) -> tuple[PlannedOperation, ...]:
    """Return operations, or those in use on a date in order of work, with their standards."""
    standards: dict[int, OperationStandard] = {}
    held = OperationStandard.objects.filter(valid_from__lte=on).select_related("role", "back_to")
    for standard in held.order_by("valid_from"):
        standards[standard.operation_id] = standard
    found = in_use(Operation.objects.order_by("position", "code"), on) if rows is None else rows
    return tuple(PlannedOperation(row, standards.get(row.pk)) for row in found)


def standard_history(code: str) -> QuerySet[OperationStandard]:
    """Return all standards of an operation, latest first."""
    return operation(code).standards.select_related("role", "back_to").order_by("-valid_from")


def next_position() -> int:
    """Return the place in the order of work after the last operation."""
    last = Operation.objects.aggregate(last=Max("position"))["last"]
    return 10 if last is None else last + 10
