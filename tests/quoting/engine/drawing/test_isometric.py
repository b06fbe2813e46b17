from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings

from quoting.engine.drawing import isometry
from quoting.engine.drawing.hiding import Body, Hiding
from quoting.engine.drawing.isometric import bodies_of, covered, isometric, silhouette
from quoting.engine.drawing.isometric_edges import edges_of
from quoting.engine.drawing.isometry import Edge, project
from quoting.engine.plane.shapes import Rectangle, Round
from quoting.engine.solid.build import Solid, build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import DropEdge, EdgeTreatment, Inlay, Opening, Piece
from tests.quoting.engine.drawing.drawn import NAMES, assert_sound, geometry_of, solid_of, tree
from tests.quoting.engine.drawing.made import solids

BLOCK = Body(0.0, 50.0, shapely.box(0, 0, 100, 100))


@pytest.mark.parametrize("as_cast", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_every_example_is_drawn_soundly(name: str, as_cast: bool) -> None:
    drawing = isometric(solid_of(name), geometry_of(name), system="metric", as_cast=as_cast)
    assert_sound(drawing)
    assert drawing.width_mm == 180.0


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(solids())
def test_any_piece_is_drawn_soundly(solid: Solid) -> None:
    assert_sound(isometric(solid, measure(solid), system="us", compact=True))


def _edges_of_block() -> list[Edge]:
    corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    rings = [
        Edge("outline", ((*a, z), (*b, z)))
        for z in (0.0, 50.0)
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)
    ]
    return rings + [Edge("outline", ((*at, 0.0), (*at, 50.0))) for at in corners]


def test_a_block_shows_nine_of_its_twelve_edges() -> None:
    hiding = Hiding([BLOCK])
    whole = hiding.stretches(_edges_of_block(), 1.0)
    assert [stretches in ([(0.0, 1.0)],) for stretches in whole].count(True) == 9
    assert whole.count([]) == 3


def test_axes_are_drawn_true_to_scale_and_thirty_degrees_off_level() -> None:
    for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)):
        assert math.hypot(*project(axis)) == pytest.approx(1.0)
    x, y = project((1.0, 0.0, 0.0))
    assert math.degrees(math.atan2(y, x)) == pytest.approx(30.0)


def test_an_edge_behind_a_block_is_broken_where_the_block_begins_and_ends() -> None:
    """A line 100 mm behind the block, level with its foot, along x: the ray from (x, 200, 50) rises 50 mm on
    its way to (x + 50, 150, 0), and so passes over; from 20 mm behind it meets the block."""
    hiding = Hiding([BLOCK])
    far = Edge("outline", ((-300.0, 200.0, 50.0), (300.0, 200.0, 50.0)))
    assert hiding.stretches([far], 1.0) == [[(0.0, 1.0)]]
    near = Edge("outline", ((-200.0, 120.0, 50.0), (200.0, 120.0, 50.0)))
    ((first, last),) = hiding.stretches([near], 1.0)
    # the ray from (x, 120) enters y < 100 at x + 20 and leaves the block's height at x + 50
    assert -200 + 400 * first[1] == pytest.approx(-50.0, abs=0.2)
    assert -200 + 400 * last[0] == pytest.approx(80.0, abs=0.2)


def test_a_long_straight_stretch_of_a_curved_line_is_looked_at_as_finely_as_the_rest() -> None:
    """A post of 15 mm before the middle of a side of 3 m, in a line that goes on round a curve."""
    curve = [(3000.0 + 50 * math.sin(a), 50.0 - 50 * math.cos(a), 200.0) for a in np.linspace(0, 1.5, 100)]
    line = Edge("visible", ((0.0, 0.0, 200.0), *curve))
    assert line.shares()[1] == pytest.approx(3000 / (3000 + 75), rel=1e-3)
    post = Hiding([Body(0.0, 200.0, shapely.box(1500, -115, 1515, -100))])
    ((first, last),) = post.stretches([line], 7.0)
    # the ray from (x, 0) enters the post's plan where it has gone 100 mm forward
    assert line.along(*first)[-1][0] == pytest.approx(1385.0, abs=1.0)
    assert line.along(*last)[0][0] == pytest.approx(1415.0, abs=1.0)


