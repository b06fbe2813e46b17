"""Hatching of cut faces as plain lines, clipped by geometry (ISO 128-3: narrow lines, 45° by preference)."""

from __future__ import annotations

import math

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from quoting.engine.drawing.areas import lines_in
from quoting.engine.drawing.values import Point


def hatch_lines(face: BaseGeometry, spacing: float, angle_deg: float) -> tuple[tuple[Point, Point], ...]:
    """Parallel lines across `face` (sheet mm), `spacing` apart, at `angle_deg` as seen on the sheet.

    The lines hang on one fixed origin, so that separate faces of one material match.
    """
    if face.is_empty:
        return ()
    turned = affinity.rotate(face, angle_deg, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    first, last = math.ceil(y0 / spacing), math.floor(y1 / spacing)
    cos, sin = math.cos(math.radians(-angle_deg)), math.sin(math.radians(-angle_deg))
    result = []
    for number in range(first, last + 1):
        y = number * spacing
        met = turned.intersection(shapely.LineString(((x0 - 1, y), (x1 + 1, y))))
        for piece in lines_in(met, 0.15):
            (ax, ay), (bx, by) = piece[0], piece[-1]
            result.append(
                ((ax * cos - ay * sin, ax * sin + ay * cos), (bx * cos - by * sin, bx * sin + by * cos))
            )
    return tuple(result)
