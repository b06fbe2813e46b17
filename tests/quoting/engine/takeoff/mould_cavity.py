"""The space a mould encloses, from where its parts stand; nothing of it from the solid's own formulas."""

from __future__ import annotations

from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from quoting.engine.takeoff.lines import Mould, PlacedPart

TOUCH_MM = 1e-4
DUST_MM = 1e-6
HOLLOW = "trough core"
"""A box that keeps concrete out of what it goes round."""


def footprint(part: PlacedPart, z_mm: float) -> shapely.Polygon:
    """A part's plan at a level, between its two footprints where it leans."""
    if part.plan_bottom_mm is None:
        return shapely.Polygon(part.plan_mm, part.holes_mm)
    share = (z_mm - part.top_mm) / (part.bottom_mm - part.top_mm)
    return shapely.Polygon(
        [
            (x + (u - x) * share, y + (v - y) * share)
            for (x, y), (u, v) in zip(part.plan_mm, part.plan_bottom_mm, strict=True)
        ]
    )


def at_level(mould: Mould, z_mm: float) -> list[tuple[PlacedPart, shapely.Polygon]]:
    return [(part, footprint(part, z_mm)) for part in mould.placed if part.top_mm < z_mm < part.bottom_mm]


def joined(polygons: list[shapely.Polygon]) -> BaseGeometry:
    """Union of parts that touch, closing gaps of arithmetic dust."""
    grown = [polygon.buffer(TOUCH_MM, join_style="mitre") for polygon in polygons]
    return shapely.union_all(grown).buffer(-TOUCH_MM, join_style="mitre")


def rings_filled(shape: BaseGeometry) -> BaseGeometry:
    parts = shapely.get_parts(shape)
    return shapely.union_all(shapely.polygons(shapely.get_exterior_ring(parts)))


def cavity_mm2(mould: Mould, z_mm: float, within: BaseGeometry | None = None) -> float:
    """Area open to concrete at a level: what the parts ring in, less formers and the inside of hollow boxes.

    `within` bounds it where a form is open on purpose (below the slab: the band, a trough's walls).
    """
    level = at_level(mould, z_mm)
    walls = joined([polygon for part, polygon in level if not part.name.startswith(HOLLOW)])
    cavity = rings_filled(walls).difference(walls)
    core = [polygon for part, polygon in level if part.name.startswith(HOLLOW)]
    if core:
        cavity = cavity.difference(rings_filled(joined(core)))
    if within is not None:
        cavity = cavity.intersection(within)
    return float(cavity.area)


def overlap_mm2(mould: Mould, z_mm: float) -> float:
    """Area where parts of the mould stand in each other."""
    polygons = [polygon for _, polygon in at_level(mould, z_mm)]
    # Unsnapped, the kernel loses a board whose sloping side is another's (GEOS 3.14.1).
    together = shapely.union_all(polygons, grid_size=DUST_MM)
    return float(sum(polygon.area for polygon in polygons) - together.area)


def levels_of(mould: Mould, top_mm: float, bottom_mm: float) -> list[tuple[float, float]]:
    """Spans between two levels in which no part begins or ends."""
    marks = {top_mm, bottom_mm}
    for part in mould.placed:
        marks |= {z for z in (part.top_mm, part.bottom_mm) if top_mm < z < bottom_mm}
    ordered = sorted(marks)
    return [(a, b) for a, b in pairwise(ordered) if b - a > 1e-9]


def cavity_volume_mm3(
    mould: Mould, top_mm: float, bottom_mm: float, within: BaseGeometry | None = None
) -> float:
    """Volume between two levels: Simpson in every span, exact for straight leaning walls."""
    total = 0.0
    for start, end in levels_of(mould, top_mm, bottom_mm):
        nudge = (end - start) * 1e-9
        areas = [cavity_mm2(mould, z, within) for z in (start + nudge, (start + end) / 2, end - nudge)]
        total += (end - start) / 6 * (areas[0] + 4 * areas[1] + areas[2])
    return total
