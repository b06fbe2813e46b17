"""Concrete to buy and to weigh: bags, recipes on moist sand, fibre, pigment, batches."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.engine.errors import Refused
from quoting.engine.plane.shapes import Rectangle
from quoting.engine.spec.types import Trough
from quoting.engine.takeoff.concrete import (
    batch_plan,
    concrete,
    mix_cautions,
    mix_parts,
    recipe_volume_m3,
    to_scale,
)
from quoting.engine.values import Mix, RecipePart
from tests.quoting.engine.takeoff.materials_world import METRIC, US, slab, starter, take_off

WHITE = starter().mixes["MIX-WHITE"]


def test_bags_by_yield_and_what_stays_over() -> None:
    _, _, made = take_off(slab())
    bags = next(line for line in made.lines if line.code == "BAG-GREY")
    assert bags.packs == 9
    assert bags.need == pytest.approx(0.0864 / 0.0114 * 25)
    assert bags.gross == pytest.approx(bags.need * 1.1)
    assert bags.working.endswith("= 8.3, buy 9 bags (0.66 of a bag stays over)")
    assert bags.cost == 9 * starter().materials["BAG-GREY"].price


def test_c6_six_bags_of_eighty_pounds() -> None:
    """Check value C6, on the starter's bag made an 80 lb one: 0.0864 m³ + 10 % takes 6, not 5."""
    book = starter("us")
    eighty = replace(book.materials["BAG-GREY"], pack_size=36.2873896, yield_m3=0.0169901)
    book = replace(book, materials={**book.materials, "BAG-GREY": eighty})
    _, _, made = take_off(slab(), book, US)
    assert next(line for line in made.lines if line.code == "BAG-GREY").packs == 6


def test_bags_are_rounded_once_for_all_pieces() -> None:
    for quantity, packs in ((1, 9), (2, 17), (3, 26), (10, 84)):
        _, _, made = take_off(slab(), quantity=quantity)
        assert next(line for line in made.lines if line.code == "BAG-GREY").packs == packs


def test_a_recipe_makes_its_cubic_metre() -> None:
    made = recipe_volume_m3(WHITE, starter())
    assert made == pytest.approx(1.0, abs=0.02)
    assert mix_cautions(WHITE, starter()) == ()


def test_recipe_masses_are_corrected_for_moisture() -> None:
    """Total moisture on the oven-dry mass; the free water comes off the mixing water (check value C22)."""
    parts = {part.material.code: part.kg_per_m3 for part in mix_parts(WHITE, starter())}
    recipe = {part.material: part for part in WHITE.parts}
    free = 0.0
    for code in ("SAND-02", "CHIPS-26"):
        material = starter().materials[code]
        assert material.absorption is not None and material.moisture is not None
        dry = recipe[code].kg_per_m3 / (1 + material.absorption)
        assert parts[code] == pytest.approx(dry * (1 + material.moisture))
        free += parts[code] - recipe[code].kg_per_m3
    assert free > 20
    assert parts["WATER"] == pytest.approx(recipe["WATER"].kg_per_m3 - free)
    assert parts["CEM-WHITE"] == recipe["CEM-WHITE"].kg_per_m3


def test_fibre_is_a_share_of_the_whole_mix() -> None:
    parts = mix_parts(WHITE, starter())
    total = sum(part.kg_per_m3 for part in parts)
    fibre = next(part.kg_per_m3 for part in parts if part.material.code == "FIBRE-AR")
    assert fibre / total == pytest.approx(WHITE.fibre_share, rel=1e-12)
    bagged = replace(starter().mixes["MIX-GREY"], fibre="FIBRE-AR", fibre_share=0.03)
    base = mix_parts(starter().mixes["MIX-GREY"], starter())
    with_fibre = mix_parts(bagged, starter())
    assert with_fibre[-1].kg_per_m3 == pytest.approx(0.03 / 0.97 * sum(part.kg_per_m3 for part in base))


def test_pigment_and_volume_are_cautioned() -> None:
    parts = tuple(replace(p, kg_per_m3=200.0) if p.kind == "pigment" else p for p in WHITE.parts)
    codes = [caution.code for caution in mix_cautions(replace(WHITE, parts=parts), starter())]
    assert codes == ["pigment_dose", "recipe_volume"]


