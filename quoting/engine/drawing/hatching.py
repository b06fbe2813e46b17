"""Hatching of cut faces as plain lines, clipped by geometry (ISO 128-3: narrow lines, 45° by preference)."""

from __future__ import annotations

import math

import numpy as np
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
    levels = np.arange(first, last + 1) * spacing
    ends = np.stack(np.broadcast_arrays(np.array([x0 - 1, x1 + 1]), levels[:, None]), axis=2)
    met = np.asarray(shapely.intersection(turned, shapely.linestrings(ends)))
    pieces = [piece for each in met for piece in lines_in(each, 0.15)]
    return tuple(
        ((ax * cos - ay * sin, ax * sin + ay * cos), (bx * cos - by * sin, bx * sin + by * cos))
        for (ax, ay), (bx, by) in ((piece[0], piece[-1]) for piece in pieces)
    )
