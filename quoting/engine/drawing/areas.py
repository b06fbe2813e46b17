"""The plain pieces of what a plan boolean leaves, points and slivers dropped."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry


def polygons_in(shape: BaseGeometry) -> tuple[shapely.Polygon, ...]:
    """Every polygon in a geometry of any kind."""
    parts = getattr(shape, "geoms", (shape,))
    return tuple(part for part in parts if isinstance(part, shapely.Polygon) and not part.is_empty)


def area_of(shape: BaseGeometry) -> BaseGeometry:
    """The part of a geometry that has an area."""
    return shapely.union_all(polygons_in(shape))


def lines_in(shape: BaseGeometry, least: float) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Every line in a geometry of any kind that is longer than `least`, as its points."""
    parts = getattr(shape, "geoms", (shape,))
    return tuple(
        tuple((x, y) for x, y in part.coords)
        for part in parts
        if isinstance(part, shapely.LineString) and part.length > least
    )
