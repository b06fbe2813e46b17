"""Parts of the mould as a maker would cut them: hand checks of common practice."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from quoting.engine.plane.shapes import Ell, Oval, Polygon, Rectangle, Round
from quoting.engine.solid.build import build
from quoting.engine.spec.types import (
    Drain,
    DropEdge,
    EdgeTreatment,
    Groove,
    Inlay,
    Opening,
    Piece,
    Sleeve,
    Trough,
)
from quoting.engine.takeoff.lines import Mould, MouldPart
from quoting.engine.takeoff.mould import mould
from quoting.engine.takeoff.mould_parts import screws_in
from quoting.engine.takeoff.mould_voids import foam_layers, groove_lengths
from quoting.engine.values import ShopTerms
from tests.quoting.engine.takeoff.materials_world import METRIC, US, slab, starter

BOARD = 18.0


def near(value: float) -> Any:
    """An approximate number that may stand inside a tuple."""
    return pytest.approx(value)


def mould_of(piece: Piece, terms: ShopTerms = METRIC, pack: str = "metric", quantity: int = 1) -> Mould:
    return mould(build(piece), starter(pack), terms, quantity)


def named(made: Mould, name: str) -> list[MouldPart]:
    return [part for part in made.parts if part.name == name]


def sizes(parts: list[MouldPart]) -> list[tuple[float, float, int]]:
    return [(round(part.length_mm, 2), round(part.width_mm, 2), part.quantity) for part in parts]


def test_lapped_sides_are_as_high_as_depth_and_board_and_long_ones_lap() -> None:
    made = mould_of(slab())
    assert sizes(named(made, "base")) == [(2400, 900, 1)]
    assert sizes(named(made, "side")) == [(2400 + 2 * BOARD, 40 + BOARD, 2), (900, 40 + BOARD, 2)]
    assert [part.drawing for part in made.parts] == ["M1", "M2", "M3"]


def test_standing_sides_are_as_high_as_the_depth_on_a_larger_base() -> None:
    made = mould_of(slab(), replace(METRIC, mould_sides="standing"))
    assert sizes(named(made, "side")) == [(2436, 40, 2), (900, 40, 2)]
    assert sizes(named(made, "base")) == [(2400 + 4 * BOARD, 900 + 4 * BOARD, 1)]


def test_a_square_is_lapped_by_front_and_back() -> None:
    assert sizes(named(mould_of(slab(Rectangle(600, 600))), "side")) == [(636, 58, 2), (600, 58, 2)]


def test_an_ell_laps_by_the_longer_side_and_butts_in_the_notch() -> None:
    made = mould_of(slab(Ell(2000, 1400, 900, 700, "back-right")))
    # Sides 2000, 700, 900, 700, 1100, 1400: in the notch's corner the fourth runs against the third.
    lengths = [part.length_mm for part in named(made, "side") for _ in range(part.quantity)]
    assert sorted(lengths) == pytest.approx(sorted([2036, 700, 918, 700 - 18, 1118, 1418]))
    assert all(part.edges == "square" for part in named(made, "side"))


def test_other_angles_are_mitred_by_half_the_turn() -> None:
    points = tuple(
        (500 * math.cos(math.radians(60 * k)), 500 * math.sin(math.radians(60 * k))) for k in range(6)
    )
    (part,) = named(mould_of(slab(Polygon(points, (0.0,) * 6))), "side")
    assert part.quantity == 6
    assert part.length_mm == pytest.approx(500 + 2 * BOARD * math.tan(math.radians(30)))
    assert part.edges == "30.0° mitre both ends"


def test_rounded_corners_are_bent_strip_between_boards() -> None:
    made = mould_of(slab(Rectangle(2100, 900, (120,) * 4)))
    assert sizes(named(made, "side")) == [(2100 - 240, 58, 2), (900 - 240, 58, 2)]
    (bent,) = named(made, "side, curved")
    assert bent.length_mm == pytest.approx(math.pi / 2 * 120)
    assert (bent.quantity, bent.material, bent.bend_radius_mm) == (4, "BEND-5", 120)
    assert named(made, "base")[0].edges == "sawn to the outline"
    assert made.cautions == ()


@pytest.mark.parametrize(("terms", "pack", "said"), [(METRIC, "metric", "12.7 mm"), (US, "us", "1/2 in")])
def test_a_tight_inner_corner_is_rounded_over_in_the_shops_unit(
    terms: ShopTerms, pack: str, said: str
) -> None:
    made = mould_of(slab(Ell(1524, 1016, 600, 500, "back-right", 12.7)), terms, pack)
    cuts = [part.edges for part in named(made, "side") if part.edges != "square"]
    assert cuts == [f"45.0° mitre, rounded over to {said}, one end"] * 2


def test_curves_longer_than_a_sheet_are_joined_and_too_tight_ones_cautioned() -> None:
    made = mould_of(slab(Round(900)))
    (bent,) = named(made, "side, curved")
    assert (bent.quantity, bent.length_mm) == (2, near(math.pi * 900 / 2))
    tight = mould_of(slab(Oval(1000, 400)))
    assert [caution.code for caution in tight.cautions] == [
        "bend_radius"
    ]  # 200²/500 = 80 mm, strip bends to 100


def test_a_base_larger_than_a_sheet_is_made_of_several() -> None:
    made = mould_of(slab(Rectangle(4000, 900)))
    assert sizes(named(made, "base")) == [(2000, 900, 2)]
    assert sizes(named(made, "side"))[0] == (2018, 58, 4)
    assert ("base joints", 0.9, 6.0) in made.bead_m


def test_a_lip_of_a_quarter_inch_leaves_a_knock_out_half_an_inch_smaller() -> None:
    inch = 25.4
    inlay = Inlay(((20 * inch, 12 * inch),), Rectangle(8 * inch, 6 * inch), "GLASS-8", 8, 0.25 * inch, True)
    made = mould_of(slab(Rectangle(60 * inch, 24 * inch), 1.5 * inch, features=(inlay,)), pack="us")
    (block,) = [part for part in made.parts if part.name.startswith("inlay knock-out")]
    assert (block.length_mm, block.width_mm) == pytest.approx((7.5 * inch, 5.5 * inch))
    assert block.thickness_mm == pytest.approx(1.5 * inch - 8)


def test_foam_in_as_few_layers_as_the_depth_wants() -> None:
    foams = starter().by_role("knockout_foam")
    for depth, code, whole, rest in [
        (150, "FOAM-50", 3, 0),
        (32, "FOAM-50", 0, 32),
        (25, "FOAM-25", 1, 0),
        (60, "FOAM-50", 1, 10),
    ]:
        foam, layers, last = foam_layers(depth, foams)
        assert (foam.code, layers, last) == (code, whole, near(rest))
    made = mould_of(slab(thickness_mm=60, features=(Opening(((1000, 400),), Rectangle(300, 200)),)))
    assert [(p.thickness_mm, p.quantity, p.edges) for p in made.parts if "knock-out" in p.name] == [
        (50, 1, "square"),
        (10, 1, "square, trimmed from a full sheet"),
    ]


def test_sleeves_and_drains_are_tube_cut_to_the_depth_there() -> None:
    trough = Trough((1200, 450), 400, 200, 150, 30, 35, drains=(Drain((1200, 450), 40),))
    made = mould_of(slab(features=(Sleeve(((200, 200), (2200, 700)), 60), trough)))
    assert sizes(named(made, "sleeve tube")) == [(40, 60, 2)]
    assert sizes(named(made, "drain tube")) == [(35, 40, 1)]
    odd = mould_of(slab(features=(Sleeve(((200, 200),), 55),)))
    assert [caution.code for caution in odd.cautions] == ["tube_diameter"]


def test_groove_formers_are_mitred_at_the_corners() -> None:
    groove = Groove(((50, 50), (2050, 50), (2050, 850)), "underside", 10, 8)
    assert groove_lengths(groove) == (
        (near(2005), "45.0° mitre one end"),
        (near(805), "45.0° mitre one end"),
    )


def test_a_groove_round_and_back_is_made_once_and_mitred_at_every_corner() -> None:
    path = ((50.0, 50.0), (1050.0, 50.0), (1050.0, 650.0), (50.0, 650.0), (50.0, 50.0))
    made = mould_of(slab(features=(Groove(path, "underside", 10, 8),)))
    assert sizes(named(made, "groove former")) == [(1010, 10, 2), (610, 10, 2)]
    assert {part.edges for part in named(made, "groove former")} == {"45.0° mitre both ends"}
    assert len([part for part in made.placed if part.name == "groove former"]) == 2


def test_parts_larger_than_their_stock_are_joined() -> None:
    groove = Groove(((100.0, 60.0), (3900.0, 60.0)), "underside", 10, 8)
    opening = Opening(((2000, 500),), Rectangle(1500, 700))
    made = mould_of(slab(Rectangle(4000, 1000), features=(groove, opening)))
    (former,) = named(made, "groove former")
    assert (former.length_mm, former.quantity, former.edges) == (1900, 2, "square; 2 joined for one")
    (block,) = [part for part in made.parts if "opening knock-out" in part.name]
    assert (block.length_mm, block.width_mm, block.quantity) == (750, 350, 4)  # foam comes 1250 × 600


def test_drop_edge_sides_are_as_high_as_the_band_and_have_an_inner_form() -> None:
    made = mould_of(slab(drop_edge=DropEdge(120, 40)))
    assert sizes(named(made, "side")) == [(2436, 138, 2), (900, 138, 2)]
    # Inside the band 2320 × 820: the long boards run through, the short ones butt between them.
    assert sizes(named(made, "drop-edge form")) == [(2320, 80, 2), (820 - 2 * BOARD, 80, 2)]
    front = mould_of(slab(drop_edge=DropEdge(120, 40, (0,))))
    # The sides beside the front close the band's ends, the back does not meet it.
    assert sizes(named(front, "side")) == [(2436, 138, 1), (900, 138, 2), (2436, 58, 1)]
    assert sizes(named(front, "drop-edge form")) == [(2400, 80, 1)]


def test_a_leaning_trough_has_panels_of_true_length_and_bevel() -> None:
    """True height, run-in and blade tilt from the panels' corners in space, not from the formulas used."""
    length, width, depth, taper = 400.0, 300.0, 150.0, 8.0
    made = mould_of(slab(features=(Trough((1200, 450), length, width, depth, 30, 30, 0, taper),)))
    run_in = depth * math.tan(math.radians(taper))
    a, b = length / 2, width / 2
    side = [(-a, -b, 0.0), (a, -b, 0.0), (a - run_in, -b + run_in, depth), (-a + run_in, -b + run_in, depth)]
    (long_panel,) = named(made, "trough core side")
    assert long_panel.length_mm == math.dist(side[0], side[1])
    middle = (0.0, -b, 0.0), (0.0, -b + run_in, depth)
    assert long_panel.width_mm == pytest.approx(math.dist(*middle))
    slant = math.dist(side[1], side[2])
    off_square = math.degrees(math.acos(long_panel.width_mm / slant))
    # Normals of two neighbouring panels give the dihedral; a butt joint's blade tilts by its miss of 90°.
    lean = math.radians(taper)
    first = (0.0, -math.cos(lean), math.sin(lean))
    second = (math.cos(lean), 0.0, math.sin(lean))
    dihedral = math.degrees(math.acos(-sum(p * q for p, q in zip(first, second, strict=True))))
    assert f"ends run in {off_square:.1f}° off square" in long_panel.edges
    assert f"blade tilted {dihedral - 90:.2f}°" in long_panel.edges
    (lid,) = named(made, "trough core lid")
    wall = BOARD / math.cos(lean)
    lower = 2 * (a - (depth - BOARD) * math.tan(lean) - wall)
    assert lid.length_mm == pytest.approx(lower)
    assert lid.edges == f"bevel {taper:.1f}° all round"


