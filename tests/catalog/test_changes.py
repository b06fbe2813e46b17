"""Who changed terms, materials, mixes, roles and operations: noted by the services, shown to owners."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client
from rest_framework.test import APIClient

from catalog import price_list
from catalog.errors import CatalogRefused
from catalog.models import CatalogueChange, Material
from catalog.services.labour import create_operation, create_role, update_operation, update_role
from catalog.services.materials import create_material, set_price, update_material
from catalog.services.mixes import create_mix, update_mix
from catalog.services.terms import remove_logo, set_logo, update_terms
from tests.catalog.conftest import BAG, BOARD, GREY, TODAY
from tests.catalog.pictures.samples import png

pytestmark = pytest.mark.django_db
Api = Callable[[str], APIClient]
Browser = Callable[[str], Client]


def noted() -> list[tuple[str, str, str, bool, dict[str, list[Any]]]]:
    """Every change in the order it was made: who, kind, code, new, and each column before and after."""
    return [
        (row.by, row.kind, row.code, row.new, {c["column"]: [c["before"], c["after"]] for c in row.columns})
        for row in CatalogueChange.objects.order_by("pk")
    ]


@pytest.fixture
def quiet(world: None) -> None:
    """The small catalogue, with nothing noted of how it came about."""
    CatalogueChange.objects.all()._raw_delete("default")


def test_each_write_is_noted_with_who_and_the_columns_that_differ(quiet: None) -> None:
    update_terms({"target_margin": "0.355", "working_days": [0, 1], "default_mix": "MIX-GREY"}, who="rowan")
    update_material("BOARD-18", {"waste": 0.25, "supplier": "", "retired_from": "2027-01-01"}, who="ines")
    update_mix("MIX-GREY", {"density_kg_m3": 2300}, who="rowan")
    update_role("MAKER", {"name": "Mould maker"}, who="rowan")
    update_operation("CUT", {"position": 7}, who="rowan")
    terms = {
        "target_margin": ["0.30", "0.355"],
        "working_days": [[0, 1, 2, 3, 4], [0, 1]],
        "default_mix": [None, "MIX-GREY"],
    }
    board = {
        "waste": [0, 0.25],
        "supplier": ["Example Board Merchants", ""],
        "retired_from": [None, "2027-01-01"],
    }
    assert noted() == [
        ("rowan", "terms", "", False, terms),
        ("ines", "material", "BOARD-18", False, board),
        ("rowan", "mix", "MIX-GREY", False, {"density_kg_m3": [2350, 2300]}),
        ("rowan", "role", "MAKER", False, {"name": ["Maker", "Mould maker"]}),
        ("rowan", "operation", "CUT", False, {"position": [10, 7]}),
    ]


def test_what_changes_nothing_or_is_refused_is_not_noted(quiet: None) -> None:
    update_terms({"target_margin": "0.300", "working_days": [0, 1, 2, 3, 4], "kerf_mm": "3.2"}, who="rowan")
    update_terms({}, who="rowan")
    update_material("BOARD-18", {"waste": "0", "length_mm": "2800", "name": " Faced board 18 mm "}, who="x")
    update_mix("MIX-GREY", {"density_kg_m3": "2350.0", "bag": "BAG-GREY", "parts": []}, who="x")
    update_role("MAKER", {"name": "Maker"}, who="x")
    update_operation("CUT", {"stage": "mould", "retired_from": ""}, who="x")
    set_price("BOARD-18", "63", valid_from=TODAY, today=TODAY, who="rowan")  # it says itself who and when
    for write in (
        lambda: update_terms({"target_margin": "2"}, who="x"),
        lambda: update_material("BOARD-18", {"waste": 7}, who="x"),
        lambda: create_role({"code": "MAKER", "name": "Another"}, who="x"),
    ):
        with pytest.raises(CatalogRefused):
            write()
    assert noted() == []


def test_what_is_new_tells_what_was_said_of_it(db: None) -> None:
    create_material(BAG, today=TODAY, price="9.60", who="rowan")
    create_mix(GREY, who="rowan")
    create_role({"code": "MAKER", "name": "Maker"}, who="rowan")
    create_operation({"code": "CUT", "name": "Cut", "stage": "mould"}, who="rowan")
    bag, mix, role, operation = noted()
    said = {name: [None, value] for name, value in BAG.items() if name != "code"}
    assert bag == ("rowan", "material", "BAG-GREY", True, said)
    assert mix[:4] == ("rowan", "mix", "MIX-GREY", True)
    assert mix[4]["bag"] == [None, "BAG-GREY"]
    assert "parts" not in mix[4]
    assert role == ("rowan", "role", "MAKER", True, {"name": [None, "Maker"]})
    assert operation[4] == {"name": [None, "Cut"], "stage": [None, "mould"], "position": [None, 10]}


def test_a_recipe_tells_its_parts_and_the_logo_its_picture(quiet: None) -> None:
    for code, density in (("SAND", 2.65), ("CEM", 3.1), ("WATER", 1.0)):
        values = {"code": code, "name": code, "kind": "loose", "pack_size": 25, "pack_name": "bag"}
        create_material(values | {"relative_density": density}, today=TODAY)
    parts = [
        {"material": "CEM", "kg_per_m3": 450.0, "kind": "cement"},
        {"material": "SAND", "kg_per_m3": 1680.0, "kind": "aggregate"},
        {"material": "WATER", "kg_per_m3": 200.0, "kind": "water"},
    ]
    CatalogueChange.objects.all()._raw_delete("default")
    figures = {"bag": None, "water_l_per_bag": 0, "fresh_density_kg_m3": 2330, "air": 0.015}
    update_mix("MIX-GREY", figures | {"parts": parts}, who="rowan")
    set_logo(png(), "A table", who="rowan")
    remove_logo(who="ines")
    recipe, logo, off = noted()
    assert recipe[4]["parts"] == [[], parts]
    assert recipe[4]["bag"] == ["BAG-GREY", None]
    assert logo[4]["logo_text"] == ["", "A table"]
    assert off == ("ines", "terms", "", False, {name: both[::-1] for name, both in logo[4].items()})


def test_a_file_notes_each_material_it_changes_with_who_took_it_in(quiet: None) -> None:
    file = (
        b"code,name,kind,waste,price,pack_size,pack_name\n"
        b"BOARD-18,Faced board 18 mm,board,0.2,64,,sheet\n"
        b"BAG-GREY,Grey casting mix,bagged_mix,,9.90,25,bag\n"  # a price alone
        b"FIBRE,Glass fibre,loose,0.05,7,20,sack\n"
    )
    price_list.apply(file, today=TODAY, who="rowan")
    board, fibre = noted()
    assert board == ("rowan", "material", "BOARD-18", False, {"waste": [0, 0.2]})
    assert fibre[:4] == ("rowan", "material", "FIBRE", True)
    assert fibre[4]["waste"] == [None, 0.05]
    price_list.apply(file, today=TODAY, who="ines")
    assert len(noted()) == 2


def test_a_command_says_its_own_name(db: None) -> None:
    call_command("starter_catalogue", "metric", on=TODAY)
    assert set(CatalogueChange.objects.values_list("by", flat=True)) == {"starter catalogue"}
    assert CatalogueChange.objects.filter(kind="material", new=True).count() == Material.objects.count()


def test_what_was_noted_stays(quiet: None, browser: Browser) -> None:
    update_role("MAKER", {"name": "Mould maker"}, who="rowan")
    row = CatalogueChange.objects.get()
    row.by = "somebody else"
    with pytest.raises(TypeError):
        row.save()
    with pytest.raises(TypeError):
        row.delete()
    client, at = browser("owner"), f"/admin/catalog/cataloguechange/{row.pk}"
    assert client.get(f"{at}/change/").status_code == 200
    assert client.get("/admin/catalog/cataloguechange/add/").status_code == 403
    assert client.post(f"{at}/change/", {"by": "x"}).status_code == 403
    assert client.post(f"{at}/delete/", {"post": "yes"}).status_code == 403
    bulk = {"action": "delete_selected", "_selected_action": row.pk, "post": "yes"}
    client.post("/admin/catalog/cataloguechange/", bulk)
    assert CatalogueChange.objects.get().by == "rowan"


@pytest.mark.parametrize(
    ("address", "values", "kind", "code"),
    [
        ("/prices/roles/MAKER", {"name": "Mould maker"}, "role", "MAKER"),
        ("/prices/roles/new", {"code": "HELP", "name": "Helper"}, "role", "HELP"),
        ("/prices/operations/CUT", {"name": "Saw", "stage": "mould", "position": "10"}, "operation", "CUT"),
        (
            "/prices/operations/new",
            {"code": "X", "name": "X", "stage": "mould", "position": "1"},
            "operation",
            "X",
        ),
    ],
)
def test_a_page_says_who(
    quiet: None, browser: Browser, address: str, values: dict[str, str], kind: str, code: str
) -> None:
    assert browser("owner").post(address, values).status_code == 302
    assert [row[:3] for row in noted()] == [("owner-rowan", kind, code)]


def test_forms_sent_as_they_came_note_nothing_and_a_change_only_itself(quiet: None, browser: Browser) -> None:
    client = browser("owner")
    update_terms({"delivery_per_km": "1.25", "tax_rates": {"standard": "0.2"}, "finish_grits": [200, 400]})
    CatalogueChange.objects.all()._raw_delete("default")
    for address in ("/prices/terms", "/prices/materials/BOARD-18", "/prices/mixes/MIX-GREY"):
        form = client.get(address).context["form"]
        sent = {name: value for name in form.fields if (value := form[name].value()) is not None}
        assert client.post(address, sent).status_code == 302, address
        assert noted() == [], address
        name, value = ("kerf_mm", "2.5") if "terms" in address else ("name", "Renamed")
        assert client.post(address, sent | {name: value}).status_code == 302
        ((by, *_, columns),) = noted()
        assert (by, list(columns)) == ("owner-rowan", [name])
        CatalogueChange.objects.all()._raw_delete("default")


@pytest.mark.parametrize(
    ("method", "address", "values"),
    [
        ("patch", "terms", {"target_margin": "0.4"}),
        ("patch", "materials/BOARD-18", {"waste": 0.3}),
        ("post", "materials", BOARD | {"code": "B-2"}),
        ("patch", "mixes/MIX-GREY", {"name": "Ashen"}),
        ("post", "mixes", GREY | {"code": "M-2"}),
        ("patch", "roles/MAKER", {"name": "Joiner"}),
        ("post", "roles", {"code": "R-2", "name": "Joiner"}),
        ("patch", "operations/CUT", {"name": "Saw"}),
        ("post", "operations", {"code": "O-2", "name": "Saw", "stage": "mould"}),
    ],
)
def test_the_api_says_who(quiet: None, api: Api, method: str, address: str, values: dict[str, Any]) -> None:
    client = api("owner")
    assert getattr(client, method)(f"/api/v1/{address}", values, format="json").status_code in (200, 201)
    ((by, kind, code, new, _),) = noted()
    assert (by, new) == ("owner-rowan", method == "post")
    assert (kind + "s" if kind != "terms" else kind).replace("mixs", "mixes") == address.split("/")[0]
    assert code == values.get("code", address.partition("/")[2])


def test_the_api_lists_them_latest_first_for_owners(quiet: None, api: Api) -> None:
    update_role("MAKER", {"name": "Mould maker"}, who="ines")
    update_terms({"target_margin": "0.4"}, who="rowan")
    client = api("owner")
    found = client.get("/api/v1/changes").json()
    assert found["count"] == 2
    margin, name = found["results"]
    assert margin["columns"] == [{"column": "target_margin", "before": "0.30", "after": "0.40"}]
    assert (name["by"], name["kind"], name["code"], name["new"]) == ("ines", "role", "MAKER", False)

    def asked(query: str) -> list[str]:
        return [row["by"] for row in client.get(f"/api/v1/changes?{query}").json()["results"]]

    assert asked("search=margin") == asked("kind=terms") == asked("limit=1") == ["rowan"]
    assert asked("search=maker ines") == ["ines"]
    assert asked("ordering=by") == asked("ordering=at") == ["ines", "rowan"]
    assert client.get("/api/v1/changes?colour=red").status_code == 400
    assert client.post("/api/v1/changes", {}, format="json").status_code == 405
    assert api("estimator").get("/api/v1/changes").status_code == 403


def rows(client: Client, address: str) -> list[str]:
    """What the page's rows are of, as they stand: their codes, nothing for the terms."""
    page = client.get(address)
    assert page.status_code == 200
    heads = re.findall(r'<th scope="row"><a href="[^"]*">([^<]*)</a>', page.content.decode())
    return [head.partition(" ")[2].replace("terms", "") for head in heads]


