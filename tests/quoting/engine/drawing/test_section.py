from __future__ import annotations

import math
import re

import pytest
import shapely
import shapely.affinity
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quoting.engine.drawing.cut_at import CutAt, default_cut
from quoting.engine.drawing.cut_faces import cut_faces
from quoting.engine.drawing.hatching import hatch_lines
from quoting.engine.drawing.section import section_view
from quoting.engine.drawing.values import Drawing
from quoting.engine.plane.shapes import Ell, Rectangle, Slot
from quoting.engine.solid.build import Solid, build
from quoting.engine.solid.measure import measure
from quoting.engine.solid.section import section_at
from quoting.engine.spec.types import DropEdge, EdgeTreatment, Groove, Opening, Piece, Trough
from tests.quoting.engine.drawing.drawn import NAMES, SVG, assert_sound, geometry_of, solid_of, texts, tree
from tests.quoting.engine.drawing.made import solids

SLAB = Rectangle(1000.0, 600.0)


@pytest.mark.parametrize("compact", [False, True])
@pytest.mark.parametrize("axis", [None, "x", "y"])
@pytest.mark.parametrize("name", NAMES)
def test_every_example_is_cut_soundly(name: str, axis: str | None, compact: bool) -> None:
    drawing = section_view(
        solid_of(name),
        geometry_of(name),
        system="metric",
        axis=axis,  # type: ignore[arg-type]
        compact=compact,
    )
    assert_sound(drawing)
    assert "A–A" in texts(drawing)


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("name", NAMES)
def test_no_text_stands_on_an_outline(name: str, system: str) -> None:
    drawing = section_view(solid_of(name), geometry_of(name), system=system)
    shift = re.search(r"translate\(([-\d.]+) ([-\d.]+)\)", drawing.svg)
    assert shift is not None
    outlines = []
    for element in tree(drawing).iter(f"{SVG}path"):
        if element.attrib.get("stroke-width") == "0.5":
            data = element.attrib["d"]
            points = [tuple(map(float, point.split())) for point in re.findall(r"[-\d.]+ [-\d.]+", data)]
            ring = [*points, points[0]] if data.endswith("Z") else points
            line = shapely.LineString(ring)
            outlines.append(shapely.affinity.translate(line, *map(float, shift.groups())))
    assert outlines
    for label in drawing.labels:
        box = shapely.box(label.box.x0, label.box.y0, label.box.x1, label.box.y1)
        assert not any(line.intersects(box) for line in outlines), label.text


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(solids(), st.sampled_from(("metric", "us")))
def test_no_piece_makes_texts_overlap(solid: Solid, system: str) -> None:
    assert_sound(section_view(solid, measure(solid), system=system))


@pytest.mark.parametrize("share", [0.13, 0.31, 0.5, 0.77])
@pytest.mark.parametrize("axis", ["x", "y"])
@pytest.mark.parametrize(
    "name", ["reading-room-table", "cafe-counter", "hearth", "feature-trough", "drop-edge"]
)
def test_the_faces_drawn_have_the_area_that_is_reckoned_with(name: str, axis: str, share: float) -> None:
    """Drawn by polygon clipping; reckoned from chords in closed form by `solid.section`."""
    solid = solid_of(name)
    x0, y0, x1, y1 = solid.outline.box_mm
    at = x0 + share * (x1 - x0) if axis == "x" else y0 + share * (y1 - y0)
    faces = cut_faces(solid, CutAt(axis, at))  # type: ignore[arg-type]
    drawn = faces.concrete.area + faces.other_mix.area
    # quarter rounds are drawn with 12 chords, which leave 0.1 % of the corner they take off
    assert drawn == pytest.approx(section_at(solid, axis, at).area_mm2, rel=2e-4)  # type: ignore[arg-type]


def test_a_chamfer_takes_two_triangles_off_the_face() -> None:
    piece = Piece("Slab", "mm", 40.0, SLAB, edges=(EdgeTreatment("top", "chamfer", 10.0),))
    assert cut_faces(build(piece), CutAt("x", 500.0)).concrete.area == pytest.approx(
        600 * 40 - 10 * 10, rel=1e-6
    )


def test_a_trough_is_cut_as_a_trapezium_and_its_own_mix_apart() -> None:
    trough = Trough((500.0, 300.0), 400.0, 200.0, 100.0, 20.0, 30.0, 0.0, 5.0, 0.0, "LIGHT")
    faces = cut_faces(
        build(Piece("Planter", "mm", 40.0, SLAB, mix="GREY", features=(trough,))), CutAt("x", 500.0)
    )
    lean = math.tan(math.radians(5.0))
    hollow_above = 40 * (200 - 40 * lean)
    hollow = 100 * (200 - 100 * lean)
    assert faces.concrete.area == pytest.approx(600 * 40 - hollow_above, rel=1e-5)
    assert faces.other_mix.area == pytest.approx(240 * (130 - 40) - (hollow - hollow_above), rel=1e-5)


def test_the_cut_goes_through_the_trough_before_any_opening() -> None:
    opening = Opening(((200.0, 300.0),), Rectangle(300.0, 500.0))
    trough = Trough((800.0, 300.0), 100.0, 100.0, 100.0, 20.0, 20.0)
    solid = build(Piece("Both", "mm", 40.0, Rectangle(1000.0, 700.0), features=(opening, trough)))
    assert default_cut(solid) == CutAt("x", 800.0)


