"""The pages under Prices: who may open them, and what they do with what is typed."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from catalog import selectors
from catalog.models import (
    Material,
    MaterialPrice,
    Mix,
    Operation,
    OperationStandard,
    Role,
    RoleRate,
    ShopTerms,
)
from catalog.services.materials import create_material
from tests.catalog.conftest import BAG, BOARD, TODAY
from tests.starter import put_starter

Browser = Callable[[str], Client]
READS = (
    "/prices/",
    "/prices/list.csv",
    "/prices/materials/BOARD-18",
    "/prices/mixes",
    "/prices/mixes/MIX-GREY",
    "/prices/roles",
    "/prices/operations",
    "/prices/operations/CUT",
    "/prices/terms",
)
OWNERS = (
    "/prices/materials/new",
    "/prices/mixes/new",
    "/prices/roles/new",
    "/prices/roles/MAKER",
    "/prices/operations/new",
    "/prices/import",
)
WRITES = (
    "/prices/materials/new",
    "/prices/materials/BOARD-18",
    "/prices/materials/BOARD-18/prices",
    "/prices/mixes/new",
    "/prices/mixes/MIX-GREY",
    "/prices/roles/new",
    "/prices/roles/MAKER",
    "/prices/roles/MAKER/rates",
    "/prices/operations/new",
    "/prices/operations/CUT",
    "/prices/operations/CUT/standards",
    "/prices/terms",
    "/prices/import",
)


def typed(client: Client, path: str, form: str = "form") -> dict[str, Any]:
    """Return what a page's form would send if nothing were changed."""
    bound = client.get(path).context[form]
    sent: dict[str, Any] = {}
    for field in bound:
        value = field.value()
        if isinstance(value, bool):
            sent |= {field.html_name: "on"} if value else {}
        elif value is not None:
            sent[field.html_name] = value if isinstance(value, list) else str(value)
    return sent


# --- who may do what -------------------------------------------------------------------------------------
@pytest.mark.parametrize("path", READS)
@pytest.mark.parametrize(("role", "status"), [("owner", 200), ("estimator", 200), ("bench", 403), ("", 302)])
def test_who_may_read(world: None, browser: Browser, path: str, role: str, status: int) -> None:
    assert browser(role).get(path).status_code == status


@pytest.mark.parametrize("path", OWNERS)
@pytest.mark.parametrize(("role", "status"), [("owner", 200), ("estimator", 403), ("bench", 403), ("", 302)])
def test_what_only_owners_open(world: None, browser: Browser, path: str, role: str, status: int) -> None:
    assert browser(role).get(path).status_code == status


@pytest.mark.parametrize("path", WRITES)
@pytest.mark.parametrize(("role", "status"), [("owner", 422), ("estimator", 403), ("bench", 403), ("", 302)])
def test_who_may_write_and_an_empty_form_changes_nothing(
    world: None, browser: Browser, path: str, role: str, status: int
) -> None:
    models = (Material, MaterialPrice, Mix, Role, RoleRate, Operation, OperationStandard, ShopTerms)
    before = [list(model._default_manager.order_by("pk").values()) for model in models]
    assert browser(role).post(path, {"nothing": "1"}).status_code == status
    assert before == [list(model._default_manager.order_by("pk").values()) for model in models]


def test_an_estimator_sees_no_pay_and_no_way_to_change(world: None, browser: Browser) -> None:
    client = browser("estimator")
    assert "24.00" not in client.get("/prices/roles").content.decode()
    assert "24.00" in browser("owner").get("/prices/roles").content.decode()
    page = client.get("/prices/materials/BOARD-18").content.decode()
    assert "Set the price" not in page
    assert "<fieldset disabled>" in page


