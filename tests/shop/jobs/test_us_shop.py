"""Jobs of a US shop: pounds and square feet typed and told, kilograms and square metres kept."""

from __future__ import annotations

import json
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st
from rest_framework.test import APIClient

from catalog.models import ShopTerms
from quoting.engine.errors import Refused
from shop.jobs.documents.cost_report import report_page
from shop.jobs.models import Draw, Job, PlannedMaterial
from shop.jobs.selectors.costs import report_of
from shop.jobs.selectors.report_object import report_object
from shop.jobs.services.draws import Drawn, record_draw
from shop.jobs.units import kept, said, shop_unit, shown
from tests.shop.jobs.conftest import NOW, TODAY, said_on

D = Decimal
Browser = Callable[[str], Client]
# One of each is so much of the other: NIST Handbook 44, Appendix C.
EXACT = {
    "kg": ("lb", D("0.45359237")),
    "m²": ("sq ft", D("0.09290304")),
    "m": ("ft", D("0.3048")),
    "L": ("gal", D("3.785411784")),
    "mL": ("fl oz", D("29.5735295625")),
}


@pytest.fixture
def us(db: None) -> None:
    ShopTerms.objects.update_or_create(pk=1, defaults={"unit_system": "us"})


def draw(job: Job, drawn: Drawn, by: Any) -> Draw:
    return record_draw(job, drawn, on=TODAY, by=by, now=NOW)


# --- the sums --------------------------------------------------------------------------------------------
@pytest.mark.parametrize("unit", EXACT)
def test_published_factors(unit: str) -> None:
    name, factor = EXACT[unit]
    assert shop_unit(unit, "us") == name
    assert kept(D(1000), name, unit) == (1000 * factor).quantize(D("0.000001"))
    assert said(1000 * factor, unit, "us") == f"1000 {name}"
    assert said(D("12.500000"), unit, "metric") == f"12.5 {unit}"


@given(st.sampled_from(sorted(EXACT)), st.decimals(D("0.01"), D(99999), places=2))
def test_what_was_typed_is_told_again(unit: str, typed: Decimal) -> None:
    """Kept to a millionth of the unit, it reads as it was typed."""
    name = shop_unit(unit, "us")
    found = kept(typed, name, unit)
    assert found is not None
    assert abs(shown(found, unit, "us") - typed) <= D("0.00001")
    assert said(found, unit, "us") == f"{typed.normalize():f} {name}"


def test_one_measure_is_never_taken_for_another() -> None:
    assert kept(D(5), "lb", "m²") is None
    assert kept(D(5), "kg", "m²") is None
    assert kept(D(5), "lb", "each") is None
    assert kept(D(5), "each", "each") == 5


# --- draws -----------------------------------------------------------------------------------------------
def test_pounds_drawn_are_kept_as_kilograms_at_the_price_of_them(
    job: Job, bags: PlannedMaterial, people: dict[str, Any]
) -> None:
    made = draw(job, Drawn(D(50), material=bags, unit="lb"), people["bench"])
    assert (made.quantity, made.unit) == (D("22.679619"), "kg")
    assert made.amount == D("9.07")  # 22.679619 kg × 80 ÷ 200 kg


def test_a_unit_of_something_else_is_refused(job: Job, bags: PlannedMaterial, people: dict[str, Any]) -> None:
    with pytest.raises(Refused, match="counted in kg, or in lb") as refused:
        draw(job, Drawn(D(50), material=bags, unit="gal"), people["bench"])
    assert [fault.path for fault in refused.value.faults] == ["unit"]
    assert not Draw.objects.exists()


def test_what_was_drawn_in_pounds_can_all_be_put_back(
    us: None, job: Job, bags: PlannedMaterial, people: dict[str, Any]
) -> None:
    """25 lb is 11.339809 kg twice, 50 lb is 22.679619 kg: a last digit apart."""
    for _ in range(2):
        draw(job, Drawn(D(25), material=bags, unit="lb"), people["bench"])
    with pytest.raises(Refused, match="Only 50 lb were taken"):
        draw(job, Drawn(D("50.01"), "return", bags, unit="lb"), people["bench"])
    back = draw(job, Drawn(D(50), "return", bags, unit="lb"), people["bench"])
    assert back.quantity == D("22.679618")
    with pytest.raises(Refused, match="Only 0 lb were taken"):
        draw(job, Drawn(D("0.01"), "return", bags, unit="lb"), people["bench"])


