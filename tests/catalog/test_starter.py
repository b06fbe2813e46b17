"""The starter catalogue: loads, loads again, leaves the shop's own alone."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from catalog import selectors
from catalog.errors import CatalogRefused
from catalog.models import Material, MaterialPrice, OperationStandard, RoleRate, ShopTerms
from catalog.services.materials import set_price, update_material
from catalog.services.starter import load_starter, pack_document
from catalog.services.terms import update_terms

START, LATER = date(2026, 1, 5), date(2026, 6, 1)


@pytest.mark.parametrize("pack", ["metric", "us"])
def test_a_second_load_doubles_nothing(db: None, pack: str) -> None:
    first = load_starter(pack, on=START)
    counts = [
        model._default_manager.count() for model in (Material, MaterialPrice, OperationStandard, RoleRate)
    ]
    second = load_starter(pack, on=LATER)
    assert first.kept == 0
    assert (second.created, second.kept) == (0, first.created)
    assert counts == [
        model._default_manager.count() for model in (Material, MaterialPrice, OperationStandard, RoleRate)
    ]


def test_the_shops_own_changes_survive(db: None) -> None:
    load_starter("metric", on=START)
    set_price("BOARD-18", "71.00", valid_from=LATER, today=LATER)
    update_material("BOARD-18", {"supplier": "Example Timber Yard"})
    update_terms({"target_margin": "0.4"})
    load_starter("metric", on=LATER)
    price = selectors.price_on("BOARD-18", LATER)
    assert price is not None
    assert price.price == Decimal("71")
    assert selectors.material("BOARD-18").supplier == "Example Timber Yard"
    assert ShopTerms.objects.get().target_margin == Decimal("0.4")


def test_what_a_shop_lacks_is_added(db: None) -> None:
    load_starter("metric", on=START)
    MaterialPrice.objects.filter(material__code="PAD-50").delete()
    Material.objects.filter(code="PAD-50").delete()
    assert load_starter("metric", on=LATER).created == 1


def test_prices_of_another_currency_are_not_mixed_in(db: None) -> None:
    load_starter("metric", on=START)
    with pytest.raises(CatalogRefused, match="USD"):
        load_starter("us", on=START)


def test_an_unknown_pack_is_refused(db: None) -> None:
    with pytest.raises(CatalogRefused):
        load_starter("../starter", on=START)


@pytest.mark.parametrize("pack", ["metric", "us"])
def test_suppliers_are_plainly_invented(pack: str) -> None:
    suppliers = {row.get("supplier", "") for row in pack_document(pack)["materials"]}
    assert all(name == "" or name.startswith("Example ") for name in suppliers)
    assert pack_document(pack)["terms"]["email"].endswith(".example")
