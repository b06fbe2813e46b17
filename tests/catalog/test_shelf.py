"""The shelf: what lies in the shop already, by service, page and API."""

from __future__ import annotations

from datetime import date

import pytest
from django.db import IntegrityError, transaction
from django.test import Client as Browser

from catalog.errors import CatalogRefused, NoSuchRow
from catalog.models import ShelfItem, ShopTerms
from catalog.services.shelf import change_on_shelf, put_on_shelf, take_off_shelf
from shop.accounts.models import Role, User
from tests.starter import put_starter

BOARD = {"material": "BOARD-18", "length_mm": 1200, "width_mm": 800, "count": 2, "place": "Rack by the saw"}
BAG = {"material": "BAG-GREY", "content": 12.5}


@pytest.fixture
def starter(db: None) -> None:
    put_starter("metric", on=date(2026, 1, 1))


@pytest.fixture
def browser(starter: None) -> Browser:
    browser = Browser()
    browser.force_login(User.objects.create_user("rowan", role=Role.ESTIMATOR))
    return browser


def faults(values: dict[str, object]) -> dict[str, str]:
    with pytest.raises(CatalogRefused) as refused:
        put_on_shelf(values)
    return {fault.path: fault.code for fault in refused.value.faults}


def test_offcuts_by_size_and_packs_by_content(starter: None) -> None:
    board, bag = put_on_shelf(BOARD, who="rowan"), put_on_shelf(BAG)
    assert (board.length_mm, board.width_mm, board.count, board.content) == (1200, 800, 2, None)
    assert (board.noted_by, board.label) == ("rowan", f"Offcut {board.pk}")
    assert (bag.content, bag.length_mm, bag.count) == (12.5, None, 1)


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        ({}, {"material": "missing"}),
        ({"material": "BOARD-81"}, {"material": "unknown_code"}),
        ({"material": "BOARD-18"}, {"length_mm": "missing", "width_mm": "missing"}),
        ({"material": "BAG-GREY"}, {"content": "missing"}),
        (BOARD | {"content": 3}, {"content": "not_used"}),
        (BAG | {"length_mm": 100}, {"length_mm": "not_used"}),
        (BAG | {"count": 3}, {"count": "not_used"}),
        (BOARD | {"count": 0, "length_mm": 5}, {"count": "out_of_range", "length_mm": "out_of_range"}),
        (BAG | {"content": float("nan")}, {"content": "out_of_range"}),
        (BAG | {"content": "some"}, {"content": "invalid"}),
        (BAG | {"price": 3}, {"price": "unknown_key"}),
    ],
)
def test_all_that_is_wrong_is_said_at_once(
    starter: None, values: dict[str, object], wrong: dict[str, str]
) -> None:
    assert faults(values) == wrong
    assert not ShelfItem.objects.exists()


def test_the_database_keeps_the_same_rule(starter: None) -> None:
    row = put_on_shelf(BAG)
    for change in ({"content": None}, {"length_mm": 100.0}, {"content": -1.0}):
        with pytest.raises(IntegrityError), transaction.atomic():
            ShelfItem.objects.filter(pk=row.pk).update(**change)


def test_correcting_and_taking_off(starter: None) -> None:
    row = put_on_shelf(BAG)
    assert change_on_shelf(row.pk, {"content": 4, "place": "By the mixer"}, who="rowan").content == 4
    with pytest.raises(CatalogRefused):
        change_on_shelf(row.pk, {"content": ""})
    with pytest.raises(CatalogRefused):
        change_on_shelf(row.pk, {"material": "BOARD-18"})
    take_off_shelf(row.pk)
    with pytest.raises(NoSuchRow):
        take_off_shelf(row.pk)


