"""The lists of materials, mixes, roles and operations: found, ordered by their heads, paged, as tables."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from catalog.models import Mix, Operation, Role
from catalog.services.labour import create_operation, create_role, set_rate, set_standard
from catalog.services.materials import create_material
from catalog.services.mixes import create_mix
from tests.catalog.conftest import BAG, GREY, TODAY

Browser = Callable[[str], Client]
LISTS = ("/prices/", "/prices/mixes", "/prices/roles", "/prices/operations")


@pytest.fixture
def shelf(world: None) -> None:
    """One more mix, role and operation than the world has, each the other way round in its figures."""
    create_material(
        BAG | {"code": "BAG-PALE", "name": "Pale casting mix", "supplier": "Yarrow"},
        price="19.60",
        today=TODAY,
    )
    pale = {"code": "MIX-PALE", "name": "Ashen", "bag": "BAG-PALE", "density_kg_m3": 1900}
    create_mix(GREY | pale | {"strength_28d_mpa": 60})
    create_role({"code": "POLISHER", "name": "=Agile hand"})
    set_rate("POLISHER", {"pay_per_hour": "19.00", "on_costs": "0.30"}, valid_from=TODAY, today=TODAY)
    create_role({"code": "ZEALOT", "name": "Apprentice"})
    create_operation({"code": "BUFF", "name": "Polish", "stage": "polish"})
    lost = {"breakage": 0.02, "back_to": "CUT"}
    standard = {"role": "POLISHER", "crew": 2, "setup_hours": 0.25, "per_driver_hours": {"show_area_m2": 0.5}}
    set_standard("BUFF", standard | lost, valid_from=TODAY, today=TODAY)


def codes(client: Client, address: str) -> list[str]:
    """The codes of a page's rows, as they stand."""
    page = client.get(address)
    assert page.status_code == 200
    return re.findall(r'<th scope="row">(?:<a href="[^"]*">)?([A-Z0-9-]+)<', page.content.decode())


def table(client: Client, address: str) -> list[list[str]]:
    answer = client.get(address)
    assert answer["Content-Type"].startswith("text/csv")
    assert ".csv" in answer["Content-Disposition"]
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))


ORDERS: list[tuple[str, str, list[str]]] = [
    ("/prices/", "price", ["BAG-GREY", "BAG-PALE", "BOARD-18"]),
    ("/prices/", "supplier", ["BAG-GREY", "BOARD-18", "BAG-PALE"]),
    ("/prices/mixes", "code", ["MIX-GREY", "MIX-PALE"]),
    ("/prices/mixes", "name", ["MIX-PALE", "MIX-GREY"]),
    ("/prices/mixes", "density", ["MIX-PALE", "MIX-GREY"]),
    ("/prices/mixes", "strength", ["MIX-GREY", "MIX-PALE"]),
    ("/prices/roles", "code", ["MAKER", "POLISHER", "ZEALOT"]),
    ("/prices/roles", "name", ["POLISHER", "ZEALOT", "MAKER"]),
    ("/prices/roles", "pay", ["POLISHER", "MAKER", "ZEALOT"]),
    ("/prices/roles", "on-costs", ["MAKER", "POLISHER", "ZEALOT"]),
    ("/prices/operations", "place", ["CUT", "CAST", "BUFF"]),
    ("/prices/operations", "code", ["BUFF", "CAST", "CUT"]),
    ("/prices/operations", "name", ["CAST", "CUT", "BUFF"]),
    ("/prices/operations", "stage", ["CUT", "CAST", "BUFF"]),
    ("/prices/operations", "role", ["BUFF", "CUT", "CAST"]),
    ("/prices/operations", "crew", ["CUT", "BUFF", "CAST"]),
    ("/prices/operations", "setup", ["BUFF", "CUT", "CAST"]),
    ("/prices/operations", "breakage", ["CUT", "BUFF", "CAST"]),
]


