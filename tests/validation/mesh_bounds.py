"""How far a mesh of chords may differ from the true piece: derived, not fitted.

A chord of an arc with sagitta c leaves out a segment of 2/3 · c · chord length (a parabola's; the circle's
differs in the next order, covered by 2 %). A curved face of girth P and depth h thus misses 2/3 · c · P · h.
Drawn in or out in parallel by d, the polygon of an arc of angle θ misses
θ c (r ± d)² / r · |1/3 − r / (r ± d)|, no more than at d = 0 as long as d <= 2 r outward, to which
`strategies` keeps. A stack of prisms with the mean inset of each misses ½ A'' · variance of the inset within
one, A'' <= 2 Σ tan(turn / 2) of the corners (2π for a circle).
"""

from __future__ import annotations

import math

from quoting.engine.plane.shapes import Ell, Oval, Polygon, Rectangle, Round, Shape, Slot
from quoting.engine.spec.types import EdgeTreatment, Inlay, Opening, Piece, Recess, Sleeve, Trough
from tests.validation.mesh_piece import mean_insets


def curved_length(shape: Shape) -> float:
    """An upper bound of the length of a shape's curves."""
    if isinstance(shape, Rectangle):
        return sum(shape.corner_radii_mm) * math.pi / 2.0
    if isinstance(shape, Round):
        return shape.diameter_mm * math.pi
    if isinstance(shape, Oval):
        return math.pi * math.sqrt((shape.length_mm**2 + shape.width_mm**2) / 2.0)
    if isinstance(shape, Slot):
        return min(shape.length_mm, shape.width_mm) * math.pi
    if isinstance(shape, Ell):
        return shape.corner_radius_mm * 3.0 * math.pi
    return sum(shape.corner_radii_mm) * math.pi


def bend_sum(shape: Shape) -> float:
    """An upper bound of Σ tan(turn / 2), half the second derivative of the area of a parallel contour."""
    if isinstance(shape, Polygon):
        total = 0.0
        for i, (x, y) in enumerate(shape.points_mm):
            (ax, ay), (bx, by) = shape.points_mm[i - 1], shape.points_mm[(i + 1) % len(shape.points_mm)]
            turn = abs(math.remainder(math.atan2(by - y, bx - x) - math.atan2(y - ay, x - ax), 2.0 * math.pi))
            total += math.tan(turn / 2.0)
        return total
    return 6.0 if isinstance(shape, Ell) else 4.0


def stack_error(treatment: EdgeTreatment, shape: Shape) -> float:
    """In mm³, for one treatment round one shape."""
    error = 0.0
    size = treatment.size_mm
    for top, bottom, _ in mean_insets(treatment):
        if treatment.profile == "chamfer":
            spread, share = bottom - top, 12.0
        else:
            inset = [size - math.sqrt(max(0.0, t * (2.0 * size - t))) for t in (top, bottom)]
            spread, share = inset[0] - inset[1], 4.0
        error += (bottom - top) * spread * spread / share
    return error * bend_sum(shape)


def volume_bound(piece: Piece, chord: float) -> float:
    """In mm³."""
    girth_depth = curved_length(piece.outline) * piece.thickness_mm
    stack = sum(stack_error(t, piece.outline) for t in piece.edges)
    if piece.drop_edge is not None:
        girth_depth += 2.0 * curved_length(piece.outline) * (piece.drop_edge.depth_mm - piece.thickness_mm)
    for feature in piece.features:
        if isinstance(feature, Trough):
            inner = 2.0 * math.pi * feature.corner_radius_mm * feature.depth_mm
            outer = 2.0 * math.pi * (feature.corner_radius_mm + feature.wall_mm)
            girth_depth += inner + outer * (feature.depth_mm + feature.floor_mm - piece.thickness_mm)
            girth_depth += sum(math.pi * d.diameter_mm for d in feature.drains) * feature.floor_mm
        elif isinstance(feature, Opening | Inlay | Recess):
            girth_depth += len(feature.centres_mm) * curved_length(feature.shape) * piece.thickness_mm
        elif isinstance(feature, Sleeve):
            girth_depth += len(feature.centres_mm) * math.pi * feature.diameter_mm * piece.thickness_mm
        if isinstance(feature, Opening):
            rims = sum(stack_error(t, feature.shape) for t in feature.edges)
            stack += len(feature.centres_mm) * rims
    return 1.02 * 2.0 / 3.0 * chord * girth_depth + stack
