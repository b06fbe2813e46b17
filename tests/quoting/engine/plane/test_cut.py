"""Contours cut across: chords and what lies beyond, against a general geometry library and quadrature."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely

from quoting.engine.plane.contour import contour_of, to_polygon
from quoting.engine.plane.cut import CutContour
from quoting.engine.plane.quadrature import nodes
from quoting.engine.plane.shapes import Ell, Oval, Polygon, Rectangle, Round, Shape, Slot
from quoting.engine.plane.turned import Axis

SHAPES: list[Shape] = [
    Rectangle(200.0, 100.0, (10.0, 0.0, 20.0, 5.0)),
    Slot(300.0, 100.0),
    Ell(300.0, 200.0, 100.0, 80.0, "front-left", 20.0),
    Round(100.0),
    Oval(400.0, 100.0),
    Polygon(((0.0, 0.0), (100.0, 0.0), (150.0, 80.0), (60.0, 60.0), (0.0, 100.0)), (5.0, 6.0, 7.0, 8.0, 9.0)),
]
FAR = 1e4


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: type(s).__name__)
@pytest.mark.parametrize("by", [-7.0, 0.0, 9.0])
@pytest.mark.parametrize("axis", ["x", "y"])
def test_chords_and_area_beyond_agree_with_a_polygon_of_fine_chords(
    shape: Shape, by: float, axis: Axis
) -> None:
    contour = contour_of(shape, (50.0, 60.0), 30.0).grown(by)
    cut, polygon = CutContour(contour, axis), to_polygon(contour, 1e-4)
    for share in (-0.1, 0.03, 0.2, 0.5, 0.77, 0.98, 1.2):
        at = cut.low_mm + share * (cut.high_mm - cut.low_mm)
        half = shapely.box(at, -FAR, FAR, FAR) if axis == "x" else shapely.box(-FAR, at, FAR, FAR)
        ends = [(at, -FAR), (at, FAR)] if axis == "x" else [(-FAR, at), (FAR, at)]
        rest = polygon.intersection(half)
        area, moment = cut.beyond(at)
        assert area == pytest.approx(rest.area, abs=2e-4 * contour.perimeter_mm)
        if not rest.is_empty:
            arm = (rest.centroid.x if axis == "x" else rest.centroid.y) - at
            assert moment == pytest.approx(rest.area * arm, abs=2e-2 * contour.perimeter_mm)
        chords = math.fsum(b - a for a, b in cut.chords(at))
        # Near an extreme a chord's end moves by the root of the drawn polygon's error.
        assert chords == pytest.approx(polygon.intersection(shapely.LineString(ends)).length, abs=2e-2)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: type(s).__name__)
def test_the_chords_integrate_to_the_area_beyond(shape: Shape) -> None:
    cut = CutContour(contour_of(shape, (0.0, 0.0), 20.0), "x")
    breaks = cut.breaks
    total = math.fsum(
        weight
        * half
        * math.sin(angle)
        * math.fsum(b - a for a, b in cut.chords(start + half * (1 - math.cos(angle))))
        for start, end in pairwise(breaks)
        for half in [(end - start) / 2.0]
        for angle, weight in nodes(0.0, math.pi, 24)
    )
    assert total == pytest.approx(cut.beyond(cut.low_mm)[0], rel=1e-9)


def test_a_cut_along_a_side_is_the_limit_from_below() -> None:
    cut = CutContour(contour_of(Rectangle(200.0, 100.0)), "x")
    assert cut.chords(0.0) == ()
    assert cut.chords(200.0) == ((0.0, 100.0),)
    assert cut.chords(200.1) == ()


def test_a_cut_across_a_notch_gives_two_chords() -> None:
    u = Polygon(
        ((0, 0), (300, 0), (300, 200), (200, 200), (200, 50), (100, 50), (100, 200), (0, 200)), (0.0,) * 8
    )
    assert CutContour(contour_of(u), "y").chords(120.0) == ((0.0, 100.0), (200.0, 300.0))
