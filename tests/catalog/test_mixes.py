"""Mixes: bags and recipes, and the recipe that must make one cubic metre."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import IntegrityError, transaction

from catalog import selectors
from catalog.errors import CatalogRefused
from catalog.models import Material, Mix, MixPart
from catalog.services.materials import create_material, update_material
from catalog.services.mixes import create_mix, update_mix
from tests.catalog.conftest import BAG, GREY, TODAY

DENSITIES = {"CEM": 3.15, "SAND": 2.65, "STONE": 2.60, "WATER": 1.0, "FIBRE": 2.7}
# NAVEDTRA 14070 chapter 17 (C19), lb/yd³ turned into kg/m³ (× 0.593276, C182)
NAVY = {"CEM": 361.9, "WATER": 181.0, "STONE": 1029.3, "SAND": 683.4}
KINDS = {"CEM": "cement", "WATER": "water", "STONE": "aggregate", "SAND": "aggregate"}


def parts(**changed: float) -> list[dict[str, Any]]:
    return [{"material": code, "kg_per_m3": kg, "kind": KINDS[code]} for code, kg in (NAVY | changed).items()]


@pytest.fixture
def ingredients(db: None) -> None:
    for code, density in DENSITIES.items():
        values = {"code": code, "name": code.title(), "kind": "loose", "pack_size": 25, "pack_name": "bag"}
        create_material({**values, "relative_density": density}, today=TODAY)
    create_material(BAG, today=TODAY)


def recipe(**changed: Any) -> dict[str, Any]:
    given = {"code": "MIX-WALL", "name": "Wall", "fresh_density_kg_m3": 2256, "density_kg_m3": 2220}
    return {**given, "strength_28d_mpa": 21, "air": 0.05, "parts": parts(), **changed}


def refused_paths(values: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(CatalogRefused) as refused:
        create_mix(values)
    assert not Mix.objects.exists()
    return {fault.path: fault.message for fault in refused.value.faults}


def test_a_bagged_mix(ingredients: None) -> None:
    made = create_mix(GREY)
    assert made.bag is not None
    assert (made.bag.code, made.allowance, made.cement_class) == ("BAG-GREY", 0.1, "N")


def test_a_recipe_that_makes_one_cubic_metre(ingredients: None) -> None:
    made = create_mix(recipe())
    assert [(part.material.code, part.kg_per_m3) for part in made.parts.all()] == list(NAVY.items())


def test_a_recipe_that_makes_too_much_is_refused_with_the_figure(ingredients: None) -> None:
    # 361.9 ÷ 3150 + 181 ÷ 1000 + 1029.3 ÷ 2600 + 783.4 ÷ 2650 + 0.05 = 1.0374
    found = refused_paths(recipe(parts=parts(SAND=783.4), fresh_density_kg_m3=2356))
    assert found == {"parts": "The recipe makes 1.037 m³ by absolute volume; it must make 1 m³ ± 2 %."}


def test_fibre_counts_in_the_volume(ingredients: None) -> None:
    # 2255.6 kg × 0.03 ÷ 0.97 = 69.8 kg of fibre, 0.0258 m³ on top of 0.9997
    found = refused_paths(recipe(fibre="FIBRE", fibre_share=0.03, fresh_density_kg_m3=2325))
    assert found == {"parts": "The recipe makes 1.025 m³ by absolute volume; it must make 1 m³ ± 2 %."}


def test_a_fresh_density_that_the_masses_do_not_make_is_refused(ingredients: None) -> None:
    found = refused_paths(recipe(fresh_density_kg_m3=2400))
    assert list(found) == ["fresh_density_kg_m3"]
    assert "2256 kg/m³" in found["fresh_density_kg_m3"]


def test_a_material_without_density_is_named(ingredients: None) -> None:
    Material.objects.filter(code="STONE").update(relative_density=None)
    assert refused_paths(recipe()) == {
        "parts[2].material": "STONE needs its density for the recipe's volume."
    }


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"parts": []}, "parts"),
        ({"parts": "all"}, "parts"),
        ({"parts": [{"material": "CEM", "kg": 1}]}, "parts[0]"),
        ({"parts": [{"material": "CEMENT", "kg_per_m3": 1}]}, "parts[0].material"),
        ({"parts": [{"kg_per_m3": 1}]}, "parts[0].material"),
        ({"parts": [{"material": "CEM", "kg_per_m3": 0}]}, "parts[0].kg_per_m3"),
        ({"parts": [{"material": "CEM", "kg_per_m3": 9, "kind": "glue"}]}, "parts[0].kind"),
        ({"parts": [*parts(), {"material": "CEM", "kg_per_m3": 1}]}, "parts"),
        ({"bag": "BAG-GREY"}, "parts"),
        ({"bag": "CEM"}, "bag"),
        ({"fibre": "BAG-GREY", "fibre_share": 0.01}, "fibre"),
        ({"fibre_share": 0.01}, "fibre"),
        ({"fibre": "CEM", "fibre_share": 0.01}, "parts"),
        ({"air": 0.5}, "air"),
        ({"cement_class": "X"}, "cement_class"),
        ({"density_kg_m3": "heavy"}, "density_kg_m3"),
    ],
)
def test_refused_recipes(ingredients: None, change: dict[str, Any], path: str) -> None:
    assert path in refused_paths(recipe(**change))


def test_an_unknown_material_is_refused_with_the_nearest(ingredients: None) -> None:
    found = refused_paths(recipe(parts=[{"material": "WATR", "kg_per_m3": 9}]))
    assert found["parts[0].material"] == "There is no such code. Did you mean WATER?"


def test_an_update_replaces_the_recipe_or_leaves_it(ingredients: None) -> None:
    create_mix(recipe())
    assert update_mix("MIX-WALL", {"name": "Garden wall"}).parts.count() == 4
    update_mix("MIX-WALL", {"parts": parts(SAND=690.0)})
    assert selectors.mix("MIX-WALL").parts.get(material__code="SAND").kg_per_m3 == 690.0


def test_a_refused_update_changes_nothing(ingredients: None) -> None:
    create_mix(recipe())
    with pytest.raises(CatalogRefused):
        update_mix("MIX-WALL", {"name": "Changed", "parts": parts(SAND=100.0)})
    kept = selectors.mix("MIX-WALL")
    assert (kept.name, kept.parts.get(material__code="SAND").kg_per_m3) == ("Wall", 683.4)


def test_the_database_keeps_one_part_a_material(ingredients: None) -> None:
    made = create_mix(recipe())
    cement = Material.objects.get(code="CEM")
    with pytest.raises(IntegrityError), transaction.atomic():
        MixPart.objects.create(mix=made, material=cement, kg_per_m3=1, position=9)


@pytest.mark.parametrize("density", [2.2, None])
def test_a_density_that_would_spoil_a_recipe_is_refused(ingredients: None, density: float | None) -> None:
    create_mix(recipe())
    with pytest.raises(CatalogRefused, match="MIX-WALL") as refused:
        update_material("SAND", {"relative_density": density})
    assert {fault.path for fault in refused.value.faults} == {"relative_density"}
    assert Material.objects.get(code="SAND").relative_density == 2.65


def test_a_density_that_spoils_nothing_is_taken(ingredients: None) -> None:
    create_mix(recipe())
    update_material("SAND", {"relative_density": 2.64})
    assert Material.objects.get(code="SAND").relative_density == 2.64
