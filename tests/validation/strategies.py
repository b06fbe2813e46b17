"""Pieces to try at random: every outline, edge treatment and feature, always castable."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from quoting.engine.plane.shapes import Ell, Notch, Oval, Point, Polygon, Rectangle, Round, Shape, Slot
from quoting.engine.spec.types import (
    At,
    Drain,
    DropEdge,
    EdgeTreatment,
    Face,
    Feature,
    Groove,
    Inlay,
    Opening,
    Piece,
    Profile,
    Recess,
    Sleeve,
    Trough,
)

NOTCHES: tuple[Notch, ...] = ("front-left", "front-right", "back-left", "back-right")
PROFILES: tuple[Profile, ...] = ("chamfer", "round")
FACES: tuple[Face, ...] = ("top", "underside")
Cell = tuple[Point, float]
"""Middle and radius of a circle in which one feature has room."""


def sizes(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high).map(lambda x: round(x, 3))


def radii(least: float, most: float, curved: bool = True) -> st.SearchStrategy[float]:
    return st.one_of(st.just(0.0), sizes(least, most)) if curved else st.just(0.0)


@st.composite
def outlines(draw: st.DrawFn, curved: bool = True) -> tuple[Shape, tuple[float, float, float, float]]:
    """A shape and a box inside it, well clear of its edges."""
    length, width = draw(sizes(900, 2400)), draw(sizes(600, 1000))
    straight = ["rectangle", "rectangle", "ell", "polygon"]
    kind = draw(st.sampled_from([*straight, "round", "oval", "slot"] if curved else straight))
    if kind == "rectangle":
        four = tuple(draw(radii(5, 60, curved)) for _ in range(4))
        return Rectangle(length, width, (four[0], four[1], four[2], four[3])), (
            80,
            80,
            length - 80,
            width - 80,
        )
    if kind == "round":
        inset = width * (0.5 - 0.5 / math.sqrt(2.0)) + 60
        return Round(width), (inset, inset, width - inset, width - inset)
    if kind == "oval":
        x, y = length * (0.5 - 0.5 / math.sqrt(2.0)) + 60, width * (0.5 - 0.5 / math.sqrt(2.0)) + 60
        return Oval(length, width), (x, y, length - x, width - y)
    if kind == "slot":
        return Slot(length + 600, width), (width / 2, 80, length + 600 - width / 2, width - 80)
    notch_x, notch_y = draw(sizes(150, 300)), draw(sizes(150, 250))
    if kind == "ell":
        where = draw(st.sampled_from(NOTCHES))
        x0, x1 = (notch_x, length) if "left" in where else (0, length - notch_x)
        y0, y1 = (notch_y, width) if "front" in where else (0, width - notch_y)
        shape = Ell(length, width, notch_x, notch_y, where, draw(radii(5, 60, curved)))
        return shape, (x0 + 80, y0 + 80, x1 - 80, y1 - 80)
    points = (
        (0.0, 0.0),
        (length, 0.0),
        (length + notch_x, width / 2),
        (length, width),
        (notch_x, width - 60),
    )
    corners = tuple(draw(radii(5, 40, curved)) for _ in points)
    return Polygon(points, corners), (notch_x + 80, 80, length - 80, width - 150)


@st.composite
def treatments(draw: st.DrawFn, at: At, most: float, shape: Shape) -> tuple[EdgeTreatment, ...]:
    """None, one all round, or (on a rectangle) one or two on sides of their own."""

    def one(sides: tuple[int, ...] | None) -> EdgeTreatment:
        profile = draw(st.sampled_from(PROFILES))
        return EdgeTreatment(at, profile, draw(sizes(2, most)), sides)

    how = draw(st.sampled_from(["none", "all", "some"]))
    if how == "none":
        return ()
    if how == "all" or not isinstance(shape, Rectangle):
        return (one(None),)
    owner = draw(st.lists(st.sampled_from([0, 1, 2]), min_size=4, max_size=4))
    groups = [tuple(i for i in range(4) if owner[i] == group) for group in (1, 2)]
    return tuple(one(group) for group in groups if group)


@st.composite
def pocket_shapes(draw: st.DrawFn, reach: float, curved: bool) -> Shape:
    """A shape inside a circle of radius `reach` about its box's middle; radii 0 or big enough for its rim."""
    x, y = reach * draw(sizes(0.9, 1.4)), reach * draw(sizes(0.7, 1.2))
    kind = draw(st.sampled_from(["rectangle", "ell", *(["round", "oval", "slot"] if curved else [])]))
    if kind == "rectangle":
        four = [draw(radii(6, reach / 4, curved)) for _ in range(4)]
        return Rectangle(x, y, (four[0], four[1], four[2], four[3]))
    if kind == "round":
        return Round(x)
    if kind == "oval":
        return Oval(x, y)
    if kind == "slot":
        return Slot(x, y * 0.8)
    return Ell(
        x,
        y,
        x / 3,
        y / 3,
        draw(st.sampled_from(NOTCHES)),
        draw(radii(6, reach / 9, curved)),
    )


