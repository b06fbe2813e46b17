"""Contours: what each shape draws, how it is numbered, how it grows."""

from __future__ import annotations

import math
from typing import get_args

import pytest

from quoting.engine.plane.contour import Arc, Ellipse, Line, NoRoom, contour_of, ring_of, to_polygon
from quoting.engine.plane.shapes import Ell, Notch, Oval, Polygon, Rectangle, Round, Shape, Slot

SHAPES: list[Shape] = [
    Rectangle(200.0, 100.0, (10.0, 0.0, 20.0, 5.0)),
    Slot(300.0, 100.0),
    Slot(100.0, 300.0),
    Ell(300.0, 200.0, 100.0, 80.0, "front-left", 20.0),
    Ell(300.0, 200.0, 100.0, 80.0, "back-right"),
    Round(100.0),
    Oval(300.0, 200.0),
    Polygon(((0.0, 0.0), (100.0, 0.0), (150.0, 80.0), (60.0, 60.0), (0.0, 100.0)), (5.0, 6.0, 7.0, 8.0, 9.0)),
]
CHORD_MM = 1e-4


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: type(s).__name__)
@pytest.mark.parametrize("by", [-12.0, -7.0, 0.0, 9.0])
def test_measures_agree_with_a_polygon_of_fine_chords_also_when_grown(shape: Shape, by: float) -> None:
    contour = contour_of(shape, (50.0, 60.0), 30.0)
    grown = contour.grown(by)
    polygon = to_polygon(grown, CHORD_MM)
    assert polygon.is_valid
    assert grown.area_mm2 == pytest.approx(polygon.area, abs=CHORD_MM * grown.perimeter_mm)
    assert grown.perimeter_mm == pytest.approx(polygon.length, rel=1e-5)
    assert grown.centroid_mm == pytest.approx(polygon.centroid.coords[0], abs=1e-3)
    assert grown.box_mm == pytest.approx(polygon.bounds, abs=2 * CHORD_MM)
    # Growing is the same as a mitred buffer of the drawn contour (a general library's).
    buffered = to_polygon(contour, CHORD_MM).buffer(by, join_style="mitre", mitre_limit=50.0)
    assert grown.area_mm2 == pytest.approx(buffered.area, rel=1e-5)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: type(s).__name__)
def test_segments_join_up_and_sum_to_the_perimeter(shape: Shape) -> None:
    contour = contour_of(shape)
    segments = contour.segments
    assert math.fsum(s.length_mm for s in segments) == pytest.approx(contour.perimeter_mm, rel=1e-12)
    joined = [s for s in segments if not isinstance(s, Ellipse)]
    for before, after in zip(joined[-1:] + joined[:-1], joined, strict=True):
        assert before.end == pytest.approx(after.start, abs=1e-9)


def test_the_box_of_a_shape_starts_at_the_origin_or_is_centred() -> None:
    assert contour_of(Oval(300.0, 200.0)).box_mm == pytest.approx((0.0, 0.0, 300.0, 200.0))
    assert contour_of(Round(80.0), (100.0, 100.0)).box_mm == pytest.approx((60.0, 60.0, 140.0, 140.0))
    turned = contour_of(Rectangle(200.0, 100.0), (100.0, 100.0), 90.0)
    assert turned.box_mm == (50.0, 0.0, 150.0, 200.0)


def test_sides_are_numbered_counter_clockwise_from_the_front() -> None:
    lines = [s for s in contour_of(Rectangle(200.0, 100.0, (10.0,) * 4)).segments if isinstance(s, Line)]
    assert [(line.side, line.start, line.end) for line in lines] == [
        (0, (10.0, 0.0), (190.0, 0.0)),
        (1, (200.0, 10.0), (200.0, 90.0)),
        (2, (190.0, 100.0), (10.0, 100.0)),
        (3, (0.0, 90.0), (0.0, 10.0)),
    ]
    assert contour_of(Rectangle(200.0, 100.0)).sides == 4
    for notch in get_args(Notch):
        ell = contour_of(Ell(300.0, 200.0, 100.0, 80.0, notch))
        front = ell.segments[0]
        assert ell.sides == 6 and isinstance(front, Line)
        assert front.start[1] == front.end[1] == 0.0 and front.end[0] > front.start[0]


@pytest.mark.parametrize("shape", [Round(100.0), Oval(200.0, 100.0), Slot(200.0, 100.0)])
def test_round_oval_and_slot_have_no_numbered_sides_and_move_as_a_whole(shape: Shape) -> None:
    contour = contour_of(shape)
    assert contour.sides == 0
    assert contour.grown(-5.0, (0,)).area_mm2 == contour.grown(-5.0).area_mm2


def test_a_slots_end_is_one_half_circle() -> None:
    segments = contour_of(Slot(300.0, 100.0)).segments
    arcs = [s for s in segments if isinstance(s, Arc)]
    assert len(segments) == 4
    assert [arc.sweep_rad for arc in arcs] == pytest.approx([math.pi, math.pi])


def test_corner_arcs_shrink_inward_to_sharp_corners_and_grow_outward() -> None:
    contour = contour_of(Rectangle(200.0, 100.0, (10.0, 0.0, 0.0, 0.0)))
    assert [c.radius_mm for c in contour.grown(-4.0).ring] == [6.0, 0.0, 0.0, 0.0]
    assert [c.radius_mm for c in contour.grown(-14.0).ring] == [0.0] * 4
    assert [c.radius_mm for c in contour.grown(4.0).ring] == [14.0, 0.0, 0.0, 0.0]
    reflex = contour_of(Ell(300.0, 200.0, 100.0, 80.0, "back-right", 20.0)).grown(-6.0)
    assert sorted(c.radius_mm for c in reflex.ring) == [14.0] * 5 + [26.0]


