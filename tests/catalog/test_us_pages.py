"""A US shop's pages under Prices: its own units in and out, and what is left alone stays exactly."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from catalog import selectors
from catalog.models import Material, Mix, OperationStandard, ShopTerms
from tests.catalog.conftest import TODAY
from tests.catalog.test_web import typed
from tests.starter import put_starter

Browser = Callable[[str], Client]


@pytest.fixture
def us(db: None) -> None:
    put_starter("us", on=TODAY)


def figures_of(row: Any) -> dict[str, Any]:
    """Everything a row holds."""
    return {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}


def test_terms_saved_as_they_were_shown_are_the_same_to_the_last_figure(us: None, browser: Browser) -> None:
    before = figures_of(ShopTerms.objects.get())
    client = browser("owner")
    assert client.post("/prices/terms", typed(client, "/prices/terms")).status_code == 302
    assert figures_of(ShopTerms.objects.get()) == before


def test_the_packs_own_terms_are_round_in_the_shops_units(us: None, browser: Browser) -> None:
    """They once read 3.00175 ft³, 0.110231 lb, 50.0008 lb, and promised clients ± 3 mm."""
    shown = typed(browser("owner"), "/prices/terms")
    names = ("mixer_l", "scale_step_kg", "lift_limit_kg", "delivery_per_km", "kerf_mm", "screw_spacing_mm")
    assert [float(shown[name]) for name in names] == [3.0, 0.1, 50.0, 1.7, 0.125, 6.0]
    assert [len(shown[name]) < 6 for name in names] == [True] * len(names)
    assert "± 1/8 in" in shown["terms_text"] and "mm" not in shown["terms_text"]


@pytest.mark.parametrize("inches", [0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4])
def test_a_usual_sleeve_or_drain_finds_its_tube(us: None, inches: float) -> None:
    tubes = Material.objects.filter(usage="sleeve_tube").values_list("diameter_mm", flat=True)
    assert pytest.approx(inches * 25.4) in list(tubes)


def test_terms_are_typed_in_inches_pounds_and_degrees_fahrenheit(us: None, browser: Browser) -> None:
    client = browser("owner")
    page = client.get("/prices/terms").content.decode()
    for label in ("Kerf (in)", "Lift limit (lb)", "Strip (psi)", "Reference (°F)", "Delivery per mile"):
        assert label in page
    sent = typed(client, "/prices/terms") | {
        "kerf_mm": "1/8",
        "lift_limit_kg": "50",
        "strip_mpa": "1000",
        "reference_c": "68",
        "delivery_per_km": "1.45",
        "shop_temperature_c": ", ".join(["50"] * 12),
    }
    assert client.post("/prices/terms", sent).status_code == 302
    terms = selectors.shop_terms()
    assert (terms.kerf_mm, terms.reference_c) == (3.175, 20.0)
    assert terms.lift_limit_kg == pytest.approx(22.6796185)
    assert terms.strip_mpa == pytest.approx(6.894757, rel=1e-6)
    assert str(terms.delivery_per_km) == "0.900988"
    assert typed(client, "/prices/terms")["delivery_per_km"] == "1.45"
    assert terms.shop_temperature_c == [10.0] * 12


def test_what_was_typed_stays_beside_its_refusal(us: None, browser: Browser) -> None:
    client = browser("owner")
    sent = typed(client, "/prices/terms") | {"kerf_mm": "4", "trim_mm": "half"}
    answer = client.post("/prices/terms", sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'name="kerf_mm" value="4"' in page
    assert 'name="trim_mm" value="half"' in page
    assert "Counted in mm." in page


def test_every_material_saved_as_it_was_shown_is_the_same(us: None, browser: Browser) -> None:
    client = browser("owner")
    for kind in Material.objects.values_list("kind", flat=True).distinct().order_by("kind"):
        row = Material.objects.filter(kind=kind).order_by("code")[0]
        before, path = figures_of(row), f"/prices/materials/{row.code}"
        assert client.post(path, typed(client, path)).status_code == 302
        assert figures_of(Material.objects.get(pk=row.pk)) == before


def test_a_new_liquid_comes_in_gallons(us: None, browser: Browser) -> None:
    client = browser("owner")
    page = client.get("/prices/materials/new").content.decode()
    assert "gal for liquids" in page
    sent = {"code": "GLAZE", "name": "Glaze", "kind": "liquid", "pack_size": "1", "pack_name": "can"}
    sent |= {"price": "40", "waste": "0", "lead_days": "0", "coverage_m2_per_l": "200"}
    assert client.post("/prices/materials/new", sent).status_code == 302
    made = Material.objects.get(code="GLAZE")
    assert made.pack_size == pytest.approx(3.785411784)
    assert made.coverage_m2_per_l == pytest.approx(4.908477, rel=1e-6)
    table = client.get("/prices/?search=glaze").content.decode()
    assert "can of 1 gal" in table
    assert "40.00 / gal" in table


def test_a_pack_and_a_driver_are_named_in_the_shops_units_alone(us: None, browser: Browser) -> None:
    """A sealer's pack was once counted in m², kg, gal, mL, m or each; operations hung on a metre of edge."""
    client = browser("owner")
    sealer = client.get("/prices/materials/SEAL-PEN").content.decode()
    assert "Content of one pack, in gal." in sealer and "m², kg" not in sealer
    cast = client.get("/prices/operations/CAST").content.decode()
    assert ">foot of edge</option>" in cast and ">mile of delivery</option>" in cast
    assert "metre of" not in cast and "km of" not in cast


def test_a_mix_and_a_standard_saved_as_shown_stay(us: None, browser: Browser) -> None:
    client = browser("owner")
    for mix in Mix.objects.order_by("code"):
        before = (figures_of(mix), [figures_of(part)["kg_per_m3"] for part in mix.parts.all()])
        path = f"/prices/mixes/{mix.code}"
        assert client.post(path, typed(client, path)).status_code == 302
        again = Mix.objects.get(pk=mix.pk)
        assert (figures_of(again), [part.kg_per_m3 for part in again.parts.all()]) == before
    standard = OperationStandard.objects.exclude(per_driver_hours={}).order_by("pk")[0]
    path = f"/prices/operations/{standard.operation.code}"
    sent = typed(client, path, "standard_form") | {"valid_from": "2030-01-01"}
    assert client.post(f"{path}/standards", sent).status_code in (302, 422)
    newest = standard.operation.standards.order_by("-valid_from")[0]
    assert newest.per_driver_hours == standard.per_driver_hours
