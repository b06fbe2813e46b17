"""The parts of a mould, assembled, enclose exactly the piece: outside of the piece = inside of the mould."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.plane.contour import to_polygon
from quoting.engine.plane.shapes import Ell, Oval, Polygon, Rectangle, Round, Shape, Slot
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import (
    Drain,
    DropEdge,
    EdgeTreatment,
    Groove,
    Inlay,
    Opening,
    Piece,
    Recess,
    Sleeve,
    Trough,
)
from quoting.engine.takeoff.mould import mould
from quoting.engine.takeoff.mould_walls import has_curves
from tests.quoting.engine.takeoff.materials_world import METRIC, slab, starter
from tests.quoting.engine.takeoff.mould_cavity import cavity_volume_mm3, levels_of, overlap_mm2

CHORDS = 2e-5
"""Relative: parts on curves are drawn with chords no further than 0.005 mm off."""

HOUSE = Polygon(((0, 0), (900, 0), (1100, 350), (450, 800), (0, 500)), (0.0,) * 5)
ROUNDED_HOUSE = Polygon(((0, 0), (900, 0), (1100, 350), (450, 800), (0, 500)), (40.0,) * 5)
ARROW = Polygon(((0, 0), (1200, 0), (1200, 600), (600, 300), (0, 600)), (0.0,) * 5)
SHAPES: list[Shape] = [
    Rectangle(1500, 600),
    Rectangle(600, 600),
    Rectangle(1500, 600, (120, 0, 60, 300)),
    Round(900),
    Oval(1500, 800),
    Slot(1800, 500),
    Slot(500, 1200),
    *(Ell(2000, 1400, 900, 700, notch) for notch in ("front-left", "front-right", "back-left", "back-right")),
    Ell(2000, 1400, 900, 700, "back-right", 50),
    HOUSE,
    ROUNDED_HOUSE,
    ARROW,
]


def enclosed_m3(piece: Piece) -> float:
    """Concrete the parts make room for, from the show face to the lowest edge, part by part."""
    solid = build(piece)
    made = mould(solid, starter(), METRIC)
    total = cavity_volume_mm3(made, 0.0, piece.thickness_mm)
    if piece.drop_edge is not None and solid.drop_band is not None:
        outer, inner = (to_polygon(contour, 0.005) for contour in solid.drop_band)
        band = (
            outer.difference(inner).buffer(-0.1).buffer(1.1)
        )  # slivers between chords off, then into the boards
        total += cavity_volume_mm3(made, piece.thickness_mm, piece.drop_edge.depth_mm, band)
    for body in solid.troughs:
        within = to_polygon(body.outer, 0.02).buffer(1)
        total += cavity_volume_mm3(made, piece.thickness_mm, body.bottom_mm, within)
    chords_mm2 = 0.5 + (0.01 * solid.outline.perimeter_mm if has_curves(solid.outline) else 0.0)
    for start, end in levels_of(made, -18.0, solid.height_mm):
        assert overlap_mm2(made, (start + end) / 2) < chords_mm2, (start, end)
    return total / 1e9


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: type(shape).__name__)
@pytest.mark.parametrize("sides", ["lapped", "standing"])
def test_every_outline(shape: Shape, sides: str) -> None:
    piece = slab(shape)
    assert enclosed_m3(piece) == pytest.approx(measure(build(piece)).volume_m3, rel=CHORDS)


FEATURES: dict[str, Any] = {
    "opening": Opening(((700, 300),), Rectangle(300, 200, (30,) * 4), 15.0),
    "round opening": Opening(((400, 300), (900, 300)), Round(200)),
    "inlay": Inlay(((400, 300), (1000, 300)), Rectangle(200, 150), "GLASS-8", 8),
    "backlit inlay": Inlay(((400, 300), (1000, 300)), Rectangle(200, 150), "GLASS-8", 8, 6.35, True, 30.0),
    "recess on top": Recess(((700, 300),), Oval(300, 200), "top", 12),
    "recess below": Recess(((700, 300),), Rectangle(200, 100), "underside", 28),
    "drip groove": Groove(((60, 60), (1400, 60), (1400, 500)), "underside", 10, 8),
    "groove on top": Groove(((60, 60), (1400, 500)), "top", 10, 8),
    "sleeve": Sleeve(((200, 300), (1200, 300)), 60),
    "upright trough": Trough((750, 300), 400, 200, 150, 30, 30),
    "leaning trough": Trough((750, 300), 400, 200, 150, 30, 30, 0.0, 6.0, 25.0),
    "small corners": Trough((750, 300), 400, 200, 150, 30, 30, 12.0, 4.0),
    "narrow trough": Trough((750, 300), 400, 60, 150, 30, 30, 10, 3.0),
    "flat trough": Trough((750, 300), 400, 200, 30, 30, 20, 5),
    "bent corners": Trough(
        (750, 300), 400, 240, 150, 30, 30, 60.0, 4.0, 10.0, None, (Drain((750, 300), 25),)
    ),
}


@pytest.mark.parametrize("name", FEATURES)
def test_every_feature(name: str) -> None:
    piece = slab(Rectangle(1500, 600), features=(FEATURES[name],))
    assert enclosed_m3(piece) == pytest.approx(measure(build(piece)).volume_m3, rel=CHORDS)


@pytest.mark.parametrize("sides", [None, (0,), (0, 1), (0, 2), (1, 2, 3)])
@pytest.mark.parametrize("shape", [Rectangle(1500, 600), Rectangle(1500, 600, (80,) * 4), ROUNDED_HOUSE])
def test_drop_edges(sides: tuple[int, ...] | None, shape: Shape) -> None:
    piece = slab(shape, drop_edge=DropEdge(120, 35, sides))
    assert enclosed_m3(piece) == pytest.approx(measure(build(piece)).volume_m3, rel=CHORDS)


@pytest.mark.parametrize(
    "shape", [Round(900), Slot(1500, 150), Rectangle(1500, 140, (40,) * 4), Slot(1500, 300)]
)
@pytest.mark.parametrize("cast", ["face-down", "face-up"])
def test_drop_edges_of_round_and_narrow_pieces(shape: Shape, cast: Any) -> None:
    piece = slab(shape, drop_edge=DropEdge(100, 40), cast=cast)
    assert enclosed_m3(piece) == pytest.approx(measure(build(piece)).volume_m3, rel=CHORDS)


CHAMFERS: dict[str, tuple[Shape, tuple[int, ...] | None]] = {
    "all round a rectangle": (Rectangle(1500, 600), None),
    "two sides that meet": (Rectangle(1500, 600), (0, 1)),
    "two that do not": (Rectangle(1500, 600), (0, 2)),
    "rounded corners": (Rectangle(1500, 600, (80,) * 4), None),
    "a round top": (Round(900), None),
    "an oval": (Oval(1500, 800), None),
    "a house": (HOUSE, None),
    "one slope of a house": (HOUSE, (2,)),
    "an ell": (Ell(2000, 1400, 900, 700, "back-right"), None),
}


@pytest.mark.parametrize("name", CHAMFERS)
@pytest.mark.parametrize("cast", ["face-down", "face-up"])
def test_chamfered_arrises(name: str, cast: Any) -> None:
    shape, sides = CHAMFERS[name]
    at: Any = "top" if cast == "face-down" else "bottom"
    piece = slab(shape, cast=cast, edges=(EdgeTreatment(at, "chamfer", 12, sides),))
    assert enclosed_m3(piece) == pytest.approx(measure(build(piece)).volume_m3, rel=CHORDS)


@pytest.mark.parametrize("name", FEATURES)
def test_cast_face_up(name: str) -> None:
    piece = slab(Rectangle(1500, 600), features=(FEATURES[name],), cast="face-up")
    assert enclosed_m3(piece) == pytest.approx(measure(build(piece)).volume_m3, rel=CHORDS)


def test_cast_face_up_with_a_drop_edge() -> None:
    piece = slab(Rectangle(1500, 600), drop_edge=DropEdge(120, 35, (0, 1)), cast="face-up")
    assert enclosed_m3(piece) == pytest.approx(measure(build(piece)).volume_m3, rel=CHORDS)


@st.composite
def pieces(draw: st.DrawFn) -> Piece:
    """Convex polygons on a circle, some with radii, and a sleeve in the middle."""
    count = draw(st.integers(3, 8))
    steps = [draw(st.floats(0.6, 1.4)) for _ in range(count)]
    turns = [2 * math.pi * sum(steps[:k]) / sum(steps) for k in range(count)]
    radius = draw(st.floats(400, 900))
    points = tuple((radius * (1 + math.cos(t)), radius * (1 + math.sin(t))) for t in turns)
    left, low = min(x for x, _ in points), min(y for _, y in points)
    moved = tuple((x - left, y - low) for x, y in points)
    corner = draw(st.sampled_from([0.0, 0.0, 25.0, 60.0]))
    features = (Sleeve(((radius - left, radius - low),), 50.0),) if draw(st.booleans()) and count > 3 else ()
    return slab(Polygon(moved, (corner,) * count), draw(st.floats(25, 80)), features=features)


@settings(max_examples=25, deadline=None)
@given(pieces())
def test_generated_polygons(piece: Piece) -> None:
    assert enclosed_m3(piece) == pytest.approx(measure(build(piece)).volume_m3, rel=CHORDS)


def test_boards_that_share_a_sloping_side() -> None:
    """Found by the test above: the base and a side of it, which the kernel took for one."""
    points = ((970.8292000761361, 657.7321193642595), (0.0, 1236.273838147946), (322.37098401954813, 0.0))
    piece = slab(Polygon(points, (25.0,) * 3), 65.44917439490833)
    assert enclosed_m3(piece) == pytest.approx(measure(build(piece)).volume_m3, rel=CHORDS)