def test_what_is_seen_agrees_with_stepping_along_the_ray() -> None:
    """Against the plain way: many points on each ray, tested one by one for lying in the concrete."""
    bodies = bodies_of(solid_of("reading-room-table"))
    hiding = Hiding(bodies)
    numbers = np.random.default_rng(20260302)
    points = np.column_stack(
        [numbers.uniform(-100, 2200, 300), numbers.uniform(-100, 1000, 300), numbers.uniform(0, 185, 300)]
    )
    drawn_in = [(body, body.plan.buffer(-0.05)) for body in bodies]
    for point, seen in zip(points, hiding.visible(points), strict=True):
        rises = np.arange(0.0, point[2], 0.02)
        x, y, z = point[0] + rises, point[1] - rises, point[2] - rises
        blocked = any(
            bool(shapely.contains_xy(plan, x[level], y[level]).any())
            for body, plan in drawn_in
            if (level := (z > body.top) & (z < body.bottom)).any()
        )
        assert seen != blocked


def test_a_circle_becomes_an_ellipse_in_the_isometric_ratio() -> None:
    """Long axis level, √3 times the short one: the isometric circle."""
    solid = build(Piece("Round", "mm", 40.0, Round(1000.0)))
    drawing = isometric(solid, measure(solid), system="metric")
    arcs = [e.attrib["d"] for e in tree(drawing).iter() if "A" in e.attrib.get("d", "")]
    assert arcs
    for data in arcs:
        rx, ry, turn = (float(word) for word in data.split("A")[1].split()[:3])
        assert rx / ry == pytest.approx(math.sqrt(3.0), rel=1e-3)
        assert turn == 0.0


def test_the_silhouette_of_a_block_is_its_hexagon() -> None:
    # top 100 × 100 seen at area × √3/2, and two sides of 100 × 50 each at the same
    area = (100 * 100 + 2 * 100 * 50) * math.sqrt(3) / 2
    assert silhouette([BLOCK]).area == pytest.approx(area)


def _treated(*edges: EdgeTreatment, **more: Any) -> Solid:
    return build(Piece("A", "mm", 60.0, Rectangle(500.0, 300.0), edges=edges, **more))


def test_a_bottom_chamfer_is_seen_edge_on_and_the_front_is_lower_by_it() -> None:
    sharp, cut = _treated(), _treated(EdgeTreatment("bottom", "chamfer", 20.0))
    assert silhouette(bodies_of(sharp)).bounds[3] == pytest.approx(500 / 2 + 60)
    assert covered(cut, bodies_of(cut, 1.0), 1.0).bounds[3] == pytest.approx(500 / 2 + 40, abs=0.5)
    # too small for the sheet: left out
    assert silhouette(bodies_of(cut, 21.0)).bounds[3] == pytest.approx(500 / 2 + 60)


def test_a_quarter_round_turns_out_of_sight_at_forty_five_degrees() -> None:
    """At the back corner both mitred rounds are 2R(1 − √½) lower than the arris they take away."""
    cut = _treated(EdgeTreatment("top", "round", 20.0))
    lost = 2 * 20 * (1 - math.sqrt(0.5))
    assert covered(cut, bodies_of(cut, 1.0), 1.0).bounds[1] == pytest.approx(-150 + lost, abs=0.4)


def test_hiding_steps_lie_within_the_piece() -> None:
    cut = _treated(EdgeTreatment("top", "round", 20.0), EdgeTreatment("bottom", "chamfer", 15.0))
    stack = bodies_of(cut, 1.0)
    volume = math.fsum((body.bottom - body.top) * body.plan.area for body in stack)
    true = measure(cut).volume_m3 * 1e9
    assert 0.98 * true < volume < true
    for body in stack:
        inset = max((20 - math.sqrt(max(0.0, 400 - (20 - body.top) ** 2))) if body.top < 20 else 0.0, 0.0)
        assert body.plan.bounds[0] >= inset - 0.05