def test_thickness_depths_and_faces_are_dimensioned() -> None:
    trough = Trough((500.0, 300.0), 400.0, 200.0, 120.0, 20.0, 30.0)
    solid = build(Piece("Planter", "mm", 40.0, SLAB, features=(trough,)))
    said = texts(section_view(solid, measure(solid), system="metric"))
    assert {"40", "120", "150", "600", "180", "200", "400", "420", "floor 30", "wall 20"} <= set(said)


def test_upright_dimensions_stand_beside_what_is_seen() -> None:
    """The depth of a counter whose leg is cut away once stood a leg's length off the section."""
    shape = Ell(2600.0, 1700.0, 1900.0, 1000.0, "back-left", 40.0)
    solid = build(Piece("Ell", "mm", 50.0, shape, drop_edge=DropEdge(100.0, 40.0)))
    drawing = section_view(solid, measure(solid), system="metric", axis="x", at_mm=900.0)
    (depth,) = [label.box for label in drawing.labels if label.turned and label.text == "100"]
    (width,) = [label.box for label in drawing.labels if label.text == "700"]
    (heading,) = [label.box for label in drawing.labels if label.text == "A–A"]
    assert (heading.x0 + heading.x1) / 2 == pytest.approx((width.x0 + width.x1) / 2, abs=0.01)
    assert (width.x0 + width.x1) / 2 < depth.x0 < (width.x0 + width.x1) / 2 + 350.0 / 15 + 12.0


@pytest.mark.parametrize("name", [name for name in NAMES if solid_of(name).piece.edges])
def test_no_text_stands_on_the_ring_of_the_detail(name: str) -> None:
    drawing = section_view(solid_of(name), geometry_of(name), system="metric")
    _clear_of_rings(drawing)


def test_the_depth_of_a_drop_edge_stands_clear_of_the_ring() -> None:
    edges, drop = (EdgeTreatment("top", "round", 6.0),), DropEdge(80.0, 30.0)
    solid = build(Piece("Slot", "mm", 40.0, Slot(2000.0, 600.0), edges=edges, drop_edge=drop))
    _clear_of_rings(section_view(solid, measure(solid), system="metric"))


def _clear_of_rings(drawing: Drawing) -> None:
    shift = re.search(r"translate\(([-\d.]+) ([-\d.]+)\)", drawing.svg)
    assert shift is not None
    for ring in tree(drawing).iter(f"{SVG}circle"):
        x, y = (
            float(ring.attrib[key]) + float(by) for key, by in zip(("cx", "cy"), shift.groups(), strict=True)
        )
        disc = shapely.Point(x, y).buffer(float(ring.attrib["r"]))
        for label in drawing.labels:
            box = shapely.box(label.box.x0, label.box.y0, label.box.x1, label.box.y1)
            assert float(ring.attrib["r"]) < 3.0 or not disc.intersects(box), label.text


def test_a_groove_underneath_and_a_drop_edge_are_cut() -> None:
    groove = Groove(((100.0, 100.0), (900.0, 100.0)), "underside", 8.0, 6.0)
    piece = Piece("Sill", "mm", 40.0, SLAB, drop_edge=DropEdge(90.0, 50.0, (0,)), features=(groove,))
    face = cut_faces(build(piece), CutAt("x", 500.0)).concrete
    assert face.area == pytest.approx(600 * 40 + 50 * 50 - 8 * 6, rel=1e-6)


def test_treated_edges_are_shown_large_and_square_ones_are_not() -> None:
    def said(*edges: EdgeTreatment, drop: DropEdge | None = None) -> list[str]:
        solid = build(Piece("Slab", "mm", 40.0, SLAB, edges=edges, drop_edge=drop))
        shown = section_view(solid, measure(solid), system="metric")
        assert_sound(shown)
        return [text.replace("\u00a0", " ") for text in texts(shown)]

    both = said(EdgeTreatment("top", "round", 6.0), EdgeTreatment("bottom", "chamfer", 3.0))
    assert {"B", "B 1:1", "R6", "3 × 45°"} <= {" ".join(text.split()) for text in both}
    assert "B" not in said()
    dropped = said(EdgeTreatment("bottom", "chamfer", 5.0), drop=DropEdge(90.0, 30.0))
    assert dropped.count("90") == 2  # the whole section's height, and the detail's
    assert "5 × 45°" in dropped


def test_hatching_lies_in_the_face_at_its_angle_and_spacing() -> None:
    import shapely

    face = shapely.box(0, 0, 40, 20).difference(shapely.box(10, 5, 30, 15))
    lines = hatch_lines(face, 2.0, 45.0)
    total = sum(math.dist(a, b) for a, b in lines)
    assert total == pytest.approx(face.area / 2.0, rel=0.05)
    for (ax, ay), (bx, by) in lines:
        assert abs(bx - ax) == pytest.approx(abs(by - ay), abs=1e-9)
        assert face.buffer(1e-6).contains(shapely.LineString(((ax, ay), (bx, by))))
