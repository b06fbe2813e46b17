"""The page of an empty shop, and how prices are sorted."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client

from catalog import selectors
from catalog.models import Material, ShopTerms
from catalog.services.starter import load_starter, pack_document
from catalog.services.terms import update_terms
from tests.catalog.conftest import TODAY

Browser = Callable[[str], Client]


def test_an_empty_price_list_leads_to_the_first_catalogue(db: None, browser: Browser) -> None:
    owner = browser("owner")
    assert 'href="/prices/starter"' in owner.get("/prices/").content.decode()
    assert "made up" in owner.get("/prices/starter").content.decode()


@pytest.mark.parametrize(("pack", "bag"), [("metric", "25 kg"), ("us", "60 lb")])
def test_a_pack_is_told_by_the_bags_it_has(db: None, browser: Browser, pack: str, bag: str) -> None:
    """The US packs once promised bags of 80 lb."""
    grey = next(row for row in pack_document(pack)["materials"] if row["code"] == "BAG-GREY")
    assert grey["name"].endswith(bag)
    assert f"bags of {bag}" in browser("owner").get("/prices/starter").content.decode()


@pytest.mark.parametrize(("pack", "currency"), [("metric", "EUR"), ("us", "USD")])
def test_a_pack_is_taken_in_with_its_terms(db: None, browser: Browser, pack: str, currency: str) -> None:
    owner = browser("owner")
    answer = owner.post("/prices/starter", {"pack": pack}, follow=True)
    assert "rows are in" in answer.content.decode()
    assert selectors.shop_terms().currency == currency
    assert "Nothing is in the price list yet" not in answer.content.decode()


def test_a_us_shop_that_said_its_terms_first_gets_round_inches_and_pounds(db: None) -> None:
    update_terms({"name": "Quay Casting", "unit_system": "us", "currency": "USD", "kerf_mm": 2.5})
    load_starter("us", on=TODAY)
    terms = selectors.shop_terms()
    assert (terms.name, terms.kerf_mm) == ("Quay Casting", 2.5)
    pounds = 0.45359237  # NIST Handbook 44, appendix C
    assert [terms.screw_spacing_mm, terms.fillet_radius_mm] == pytest.approx([6 * 25.4, 25.4 / 4])
    assert terms.lift_limit_kg == pytest.approx(50 * pounds)


def test_a_metric_shop_keeps_its_measures_beside_a_pack_of_inches(db: None) -> None:
    update_terms({"currency": "USD"})
    before = selectors.shop_terms().screw_spacing_mm
    load_starter("us", on=TODAY)
    assert selectors.shop_terms().screw_spacing_mm == before


def test_terms_said_before_stay_and_get_what_they_left_open(db: None, browser: Browser) -> None:
    update_terms({"currency": "GBP", "target_margin": "0.4"})
    owner = browser("owner")
    refused = owner.post("/prices/starter", {"pack": "metric"})
    assert refused.status_code == 422
    assert "EUR" in refused.content.decode()
    assert not Material.objects.exists()
    assert owner.post("/prices/starter", {"pack": "metric", "own_currency": "1"}).status_code == 302
    terms = selectors.shop_terms()
    assert (terms.currency, terms.target_margin) == ("GBP", Decimal("0.4"))
    assert terms.default_mix is not None
    assert terms.finish_sealer is not None


def test_what_is_there_already_stays(board: Material, browser: Browser) -> None:
    owner = browser("owner")
    owner.post("/prices/starter", {"pack": "metric"})
    assert Material.objects.get(pk=board.pk).supplier == "Example Board Merchants"
    assert Material.objects.count() > 50


def test_a_mix_chosen_before_keeps_its_finish_open(db: None) -> None:
    load_starter("metric", on=TODAY)
    update_terms({"finish_grits": []})
    load_starter("metric", on=TODAY)
    assert ShopTerms.objects.get().finish_grits == []


def test_no_pack_of_that_name(db: None, browser: Browser) -> None:
    answer = browser("owner").post("/prices/starter", {"pack": "imperial"})
    assert answer.status_code == 422
    assert "Must be one of metric, us." in answer.content.decode()


def test_only_an_owner_takes_one_in(db: None, browser: Browser) -> None:
    assert browser("estimator").get("/prices/starter").status_code == 403


def test_prices_are_sorted_by_their_heads(world: None, browser: Browser) -> None:
    owner = browser("owner")
    for sort, first in (
        ("code", "BAG-GREY"),
        ("name", "BOARD-18"),
        ("kind", "BAG-GREY"),
        ("-code", "BOARD-18"),
        ("no", "BAG-GREY"),
    ):
        rows = owner.get(f"/prices/?sort={sort}").context["rows"]
        assert (sort, rows[0].material.code) == (sort, first)
