"""Pieces of every shape with any features, for properties that hold for all drawings."""

from __future__ import annotations

from hypothesis import strategies as st

from quoting.engine.plane.contour import contour_of
from quoting.engine.plane.shapes import Ell, Oval, Polygon, Rectangle, Round, Shape, Slot
from quoting.engine.solid.build import Solid, build
from quoting.engine.spec.types import (
    DropEdge,
    EdgeTreatment,
    Feature,
    Inlay,
    Insert,
    Opening,
    Piece,
    Recess,
    Sleeve,
    Trough,
)

LENGTHS = st.integers(600, 3000).map(float)
WIDTHS = st.integers(400, 1500).map(float)


@st.composite
def outlines(draw: st.DrawFn) -> Shape:
    length, width = draw(LENGTHS), draw(WIDTHS)
    radius = draw(st.sampled_from((0.0, 12.5, 45.0)))
    kind = draw(st.sampled_from(("rectangle", "round", "oval", "slot", "ell", "polygon")))
    if kind == "round":
        return Round(width)
    if kind == "oval":
        return Oval(length, max(width, 0.6 * length))
    if kind == "slot":
        return Slot(length, width)
    if kind == "ell":
        return Ell(
            length, width, length / 4, width / 4, draw(st.sampled_from(("front-left", "back-right"))), radius
        )
    if kind == "polygon":
        points = ((0.0, 0.0), (length, 0.0), (length, width * 0.8), (length * 0.8, width), (0.0, width))
        return Polygon(points, (0.0, radius, radius, 20.0, 0.0))
    return Rectangle(length, width, draw(st.sampled_from(((radius,) * 4, (radius, 0.0, 30.0, 0.0)))))


@st.composite
def features(draw: st.DrawFn, outline: Shape) -> tuple[Feature, ...]:
    """Features on the cells of a grid in the middle of the piece, so that they keep clear of one another."""
    x0, y0, x1, y1 = contour_of(outline).box_mm
    length, width = x1 - x0, y1 - y0
    columns, rows = draw(st.integers(1, 4)), draw(st.integers(1, 3))
    cell = (0.44 * length / columns, 0.44 * width / rows)
    result: list[Feature] = []
    for column in range(columns):
        for row in range(rows):
            at = (0.28 * length + (column + 0.5) * cell[0], 0.28 * width + (row + 0.5) * cell[1])
            a, b = max(20.0, cell[0] - 40.0), max(20.0, cell[1] - 40.0)
            kind = draw(st.sampled_from(("none", "opening", "inlay", "recess", "sleeve", "insert", "trough")))
            if kind == "opening":
                result.append(
                    Opening((at,), Rectangle(a, b, (5.0,) * 4), 0.0, (EdgeTreatment("top", "round", 4.0),))
                )
            elif kind == "inlay":
                result.append(Inlay((at,), Rectangle(a, b), "GLASS-8", 8.0, 4.0, draw(st.booleans())))
            elif kind == "recess":
                result.append(Recess((at,), Slot(a, b), draw(st.sampled_from(("top", "underside"))), 10.0))
            elif kind == "sleeve":
                result.append(Sleeve((at,), 20.0))
            elif kind == "insert":
                result.append(Insert((at,), "INSERT-M8"))
            elif kind == "trough" and min(a, b) > 60.0:
                result.append(
                    Trough(
                        at, a, b, 90.0, 15.0, 20.0, 5.0, 3.0, 0.0, draw(st.sampled_from((None, "MIX-LIGHT")))
                    )
                )
    return tuple(result)


@st.composite
def solids(draw: st.DrawFn) -> Solid:
    """Any solid that the drawings must cope with."""
    outline = draw(outlines())
    numbered = isinstance(outline, Rectangle | Ell | Polygon)
    edges = draw(
        st.sampled_from(
            (
                (),
                (EdgeTreatment("top", "chamfer", 5.0),),
                (EdgeTreatment("top", "round", 8.0, (0,) if numbered else None),),
            )
        )
    )
    drop = draw(st.sampled_from((None, DropEdge(90.0, 30.0, (0,) if numbered else None))))
    name = draw(st.sampled_from(("Table", "Çounter & <sink>", "A very long name " * 6)))
    return build(
        Piece(name, "mm", 40.0, outline, edges=edges, drop_edge=drop, features=draw(features(outline)))
    )