def test_a_recipes_cautions_name_it_and_count_as_the_shop_does() -> None:
    """60 ÷ 16.01846 = 3.746 and 500 ÷ 16.01846 = 31.21 lb/cu ft (NIST Handbook 44, Appendix C)."""
    parts = tuple(
        replace(p, kg_per_m3={"pigment": 60.0, "cement": 500.0}.get(p.kind, p.kg_per_m3)) for p in WHITE.parts
    )
    recipe = replace(WHITE, code="MIX-QX", name="Chalk white", parts=parts)
    metric, us = (
        [one.text for one in mix_cautions(recipe, starter(), system)] for system in ("metric", "us")
    )
    assert not [text for text in (*metric, *us) if "MIX-QX" in text or "Chalk white" not in text]
    assert "60 kg/m³ of pigment on 500 kg/m³ of cement" in metric[0]
    assert "3.746 lb/cu ft of pigment on 31.21 lb/cu ft of cement" in us[0]
    assert "m³," in metric[1] and "yd³," in us[1]
    assert not [text for text in us if "kg" in text]


def test_sand_too_wet_for_the_recipe_is_refused() -> None:
    book = starter()
    soaked = replace(book.materials["SAND-02"], moisture=0.5)
    with pytest.raises(Refused, match="more than the recipe takes"):
        mix_parts(WHITE, replace(book, materials={**book.materials, "SAND-02": soaked}))


def test_a_bag_without_yield_is_refused_with_its_path() -> None:
    book = starter()
    bag = replace(book.materials["BAG-GREY"], yield_m3=None)
    with pytest.raises(Refused) as refused:
        mix_parts(book.mixes["MIX-GREY"], replace(book, materials={**book.materials, "BAG-GREY": bag}))
    assert refused.value.faults[0].path == "materials.BAG-GREY.yield_m3"


def test_equal_batches_within_the_mixer() -> None:
    mix = starter().mixes["MIX-GREY"]
    for net_m3, count in ((0.02, 1), (0.06 / 1.1, 1), (0.0546, 2), (0.2, 4)):
        plan = batch_plan(mix, mix_parts(mix, starter()), net_m3, METRIC)
        assert plan.batches == count
        assert plan.batches * plan.volume_m3 == pytest.approx(net_m3 * 1.1)
        assert plan.volume_m3 <= METRIC.mixer_l / 1000 + 1e-12
        assert plan.leftover_m3 == pytest.approx(net_m3 * 0.1)


def test_weights_are_rounded_half_up_to_the_scale() -> None:
    assert to_scale(12.35, 0.1) == 12.4
    assert to_scale(12.349, 0.1) == 12.3
    assert to_scale(2.0, 0.1) == 2.0
    assert to_scale(1.99949, 0.1) == 1.999  # under 20 steps: fine scale
    assert to_scale(0.05, 0.1) == 0.05
    plan = batch_plan(WHITE, mix_parts(WHITE, starter()), 0.1, METRIC)
    for part in plan.parts:
        step = METRIC.scale_step_kg if part.exact_kg >= 2.0 else METRIC.scale_step_kg / 100
        assert abs(part.kg - part.exact_kg) <= step / 2 + 1e-9
    off = sum(part.kg - part.exact_kg for part in plan.parts) * plan.batches
    assert f"{abs(off):.3g}" in plan.notes[1]


def test_a_trough_of_its_own_mix_has_its_own_lines_and_batches() -> None:
    trough = Trough((1200, 450), 400, 200, 150, 30, 30, 0, 0, 0, "MIX-LIGHT")
    solid, geometry, made = take_off(slab(features=(trough,)))
    assert [plan.mix for plan in made.batches] == ["MIX-GREY", "MIX-LIGHT"]
    assert sum(plan.net_m3 for plan in made.batches) == pytest.approx(geometry.volume_m3)
    # Walls and floor below the slab, corners rounded by the wall's thickness.
    outside = 0.46 * 0.26 - 4 * 0.03**2 * (1 - 3.141592653589793 / 4)
    assert made.batches[1].net_m3 == pytest.approx(outside * 0.14 - 0.4 * 0.2 * 0.11)
    same = replace(trough, mix="MIX-GREY")
    _, _, one = take_off(slab(features=(same,)))
    assert [plan.mix for plan in one.batches] == ["MIX-GREY"]
    assert solid.troughs


def test_admixture_by_the_litre() -> None:
    book = starter()
    mix = Mix(
        "M",
        "M",
        2300,
        2300,
        30,
        parts=(RecipePart("CEM-WHITE", 400, "cement"), RecipePart("REDUCER", 4.28, "admixture")),
    )
    lines, _ = concrete([(mix, 0.1)], book, METRIC)
    reducer = next(line for line in lines if line.code == "REDUCER")
    assert reducer.need == pytest.approx(0.1 * 4.28 / 1.07)
    assert reducer.unit == "L"


def test_a_mix_nobody_knows_is_refused() -> None:
    with pytest.raises(Refused, match="MIX-NONE is not in the price list"):
        take_off(slab(Rectangle(500, 500), mix="MIX-NONE"))