@st.composite
def features(draw: st.DrawFn, cell: Cell, thickness: float, curved: bool) -> Feature | None:
    """One feature inside a cell."""
    (x, y), reach = cell
    kinds = ["none", "opening", "inlay", "recess", "groove"]
    kind = draw(st.sampled_from([*kinds, "sleeve", "trough"] if curved else kinds))
    depth, turn = draw(sizes(3, thickness - 8)), draw(st.one_of(st.just(0.0), sizes(-180, 180)))
    face = draw(st.sampled_from(FACES))
    shape = draw(pocket_shapes(reach * 0.9, curved))
    if kind == "opening":
        both: tuple[At, At] = ("top", "bottom")
        rim = tuple(
            EdgeTreatment(at, draw(st.sampled_from(PROFILES)), draw(sizes(2, 10)))
            for at in both
            if curved and draw(st.booleans())
        )
        return Opening(((x, y),), shape, turn, rim)
    if kind == "inlay":
        return Inlay(((x, y),), shape, "pane", depth, draw(sizes(2, 8)), draw(st.booleans()), turn)
    if kind == "recess":
        return Recess(((x, y),), shape, face, depth, turn)
    if kind == "groove":
        a, b = reach * 0.5, reach * 0.4
        bent = ((x - a, y - b), (x + a, y - b), (x + a, y + b))
        ring = (*bent, (x - a, y + b), (x - a, y - b))
        return Groove(draw(st.sampled_from([bent, ring, bent[:2]])), face, draw(sizes(4, 20)), depth)
    if kind == "sleeve":
        return Sleeve(((x, y),), draw(sizes(30, reach)))
    if kind == "trough":
        return draw(troughs((x, y), reach, thickness, turn))
    return None


@st.composite
def troughs(draw: st.DrawFn, centre: Point, reach: float, thickness: float, turn: float) -> Trough:
    """A trough that hangs below the slab, its outside within `reach`."""
    wall, radius = draw(sizes(15, 25)), draw(radii(5, 15))
    depth = thickness + draw(sizes(10, 120))
    length, width = reach * 1.4 - 2 * wall, reach * 1.2 - 2 * wall
    steepest = math.degrees(math.atan((width - 2 * radius - 4) / 2 / depth))
    taper = draw(sizes(0.5, min(6, steepest))) if steepest > 0.5 and draw(st.booleans()) else 0.0
    floor_width = width - 2 * depth * math.tan(math.radians(taper))
    drains = (Drain((centre[0] + 5.0, centre[1] - 5.0), draw(sizes(10, 20))),) if floor_width > 40 else ()
    mix = draw(st.sampled_from([None, "light"]))
    return Trough(centre, length, width, depth, wall, draw(sizes(20, 40)), radius, taper, turn, mix, drains)


@st.composite
def pieces(draw: st.DrawFn, curved: bool = True) -> Piece:
    """A castable piece, features in cells of their own; not `curved`: straight sides, square edges."""
    shape, (x0, y0, x1, y1) = draw(outlines(curved))
    thickness = draw(sizes(35, 70))
    drop = None
    if draw(st.booleans()):
        some = st.lists(st.integers(0, 3), min_size=1, unique=True).map(lambda s: tuple(sorted(s)))
        sides = draw(st.one_of(st.none(), some)) if isinstance(shape, Rectangle) else None
        drop = DropEdge(thickness + draw(sizes(30, 80)), draw(sizes(18, 30)), sides)
    edges = (
        (*draw(treatments("top", 12.0, shape)), *draw(treatments("bottom", 12.0, shape))) if curved else ()
    )
    columns = max(1, int((x1 - x0) // 220))
    rows = max(1, int((y1 - y0) // 220))
    reach = min((x1 - x0) / columns, (y1 - y0) / rows) / 2.0 - 24.0
    found: list[Feature] = []
    for i in range(columns):
        for j in range(rows):
            middle = (x0 + (x1 - x0) * (i + 0.5) / columns, y0 + (y1 - y0) * (j + 0.5) / rows)
            feature = (
                draw(features((middle, min(reach, 160.0)), thickness, curved)) if len(found) < 4 else None
            )
            found += [feature] if feature is not None else []
    return Piece("trial", "mm", thickness, shape, edges=edges, drop_edge=drop, features=tuple(found))
