"""The whole take-off of materials: complete, honest about packs, and refused all at once."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from quoting.engine import units
from quoting.engine.cutting.values import Stock
from quoting.engine.errors import Refused
from quoting.engine.plane.shapes import Rectangle
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import (
    Delivery,
    Drain,
    Extra,
    Groove,
    Inlay,
    Insert,
    Lighting,
    Opening,
    Piece,
    Reinforcement,
    Sleeve,
    Trough,
)
from quoting.engine.takeoff.materials import STAGES, materials
from quoting.engine.takeoff.weights import weights
from quoting.engine.values import PriceBook
from tests.quoting.engine.takeoff.materials_world import METRIC, US, slab, starter, take_off, without

DRIVERS = [
    "mould_cut_length_m",
    "mould_joint_m",
    "mould_part_count",
    "screw_count",
    "sealant_bead_m",
    "volume_m3",
    "concrete_kg",
    "batch_count",
    "mesh_area_m2",
    "show_area_m2",
    "side_area_m2",
    "edge_length_m",
    "edge_treated_m",
    "trough_area_m2",
    "finish_area_m2",
    "polish_area_m2",
    "fill_area_m2",
    "sealer_area_m2",
    "inlay_count",
    "sleeve_count",
    "insert_count",
    "opening_count",
    "trough_count",
    "light_length_m",
    "lift_count",
    "distance_km",
    "steps",
    "install",
]
TABLE = slab(
    Rectangle(2100, 900, (150,) * 4),
    features=(
        Trough((1050, 450), 400, 200, 150, 30, 30, mix="MIX-LIGHT"),
        Inlay(((300, 200), (300, 700), (1800, 200), (1800, 700)), Rectangle(200, 150), "GLASS-8", 8, 6, True),
        Sleeve(((100, 450), (2000, 450)), 60),
        Groove(((400, 60), (1700, 60)), "underside", 10, 8),
        Opening(((700, 450),), Rectangle(150, 100)),
        Insert(((450, 200), (1650, 200)), "INSERT-M8"),
    ),
    reinforcement=Reinforcement("MESH-50", 15, 100),
    lighting=Lighting("STRIP-LED", None, 1500),
    extras=(Extra("BASE-STEEL", Decimal(1)),),
    delivery=Delivery(30, 12, True),
)


def test_a_table_of_two_and_a_half_cubic_feet() -> None:
    """Common practice: some 350 to 370 lb, six to seven 60 lb bags."""
    inch = 25.4
    _, geometry, made = take_off(slab(Rectangle(72 * inch, 36 * inch), 1.625 * inch), starter("us"), US)
    cu_ft = geometry.volume_m3 / units.M3_PER_CU_FT
    assert cu_ft == pytest.approx(2.4375)
    pounds = made.drivers_part["concrete_kg"] / units.KG_PER_LB
    assert 350 <= pounds * 2.5 / cu_ft <= 370
    assert next(line.packs for line in made.lines if line.code == "BAG-GREY") in (6, 7)


def test_every_stage_is_there_in_the_order_of_work() -> None:
    _, _, made = take_off(TABLE)
    stages = [line.stage for line in made.lines]
    assert set(stages) == set(STAGES)
    assert stages == sorted(stages, key=STAGES.index)
    for line in made.lines:
        assert line.working and line.packs >= 0 and line.gross >= line.need > 0, line
        assert line.cost == line.packs * starter().materials[line.code].price


def test_every_driver_is_there() -> None:
    _, geometry, made = take_off(TABLE)
    part = made.drivers_part
    assert set(DRIVERS) <= set(part)
    assert (part["inlay_count"], part["sleeve_count"], part["insert_count"]) == (4, 2, 2)
    assert (part["opening_count"], part["trough_count"], part["lift_count"]) == (1, 1, 5)
    assert (part["distance_km"], part["steps"], part["install"]) == (30, 12, 1)
    assert part["polish_area_m2"] == pytest.approx(3 * (geometry.show_area_m2 + geometry.side_area_m2))
    assert part["sealer_area_m2"] == pytest.approx(2 * part["finish_area_m2"])
    assert part["mould_part_count"] == sum(p.quantity for p in made.mould.parts)
    assert part["batch_count"] == sum(plan.batches for plan in made.batches)


def test_weights_by_mix_steel_and_fitted_parts() -> None:
    solid = build(TABLE)
    geometry = measure(solid)
    found = weights(solid, geometry, starter(), METRIC)
    by_mix = dict(geometry.volume_by_mix)
    assert found.concrete_kg == pytest.approx(by_mix[""] * 2350 + by_mix["MIX-LIGHT"] * 1750)
    assert found.fitted_kg == pytest.approx(4 * 0.2 * 0.15 * 20 + 2 * 0.035)
    assert found.total_kg == pytest.approx(found.concrete_kg + found.steel_kg + found.fitted_kg)


def test_a_piece_of_one_mix_weighs_volume_times_density() -> None:
    """Check value C16: 2.4 × 0.9 × 0.04 m at 2400 kg/m³."""
    book = starter()
    heavy = replace(book.mixes["MIX-GREY"], density_kg_m3=2400.0)
    solid = build(slab())
    found = weights(solid, measure(solid), replace(book, mixes={"MIX-GREY": heavy}), METRIC)
    assert found.total_kg == pytest.approx(207.36, rel=1e-12)


def test_everything_missing_is_named_at_once() -> None:
    roles = (
        "mould_board",
        "knockout_foam",
        "sleeve_tube",
        "release",
        "pad",
        "light_supply",
        "fillet_sealant",
        "water",
    )
    book = without(starter(), *roles)
    with pytest.raises(Refused) as refused:
        take_off(TABLE, book)
    paths = [fault.path for fault in refused.value.faults]
    expected = {f"catalogue.{role}" for role in roles if role != "fillet_sealant"}
    assert expected <= set(paths)
    assert len(paths) == len(set(zip(paths, (f.value for f in refused.value.faults), strict=True)))


@pytest.mark.parametrize(
    "role", ["mould_board", "strip_board", "knockout_foam", "sleeve_tube", "groove_former", "fillet_sealant",
             "release", "slurry_cement", "pad", "screw", "light_supply", "edge_tape", "water"]
)  # fmt: skip
def test_a_missing_use_is_a_fault_not_a_crash(role: str) -> None:
    with pytest.raises(Refused) as refused:
        take_off(TABLE, without(starter(), role))
    assert f"catalogue.{role}" in [fault.path for fault in refused.value.faults]


def test_an_empty_price_list_is_refused() -> None:
    book = starter()
    with pytest.raises(Refused):
        take_off(TABLE, PriceBook(book.on, {}, {}, {}, ()))


def test_same_inputs_same_lines_whatever_the_order_of_the_catalogue() -> None:
    book = starter()
    turned = replace(
        book,
        materials=dict(reversed(list(book.materials.items()))),
        mixes=dict(reversed(list(book.mixes.items()))),
    )
    assert take_off(TABLE, turned, quantity=3)[2] == take_off(TABLE, quantity=3)[2]


def test_a_pack_opened_earlier_is_used_up_first() -> None:
    """Water for both mixes: ten litres are opened once."""
    _, _, made = take_off(TABLE)
    first, second = (line for line in made.lines if line.code == "WATER")
    together = first.gross + second.gross
    assert first.packs + second.packs == -(-together // 10)
    assert "left of the packs above" in second.working


def test_moulds_are_made_again_when_worn_out() -> None:
    one, nine = (take_off(slab(), quantity=quantity)[2] for quantity in (1, 9))
    area = {
        q: sum(line.need for line in m.lines if line.code.startswith("BOARD-18"))
        for q, m in ((1, one), (9, nine))
    }
    assert area[9] == pytest.approx(3 * area[1])  # three castings a board
    assert nine.mould.parts == one.mould.parts
    screws = next(line for line in nine.lines if line.code == "SCREW-45")
    assert screws.need == 3 * one.mould.screws


def test_offcuts_on_hand_are_used_before_a_sheet_is_bought() -> None:
    solid = build(slab(Rectangle(1200, 500)))
    offcut = Stock("OFFCUT-1", 1300, 900, Decimal(0), 1, on_hand=True)
    made = materials(solid, measure(solid), starter(), METRIC, 1, {"BOARD-18": (offcut,)})
    board = next(line for line in made.lines if line.code == "BOARD-18")
    assert board.packs == 0
    assert board.cost == 0
    assert "all from offcuts on hand" in board.working
    small = replace(offcut, length_mm=1250, width_mm=70)
    part = materials(solid, measure(solid), starter(), METRIC, 1, {"BOARD-18": (small,)})
    assert sum(line.packs for line in part.lines if line.code.startswith("BOARD-18")) == 1


def test_extras_by_their_unit_or_by_the_pack() -> None:
    def extra(unit: str | None, count: str = "2") -> Piece:
        return slab(extras=(Extra("RELEASE", Decimal(count), unit),))

    own, by_pack = (take_off(extra(unit))[2].lines[-1] for unit in ("L", "pack"))
    assert (own.need, by_pack.need) == (2.0, 10.0)
    assert own.stage == "extra"
    with pytest.raises(Refused) as refused:
        take_off(extra("kg"))
    assert refused.value.faults[0].path == "extras[0].unit"
    with pytest.raises(Refused) as unknown:
        take_off(slab(extras=(Extra("NOTHING", Decimal(1)), Extra("NONE", Decimal(1)))))
    assert [fault.path for fault in unknown.value.faults] == ["extras[0].material", "extras[1].material"]


def test_inlays_are_cut_from_sheets_or_counted() -> None:
    line = next(line for line in take_off(TABLE, quantity=2)[2].lines if line.code == "GLASS-8")
    assert line.need == pytest.approx(8 * 0.2 * 0.15)
    assert line.by_layout and line.packs == 1
    book = starter()
    cut = replace(book.materials["INSERT-M8"], code="TILE", role="", mass_kg_each=0.4)
    book = replace(book, materials={**book.materials, "TILE": cut})
    tiled = slab(features=(Inlay(((500, 400), (900, 400)), Rectangle(100, 100), "TILE", 8),))
    solid, geometry, made = take_off(tiled, book, quantity=3)
    assert next(line.packs for line in made.lines if line.code == "TILE") == 6
    assert weights(solid, geometry, book, METRIC).fitted_kg == pytest.approx(0.8)
    with pytest.raises(Refused, match="inlay is sheet"):
        take_off(slab(features=(Inlay(((500, 400),), Rectangle(100, 100), "SAND-02", 8),)))


def test_a_fitting_is_bought_for_each_drain_it_is_made_for() -> None:
    def drained(*diameters: float, **more: object) -> Piece:
        at = [Drain((400.0 + 120.0 * n, 300.0), diameter) for n, diameter in enumerate(diameters)]
        trough = Trough((500, 300), 500, 200, 160, 25, 25, 30, 4, drains=tuple(at))
        return slab(features=(trough,), **more)  # type: ignore[arg-type]

    def found(piece: Piece, book: PriceBook | None = None) -> tuple[dict[str, int], list[str]]:
        made = take_off(piece, book, quantity=3)[2]
        lines = {line.code: line.packs for line in made.lines if line.code.startswith("DRAIN")}
        return lines, [caution.text for caution in made.cautions if caution.code == "drain_fitting"]

    assert found(drained(32.0, 32.0)) == ({"DRAIN-32": 6}, [])
    assert found(drained(38.0, 34.0)) == ({"DRAIN-40": 3, "DRAIN-32": 3}, [])  # two mm of play
    lines, (said,) = found(drained(40.0, 20.0))
    assert lines == {"DRAIN-40": 3}
    assert "for 1 drain of 20 mm: the price list has 32 mm and 40 mm" in said
    assert found(drained(37.9, 34.1))[0] == {}
    # a maker who names fittings himself gets no others
    own = (Extra("DRAIN-40", Decimal(1)),)
    assert found(drained(32.0, 20.0, extras=own)) == ({"DRAIN-40": 3}, [])
    bare, (none,) = found(drained(32.0), without(starter(), "drain"))
    assert bare == {} and "the price list has none" in none


def test_many_pieces_come_out_in_good_time_and_scale() -> None:
    _, _, made = take_off(slab(features=(Sleeve(((500, 400),), 60),)), quantity=1000)
    tubes = next(line for line in made.lines if line.code == "TUBE-60")
    assert tubes.need == pytest.approx(1000 * 0.04)
    assert 20 <= tubes.packs <= 24  # 46 of 40 mm from 2 m with a kerf between: 22 in one go
