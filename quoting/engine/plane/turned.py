"""A contour's lines and arcs along one axis, arcs split where they turn back: each meets a cut at most once.

`axis` "x" is cut along lines x = at (chords run along y), "y" along y = at.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal

from quoting.engine.plane import corners
from quoting.engine.plane.contour import Contour, Ellipse

Axis = Literal["x", "y"]


CutPiece = tuple[float, float, float, float, float, float, float]
"""A line, or an arc that does not turn back, in coordinates (along the axis, across it): both of its start,
both of its end, both of an arc's centre (a line's middle and 0), the radius (0 for a line)."""


def pieces_of(contour: Contour, axis: Axis) -> tuple[CutPiece, ...]:
    """The lines and arcs of a contour, in its order, arcs split where they turn back; none of an oval."""
    if contour.curve is not None:
        return _quarters(contour.curve, axis) if contour.curve.round else ()
    i, j = (0, 1) if axis == "x" else (1, 0)
    ring = corners.walk(contour.ring)
    out: list[CutPiece] = []
    # Each begins where the one before it ends, to the last bit, or a cut just there would slip between them.
    x, y = ring[-1].end[i], ring[-1].end[j]
    for part in ring:
        to_x, to_y = part.end[i], part.end[j]
        if part.bend is None or part.centre is None:
            out.append((x, y, to_x, to_y, 0.5 * (x + to_x), 0.0, 0.0))
        else:
            arc = (part.centre[i], part.centre[j], part.bend.corner.radius_mm)
            before, after = part.bend.before[i], part.bend.after[i]
            if before * after < 0.0:
                extreme = arc[0] + math.copysign(arc[2], before)
                out.append((x, y, extreme, arc[1], *arc))
                x, y = extreme, arc[1]
            out.append((x, y, to_x, to_y, *arc))
        x, y = to_x, to_y
    return tuple(out)


def _quarters(curve: Ellipse, axis: Axis) -> tuple[CutPiece, ...]:
    (x, y), r = curve.centre, curve.reach_mm(0.0)
    ring = [(x + r, y), (x, y + r), (x - r, y), (x, y - r), (x + r, y)]
    if axis == "y":
        x, y = y, x
        ring = [(b, a) for a, b in ring]
    return tuple((*start, *end, x, y, r) for start, end in pairwise(ring))