def test_the_page_finds_orders_and_tells_them(quiet: None, browser: Browser) -> None:
    update_material("BOARD-18", {"waste": 0.25}, who="ines")
    update_mix("MIX-GREY", {"name": "Éclat"}, who="rowan")
    update_terms({"breakage_method": "by_stage", "tax_rates": {"standard": "0.21"}}, who="rowan")
    client = browser("owner")
    at = "/prices/changes"
    assert rows(client, at) == rows(client, f"{at}?sort=nonsense") == ["", "MIX-GREY", "BOARD-18"]
    assert rows(client, f"{at}?sort=-when") == ["BOARD-18", "MIX-GREY", ""]
    assert rows(client, f"{at}?sort=by") == ["BOARD-18", "", "MIX-GREY"]
    assert rows(client, f"{at}?sort=kind") == ["BOARD-18", "MIX-GREY", ""]
    assert rows(client, f"{at}?sort=-kind") == ["", "MIX-GREY", "BOARD-18"]
    assert rows(client, f"{at}?search=Éclat") == rows(client, f"{at}?search=mix+rowan") == ["MIX-GREY"]
    assert rows(client, f"{at}?search=waste") == rows(client, f"{at}?search=board-18") == ["BOARD-18"]
    page = client.get(at).content.decode()
    assert "Breakage method: Flat rate → By stage" in page
    assert "Name: Grey → Éclat" in page
    assert "Waste: 0 → 0.25" in page
    assert "No change fits" in client.get(f"{at}?search=walnut").content.decode()


