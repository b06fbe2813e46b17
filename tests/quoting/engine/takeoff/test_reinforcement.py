"""Mesh and bars: where they end, where they lap, what they weigh."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.engine.errors import Refused
from quoting.engine.plane.shapes import Rectangle, Round
from quoting.engine.solid.build import build
from quoting.engine.spec.convert import polygon_of
from quoting.engine.spec.types import (
    BarRun,
    DropEdge,
    Inlay,
    Opening,
    Piece,
    Recess,
    Reinforcement,
    Sleeve,
    Trough,
)
from quoting.engine.takeoff.reinforcement import mesh_of, mesh_region, reinforcement, steel_kg
from quoting.engine.takeoff.reinforcement_bars import bar_cuts
from tests.quoting.engine.takeoff.materials_world import METRIC, slab, starter

MESH = Reinforcement("MESH-50", 15.0, 100.0)


def area_m2(piece: Piece, rules: Reinforcement = MESH) -> float:
    return mesh_of(build(piece), rules, starter().materials["MESH-50"]).area_m2


def test_mesh_ends_the_cover_short_of_every_edge() -> None:
    region, area = mesh_region(build(slab(Rectangle(2000, 900))), 15.0)
    assert list(region.bounds) == [15, 15, 1985, 885]
    assert area == pytest.approx(1970 * 870)


def test_voids_at_its_level_are_cut_out_grown_by_the_cover() -> None:
    plain = area_m2(slab(Rectangle(2000, 900)))
    opening = Opening(((600, 450),), Rectangle(300, 200))
    assert plain - area_m2(slab(Rectangle(2000, 900), features=(opening,))) == pytest.approx(0.330 * 0.230)
    shallow = Recess(((600, 450),), Rectangle(300, 200), "top", 12)
    assert area_m2(slab(Rectangle(2000, 900), features=(shallow,))) == pytest.approx(plain)
    deep = replace(shallow, depth_mm=25)
    assert plain - area_m2(slab(Rectangle(2000, 900), features=(deep,))) == pytest.approx(0.330 * 0.230)
    backlit = Inlay(((600, 450),), Rectangle(300, 200), "GLASS-8", 8, 10, True)
    assert plain - area_m2(slab(Rectangle(2000, 900), features=(backlit,))) == pytest.approx(0.310 * 0.210)
    sleeve = Sleeve(((600, 450),), 60)
    assert plain - area_m2(slab(Rectangle(2000, 900), features=(sleeve,))) == pytest.approx(
        3.14159265 * 0.045**2
    )


def test_a_leaning_trough_is_cut_out_as_wide_as_it_is_at_mid_depth() -> None:
    plain = area_m2(slab(Rectangle(2000, 900)))
    trough = Trough((1000, 450), 400, 200, 150, 30, 30, 0, 45.0 / 4)
    less = 2 * 20 * 0.19891236737965800691  # tan 11.25° at mid-depth, 20 mm down
    cut = plain - area_m2(slab(Rectangle(2000, 900), features=(trough,)))
    assert cut == pytest.approx((0.430 - less / 1000) * (0.230 - less / 1000))


def test_voids_that_touch_are_cut_once() -> None:
    plain = area_m2(slab(Rectangle(2000, 900)))
    pair = Opening(((600, 450), (820, 450)), Rectangle(200, 200))
    # 20 mm apart, grown 15 mm each: together 450 × 230.
    assert plain - area_m2(slab(Rectangle(2000, 900), features=(pair,))) == pytest.approx(0.450 * 0.230)


def test_sheets_lap_where_the_piece_outgrows_one() -> None:
    long = slab(Rectangle(4030, 900))
    mesh = mesh_of(build(long), MESH, starter().materials["MESH-50"])
    assert mesh.tiles == 2
    assert list(mesh.tile_mm) == pytest.approx([(4000 + 100) / 2, 870])
    assert mesh.area_m2 == pytest.approx((4.000 + 0.100) * 0.870)
    steel = reinforcement(build(replace(long, reinforcement=MESH)), starter(), METRIC, pieces=3)
    assert steel.lines[0].packs == 6
    assert steel.lines[0].need == pytest.approx(3 * 4.1 * 0.87)


def test_the_mesh_is_turned_where_that_saves_a_sheet() -> None:
    assert mesh_of(build(slab(Rectangle(1200, 2400))), MESH, starter().materials["MESH-50"]).tiles == 1


def test_steel_is_weighed_with_its_laps() -> None:
    rules = Reinforcement("MESH-50", 15.0, 100.0, (BarRun("BAR-8", "outline", 2),))
    piece = slab(Rectangle(2000, 900), reinforcement=rules)
    girth = 2 * (2000 - 38 + 900 - 38) / 1000  # 15 mm cover and half of 8 mm on every side
    expected = 1.970 * 0.870 * 0.986 + 2 * (girth + 0.100) * 0.395
    assert steel_kg(build(piece), starter()) == pytest.approx(expected)
    assert steel_kg(build(slab()), starter()) == 0.0


def test_bars_longer_than_the_stock_are_pieced_with_laps() -> None:
    rules = Reinforcement(None, 20.0, 300.0, (BarRun("BAR-6", "outline", 1),))
    (cut,) = bar_cuts(build(slab(Rectangle(3046, 2046))), rules, starter())
    # 2 × (3000 + 2000) = 10 m round and closed: two bars, two laps of 0.3 m.
    assert (cut.count, cut.laps, cut.bends) == (2, 2, 4)
    assert cut.length_mm == pytest.approx((10_000 + 2 * 300) / 2)


def test_drop_edge_bars_follow_its_middle() -> None:
    rules = Reinforcement(None, 15.0, 200.0, (BarRun("BAR-6", "drop_edge", 2),))
    front = slab(Rectangle(2000, 900), drop_edge=DropEdge(120, 40, (0,)))
    (cut,) = bar_cuts(build(front), rules, starter())
    assert (cut.length_mm, cut.count, cut.bends, cut.laps) == (2000 - 30, 2, 0, 0)
    around = slab(Rectangle(2000, 900), drop_edge=DropEdge(120, 40))
    (cut,) = bar_cuts(build(around), rules, starter())
    assert cut.length_mm == pytest.approx(2 * (1960 + 860) + 200)
    corner = slab(Rectangle(2000, 900), drop_edge=DropEdge(120, 40, (0, 1)))
    (cut,) = bar_cuts(build(corner), rules, starter())
    assert cut.length_mm == pytest.approx(1980 + 880 - 30)
    assert cut.bends == 1


def test_trough_bars_run_in_the_middle_of_the_wall() -> None:
    rules = Reinforcement(None, 10.0, 200.0, (BarRun("BAR-6", "trough", 3),))
    piece = slab(features=(Trough((1200, 450), 400, 200, 150, 30, 30, 0),))
    (cut,) = bar_cuts(build(piece), rules, starter())
    straight = 2 * (400 + 200)
    assert cut.length_mm == pytest.approx(straight + 2 * 3.14159265358979 * 15 + 200)
    assert cut.count == 3


def test_c45_crossing_wires_that_do_not_fit_are_cautioned() -> None:
    rules = Reinforcement("MESH-A142", 16.0, 200.0)
    steel = reinforcement(build(slab(reinforcement=rules)), starter(), METRIC)
    (caution,) = steel.cautions
    assert "12 mm of steel" in caution.text and "leaves 8 mm" in caution.text
    thin = reinforcement(build(slab(reinforcement=replace(rules, mesh="MESH-50"))), starter(), METRIC)
    assert thin.cautions == ()


def test_a_cover_that_leaves_no_room_is_refused() -> None:
    with pytest.raises(Refused) as refused:
        mesh_region(build(slab(Round(300))), 160.0)
    assert refused.value.faults[0].path == "reinforcement.cover"


def test_a_lap_longer_than_the_sheet_is_refused() -> None:
    rules = Reinforcement("MESH-50", 15.0, 3000.0)
    with pytest.raises(Refused) as refused:
        reinforcement(build(slab(Rectangle(6000, 900), reinforcement=rules)), starter(), METRIC)
    assert refused.value.faults[0].path == "reinforcement.lap"


def test_a_lap_longer_than_a_bar_is_refused() -> None:
    def cut(lap_mm: float, length_mm: float = 3000.0) -> int:
        rules = Reinforcement(None, 15.0, lap_mm, (BarRun("BAR-6", "outline", 1),))
        return bar_cuts(build(slab(Rectangle(length_mm, 900))), rules, starter())[0].count

    assert cut(5999.0) > 1
    with pytest.raises(Refused, match="less than a whole length of BAR-6") as refused:
        cut(6000.0)
    assert refused.value.faults[0].path == "reinforcement.lap"


def test_a_drop_edge_no_longer_than_its_covers_has_no_bar() -> None:
    def cut(cover_mm: float) -> float:
        # the front side is 20 mm long, between sides that fall away from it
        plan = polygon_of(((0, 0), (20, 0), (600, 300), (600, 600), (0, 600)), (0.0,))
        piece = slab(plan, drop_edge=DropEdge(90, 15, (0,)))
        rules = Reinforcement(None, cover_mm, 100.0, (BarRun("BAR-6", "drop_edge", 1),))
        return bar_cuts(build(piece), rules, starter())[0].length_mm

    assert cut(10.0) > 0
    with pytest.raises(Refused, match="no longer than its cover at both ends") as refused:
        cut(18.0)
    assert refused.value.faults[0].path == "reinforcement.bars[0]"