@pytest.mark.parametrize(("address", "head", "expected"), ORDERS)
def test_by_a_head_and_the_other_way(
    shelf: None, browser: Browser, address: str, head: str, expected: list[str]
) -> None:
    """What has no pay or standard stands last, and first the other way."""
    client = browser("owner")
    assert codes(client, f"{address}?sort={head}") == expected
    assert codes(client, f"{address}?sort=-{head}") == expected[::-1]
    up = client.get(f"{address}?sort={head}").content.decode()
    assert re.search(rf'aria-sort="ascending"><a href="\?sort=-{head}"', up)
    down = client.get(f"{address}?sort=-{head}").content.decode()
    assert re.search(rf'aria-sort="descending"><a href="\?sort={head}"', down)


@pytest.mark.parametrize("address", LISTS)
def test_every_list_says_its_order_and_what_it_is(shelf: None, browser: Browser, address: str) -> None:
    page = browser("owner").get(f"{address}?sort=nonsense").content.decode()
    assert page.count('aria-sort="ascending"') == 1
    assert page.count("<caption>") == 1


def test_stages_stand_in_the_order_of_work_whatever_their_letters(world: None, browser: Browser) -> None:
    """Cut is at the mould, the first stage; a seal comes after it although its place is before."""
    create_operation({"code": "SEAL-1", "name": "Seal", "stage": "seal", "position": 1})
    client = browser("owner")
    assert codes(client, "/prices/operations") == ["SEAL-1", "CUT", "CAST"]
    assert codes(client, "/prices/operations?sort=stage") == ["CUT", "CAST", "SEAL-1"]


def test_an_estimator_cannot_put_people_in_the_order_of_their_pay(shelf: None, browser: Browser) -> None:
    estimator = browser("estimator")
    by_code = ["MAKER", "POLISHER", "ZEALOT"]
    for head in ("pay", "on-costs", "since"):
        for sort in (head, f"-{head}"):
            assert codes(estimator, f"/prices/roles?sort={sort}") == by_code
            rows = table(estimator, f"/prices/roles/list.csv?sort={sort}")
            assert [row[0] for row in rows[1:]] == by_code
    assert "pay_per_hour" not in table(estimator, "/prices/roles/list.csv")[0]


# --- found -----------------------------------------------------------------------------------------------
def test_found_by_words_stage_and_with_those_retired(shelf: None, browser: Browser) -> None:
    client, today = browser("owner"), timezone.localdate()
    assert codes(client, "/prices/mixes?search=ash") == ["MIX-PALE"]
    assert codes(client, "/prices/operations?search=po+ish") == ["BUFF"]
    assert codes(client, "/prices/operations?stage=cast") == ["CAST"]
    assert codes(client, "/prices/roles?search=appren") == ["ZEALOT"]
    Mix.objects.filter(code="MIX-PALE").update(retired_from=today)
    Operation.objects.filter(code="BUFF").update(retired_from=today)
    assert codes(client, "/prices/mixes") == ["MIX-GREY"]
    assert codes(client, "/prices/operations") == ["CUT", "CAST"]
    page = client.get("/prices/mixes?retired=1").content.decode()
    assert f"retired from {today.isoformat()}" in page
    assert codes(client, "/prices/operations?retired=1&sort=-place") == ["BUFF", "CAST", "CUT"]
    for address in ("mixes", "roles", "operations"):
        nothing = client.get(f"/prices/{address}?search=nowhere").content.decode()
        assert " fits. " in nothing
        assert "list.csv" not in nothing


def test_a_list_read_at_a_glance_has_no_search(shelf: None, browser: Browser) -> None:
    client = browser("owner")
    assert 'role="search"' not in client.get("/prices/roles").content.decode()
    for number in range(4):
        create_role({"code": f"HELP-{number}", "name": f"Help {number}"})
    assert 'role="search"' in client.get("/prices/roles").content.decode()
    assert 'role="search"' in client.get("/prices/roles?search=maker").content.decode()


def test_more_than_a_page(db: None, browser: Browser) -> None:
    Role.objects.bulk_create(Role(code=f"R-{number:03}", name="Hand") for number in range(101))
    client = browser("owner")
    first = client.get("/prices/roles?sort=-code").content.decode()
    assert "Page 1 of 2" in first
    assert re.search(r'href="\?sort=-code&amp;page=2"', first)
    assert codes(client, "/prices/roles?sort=-code&page=2") == ["R-000"]
    assert len(table(client, "/prices/roles/list.csv?page=2")) == 102