def test_a_us_shop_reads_its_own_units(quiet: None, browser: Browser) -> None:
    update_terms({"unit_system": "us", "kerf_mm": 3.175, "delivery_per_km": "2"}, who="rowan")
    update_material("BAG-GREY", {"pack_size": 36.28738959}, who="rowan")
    page = browser("owner").get("/prices/changes").content.decode()
    assert "Kerf (in): 0.125984 → 0.125" in page
    assert "Delivery per km: " not in page
    assert "Pack size: 55.1156 → 80" in page


def test_a_long_text_is_told_from_where_it_differs(quiet: None, browser: Browser) -> None:
    """Line ends that a form puts in the place of others are no change."""
    text = "First line\n" + "The deposit is due on acceptance. " * 20
    update_terms({"terms_text": f"{text}Thirty days."}, who="rowan")
    CatalogueChange.objects.all()._raw_delete("default")
    update_terms({"terms_text": f"{text}Thirty days.".replace("\n", "\r\n")}, who="rowan")
    assert noted() == []
    update_terms({"terms_text": f"{text}Fourteen days."}, who="rowan")
    page = browser("owner").get("/prices/changes").content.decode()
    told = re.search(r"<div>Terms text: (.*?) → (.*?)</div>", page)
    assert told is not None
    assert told[1].endswith("is due on acceptance. Thirty days.")
    assert told[2].endswith("is due on acceptance. Fourteen days.")
    assert max(map(len, told.groups())) < 80


