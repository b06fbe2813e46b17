"""A contour's lines and arcs along one axis, arcs split where they turn back: each meets a cut at most once.

`axis` "x" is cut along lines x = at (chords run along y), "y" along y = at.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal, NamedTuple

from quoting.engine.plane import corners
from quoting.engine.plane.contour import Contour, Ellipse
from quoting.engine.plane.shapes import Point

Axis = Literal["x", "y"]


class CutPiece(NamedTuple):
    """A line, or an arc that does not turn back; coordinates are (along the axis, across it)."""

    start: Point
    end: Point
    centre: Point | None = None
    radius: float = 0.0


def pieces_of(contour: Contour, axis: Axis) -> tuple[CutPiece, ...]:
    """The lines and arcs of a contour, in its order, arcs split where they turn back; none of an oval."""
    if contour.curve is not None:
        return _quarters(contour.curve, axis) if contour.curve.round else ()
    i = 0 if axis == "x" else 1
    j = 1 - i
    stops: list[tuple[Point, Point | None, float]] = []
    for part in corners.walk(contour.ring):
        end = (part.end[i], part.end[j])
        if part.bend is None or part.centre is None:
            stops.append((end, None, 0.0))
            continue
        radius = part.bend.corner.radius_mm
        centre = (part.centre[i], part.centre[j])
        before, after = part.bend.before[i], part.bend.after[i]
        if before * after < 0.0:
            stops.append(((centre[0] + math.copysign(radius, before), centre[1]), centre, radius))
        stops.append((end, centre, radius))
    # Each begins where the one before it ends, to the last bit, or a cut just there would slip between them.
    starts = [stops[-1][0], *(end for end, _, _ in stops[:-1])]
    return tuple(CutPiece(start, *stop) for start, stop in zip(starts, stops, strict=True))


def _quarters(curve: Ellipse, axis: Axis) -> tuple[CutPiece, ...]:
    (x, y), r = curve.centre, curve.reach_mm(0.0)
    ring: list[Point] = [(x + r, y), (x, y + r), (x - r, y), (x, y - r), (x + r, y)]
    if axis == "y":
        x, y = y, x
        ring = [(b, a) for a, b in ring]
    return tuple(CutPiece(start, end, (x, y), r) for start, end in pairwise(ring))