def test_by_page(browser: Browser) -> None:
    assert "Nothing is noted yet" in browser.get("/prices/shelf").content.decode()
    typed = {"material": "BOARD-18", "length_mm": "1200", "width_mm": "800", "count": "2", "place": "Rack"}
    assert browser.post("/prices/shelf/new", typed | {"content": ""}).status_code == 302
    row = ShelfItem.objects.get()
    page = browser.get("/prices/shelf?search=rack").content.decode()
    assert "2 × 1200 × 800 mm" in page
    assert "rowan" in page
    assert "fits" in browser.get("/prices/shelf?search=attic").content.decode()
    table = browser.get("/prices/shelf/list.csv").content.decode()
    assert table.splitlines()[1].startswith(
        'BOARD-18,"Melamine-faced board 18 mm, 2800 × 2070",,,1200,800,2,Rack,'
    )
    assert browser.post(f"/prices/shelf/{row.pk}", {"length_mm": "900"}).status_code == 422
    changed = {"length_mm": "900", "width_mm": "800", "count": "1", "place": "Rack"}
    assert browser.post(f"/prices/shelf/{row.pk}", changed).status_code == 302
    row.refresh_from_db()
    assert (row.length_mm, row.count) == (900, 1)
    assert browser.post(f"/prices/shelf/{row.pk}/off").status_code == 302
    assert not ShelfItem.objects.exists()
    assert browser.get(f"/prices/shelf/{row.pk}").status_code == 404


def test_a_us_shop_types_and_reads_its_own_units(browser: Browser) -> None:
    terms = ShopTerms.objects.get()
    terms.unit_system = "us"
    terms.save()
    bag = {
        "material": "BAG-GREY",
        "content": "100",
        "length_mm": "",
        "width_mm": "",
        "count": "1",
        "place": "",
    }
    board = bag | {"material": "BOARD-18", "content": "", "length_mm": "47 1/4", "width_mm": "31 1/2"}
    assert [browser.post("/prices/shelf/new", one).status_code for one in (bag, board)] == [302, 302]
    kept = ShelfItem.objects.get(material__code="BAG-GREY")
    assert kept.content == pytest.approx(45.359237)  # NIST Handbook 44, appendix C: 1 lb = 0.453 592 37 kg
    assert ShelfItem.objects.get(material__code="BOARD-18").length_mm == pytest.approx(1200.15)
    page = browser.get("/prices/shelf").content.decode()
    assert "100 lb" in page
    assert "47.25 × 31.5 in" in page
    form = browser.get(f"/prices/shelf/{kept.pk}").content.decode()
    assert "How much (lb)" in form
    assert 'value="100"' in form
    assert browser.post(f"/prices/shelf/{kept.pk}", {"content": "100", "place": "Bin"}).status_code == 302
    assert ShelfItem.objects.get(pk=kept.pk).content == kept.content


def test_by_api(browser: Browser) -> None:
    address, send = "/api/v1/shelf", "application/json"
    made = browser.post(address, BOARD, content_type=send)
    assert made.status_code == 201
    said = made.json()
    assert (said["material"], said["count"], said["content"], said["content_unit"]) == (
        "BOARD-18",
        2,
        None,
        "m²",
    )
    one = f"{address}/{said['id']}"
    assert browser.get(f"{address}?search=saw").json()["count"] == 1
    assert browser.patch(one, {"count": 1}, content_type=send).status_code == 428
    tag = browser.get(one)["ETag"]
    changed = browser.patch(one, {"count": 1}, headers={"if-match": tag}, content_type=send)
    assert (changed.status_code, changed.json()["count"]) == (200, 1)
    assert browser.delete(one, headers={"if-match": tag}).status_code == 412
    assert browser.delete(one, headers={"if-match": "*"}).status_code == 204
    assert browser.get(one).status_code == 404
    assert browser.get(f"{address}/{'9' * 30}").status_code == 404
    refused = browser.post(address, {"material": "BAG-GREY", "count": 2}, content_type=send)
    assert (refused.status_code, {fault["path"] for fault in refused.json()["errors"]}) == (
        422,
        {"content", "count"},
    )