def test_the_table_has_a_row_for_every_column(quiet: None, browser: Browser) -> None:
    update_terms({"name": "=1+1", "working_days": [0, 6]}, who="rowan")
    answer = browser("owner").get("/prices/changes/list.csv")
    assert answer["Content-Disposition"] == 'attachment; filename="changes.csv"'
    head, name, days = csv.reader(io.StringIO(answer.content.decode("utf-8-sig")))
    assert head == ["at", "by", "kind", "code", "new", "column", "before", "after"]
    assert name[1:] == ["rowan", "terms", "", "no", "name", "Our workshop", "'=1+1"]
    assert days[5:] == ["working_days", "[0, 1, 2, 3, 4]", "[0, 6]"]


def test_only_owners_are_led_there(quiet: None, browser: Browser) -> None:
    assert "/prices/changes" in browser("owner").get("/prices/").content.decode()
    estimator = browser("estimator")
    assert "/prices/changes" not in estimator.get("/prices/").content.decode()
    assert estimator.get("/prices/changes").status_code == 403


def test_a_long_list_is_paged(quiet: None, browser: Browser) -> None:
    for number in range(101):
        update_role("MAKER", {"name": f"Maker {number}"}, who="rowan")
    client = browser("owner")
    assert len(rows(client, "/prices/changes")) == 100
    assert len(rows(client, "/prices/changes?page=2")) == 1