# --- materials -------------------------------------------------------------------------------------------
def test_the_table_shows_prices_and_marks_old_ones(db: None, browser: Browser) -> None:
    since = [timezone.localdate() - timedelta(days=days) for days in (181, 180)]
    create_material(BAG, price="9.60", today=since[0])
    create_material(BOARD, price="62.00", today=since[1])
    page = browser("estimator").get("/prices/").content.decode()
    row = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))
    assert f"BAG-GREY Grey casting mix bag of 25 kg 9.60 0.384 {since[0]} old" in row
    assert f"BOARD-18 Faced board 18 mm sheet of 5.796 m² 62.00 10.697 {since[1]} Example" in row


def test_the_table_filters_and_pages(board: Material, browser: Browser) -> None:
    for number in range(101):
        create_material({**BAG, "code": f"BAG-{number:03}"}, today=TODAY)
    client = browser("owner")
    page = client.get("/prices/?kind=bagged_mix&search=BAG").content.decode()
    assert "101 materials" in page
    assert 'href="?kind=bagged_mix&amp;search=BAG&amp;page=2"' in page
    assert "BAG-100" in client.get("/prices/?kind=bagged_mix&search=BAG&page=2").content.decode()
    assert "Nothing of that kind" in client.get("/prices/?search=granite%00").content.decode()


def test_a_new_material_with_its_price(db: None, browser: Browser) -> None:
    sent = {**BOARD, "price": "62.00", "waste": "0", "lead_days": "3"}
    answer = browser("owner").post("/prices/materials/new", sent)
    assert answer.status_code == 302
    assert answer["Location"] == "/prices/materials/BOARD-18"
    price = selectors.price_on("BOARD-18", timezone.localdate())
    assert price is not None
    assert (price.price, price.entered_by) == (Decimal(62), "owner-rowan")


def test_a_refused_form_keeps_what_was_typed_and_says_why_beside_it(db: None, browser: Browser) -> None:
    sent = {**BOARD, "name": "Faced <b>board</b>", "thickness_mm": "thick", "price": "free", "waste": "0"}
    answer = browser("owner").post("/prices/materials/new", sent)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'value="thick"' in page
    assert 'value="Faced &lt;b&gt;board&lt;/b&gt;"' in page
    assert answer.context["form"].errors["thickness_mm"] == ["Give a number."]
    assert answer.context["form"].errors["price"] == ["Give an amount such as 12.50."]
    assert Material.objects.count() == 0


def test_a_form_sent_back_untouched_changes_nothing(board: Material, browser: Browser) -> None:
    client = browser("owner")
    before = Material.objects.values().get()
    answer = client.post("/prices/materials/BOARD-18", typed(client, "/prices/materials/BOARD-18"))
    assert answer.status_code == 302
    assert Material.objects.values().get() == before


def test_a_new_price_joins_the_old_one(board: Material, browser: Browser) -> None:
    client = browser("owner")
    today = timezone.localdate().isoformat()
    answer = client.post(
        "/prices/materials/BOARD-18/prices", {"price": "70.50", "valid_from": today}, follow=True
    )
    page = answer.content.decode()
    assert f"BOARD-18 costs 70.50 from {today}" in page
    assert "62.00" in page
    refused = client.post("/prices/materials/BOARD-18/prices", {"price": "1", "valid_from": "2026-03-02"})
    assert "stands as it was used" in refused.content.decode()


def test_an_unknown_code_has_a_page_that_says_so(db: None, browser: Browser) -> None:
    answer = browser("owner").get("/prices/materials/NONE")
    assert answer.status_code == 404
    assert "There is no material" in answer.content.decode().replace("&#x27;", "'")


# --- csv -------------------------------------------------------------------------------------------------
def upload(client: Client, content: bytes) -> Any:
    return client.post("/prices/import", {"file": SimpleUploadedFile("list.csv", content, "text/csv")})


def test_out_to_a_file_and_in_again(board: Material, browser: Browser) -> None:
    client = browser("owner")
    exported = client.get("/prices/list.csv")
    assert exported["Content-Type"] == "text/csv; charset=utf-8"
    assert "attachment" in exported["Content-Disposition"]
    assert "0 would change" in upload(client, exported.content).content.decode()