def test_an_upright_trough_has_square_panels_and_a_lapped_outer_form() -> None:
    made = mould_of(slab(features=(Trough((1200, 450), 400, 200, 150, 30, 30, 0),)))
    assert sizes(named(made, "trough core side")) == [(400, 150, 2)]
    assert sizes(named(made, "trough core end")) == [(200 - 2 * BOARD, 150, 2)]
    assert sizes(named(made, "trough core lid")) == [(364, 164, 1)]
    # Outside 460 × 260 with corners of the wall's 30 mm, from the underside to depth + floor.
    assert sizes(named(made, "trough form")) == [(400, 140, 2), (200, 140, 2)]
    (corner,) = named(made, "trough form, curved")
    assert corner.length_mm == pytest.approx(math.pi / 2 * 30)


def test_forms_without_room_between_them_are_cautioned() -> None:
    trough = Trough((600, 450), 400, 200, 150, 30, 30)
    beside = replace(trough, centre_mm=(600 + 460 + 30, 450))
    apart = replace(trough, centre_mm=(600 + 460 + 40, 450))
    assert [c.code for c in mould_of(slab(features=(trough, beside))).cautions if c.code == "forms_crowded"]
    assert not [c for c in mould_of(slab(features=(trough, apart))).cautions if c.code == "forms_crowded"]
    dropped = mould_of(slab(features=(replace(trough, centre_mm=(300, 450)),), drop_edge=DropEdge(120, 40)))
    assert "forms_crowded" in [c.code for c in dropped.cautions]


