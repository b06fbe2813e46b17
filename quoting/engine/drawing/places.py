"""Where the features of a piece are on its plan: what running dimensions and numbers refer to."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.engine.drawing.values import Point
from quoting.engine.plane.shapes import Ell, Polygon
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import Groove, Insert, Trough

PlanBox = tuple[float, float, float, float]
INSERT_MM = 30.0
"""An insert's size is its maker's affair; it is marked by a cross this large."""


@dataclass(frozen=True, slots=True)
class Place:
    """One feature of the document: the points that locate it and, point by point, how far it reaches."""

    feature: int
    points: tuple[Point, ...]
    boxes: tuple[PlanBox, ...]
    marks: int
    """How many of the points, from the first, are features of their own and carry the number."""


def places(solid: Solid) -> tuple[Place, ...]:
    """Where each feature is, in the order of the document, plan mm."""
    result = []
    for index, feature in enumerate(solid.piece.features):
        if isinstance(feature, Trough):
            body = next(body for body in solid.troughs if body.feature == index)
            drains = tuple((drain.at_mm, drain.diameter_mm / 2) for drain in feature.drains)
            points = (feature.centre_mm, *(at for at, _ in drains))
            boxes = (body.outer.box_mm, *((x - r, y - r, x + r, y + r) for (x, y), r in drains))
            result.append(Place(index, points, boxes, 1))
        elif isinstance(feature, Groove):
            half = feature.width_mm / 2
            points = feature.path_mm
            result.append(
                Place(index, points, tuple((x - half, y - half, x + half, y + half) for x, y in points), 1)
            )
        elif isinstance(feature, Insert):
            half = INSERT_MM / 2
            points = feature.centres_mm
            boxes = tuple((x - half, y - half, x + half, y + half) for x, y in points)
            result.append(Place(index, points, boxes, len(points)))
        else:
            voids = [void for void in solid.voids if void.feature == index and void.kind != "inlay_through"]
            boxes = tuple(void.contour.box_mm for void in voids)
            result.append(Place(index, feature.centres_mm, boxes, len(boxes)))
    return tuple(result)


def breaks(solid: Solid) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Where the outline's own corners need dimensions besides the overall sizes: distinct x, distinct y."""
    if not isinstance(solid.piece.outline, Ell | Polygon):
        return (), ()
    x0, y0, x1, y1 = solid.outline.box_mm
    xs = {round(corner.at[0], 1) for corner in solid.outline.ring}
    ys = {round(corner.at[1], 1) for corner in solid.outline.ring}
    return (
        tuple(sorted(x for x in xs if x0 + 0.1 < x < x1 - 0.1)),
        tuple(sorted(y for y in ys if y0 + 0.1 < y < y1 - 0.1)),
    )