@pytest.mark.parametrize("address", LISTS)
@pytest.mark.parametrize("query", ["search=%00", "sort=%00", "page=x", "stage=%27", "sort=-", "page=-3"])
def test_odd_questions_are_answered(world: None, browser: Browser, address: str, query: str) -> None:
    client = browser("owner")
    assert client.get(f"{address}?{query}").status_code == 200
    assert client.get(f"{address.removesuffix('/')}/list.csv?{query}").status_code == 200


# --- as tables -------------------------------------------------------------------------------------------
def rows_of(client: Client, address: str) -> list[dict[str, str]]:
    head, *rows = table(client, address)
    return [dict(zip(head, row, strict=True)) for row in rows]


def test_mixes_as_a_table(shelf: None, browser: Browser) -> None:
    for code, kind in (("CEM", "loose"), ("SAND", "loose"), ("WATER", "liquid")):
        dense = {"CEM": 3.15, "SAND": 2.65, "WATER": 1.0}[code]
        row = {"code": code, "name": code.title(), "kind": kind, "pack_size": 25, "pack_name": "bag"}
        create_material(row | {"relative_density": dense}, price="5", today=TODAY)
    # 500/3.15 + 1510/2.65 + 270/1 = 998.5 L by absolute volume.
    parts = [("CEM", 500, "cement"), ("SAND", 1510, "aggregate"), ("WATER", 270, "water")]
    recipe = [{"material": code, "kg_per_m3": kg, "kind": kind} for code, kg, kind in parts]
    own = {
        "code": "MIX-OWN",
        "name": "Own",
        "bag": "",
        "water_l_per_bag": 0,
        "parts": recipe,
        "fresh_density_kg_m3": 2280,
    }
    create_mix(GREY | own)
    found = rows_of(browser("estimator"), "/prices/mixes/list.csv?sort=-code")
    assert [row["code"] for row in found] == ["MIX-PALE", "MIX-OWN", "MIX-GREY"]
    assert found[1]["parts_kg_per_m3"] == "CEM 500; SAND 1510; WATER 270"
    assert (found[2]["bag"], found[2]["parts_kg_per_m3"]) == ("BAG-GREY", "")
    assert (found[2]["density_kg_m3"], found[2]["strength_28d_mpa"]) == ("2350", "40")


def test_roles_as_a_table_formulas_made_harmless(shelf: None, browser: Browser) -> None:
    owners = rows_of(browser("owner"), "/prices/roles/list.csv")
    maker = {"code": "MAKER", "name": "Maker", "currency": "EUR", "pay_per_hour": "24.00", "on_costs": "0.27"}
    assert owners[0] == maker | {"valid_from": TODAY.isoformat()}
    assert owners[1]["name"] == "'=Agile hand"
    assert (owners[2]["pay_per_hour"], owners[2]["valid_from"]) == ("", "")


def test_operations_as_a_table(shelf: None, browser: Browser) -> None:
    later = timezone.localdate() + timedelta(days=30)
    tomorrow = {"role": "MAKER", "per_driver_hours": {"show_area_m2": 9}}
    set_standard("BUFF", tomorrow, valid_from=later, today=timezone.localdate())
    cut, cast, buff = rows_of(browser("estimator"), "/prices/operations/list.csv")
    assert (cut["role"], cut["setup_hours"], cut["hours_per_mould_cut_length_m"]) == ("MAKER", "0.5", "0.06")
    assert (cast["stage"], cast["role"], cast["crew"]) == ("cast", "", "")
    assert (buff["crew"], buff["breakage"], buff["back_to"]) == ("2", "0.02", "CUT")
    assert (buff["hours_per_show_area_m2"], buff["hours_per_volume_m3"]) == ("0.5", "")
    assert buff["valid_from"] == TODAY.isoformat()
    assert not [name for name in cut if "pay" in name or "rate" in name.replace("learning_rate", "")]


def test_materials_as_a_table_of_what_was_found(shelf: None, browser: Browser) -> None:
    found = rows_of(browser("estimator"), "/prices/list.csv?kind=bagged_mix&sort=-price")
    assert [(row["code"], row["price"]) for row in found] == [("BAG-PALE", "19.60"), ("BAG-GREY", "9.60")]
    assert len(rows_of(browser("owner"), "/prices/list.csv")) == 3