def test_beads_run_along_every_inner_arris() -> None:
    assert mould_of(slab()).bead_m == (
        ("base to sides", near(6.6), 6),
        ("upright corners", near(0.16), 6),
    )
    rounded = mould_of(slab(edges=(EdgeTreatment("top", "round", 3),)))
    assert rounded.bead_m[0][1:] == (near(6.6), 3)
    sleeve = mould_of(slab(features=(Sleeve(((500, 400),), 60),)))
    assert ("round knock-outs", near(math.pi * 0.06), 6) in sleeve.bead_m


def test_chamfers_are_formed_by_ripped_strip_and_leave_no_bead_there() -> None:
    made = mould_of(slab(edges=(EdgeTreatment("top", "chamfer", 10, (0,)),)))
    (strip,) = named(made, "chamfer strip")
    assert (strip.length_mm, strip.width_mm, strip.edges) == (2400, 10, "ripped at 45°, ends mitred")
    assert made.bead_m[0] == ("base to sides", near(4.2), 6)


def test_screws_by_spacing_and_both_ends() -> None:
    assert screws_in(900, 150) == 7
    assert screws_in(901, 150) == 8
    assert screws_in(40, 150) == 2
    made = mould_of(slab())
    # Along the base 2400: 17 twice, 900: 7 twice; up each of four corners 58 mm: 2.
    assert made.screws == 2 * 17 + 2 * 7 + 4 * 2