def test_some_sides_move_squarely_at_arcs_and_out_through_sharp_neighbours() -> None:
    contour = contour_of(Rectangle(200.0, 100.0, (10.0, 0.0, 20.0, 5.0)))
    for sides in ((0,), (2,), (0, 2)):
        strip = contour.area_mm2 - contour.grown(-7.0, sides).area_mm2
        assert strip == pytest.approx(7.0 * contour.length_on_mm(sides), rel=1e-12)
    pair = contour.area_mm2 - contour.grown(-7.0, (0, 1)).area_mm2
    assert pair == pytest.approx(7.0 * contour.length_on_mm((0, 1)) - 49.0, rel=1e-12)
    assert contour.length_on_mm((2, 3)) == pytest.approx(175.0 + 85.0 + 2.5 * math.pi)
    assert contour.length_on_mm(None) == contour.perimeter_mm


@pytest.mark.parametrize("radius", [0.0, 15.0])
def test_at_a_reflex_corner_a_side_alone_stops_in_its_neighbours_plane_or_at_the_arc(radius: float) -> None:
    ell = contour_of(Ell(300.0, 200.0, 120.0, 80.0, "back-right", radius))
    # Side 2 runs along the notch from its convex to its reflex corner, side 3 on from there.
    for sides, length in (((2,), 120.0), ((3,), 80.0)):
        strip = ell.area_mm2 - ell.grown(-6.0, sides).area_mm2
        assert strip == pytest.approx(6.0 * (length - 2.0 * radius), rel=1e-12)
    both = ell.area_mm2 - ell.grown(-6.0, (2, 3)).area_mm2
    corner = math.pi / 4.0 * ((radius + 6.0) ** 2 - radius**2) if radius else 6.0**2
    assert both == pytest.approx(6.0 * (200.0 - 4.0 * radius) + corner, rel=1e-12)


def test_a_slanted_neighbour_is_met_on_its_own_line() -> None:
    triangle = ring_of([(0.0, 0.0), (300.0, 0.0), (0.0, 400.0)])
    moved = triangle.grown(-40.0, (0,))
    assert moved.area_mm2 == pytest.approx((300.0 * 360.0 / 400.0) * 360.0 / 2.0)


def test_collinear_sides_end_square() -> None:
    strip = ring_of([(0.0, 0.0), (100.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)])
    assert strip.grown(-10.0, (0,)).area_mm2 == pytest.approx(20000.0 - 1000.0)
    assert strip.grown(-10.0).area_mm2 == pytest.approx(180.0 * 80.0)


def test_moving_and_turning_keep_the_measures() -> None:
    for shape in SHAPES:
        contour = contour_of(shape)
        moved = contour.turned(33.0, (7.0, 9.0)).moved(-250.0, 40.0)
        assert moved.area_mm2 == pytest.approx(contour.area_mm2, rel=1e-12)
        assert moved.perimeter_mm == pytest.approx(contour.perimeter_mm, rel=1e-12)
    assert contour_of(Rectangle(200.0, 100.0)).turned(360.0, (1.0, 2.0)).ring[2].at == (200.0, 100.0)


@pytest.mark.parametrize("chord", [1.0, 0.05])
def test_no_chord_strays_further_than_allowed(chord: float) -> None:
    for shape in (Round(500.0), Oval(900.0, 200.0), Slot(300.0, 100.0)):
        contour = contour_of(shape)
        coarse, fine = to_polygon(contour, chord), to_polygon(contour, 1e-4)
        assert coarse.hausdorff_distance(fine) <= chord * 1.01 + 1e-3
        assert coarse.hausdorff_distance(fine) >= 0.2 * chord


# --- what it refuses -------------------------------------------------------------------------------------
def test_a_radius_larger_than_half_a_side_has_no_room() -> None:
    with pytest.raises(NoRoom, match="side 1 is 100 mm long where its corners take 120 mm"):
        contour_of(Rectangle(200.0, 100.0, (60.0,) * 4))


@pytest.mark.parametrize(
    ("shape", "by"), [(Rectangle(200.0, 100.0), -50.0), (Round(100.0), -50.0), (Slot(200.0, 100.0), -60.0)]
)
def test_a_contour_drawn_in_until_nothing_is_left_has_no_room(shape: Shape, by: float) -> None:
    with pytest.raises(NoRoom):
        contour_of(shape).grown(by)


def test_an_oval_is_not_drawn_in_beyond_its_least_radius() -> None:
    oval = contour_of(Oval(400.0, 200.0))
    assert oval.grown(-49.0).area_mm2 > 0.0
    with pytest.raises(NoRoom, match="least radius of 50 mm"):
        oval.grown(-51.0)


def test_a_side_that_doubles_back_or_has_no_length_is_refused() -> None:
    with pytest.raises(NoRoom, match="doubles back"):
        ring_of([(0.0, 0.0), (100.0, 0.0), (50.0, 0.0)])
    with pytest.raises(NoRoom, match="same point"):
        ring_of([(0.0, 0.0), (0.0, 0.0), (50.0, 50.0)])