def test_preview_then_take_in(board: Material, browser: Browser) -> None:
    client = browser("owner")
    shown = upload(client, b"code,price,supplier\nBOARD-18,75.00,Example Timber Yard\n")
    assert shown.status_code == 200
    assert "75.00" in shown.content.decode()
    assert MaterialPrice.objects.count() == 1
    found = {name: shown.context[name] for name in ("content",)} | {"digest": shown.context["found"].digest}
    assert client.post("/prices/import", found).status_code == 302
    assert selectors.material("BOARD-18").supplier == "Example Timber Yard"
    assert MaterialPrice.objects.count() == 2
    again = client.post("/prices/import", found)
    assert again.status_code == 422
    assert "has changed meanwhile" in again.content.decode()


def test_a_faulty_file_is_shown_with_every_fault_and_cannot_be_taken_in(
    board: Material, browser: Browser
) -> None:
    client = browser("owner")
    shown = upload(client, b"code,price,casts\nBOARD-18,x,0\nNEW,1,\n")
    assert shown.status_code == 422
    page = shown.content.decode()
    assert "Take in these changes" not in page
    assert [(fault.line, fault.column) for fault in shown.context["found"].faults][:2] == [
        (2, "price"),
        (2, "casts"),
    ]
    forced = client.post("/prices/import", {"content": shown.context["content"], "digest": ""})
    assert forced.status_code == 422
    assert Material.objects.count() == 1


@pytest.mark.parametrize("content", ["not base64!", "", "é"])
def test_a_meddled_form_takes_nothing_in(board: Material, browser: Browser, content: str) -> None:
    assert browser("owner").post("/prices/import", {"content": content}).status_code == 422


# --- the rest --------------------------------------------------------------------------------------------
def test_forms_of_the_starter_catalogue_sent_back_untouched_change_nothing(
    db: None, browser: Browser
) -> None:
    put_starter("metric", on=timezone.localdate())
    client = browser("owner")
    for model, name, pages in (
        (Mix, "mixes", ("MIX-GREY", "MIX-WHITE")),
        (Operation, "operations", ("STRIP",)),
        (Role, "roles", ("MAKER",)),
    ):
        for code in pages:
            before = list(model._default_manager.order_by("pk").values())
            answer = client.post(f"/prices/{name}/{code}", typed(client, f"/prices/{name}/{code}"))
            assert answer.status_code == 302, answer.context["form"].errors
            assert list(model._default_manager.order_by("pk").values()) == before
    recipe = list(Mix.objects.get(code="MIX-WHITE").parts.values_list("material__code", "kg_per_m3", "kind"))
    assert recipe[0] == ("CEM-WHITE", 420.0, "cement")
    before_terms = ShopTerms.objects.values().get()
    assert client.post("/prices/terms", typed(client, "/prices/terms")).status_code == 302
    assert ShopTerms.objects.values().get() == before_terms
    path = "/prices/operations/STRIP"
    answer = client.post(f"{path}/standards", typed(client, path, "standard_form"))
    assert answer.status_code == 302
    assert OperationStandard.objects.filter(operation__code="STRIP").count() == 1


def test_a_recipe_that_is_short_is_refused_beside_the_form(db: None, browser: Browser) -> None:
    put_starter("metric", on=TODAY)
    client = browser("owner")
    sent = typed(client, "/prices/mixes/MIX-WHITE") | {"part_1_kg_per_m3": "850"}
    answer = client.post("/prices/mixes/MIX-WHITE", sent)
    assert answer.status_code == 422
    assert "m³ by absolute volume" in answer.content.decode()
    bad = client.post("/prices/mixes/MIX-WHITE", sent | {"part_2_kg_per_m3": "many"})
    assert bad.context["form"].errors["part_2_kg_per_m3"] == ["Give a number."]