def test_layouts_hold_every_part_of_every_mould() -> None:
    made = mould_of(slab(features=(Sleeve(((500, 400),), 60),)), quantity=7)
    placed = {code: sum(len(sheet.placed) for sheet in plan.sheets) for code, plan in made.layouts}
    assert placed == {"BOARD-18": 5 * 3}  # boards last three castings
    assert {code: sum(len(bar.pieces) for bar in plan.bars) for code, plan in made.bars} == {"TUBE-60": 7}


def test_a_mould_worn_out_says_how_often_each_part_is_made() -> None:
    """Twelve tops once had one base on the list, four on the cutting diagram, and no word why."""
    piece = slab(Rectangle(600.0, 400.0), features=(Opening(((300.0, 200.0),), Rectangle(200.0, 100.0)),))
    board, foam = starter().materials["BOARD-18"], starter().materials["FOAM-50"]
    assert mould_of(piece).notes == mould_of(piece, quantity=1).notes
    again = mould_of(piece, quantity=12)
    (said,) = set(again.notes) - set(mould_of(piece).notes)
    marks = {
        name: [part.drawing for part in again.parts if part.material == name]
        for name in ("BOARD-18", "FOAM-50")
    }
    boards = f"{', '.join(marks['BOARD-18'])} {math.ceil(12 / (board.casts or 1))} times"
    foams = f"{', '.join(marks['FOAM-50'])} {math.ceil(12 / (foam.casts or 1))} times"
    assert said == f"12 castings wear the mould out; the list is of one mould, make {boards}; {foams}."
