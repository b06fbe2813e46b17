"""The shop's terms: one row, checked."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from catalog import selectors
from catalog.errors import CatalogRefused
from catalog.models import ShopTerms
from catalog.services.terms import update_terms
from catalog.web.terms_form import TermsForm


def test_a_new_shop_has_defaults_without_a_row(db: None) -> None:
    assert selectors.shop_terms().currency == "EUR"
    assert not ShopTerms.objects.exists()


def test_what_is_said_is_kept_and_the_rest_stays(world: None) -> None:
    update_terms({"currency": "GBP", "default_mix": "MIX-GREY"})
    terms = update_terms({"target_margin": "0.35"})
    assert (terms.currency, terms.target_margin) == ("GBP", Decimal("0.35"))
    assert terms.default_mix is not None
    assert terms.default_mix.code == "MIX-GREY"


@pytest.mark.parametrize(
    ("values", "path"),
    [
        ({"currency": "euro"}, "currency"),
        ({"unit_system": "imperial"}, "unit_system"),
        ({"paper_size": "A3"}, "paper_size"),
        ({"tax_rates": {"reduced": "0.05"}}, "tax_rates"),
        ({"tax_rates": {"standard": 0.2}}, "tax_rates"),
        ({"tax_rates": {"standard": "20"}}, "tax_rates"),
        ({"tax_rates": {"standard": "NaN"}}, "tax_rates"),
        ({"tax_rates": {"standard": "0.2", "Strange One": "0.1"}}, "tax_rates"),
        ({"target_margin": "0.96"}, "target_margin"),
        ({"price_step": "-1"}, "price_step"),
        ({"price_step": "0"}, "price_step"),
        ({"deposit": "2"}, "deposit"),
        ({"payment_stages": [["on order", "0.5"], ["on delivery", "0.4"]]}, "payment_stages"),
        ({"payment_stages": [["on order", 0.5], ["on delivery", 0.5]]}, "payment_stages"),
        ({"payment_stages": [["on order", "half"], ["on delivery", "0.5"]]}, "payment_stages"),
        ({"payment_stages": [["", "1"]]}, "payment_stages"),
        ({"payment_stages": [["on order", "1.5"], ["back", "-0.5"]]}, "payment_stages"),
        ({"hours_basis": "hopeful"}, "hours_basis"),
        ({"hours_per_day": 0}, "hours_per_day"),
        ({"rupture_rule": "guess"}, "rupture_rule"),
        ({"strength_curve": "guess"}, "strength_curve"),
        ({"deliver_share": 1.1}, "deliver_share"),
        ({"dry_days": -1}, "dry_days"),
        ({"finish_grits": [400, 200]}, "finish_grits"),
        ({"finish_grits": [True]}, "finish_grits"),
        ({"finish_faces": []}, "finish_faces"),
        ({"finish_faces": ["front"]}, "finish_faces"),
        ({"finish_faces": [["show"]]}, "finish_faces"),
        ({"finish_fill": "some"}, "finish_fill"),
        ({"finish_coats": 2}, "finish_sealer"),
        ({"finish_sealer": "SEAL"}, "finish_sealer"),
        ({"default_mix": "MIX-GRAY"}, "default_mix"),
        ({"shop_temperature_c": [18] * 11}, "shop_temperature_c"),
        ({"shop_temperature_c": ["warm"] * 12}, "shop_temperature_c"),
        ({"working_days": []}, "working_days"),
        ({"working_days": [7]}, "working_days"),
        ({"holiday_region": "Britain"}, "holiday_region"),
        ({"validity_days": 0}, "validity_days"),
        ({"website": "ftp://shop.example"}, "website"),
        ({"email": "office"}, "email"),
        ({"locale": "english"}, "locale"),
        ({"mixer_l": 0}, "mixer_l"),
        ({"id": 2}, "id"),
    ],
)
def test_refused_terms(world: None, values: dict[str, Any], path: str) -> None:
    with pytest.raises(CatalogRefused) as refused:
        update_terms(values)
    assert {fault.path for fault in refused.value.faults} == {path}
    assert not ShopTerms.objects.exists()


def test_the_database_holds_one_row_only(world: None) -> None:
    update_terms({})
    with pytest.raises(IntegrityError), transaction.atomic():
        ShopTerms.objects.create(id=2)


def test_payments_are_typed_one_a_line_and_read_back_so(world: None) -> None:
    stages = [["on order", "0.3"], ["when it is cast", "0.3"], ["on delivery", "0.4"]]
    update_terms({"payment_stages": stages})
    start = TermsForm.initial_of(selectors.shop_terms())
    assert start["payment_stages"] == "on order 0.3\nwhen it is cast 0.3\non delivery 0.4"
    form = TermsForm({name: "" if value is None else value for name, value in start.items()})
    made = form.try_to(update_terms)
    assert made is not None, form.errors
    assert made.payment_stages == stages
    form = TermsForm(start | {"payment_stages": "on order\non delivery 0.4", "website": ""})
    assert form.try_to(update_terms) is None
    assert "payment_stages" in form.errors