def _strokes(solid: Solid) -> list[tuple[str, tuple[tuple[float, float, float], ...]]]:
    return [(edge.stroke, edge.points) for edge in edges_of(solid, 1.0)]


def test_a_chamfer_shows_its_edges_and_mitres_and_a_round_narrow_lines() -> None:
    lines = _strokes(_treated(EdgeTreatment("top", "chamfer", 10.0)))
    assert ("outline", ((10.0, 10.0, 0.0), (490.0, 10.0, 0.0))) in lines
    assert ("visible", ((0.0, 0.0, 10.0), (500.0, 0.0, 10.0))) in lines
    assert ("visible", ((10.0, 10.0, 0.0), (0.0, 0.0, 10.0))) in lines  # the mitre
    assert ("outline", ((0.0, 0.0, 10.0), (0.0, 0.0, 60.0))) in lines
    lines = _strokes(_treated(EdgeTreatment("bottom", "round", 10.0)))
    assert ("thin", ((10.0, 10.0, 60.0), (490.0, 10.0, 60.0))) in lines
    assert ("thin", ((0.0, 0.0, 50.0), (500.0, 0.0, 50.0))) in lines
    assert ("outline", ((0.0, 0.0, 0.0), (0.0, 0.0, 50.0))) in lines


def test_only_treated_sides_have_a_shoulder() -> None:
    lines = _strokes(_treated(EdgeTreatment("top", "chamfer", 10.0, (0,))))
    shoulders = [
        points for stroke, points in lines if stroke == "visible" and points[0][2] == points[-1][2] == 10.0
    ]
    assert shoulders == [((0.0, 0.0, 10.0), (500.0, 0.0, 10.0))]


def test_rims_and_drop_edges_are_treated_too() -> None:
    rim = (EdgeTreatment("top", "chamfer", 10.0),)
    hole = Opening(((250.0, 150.0),), Rectangle(100.0, 80.0), edges=rim)
    lines = _strokes(_treated(features=(hole,)))
    assert ("outline", ((190.0, 100.0, 0.0), (310.0, 100.0, 0.0))) in lines
    assert ("visible", ((200.0, 110.0, 10.0), (300.0, 110.0, 10.0))) in lines
    lines = _strokes(_treated(EdgeTreatment("bottom", "chamfer", 10.0), drop_edge=DropEdge(120.0, 40.0)))
    assert ("visible", ((0.0, 0.0, 110.0), (500.0, 0.0, 110.0))) in lines
    assert ("outline", ((10.0, 10.0, 120.0), (490.0, 10.0, 120.0))) in lines
    assert ("outline", ((0.0, 0.0, 60.0), (0.0, 0.0, 110.0))) in lines


def test_an_opening_lets_its_far_walls_be_seen() -> None:
    wide = build(
        Piece(
            "A",
            "mm",
            40.0,
            Rectangle(1000.0, 600.0),
            features=(Opening(((500.0, 300.0),), Rectangle(400.0, 200.0)),),
        )
    )
    hiding = Hiding(bodies_of(wide))
    (opening,) = wide.voids
    foot = list(isometry.contour_edges(opening.contour, 40.0, "visible"))
    front, right, back, left = hiding.stretches(foot, 1.0)
    assert front == right == []
    # the far edges show but for the 40 mm (of 400, of 200) that the near rims hide
    assert sum(end - start for start, end in back) == pytest.approx(0.9, abs=2e-3)
    assert sum(end - start for start, end in left) == pytest.approx(0.8, abs=2e-3)


def test_inlays_are_set_in_unless_drawn_as_cast() -> None:
    inlay = Inlay(((500.0, 300.0),), Rectangle(300.0, 200.0), "GLASS-8", 8.0)
    solid = build(Piece("A", "mm", 40.0, Rectangle(1000.0, 600.0), features=(inlay,)))
    flush = isometric(solid, measure(solid), system="metric")
    pocket = isometric(solid, measure(solid), system="metric", as_cast=True)
    assert "#cfcfcf" not in flush.svg  # no hollow
    assert "#cfcfcf" in pocket.svg