@pytest.mark.parametrize("weight", ["350", "350 kg", "9" * 5000])
def test_a_weight_without_its_material_is_said_at_its_row(db: None, browser: Browser, weight: str) -> None:
    """Two faults in one row: what is told of the first takes nothing from the second."""
    answer = browser("owner").post("/prices/mixes/new", {"code": "M", "part_3_kg_per_m3": weight})
    assert answer.status_code == 422
    assert answer.context["form"].errors["part_3_material"]
    assert answer.context["form"]["part_3_kg_per_m3"].value() == weight


def test_a_new_standard_is_dated(world: None, browser: Browser) -> None:
    client = browser("owner")
    sent = typed(client, "/prices/operations/CUT", "standard_form") | {
        "setup_hours": "0.4",
        "per_mould_part_count": "0.05",
        "note": "measured",
    }
    assert client.post("/prices/operations/CUT/standards", sent).status_code == 302
    latest = selectors.standard_history("CUT")[0]
    assert latest.per_driver_hours == {"mould_cut_length_m": 0.06, "mould_part_count": 0.05}
    assert (latest.setup_hours, latest.note, latest.entered_by) == (0.4, "measured", "owner-rowan")
    refused = client.post("/prices/operations/CUT/standards", sent | {"per_mould_part_count": "lots"})
    assert "per_driver_hours" in refused.content.decode()


def test_standards_read_as_a_maker_writes_them(db: None, browser: Browser) -> None:
    put_starter("metric", on=TODAY)
    page = browser("estimator").get("/prices/operations").content.decode()
    assert "0.08 per metre of edge, 0.15 per inlay" in page
    assert "1.5 %" in page
    assert "27 %" in browser("owner").get("/prices/roles").content.decode()


def test_new_roles_and_operations(world: None, browser: Browser) -> None:
    client = browser("owner")
    assert client.post("/prices/roles/new", {"code": "HELPER", "name": "Helper"}).status_code == 302
    pay = {"pay_per_hour": "16.00", "on_costs": "0.27", "valid_from": timezone.localdate().isoformat()}
    assert client.post("/prices/roles/HELPER/rates", pay).status_code == 302
    assert RoleRate.objects.get(role__code="HELPER").pay_per_hour == Decimal(16)
    sent = {"code": "POUR", "name": "Pour", "stage": "cast", "position": "15"}
    assert client.post("/prices/operations/new", sent).status_code == 302
    assert Operation.objects.get(code="POUR").position == 15


def test_terms_are_typed_as_text(world: None, browser: Browser) -> None:
    client = browser("owner")
    sent = typed(client, "/prices/terms") | {
        "tax_rates": "standard 0.19\nreduced 0.07\n",
        "finish_grits": "100, 400",
        "working_days": ["0", "1", "2", "3"],
        "shop_temperature_c": "10, 10, 12, 14, 16, 18, 20, 20, 18, 15, 12, 10.5",
        "default_mix": "MIX-GREY",
    }
    assert client.post("/prices/terms", sent).status_code == 302
    terms = selectors.shop_terms()
    assert terms.tax_rates == {"standard": "0.19", "reduced": "0.07"}
    assert (terms.finish_grits, terms.working_days) == ([100, 400], [0, 1, 2, 3])
    assert terms.shop_temperature_c[-1] == 10.5
    refused = client.post("/prices/terms", sent | {"tax_rates": "standard", "finish_grits": "400, fine"})
    assert set(refused.context["form"].errors) == {"tax_rates", "finish_grits"}
    assert "400, fine" in refused.content.decode()


def test_a_grit_of_thousands_of_digits_is_refused(world: None, browser: Browser) -> None:
    answer = browser("owner").post("/prices/terms", {"finish_grits": "9" * 5000})
    assert answer.status_code == 422


@pytest.mark.parametrize("path", [*READS[:1], *READS[2:], *OWNERS])
def test_no_page_needs_what_the_content_policy_forbids(world: None, browser: Browser, path: str) -> None:
    page = browser("owner").get(path).content.decode()
    content = page[page.index('<main id="content"') :]
    assert not re.search(r"<script|\sstyle=|\son[a-z]+=|javascript:", content)
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'<label[^>]* for="([^"]+)"', page)) <= set(ids)