def test_by_the_api(api: Callable[[str], APIClient], job: Job, bags: PlannedMaterial) -> None:
    client, path = api("bench"), f"/api/v1/jobs/{job.pk}/draws"
    made = client.post(path, {"material": bags.pk, "quantity": "50", "unit": "lb"}, format="json")
    assert made.status_code == 201
    assert (made.json()["quantity"], made.json()["unit"]) == ("22.679619", "kg")
    plain = client.post(path, {"material": bags.pk, "quantity": "50"}, format="json").json()
    assert (plain["quantity"], plain["unit"]) == ("50.000000", "kg")
    wrong = client.post(path, {"material": bags.pk, "quantity": "5", "unit": "each"}, format="json")
    assert wrong.status_code == 422
    assert "unit" in json.dumps(wrong.json())


# --- the report ------------------------------------------------------------------------------------------
def test_the_reports_materials_read_in_the_shops_units(
    us: None, job: Job, bags: PlannedMaterial, people: dict[str, Any]
) -> None:
    """200 kg = 440.92 lb, 6 m² = 64.58 sq ft; the object and its table stay in SI."""
    draw(job, Drawn(D(50), material=bags, unit="lb"), people["bench"])
    told = report_object(job, report_of(job, now=NOW), pay=True)
    lines = {line["code"]: line for line in report_page(told)["materials"]}
    bag, board = lines["BAG-GREY"], lines["BOARD-18"]
    assert (bag["planned_quantity"], bag["used_quantity"], bag["unit"]) == ("440.92", "50", "lb")
    assert (board["planned_quantity"], board["unit"]) == ("64.58", "sq ft")
    kept_line = next(line for line in told["materials"] if line["code"] == "BAG-GREY")
    assert (D(kept_line["used_quantity"]), kept_line["unit"]) == (D("22.679619"), "kg")


def test_in_a_metric_shop_they_read_as_they_are_kept(
    job: Job, bags: PlannedMaterial, people: dict[str, Any]
) -> None:
    draw(job, Drawn(D("12.5"), material=bags), people["bench"])
    told = report_object(job, report_of(job, now=NOW), pay=True)
    lines = {line["code"]: line for line in report_page(told)["materials"]}
    bag = lines["BAG-GREY"]
    assert (bag["planned_quantity"], bag["used_quantity"], bag["unit"]) == ("200", "12.5", "kg")


# --- the pages -------------------------------------------------------------------------------------------
def test_the_bench_draws_in_pounds(us: None, browser: Browser, job: Job, bags: PlannedMaterial) -> None:
    client, path = browser("bench"), f"/bench/{job.number}/"
    page = client.get(path).content.decode()
    assert "Grey mix (lb; a bag is 55.116 lb)" in page
    assert "Faced board (sq ft; a sheet is 32.292 sq ft)" in page
    assert 'data-unit="lb"' in page
    sent = {"do": "draw", "material": bags.pk, "quantity": "50", "kind": "stock", "counted_in": "us"}
    assert client.post(path, sent).status_code == 302
    made = Draw.objects.get()
    assert (made.quantity, made.unit) == (D("22.679619"), "kg")


def test_a_form_shown_before_the_shop_changed_its_units_means_what_it_said(
    us: None, browser: Browser, job: Job, bags: PlannedMaterial
) -> None:
    sent = {"do": "draw", "material": bags.pk, "quantity": "50", "kind": "stock", "counted_in": "metric"}
    assert browser("bench").post(f"/bench/{job.number}/", sent).status_code == 302
    assert Draw.objects.get().quantity == 50


def test_a_purchase_in_pounds_and_what_was_taken_read_back(
    us: None, browser: Browser, job: Job, bags: PlannedMaterial
) -> None:
    client = browser("owner")
    sent = {"material": bags.pk, "quantity": "110", "amount": "21.50", "counted_in": "us"}
    assert client.post(f"/jobs/{job.number}/purchases", sent).status_code == 302
    assert Draw.objects.get().quantity == D("49.895161")
    page = said_on(client.get(f"/jobs/{job.number}/"))
    assert "Grey mix (lb)" in page
    assert "110 lb Grey mix" in page
    assert "kg" not in page
